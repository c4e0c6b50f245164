"""The server answers this machine only, and lets a page load nothing from elsewhere."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from dashboard.app import create_app
from dashboard.guard import BIGGEST_UPLOAD, host_name
from tests.dashboard.fake_shop import FakeShop, clock


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    return create_app(FakeShop(), clock=clock).server.test_client()


@pytest.mark.parametrize("host", ["127.0.0.1:8050", "localhost", "localhost:9", "[::1]:8050"])
def test_this_machine_is_answered(client: FlaskClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example:8050", "10.0.0.7"])
def test_another_name_for_this_machine_is_turned_away(client: FlaskClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 403
    assert client.post("/_dash-update-component", headers={"Host": host}).status_code == 403


def test_host_name_is_told_from_its_port() -> None:
    assert [host_name(h) for h in ("a:1", "a", "[::1]", "[::1]:80")] == ["a", "a", "[::1]", "[::1]"]


def test_page_may_load_from_this_machine_only(client: FlaskClient) -> None:
    policy = client.get("/").headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "http" not in policy
    assert "script-src 'self' 'sha256-" in policy
    assert "unsafe-eval" not in policy


def test_page_names_no_other_address(client: FlaskClient) -> None:
    page = client.get("/").get_data(as_text=True)
    assert "//" not in page.replace("://127.0.0.1", "").replace("<!DOCTYPE", "")
    assert '<html lang="en-GB">' in page


def test_debug_is_off(client: FlaskClient) -> None:
    assert '"hot_reload"' not in client.get("/").get_data(as_text=True)
    assert client.application.debug is False


def test_huge_upload_is_turned_away(client: FlaskClient) -> None:
    answer = client.post(
        "/_dash-update-component", environ_overrides={"CONTENT_LENGTH": str(BIGGEST_UPLOAD + 1)}
    )
    assert answer.status_code == 413
