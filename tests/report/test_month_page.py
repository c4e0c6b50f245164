"""The page for the wall: whole in itself, plain, safe, and no longer than two sheets."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from analytics.month import review_month
from analytics.month.actions import Action
from analytics.month.answer import MonthReview
from analytics.month.answer_pieces import CauseLine
from analytics.report.month_page import month_page
from tests.month.shops import a_shop, some_knowledge

MADE_ON = date(2023, 6, 2)
HOSTILE = '<script>alert("x")</script>'


@pytest.fixture(scope="module")
def review() -> MonthReview:
    def plant(parts, chance) -> None:  # type: ignore[no-untyped-def]
        new = (parts["date"] >= "2023-04-01").to_numpy()
        chance["pinholes"][new] = 0.3
        parts.loc[new & (parts["mould_id"] == "M05"), "mould_id"] = HOSTILE

    shop = a_shop(81, plant=plant)
    actions = [Action(f"{HOSTILE} {n}", date(2023, 1, 1), ("sticking",)) for n in range(9)]
    return review_month(shop.jobs, shop.log, some_knowledge(), month="2023-05", actions=actions)


def causes(number: int) -> tuple[CauseLine, ...]:
    return tuple(
        CauseLine(f"c{n}", f"A cause with rather a long name, number {n}", 9.0 - n / 9, 1, 12, 0,
                  40, 1.0, None, 2.0, 3.5, 1.0, 120.0)
        for n in range(number)
    )  # fmt: skip


@pytest.fixture(scope="module")
def page(review: MonthReview) -> str:
    return month_page(replace(review, causes=causes(30)), made_on=MADE_ON)


def test_the_page_says_the_month_and_the_good_parts_first(page: str) -> None:
    assert "<h1>How May 2023 went</h1>" in page
    assert re.search(r"<strong>\d+ of \d+ parts good</strong>", page)
    assert "2 Jun 2023" in page


def test_nothing_is_fetched_and_nothing_runs(page: str) -> None:
    assert not re.search(r"<script|<link|<iframe|<img|src=|href=|url\((?!#)|@import|https?:", page)
    assert not re.search(r"\son\w+=", page)


def test_what_the_log_says_cannot_become_markup(page: str) -> None:
    assert HOSTILE not in page
    assert "&lt;script&gt;" in page


def test_the_pictures_are_in_the_page_and_described(page: str) -> None:
    assert page.count("<svg") == 2
    assert page.count('role="img" aria-label="') == 2


def test_what_stands_out_is_on_the_page(review: MonthReview, page: str) -> None:
    assert review.signals
    assert "More pinholes" in page


def test_long_lists_end_with_how_many_more(review: MonthReview) -> None:
    many = replace(review, signals=review.signals[:1] * 12)
    assert "and 7 more things." in month_page(many, made_on=MADE_ON)


def test_a_month_without_results_says_so(review: MonthReview) -> None:
    blank = replace(review, good=type(review.good)(0, 0), signals=(), defects=(), actions=())
    page = month_page(blank, made_on=MADE_ON)
    assert "no result written down" in page
    assert "No fault is written down this month." in page


def test_it_prints_on_two_sheets_at_most(review: MonthReview, tmp_path: Path) -> None:
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("no chromium on this machine")
    full = replace(
        review, causes=causes(30), signals=review.signals * 8, defects=review.defects * 3
    )
    (tmp_path / "month.html").write_text(month_page(full, made_on=MADE_ON), encoding="utf-8")
    printed = tmp_path / "month.pdf"
    subprocess.run(
        [program, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={printed}",
         (tmp_path / "month.html").as_uri()],
        check=True, capture_output=True, timeout=60,
    )  # fmt: skip
    sheets = len(re.findall(rb"/Type\s*/Page\b(?!s)", printed.read_bytes()))
    assert 1 <= sheets <= 2
