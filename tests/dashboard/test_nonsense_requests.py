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
from tests.dashboard.conftest import a_shop
from tests.dashboard.fake_shop import clock

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


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory, log_file: Path) -> Iterator[FlaskClient]:
    with a_shop(tmp_path_factory.mktemp("shop"), log_file) as shop:
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
        for _ in range(2):
            query = "&".join(
                f"{luck.choice(NAMES)}={luck.choice([o for o in ODD if isinstance(o, str)])}"
                for _ in range(3)
            )
            for callback in show:
                body = asked(callback, luck)
                for one in (*body["inputs"], *body["state"]):
                    if isinstance(one, dict) and one["property"] == "search":
                        one["value"] = f"?{query}"
                    elif isinstance(one, dict) and one["property"] == "pathname":
                        one["value"] = page.PATH
                assert sound(client.post(UPDATE, json=body, headers=HERE)), (page.PATH, query)


NAMES = ("part", "fault", "say", "pick", "seen", "skip", "month", "t", "from", "to", "pot",
         "material", "field", "area", "plies", "start", "mould", "x")  # fmt: skip
