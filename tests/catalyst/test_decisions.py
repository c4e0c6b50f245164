"""Doses written down as set, and the gel time that came of each."""

from __future__ import annotations

import json
from datetime import date, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from analytics.catalyst.advice import advise
from analytics.catalyst.decisions import content_of, decisions
from analytics.records.log import Log
from tests.builders import a_log
from tests.catalyst.trade import the_trade

AT = datetime(2025, 3, 4, 9, 0)


def an_entry(at: datetime = AT, **question: Any) -> Any:
    advice = advise(
        Log.empty(), the_trade(), today=date(2025, 3, 4),
        **{"material": "gelcoat", "temperature_c": 20.0, "dose_pct": 2.0, **question},
    )  # fmt: skip
    return SimpleNamespace(name=f"set {at:%H:%M}", content=content_of(advice), at=at)


def a_mix(**facts: Any) -> dict[str, Any]:
    usual = {"material": "gelcoat", "date": "2025-03-04", "time": "09:30", "catalyst_pct": 2.0,
             "gel_min": 16.0}  # fmt: skip
    return {**usual, **facts}


def outcome_of(*mixes: dict[str, Any], **question: Any) -> Any:
    return decisions([an_entry(**question)], a_log(batches=mixes))[0].outcome


def test_what_was_set_can_be_kept_as_plain_json() -> None:
    content = an_entry().content
    assert json.loads(json.dumps(content)) == content
    assert content["range"][0] == 1.0


def test_gel_time_logged_later_stands_beside_the_one_expected() -> None:
    found = outcome_of(a_mix())
    assert (found.batch_id, found.gel_min, found.verdict) == ("B1", 16.0, "as expected")


@pytest.mark.parametrize(("minutes", "verdict"), [(3.0, "sooner"), (80.0, "later")])
def test_gel_time_outside_the_interval_is_said(minutes: float, verdict: str) -> None:
    assert outcome_of(a_mix(gel_min=minutes)).verdict == verdict


@pytest.mark.parametrize(
    "other",
    [
        {"date": "2025-03-05"},
        {"material": "resin"},
        {"catalyst_pct": 1.5},
        {"gel_min": None},
        {"gel_where": "film"},
    ],
)
def test_another_mix_is_not_its_outcome(other: dict[str, Any]) -> None:
    assert outcome_of(a_mix(**other)) is None


def test_lot_named_must_be_the_lot_mixed() -> None:
    assert outcome_of(a_mix(lot="G2"), lot="G1") is None
    assert outcome_of(a_mix(lot="G1"), lot="G1") is not None
    assert outcome_of(a_mix(), lot="G1") is not None


def test_nearest_mix_of_the_day_is_taken() -> None:
    found = outcome_of(a_mix(time="15:00", gel_min=30.0), a_mix(time="09:20"))
    assert found.batch_id == "B2"


def test_newest_comes_first() -> None:
    early, late = an_entry(), an_entry(datetime(2025, 3, 4, 14, 0))
    assert [one.name for one in decisions([early, late], Log.empty())] == ["set 14:00", "set 09:00"]
