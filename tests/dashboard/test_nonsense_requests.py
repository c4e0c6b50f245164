"""Requests no page makes: never an error of the server's own, never a word of how it is built."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from dashboard.app import PAGES, create_app
from dashboard.state import search_of
from tests.dashboard.conftest import a_shop
from tests.dashboard.fake_shop import clock
from tests.dashboard.small_log import small_log

HERE = {"Host": "127.0.0.1"}
UPDATE = "/_dash-update-component"
TELLING = ("Traceback", "site-packages", ".py", "sqlite", str(Path(__file__).parents[2]))
ODD = (
    None, True, -1, 1e308, "", "x" * 5000, "'; DROP TABLE part; --", "<script>alert(1)</script>",
    "\x00", "../../../etc/passwd", "P-089", "?part=P-089&fault=%00", [], {}, [[["x"]]],
    {"part": "x"}, "٣٤", "\ud83d", "NaN", "=1+1", {"type": "confirm"},
)  # fmt: skip
PATHS = (
    "/_dash-component-suites/../../etc/passwd",
    "/_dash-component-suites/dash/nothing.js",
    "/_dash-component-suites/os/path.js",
    "/assets/../app.py",
    "/assets/%2e%2e/app.py",
    "/assets//etc/passwd",
    "/%00",
    "/" + "a" * 4000,
    "/_reload-hash",
    "/cause?part=" + "%ff" * 300,
)


ROWS = 15


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    """A dashboard asked without a browser, in front of a log of a few parts."""
    folder = tmp_path_factory.mktemp("shop")
    few = folder / "few.csv"
    few.write_text("\n".join(small_log().splitlines()[: ROWS + 1]), encoding="utf-8")
    with a_shop(folder, few) as shop:
        yield create_app(shop, clock=clock).server.test_client()


def sound(answer: Any) -> bool:
    """Not an error of the server's, and nothing told of its inside."""
    text = answer.get_data(as_text=True)
    return answer.status_code < 500 and not any(word in text for word in TELLING)


def callbacks(client: FlaskClient) -> list[dict[str, Any]]:
    told = client.get("/_dash-dependencies", headers=HERE).get_json()
    return [c for c in told if not c["clientside_function"]]


def outputs(output: str) -> Any:
    """The outputs a page would ask for, from how the app lists them."""
    names = output.strip(".").split("...") if output.startswith("..") else [output]
    split = [name.rsplit(".", 1) for name in names]
    made = [{"id": i, "property": p.split("@")[0]} for i, p in split]
    return made if output.startswith("..") else made[0]


def asked(callback: dict[str, Any], luck: random.Random) -> dict[str, Any]:
    """A request shaped like a page's own, its values replaced by odd ones."""

    def value(one: dict[str, Any]) -> Any:
        given = {"id": one["id"], "property": one["property"], "value": luck.choice(ODD)}
        return [given] if one["id"].startswith("{") else given

    return {
        "output": callback["output"],
        "outputs": outputs(callback["output"]),
        "inputs": [value(one) for one in callback["inputs"]],
        "state": [value(one) for one in callback["state"]],
        "changedPropIds": [f"{one['id']}.{one['property']}" for one in callback["inputs"]],
    }


def mangled(body: dict[str, Any], luck: random.Random) -> bytes:
    """The request with a piece taken out, replaced or cut off."""
    body = json.loads(json.dumps(body))
    name = luck.choice(list(body))
    if luck.random() < 0.5:
        del body[name]
    else:
        body[name] = luck.choice(ODD)
    raw = json.dumps(body).encode()
    return raw[: luck.randrange(len(raw))] if luck.random() < 0.3 else raw


@pytest.mark.filterwarnings("ignore")
def test_odd_values_in_every_callback_are_answered_in_words(client: FlaskClient) -> None:
    luck = random.Random(20)
    for callback in callbacks(client):
        for _ in range(8):
            body = asked(callback, luck)
            assert sound(client.post(UPDATE, json=body, headers=HERE)), body


@pytest.mark.filterwarnings("ignore")
def test_mangled_requests_are_turned_away(client: FlaskClient) -> None:
    luck = random.Random(21)
    for callback in callbacks(client):
        for _ in range(8):
            body = mangled(asked(callback, luck), luck)
            answer = client.post(UPDATE, data=body, headers=HERE, content_type="application/json")
            assert sound(answer), body


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[]", b"null", b'"x"', b"{}", b"\xff\xfe", b"[" * 9999]
)
def test_bodies_that_are_no_request_are_turned_away(client: FlaskClient, body: bytes) -> None:
    for kind in ("application/json", "text/plain", "multipart/form-data"):
        answer = client.post(UPDATE, data=body, headers=HERE, content_type=kind)
        assert sound(answer)
        assert answer.status_code >= 400


@pytest.mark.parametrize("method", ["get", "post", "put", "delete", "options", "patch", "head"])
def test_strange_paths_lead_nowhere(client: FlaskClient, method: str) -> None:
    for path in (*PATHS, *(page.PATH for page in PAGES)):
        assert sound(getattr(client, method)(path, headers=HERE)), path


def test_odd_words_in_the_address_of_any_page_are_answered(client: FlaskClient) -> None:
    luck = random.Random(22)
    show = [c for c in callbacks(client) if any(i["id"] == "address" for i in c["inputs"])]
    for page in PAGES:
        own = [c for c in show if belongs(c["output"], page.PATH)]
        assert own, page.PATH
        for _ in range(ADDRESSES.get(page.PATH, 60)):
            query = search_of(**{luck.choice(NAMES): luck.choice(WORDS) for _ in range(3)})
            for callback in own:
                answer = client.post(UPDATE, json=at(callback, page.PATH, query), headers=HERE)
                assert sound(answer), (page.PATH, query)
                assert OWN_MISTAKE not in answer.get_data(as_text=True), (page.PATH, query)


def belongs(output: str, path: str) -> bool:
    """True for what a page draws by its address; the frame and other pages' boxes stay out."""
    return output.startswith((f"{path[1:]}-", f"..{path[1:]}-") if path != "/" else "home-")


def at(callback: dict[str, Any], path: str, query: str) -> dict[str, Any]:
    """The page's own request at this address, with nothing typed yet."""

    def value(one: dict[str, Any]) -> Any:
        if one["id"].startswith("{"):
            return []
        told = {"search": query, "pathname": path}.get(one["property"])
        return {"id": one["id"], "property": one["property"], "value": told}

    return {
        "output": callback["output"],
        "outputs": outputs(callback["output"]),
        "inputs": [value(one) for one in callback["inputs"]],
        "state": [value(one) for one in callback["state"]],
        "changedPropIds": ["address.search"],
    }


# Fewer where the address says little or every answer is a long sum.
ADDRESSES = {"/": 3, "/month": 15, "/catalyst": 25}
OWN_MISTAKE = "a mistake of its own"
# What the pages themselves write into the address, and a word none of them does.
NAMES = ("part", "fault", "say", "pick", "seen", "skip", "m", "t", "from", "to", "work", "pot",
         "lot", "dose", "sg", "sc", "sp", "show", "material", "mould", "area", "plies", "start",
         "until", "date", "rh", "release", "coats", "pulls", "gl", "rl", "gd", "rd", "q", "tab",
         "f", "a", "b", "d", "new", "trial", "fix", "month", "what", "x")  # fmt: skip
# The odd ones, and words that lead further in before something is wrong.
WORDS = (*(one for one in ODD if isinstance(one, str) and one.isprintable()), "P-007", "M07",
         "18", "1e9", "-40", "0", "inf", "1,8", "resin", "year", "cup", "own", "trials", "mix",
         "job", "pinholes", "sticking", "air_c", "P-007|air_c", "P-007|", "|", "wax_coats",
         "2024-01", "2024-13", "2024-01-40", "25:99", "08:00", "swab:soft", "a:b,c:", "300+2x450",
         "450" + "+450" * 200)  # fmt: skip
