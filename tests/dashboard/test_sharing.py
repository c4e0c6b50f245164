"""A shared dashboard: nobody in without the passphrase, and no way to guess or borrow it."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from flask.testing import FlaskClient

from analytics.errors import QuestionError
from analytics.shop import Shop
from dashboard.app import create_app
from dashboard.sharing import GUESSES, MOST_ADDRESSES, Guesses, shared_hosts
from tests.dashboard.conftest import a_shop, served
from tests.dashboard.fake_shop import clock

if TYPE_CHECKING:
    from playwright.sync_api import Page

WORDS = "lantern gravel mitten seven"
HERE = {"Host": "192.168.4.20:8642", "Accept": "text/html"}
ASK = "/_dash-layout"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    with a_shop(tmp_path) as shop:
        shop.set_passphrase(WORDS)
        yield shop


@pytest.fixture
def visitor(shop: Shop) -> FlaskClient:
    return a_visitor(shop)


def a_visitor(shop: Shop) -> FlaskClient:
    server = create_app(shop, clock=clock, shared=True, names=("log.shop.example",)).server
    return server.test_client()


def sign_in(visitor: FlaskClient, words: str = WORDS, to: str = "/month", **headers: str):
    return visitor.post(
        f"/sign-in?to={to}", data={"passphrase": words}, headers={**HERE, **headers}
    )


def test_stranger_is_asked_for_the_passphrase_and_sees_nothing(visitor: FlaskClient) -> None:
    page = visitor.get("/month?month=2025-04", headers=HERE)
    assert page.status_code == 302
    assert page.headers["Location"] == "/sign-in?to=/month%3Fmonth%3D2025-04"
    assert visitor.get(ASK, headers={"Host": HERE["Host"]}).status_code == 401
    assert visitor.post("/_dash-update-component", json={}, headers=HERE).status_code == 401


def test_passphrase_opens_the_page_that_was_asked_for(visitor: FlaskClient) -> None:
    answer = sign_in(visitor)
    assert (answer.status_code, answer.headers["Location"]) == (302, "/month")
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert visitor.get(ASK, headers=HERE).status_code == 200


def test_signing_out_closes_the_door(visitor: FlaskClient) -> None:
    sign_in(visitor)
    visitor.post("/sign-out", headers=HERE)
    assert visitor.get(ASK, headers={"Host": HERE["Host"]}).status_code == 401


def test_wrong_passphrase_is_told_and_soon_has_to_wait(visitor: FlaskClient) -> None:
    for _ in range(GUESSES):
        answer = sign_in(visitor, "open sesame please")
        assert answer.status_code == 403
        assert "not the passphrase" in answer.text
    answer = sign_in(visitor)
    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) > 60
    assert "Wait 15 min" in answer.text or "Wait 16 min" in answer.text


def test_guesses_are_forgotten_after_a_while_and_never_fill_the_memory() -> None:
    now = [0.0]
    guesses = Guesses(lambda: now[0])
    for number in range(3 * MOST_ADDRESSES):
        guesses.wrong(f"10.0.{number // 250}.{number % 250}")
        now[0] += 10
    assert len(guesses._by_address) <= MOST_ADDRESSES
    for _ in range(GUESSES):
        guesses.wrong("10.9.9.9")
    assert guesses.wait_s("10.9.9.9") > 0
    now[0] += 16 * 60
    assert guesses.wait_s("10.9.9.9") == 0


def test_many_addresses_guessing_together_have_to_wait_too() -> None:
    guesses = Guesses(lambda: 0.0)
    for number in range(100):
        guesses.wrong(f"10.1.1.{number}")
    assert guesses.wait_s("10.2.2.2") > 0


def test_new_passphrase_signs_everybody_out(visitor: FlaskClient, shop: Shop) -> None:
    sign_in(visitor)
    shop.set_passphrase("quite another set of words")
    assert visitor.get(ASK, headers={"Host": HERE["Host"]}).status_code == 401
    assert sign_in(visitor).status_code == 403
    assert sign_in(visitor, "quite another set of words").status_code == 302


def test_cookie_changed_by_hand_or_of_another_shop_opens_nothing(
    visitor: FlaskClient, tmp_path: Path
) -> None:
    (tmp_path / "other").mkdir()
    with a_shop(tmp_path / "other") as other:
        other.set_passphrase(WORDS)
        cookie = sign_in(a_visitor(other)).headers["Set-Cookie"].split(";")[0].split("=", 1)[1]
    for forged in (cookie, "eyJzaW5jZSI6IngifQ.x.y", ""):
        visitor.set_cookie("laylog", forged, domain="192.168.4.20")
        assert visitor.get(ASK, headers={"Host": HERE["Host"]}).status_code == 401


def test_another_site_cannot_sign_in_or_write_with_a_visitors_cookie(visitor: FlaskClient) -> None:
    assert sign_in(visitor, **{"Origin": "http://evil.example"}).status_code == 403
    assert sign_in(visitor, **{"Sec-Fetch-Site": "cross-site"}).status_code == 403
    own = sign_in(visitor, **{"Origin": f"http://{HERE['Host']}", "Sec-Fetch-Site": "same-origin"})
    assert own.status_code == 302
    url = "/_dash-update-component"
    answer = visitor.post(url, json={}, headers={**HERE, "Origin": "http://evil.example"})
    assert answer.status_code == 403


@pytest.mark.parametrize(
    "to", ["//evil.example", "https://evil.example/", "/\\evil.example", "\\\\evil", "javascript:x"]
)
def test_signing_in_never_leads_off_to_another_site(visitor: FlaskClient, to: str) -> None:
    assert sign_in(visitor, to=to).headers["Location"] == "/"


def test_what_was_asked_for_cannot_write_itself_into_the_page(visitor: FlaskClient) -> None:
    page = visitor.get('/sign-in?to=/"><script>alert(1)</script>', headers=HERE)
    assert "<script" not in page.text


def test_only_this_machines_names_and_bare_addresses_are_answered() -> None:
    fits = shared_hosts(("log.shop.example",))
    own = socket.gethostname()
    assert all(map(fits, ("192.168.4.20", "[fe80::1]", own, "LOG.shop.example", "localhost")))
    assert not any(map(fits, ("evil.example", "192.168.4.20.evil.example", "shop.example", "")))


def test_strange_host_is_turned_away_before_the_passphrase(visitor: FlaskClient) -> None:
    assert visitor.get("/sign-in", headers={"Host": "evil.example"}).status_code == 403


def test_behind_tls_the_cookie_never_travels_in_the_clear(visitor: FlaskClient) -> None:
    assert "Secure" not in sign_in(visitor).headers["Set-Cookie"]
    answer = sign_in(visitor, **{"X-Forwarded-Proto": "https"})
    assert "Secure" in answer.headers["Set-Cookie"]


def test_passphrase_is_kept_as_a_hash_only(shop: Shop) -> None:
    assert WORDS not in str(shop.store.settings())
    assert shop.passphrase_fits(f" {WORDS} ")
    assert not shop.passphrase_fits(WORDS.upper())
    before = shop.store.setting("passphrase")["hash"]
    shop.set_passphrase(WORDS)
    assert shop.store.setting("passphrase")["hash"] != before


def test_short_passphrase_is_refused(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="at least 10 characters"):
        shop.set_passphrase("boat")
    assert shop.passphrase_fits(WORDS)


def test_unshared_dashboard_asks_for_nothing_and_turns_other_sites_away(shop: Shop) -> None:
    client = create_app(shop, clock=clock).server.test_client()
    assert client.get(ASK, headers={"Host": "127.0.0.1"}).status_code == 200
    for header in ({"Origin": "http://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
        asked = client.post("/_dash-update-component", headers={"Host": "127.0.0.1", **header})
        assert asked.status_code == 403


def test_sharing_without_a_passphrase_is_refused(tmp_path: Path) -> None:
    with a_shop(tmp_path) as shop, pytest.raises(QuestionError, match="laylog passphrase"):
        create_app(shop, clock=clock, shared=True)


@pytest.mark.browser
def test_signing_in_and_out_in_a_browser(page: Page, shop: Shop) -> None:
    with served(shop, shared=True) as address:
        page.goto(f"{address}/catalyst")
        page.get_by_label("The shop's passphrase").fill(WORDS)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_selector("#screen h1")
        assert page.url.endswith("/catalyst")
        page.get_by_role("button", name="Sign out").click()
        page.get_by_label("The shop's passphrase").wait_for()
        page.goto("about:blank")
