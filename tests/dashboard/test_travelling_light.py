"""Answers leave compressed, and browsers keep the files whose address names their version."""

from __future__ import annotations

import gzip
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from dashboard.app import create_app
from tests.dashboard.conftest import a_shop, clock

READS_GZIP = {"Host": "127.0.0.1", "Accept-Encoding": "gzip, deflate, br"}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    folder: Path = tmp_path_factory.mktemp("shop")
    with a_shop(folder) as shop:
        yield create_app(shop, clock=clock).server.test_client()


@pytest.mark.parametrize("path", ["/_dash-layout", "/_dash-dependencies", "/assets/laylog.css"])
def test_what_compresses_well_leaves_compressed(client: FlaskClient, path: str) -> None:
    plain = client.get(path, headers={"Host": "127.0.0.1"}, buffered=True)
    small = client.get(path, headers=READS_GZIP, buffered=True)
    assert "Content-Encoding" not in plain.headers
    assert small.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in small.headers["Vary"]
    assert int(small.headers["Content-Length"]) == len(small.data) < len(plain.data)
    assert gzip.decompress(small.data) == plain.data


def test_a_file_with_its_version_in_its_address_is_kept_by_the_browser(client: FlaskClient) -> None:
    kept = client.get("/assets/laylog.css?m=1", headers=READS_GZIP, buffered=True)
    assert "immutable" in kept.headers["Cache-Control"]
    for path in ("/assets/laylog.css", "/"):
        asked_anew = client.get(path, headers=READS_GZIP, buffered=True)
        assert "immutable" not in asked_anew.headers.get("Cache-Control", "")


def test_a_page_that_is_not_there_is_told_as_before(client: FlaskClient) -> None:
    assert client.get("/assets/none.css?m=1", headers=READS_GZIP, buffered=True).status_code == 404


def test_only_the_heads_of_a_file_can_be_asked_for(client: FlaskClient) -> None:
    told = client.head("/assets/laylog.css", headers=READS_GZIP, buffered=True)
    assert told.status_code == 200
    assert told.data == b""


def test_the_frame_of_the_pages_leaves_compressed(client: FlaskClient) -> None:
    frame = client.get("/", headers=READS_GZIP, buffered=True)
    assert gzip.decompress(frame.data).startswith(b"<!DOCTYPE html>")
