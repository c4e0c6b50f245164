"""The cup test: what is refused, what it says of a lot, and what stands beside it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics.catalyst.advice import Learnt, learn
from analytics.catalyst.cup import Cup, CupAnswer, begun
from analytics.catalyst.cup_judging import cup_answer, lot_offset
from analytics.catalyst.readings import LastMix
from analytics.errors import QuestionError
from analytics.records.log import Log
from tests.builders import a_log
from tests.catalyst.simulated import Shop, log_of
from tests.catalyst.test_advice import TEN
from tests.catalyst.trade import the_trade

USUAL_MIN = 20.0


def a_shop_log(
    cups: dict[str, list[float]] | None = None, mixes: int = 40, noise: float = 0.1
) -> Log:
    """Gel-coat mixes of eight usual lots, and `cups` (minutes at 20 C, 2 %) of lots under test."""
    rng = np.random.default_rng(6)
    made = log_of(Shop(USUAL_MIN, 55.0, 0.75, np.zeros(8), noise, slip_share=0.0), rng, mixes)
    rows: list[dict[str, Any]] = [
        {"lot": f"G{i % 8}", "air_c": made.temperature_c[i], "catalyst_pct": made.catalyst_pct[i],
         "gel_min": made.gel_min[i]}
        for i in range(mixes)
    ]  # fmt: skip
    for lot, minutes in (cups or {}).items():
        rows += [{"lot": lot, "air_c": 20, "catalyst_pct": 2, "gel_min": m} for m in minutes]
    days = pd.date_range("2024-03-01", periods=len(rows), freq="3D")
    return a_log(
        batches=[
            {"material": "gelcoat", "date": day, **row} for day, row in zip(days, rows, strict=True)
        ]
    )


def said(cup: Cup, before: Log, after: Log) -> CupAnswer:
    trade = the_trade()
    return cup_answer(
        after,
        trade,
        cup.checked(),
        before=learn(before, trade, "gelcoat"),
        after=learn(after, trade, "gelcoat"),
    )


def a_cup(minutes: float, lot: str = "NEW", **facts: Any) -> Cup:
    return Cup(**{"material": "gelcoat", "lot": lot, "temperature_c": 20.0, "catalyst_pct": 2.0,
                  "gel_min": minutes, **facts})  # fmt: skip


def after(minutes: list[float], **facts: Any) -> CupAnswer:
    """What the last of these cups of a new lot says."""
    before, since = minutes[:-1], minutes
    return said(
        a_cup(minutes[-1], **facts),
        a_shop_log({"NEW": before} if before else None),
        a_shop_log({"NEW": since}),
    )


def test_cup_that_fits_is_expected_but_one_is_too_few_to_tell_of_the_lot() -> None:
    answer = after([USUAL_MIN])
    assert answer.expected.median == pytest.approx(USUAL_MIN, rel=0.1)
    assert answer.ratio == pytest.approx(1.0, abs=0.1)
    assert answer.verdict in ("not enough to tell", "as expected")
    assert answer.offset.cups == 1


def test_many_usual_cups_make_a_usual_lot() -> None:
    answer = after([20, 19, 21, 20, 20, 19, 21, 20])
    assert answer.verdict == "as expected"
    assert answer.offset.low < 1 < answer.offset.high
    assert any("gels like the usual lot" in line for line in answer.text)


def test_lot_that_keeps_gelling_slowly_has_drifted() -> None:
    answer = after([25, 26, 25, 26, 25, 26])
    assert answer.verdict == "drifted"
    assert answer.offset.low > 1.0
    assert any("gels slower than the usual lot" in line for line in answer.text)


@pytest.mark.parametrize(("minutes", "side"), [(30.0, "slower"), (12.0, "faster")])
def test_more_than_a_quarter_off_is_stop_and_check(minutes: float, side: str) -> None:
    answer = after([minutes])
    assert answer.verdict == "stop"
    assert any(line.startswith(f"Stop and check: more than 25 % {side}") for line in answer.text)


def test_just_inside_a_quarter_is_no_stop() -> None:
    expected = after([USUAL_MIN]).expected.median
    assert after([1.24 * expected]).verdict != "stop"
    assert after([1.26 * expected]).verdict == "stop"


def test_one_wild_cup_hardly_moves_the_lot_until_a_second_agrees() -> None:
    alone, twice = after([60.0]), after([60.0, 60.0, 60.0])
    assert alone.offset.ratio < 1.25
    assert twice.offset.ratio > alone.offset.ratio


def test_with_nothing_logged_it_is_never_enough_to_tell() -> None:
    one = a_log(batches=[{"material": "gelcoat", "date": "2024-03-01", "lot": "NEW", "air_c": 20,
                          "catalyst_pct": 2, "gel_min": 17}])  # fmt: skip
    answer = said(a_cup(17), Log.empty(), one)
    assert answer.verdict == "not enough to tell"
    assert answer.jobs_used == 0
    assert any("not enough to tell whether it has drifted" in line for line in answer.text)
    assert any("only the trade's figures" in line for line in answer.text)


def test_cup_without_a_lot_says_nothing_of_a_lot() -> None:
    answer = said(a_cup(20, lot=" "), a_shop_log(), a_shop_log())
    assert answer.verdict == "not enough to tell"
    assert any(line.startswith("No lot was named") for line in answer.text)


def test_interval_of_the_lot_holds_the_truth() -> None:
    rng = np.random.default_rng(0)
    inside = []
    for _ in range(20):
        offset = float(rng.normal(0.0, 0.15))
        cups = 20 * np.exp(offset + rng.normal(0.0, 0.1, 4))
        log = a_shop_log({"NEW": [float(m) for m in cups]})
        found = lot_offset("NEW", learn(log, the_trade(), "gelcoat").model)
        inside.append(found.low <= math.exp(offset) <= found.high)
    assert np.mean(inside) >= 0.8


def test_all_ten_points_stand_beside_a_cup() -> None:
    answer = after([USUAL_MIN])
    for words, caution in zip(TEN, answer.cautions, strict=True):
        kept = [word for word in words if "1 to 2.5" not in word and "1.5 kg" not in word]
        assert all(word in caution for word in kept), caution


def test_dose_outside_the_range_is_kept_and_said() -> None:
    lots = [{"lot": "NEW", "material": "gelcoat", "sheet_low_pct": 1.2, "sheet_high_pct": 1.8}]
    log = a_shop_log()
    log = Log(**{**vars(log), "lots": a_log(lots=lots).lots})
    answer = said(a_cup(20), log, log)
    assert any("do not use this dose on a part" in line for line in answer.text)


REFUSED = [
    ({"gel_min": 0.0}, "0 min is no gel time"),
    ({"gel_min": 900.0}, "900 min is no gel time"),
    ({"catalyst_pct": 20.0}, "20 ml/kg is 2.3 %"),
    ({"catalyst_pct": -1.0}, "no dose by mass"),
    ({"temperature_c": 66.0}, "If 66 °F was meant, that is 18.9 °C"),
    ({"mass_kg": -0.1}, "a pot of -0.1 kg cannot be"),
    ({"mass_kg": 100.0}, "if grams were meant, that is 0.1 kg"),
    ({"material": "topcoat"}, "no catalyst figure"),
]


@pytest.mark.parametrize(("facts", "words"), REFUSED)
def test_bad_cup_gets_a_sentence(facts: dict[str, Any], words: str) -> None:
    cup = a_cup(20.0) if "gel_min" not in facts else a_cup(facts["gel_min"])
    with pytest.raises(QuestionError) as refused:
        Cup(**{**vars(cup), **facts}).checked()
    assert words in str(refused.value)


def test_what_is_left_out_is_the_last_mix_s_and_said() -> None:
    last = LastMix("G9", "GC", 18.5, 1.8)
    cup, told = begun("gelcoat", 14.0, catalyst_pct=2.0, last=last)
    assert (cup.lot, cup.temperature_c, cup.catalyst_pct) == ("G9", 18.5, 2.0)
    assert told == ("lot G9, from the last mix", "18.5 °C, from the last mix")


def test_emptied_lot_is_no_lot_and_not_the_last_one() -> None:
    cup, told = begun("gelcoat", 14.0, lot="", last=LastMix("G9", None, 18.5, 1.8))
    assert cup.lot == ""
    assert not any("lot" in line for line in told)


def test_cup_that_cannot_be_begun_says_what_is_missing() -> None:
    with pytest.raises(QuestionError, match="how warm resin and cup were and which dose it had"):
        begun("gelcoat", 14.0)


def test_lot_without_a_record_has_the_spread_between_lots() -> None:
    learnt: Learnt = learn(a_shop_log(), the_trade(), "gelcoat")
    mean, sd = learnt.model.lot_offset("never seen")
    assert (mean, sd) == (0.0, learnt.model.regression_.lot_sd_)
