"""The app as a whole: what it is served by, and what is there whatever page is open."""

from __future__ import annotations

from typing import Any

import pytest

from dashboard import app as dashboard_app
from dashboard.app import PAGES, create_app, serve
from tests.dashboard.fake_shop import FakeShop, clock
from tests.dashboard.looking import ids, words


def test_dashboard_is_served_on_this_machine_only(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: dict[str, Any] = {}
    monkeypatch.setattr("waitress.serve", lambda server, **how: asked.update(how))
    serve(create_app(FakeShop(), clock=clock), port=8123)
    assert (asked["host"], asked["port"]) == ("127.0.0.1", 8123)


def test_paper_says_the_day_it_was_printed() -> None:
    shown = words(create_app(FakeShop(), clock=clock).layout())
    assert "Printed on 28 Mar 2024." in shown
    assert "Nothing is sent anywhere" in shown


def test_page_modules_can_be_registered_in_two_apps() -> None:
    first, second = (create_app(FakeShop(), clock=clock) for _ in range(2))
    assert first.callback_map.keys() == second.callback_map.keys()


def test_every_place_a_page_fills_is_in_its_layout() -> None:
    app = create_app(FakeShop(), clock=clock)
    places = {str(one) for page in PAGES for one in ids(page.layout())} | set(ids(app.layout()))
    filled = {key.split(".")[0] for key in app.callback_map if not key.startswith("..")}
    # the search results and the list of parts are drawn with the answer they belong to
    assert filled - {"part-found", "parts-table"} <= places


def test_all_scripts_come_from_this_machine() -> None:
    app = create_app(FakeShop(), clock=clock)
    assert app.scripts.config.serve_locally
    assert app.css.config.serve_locally


def test_pages_are_listed_once_and_home_is_first() -> None:
    assert PAGES[0].PATH == "/"
    assert len({page.PATH for page in PAGES}) == len(PAGES) == len(dashboard_app.BY_PATH)
