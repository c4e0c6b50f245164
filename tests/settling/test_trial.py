"""A fair trial: planned, drawn by chance, read from the log any day."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics.errors import QuestionError
from analytics.knowledge.loading import load_knowledge
from analytics.records.log import Log
from analytics.settling.drawing import BLOCKS, slot
from analytics.settling.looking import look
from analytics.settling.trial import Given, Trial, plan_trial
from analytics.settling.trial_answer import TrialLook
from tests.builders import a_log
from tests.settling.shops import a_shop, tables

KNOWN = load_knowledge()
MOULDS = ("HL-1", "TL-1")


def a_trial(**changes: Any) -> Trial:
    plan: dict[str, Any] = {
        "name": "wax", "way_a": "1", "way_b": "3+", "defects": ("sticking",),
        "field": "wax_coats", "usual": 0.3, "usual_from": "as you say", "matters": 0.15,
        "parts": 120, "most": 200, "seed": 11,
    }  # fmt: skip
    return Trial(**{**plan, **changes})


def given_out(trial: Trial, parts: int) -> list[Given]:
    """Parts given their ways in turn, on two moulds."""
    queue = dict.fromkeys(MOULDS, 0)
    given = []
    for number in range(parts):
        mould = MOULDS[number % 2]
        place = slot(trial.seed, mould, queue[mould])
        given.append(Given(f"N{number:03d}", mould, queue[mould], place.way))
        queue[mould] += 1
    return given


def made(trial: Trial, given: list[Given], share_a: float, share_b: float, **facts: Any) -> Log:
    """The log of these parts, with the fault at these shares."""
    rng = np.random.default_rng(3)
    fault = trial.defects[0]
    rows = []
    for number, one in enumerate(given):
        share = share_a if one.way == "a" else share_b
        rows.append(
            {
                "part_id": one.part_id,
                "date": pd.Timestamp("2026-01-05") + pd.Timedelta(days=number // 2),
                "mould_id": one.mould,
                "wax_coats": 1.0 if one.way == "a" else 3.0,
                "faults": [fault] if rng.random() < share else [],
                **facts,
            }
        )
    return a_log(parts=rows)


def looked(trial: Trial, given: list[Given], log: Log, **how: Any) -> TrialLook:
    jobs, defects = tables(log)
    return look(trial, given, jobs, defects, KNOWN, **how)


# -- chance picks --


def test_blocks_are_balanced_and_of_more_than_one_size() -> None:
    places = [slot(7, "TL-1", n) for n in range(200)]
    blocks: dict[int, list[str]] = {}
    for place in places:
        blocks.setdefault(place.block, []).append(place.way)
    whole = list(blocks.values())[:-1]
    assert {len(ways) for ways in whole} == set(BLOCKS)
    assert all(ways.count("a") == ways.count("b") for ways in whole)


def test_the_draw_is_the_same_again_from_its_seed_and_another_from_another() -> None:
    drawn = [[slot(seed, "TL-1", n).way for n in range(40)] for seed in (1, 1, 2)]
    assert drawn[0] == drawn[1] != drawn[2]


def test_moulds_are_drawn_apart_and_a_mould_is_known_however_it_is_typed() -> None:
    ways = {m: [slot(1, m, n).way for n in range(40)] for m in ("TL-1", "tl 1", "TL-2")}
    assert ways["TL-1"] == ways["tl 1"] != ways["TL-2"]


def test_neither_way_comes_first_more_often() -> None:
    first = [slot(seed, "TL-1", 0).way for seed in range(400)]
    # 400 fair coins: 5 standard deviations are 50
    assert abs(first.count("a") - 200) < 50


# -- planning --


def test_the_plan_takes_the_usual_share_from_the_log_and_says_so() -> None:
    jobs, defects = tables(a_shop(share_one=0.3, share_three=0.3))
    trial = plan_trial("Wax coats!", "1", "3+", ["sticking"], jobs, defects, KNOWN, seed=1,
                       field="wax coats")  # fmt: skip
    assert trial.name == "wax-coats"
    assert trial.usual == pytest.approx(0.3, abs=0.07)
    assert trial.usual_from == "your log, 240 parts"
    assert trial.matters == pytest.approx(trial.usual / 2)
    assert 0 < trial.parts <= trial.most


def test_without_a_log_the_trades_rough_figure_is_taken_and_said_to_be_one() -> None:
    jobs, defects = tables(a_log())
    trial = plan_trial("mat", "300 first", "450 first", ["print-through"], jobs, defects, KNOWN,
                       seed=1)  # fmt: skip
    assert trial.usual == pytest.approx(KNOWN.defects["print-through"].base_rate)
    assert "rough figure" in trial.usual_from


def test_a_smaller_difference_takes_more_parts() -> None:
    jobs, defects = tables(a_log())
    sizes = [
        plan_trial("t", "x", "y", ["pinholes"], jobs, defects, KNOWN, seed=1, usual=0.3,
                   matters=m).parts
        for m in (0.25, 0.15)
    ]  # fmt: skip
    assert sizes[0] < sizes[1]


@pytest.mark.parametrize(
    ("name", "a", "b", "defects"),
    [("t", "x", "X ", ["pinholes"]), ("t", "x", "y", []), ("t", "x", "y", ["pinhols"]),
     ("!!", "x", "y", ["pinholes"])],
)  # fmt: skip
def test_a_plan_that_makes_no_sense_is_refused(
    name: str, a: str, b: str, defects: list[str]
) -> None:
    jobs, found = tables(a_log())
    with pytest.raises(QuestionError):
        plan_trial(name, a, b, defects, jobs, found, KNOWN, seed=1)


# -- looking --


def test_a_trial_without_results_goes_on_and_says_how_long() -> None:
    trial = a_trial()
    found = looked(trial, given_out(trial, 6), a_log())
    assert (found.verdict, found.counted, found.waiting) == ("go-on", 0, 6)
    assert found.more == trial.parts
    assert "about 120 more parts" in found.sentence


def test_a_big_difference_settles_the_trial_before_its_planned_end() -> None:
    trial = a_trial()
    given = given_out(trial, 80)
    found = looked(trial, given, made(trial, given, 0.45, 0.02))
    assert found.verdict == "settled-b"
    assert found.stake >= 20
    assert "wax coats 3 or more is better" in found.sentence
    assert found.counted < trial.most
    assert looked(trial, given, made(trial, given, 0.02, 0.45)).verdict == "settled-a"


def test_no_difference_never_settles_one_way_however_often_it_is_read() -> None:
    trial = a_trial(most=10_000)
    given = given_out(trial, 160)
    log = made(trial, given, 0.25, 0.25)
    verdicts = {looked(trial, given[:n], log).verdict for n in range(16, 161, 16)}
    assert verdicts == {"go-on"}


def test_a_long_trial_without_a_difference_that_matters_is_settled_as_that() -> None:
    trial = a_trial(usual=0.3, matters=0.25, most=4000)
    given = given_out(trial, 1200)
    found = looked(trial, given, made(trial, given, 0.3, 0.3))
    assert found.verdict == "settled-alike"
    assert "no difference that matters (25 in 100 or more)" in found.sentence


def test_a_trial_past_its_planned_end_says_so() -> None:
    trial = a_trial(most=40)
    given = given_out(trial, 60)
    assert looked(trial, given, made(trial, given, 0.2, 0.2)).verdict == "spent"


def test_only_blocks_with_every_result_count_until_a_later_block_answers() -> None:
    trial = a_trial()
    given = given_out(trial, 40)
    whole = looked(trial, given, made(trial, given, 0.2, 0.2))
    first = next(one for one in given if one.mould == "HL-1")
    log = made(trial, given, 0.2, 0.2)
    blank = log.parts.assign(
        looked=log.parts["looked"].where(log.parts["part_id"] != first.part_id, False)
    )
    without = looked(trial, given, Log(**{**vars(log), "parts": blank}))
    assert without.counted == whole.counted - 1
    assert first.part_id in " ".join(without.warnings)


def test_parts_made_the_other_way_still_count_as_given_and_are_told() -> None:
    trial = a_trial()
    given = given_out(trial, 20)
    log = made(trial, given, 0.2, 0.2)
    swapped = log.parts.assign(wax_coats=log.parts["wax_coats"].where(log.parts.index != 4, 2.0))
    found = looked(trial, given, Log(**{**vars(log), "parts": swapped}))
    assert "1 of 20 parts were not made the way they were given (N004)" in found.warnings[0]
    assert found.counted == looked(trial, given, log).counted


def test_a_laminate_too_hot_stops_the_trial_at_once() -> None:
    trial = a_trial()
    given = given_out(trial, 8)
    log = made(trial, given, 0.2, 0.2)
    hot = log.parts.assign(exotherm_peak_c=[140.0, *[float("nan")] * 7])
    found = looked(trial, given, Log(**{**vars(log), "parts": hot}))
    assert found.verdict == "stop-harm"
    assert "140 °C" in found.harm[0]


def test_more_of_other_faults_one_way_stops_the_trial() -> None:
    trial = a_trial()
    given = given_out(trial, 80)
    log = made(trial, given, 0.2, 0.2)
    rng = np.random.default_rng(5)
    worse = [
        {"part_id": g.part_id, "defect": "dull-surface"}
        for g in given
        if g.way == "b" and rng.random() < 0.6
    ]
    from analytics.records.log import typed_defects

    defects = typed_defects([*log.defects.to_dict("records"), *worse])
    found = looked(trial, given, Log(**{**vars(log), "defects": defects}))
    assert found.verdict == "stop-harm"
    assert "wax coats 3 or more" in found.harm[0]
    assert found.stop_rule == KNOWN.settling.stop


def test_a_trial_in_words_cannot_be_checked_and_does_not_pretend_to_be() -> None:
    trial = a_trial(field="", way_a="one heavy coat", way_b="three thin coats")
    given = given_out(trial, 12)
    found = looked(trial, given, made(trial, given, 0.2, 0.2))
    assert found.a.said == "one heavy coat"
    assert found.warnings == ()


def test_a_stopped_trial_says_why() -> None:
    trial = a_trial()
    found = looked(trial, given_out(trial, 4), a_log(), stopped="new wax came")
    assert found.verdict == "stopped"
    assert "new wax came" in found.sentence


def test_the_seed_is_not_told() -> None:
    found = looked(a_trial(seed=987654321), [], a_log())
    assert "987654321" not in str(found.to_json())
    assert found.to_json()["trial"]["name"] == "wax"


def test_a_part_of_the_log_is_known_however_its_number_is_typed() -> None:
    trial = a_trial()
    given = given_out(trial, 4)
    log = made(trial, given, 0.0, 0.0)
    typed = [Given(g.part_id.lower().replace("n", "n-"), g.mould, g.position, g.way) for g in given]
    assert looked(trial, typed, log).waiting == 0
