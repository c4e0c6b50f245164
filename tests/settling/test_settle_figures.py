"""Pictures of a comparison and of a trial."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.figures import settle as figures
from tests.settling.shops import a_shop
from tests.settling.test_compare import asked_of
from tests.settling.test_trial import a_trial, given_out, looked, made


def test_two_bars_hold_both_shares_with_their_intervals_and_units() -> None:
    found = asked_of(a_shop(share_one=0.4, share_three=0.05))
    (finding,) = found.findings
    drawn = figures.two_ways(found, finding)
    bars = {bar.name: bar for bar in drawn.data}
    assert finding.adjusted is not None
    assert bars["1"].x[0] == pytest.approx(100 * finding.adjusted.share_a)
    reach = bars["1"].x[0] + bars["1"].error_x.array[0]
    assert reach == pytest.approx(100 * finding.adjusted.a_high)
    assert drawn.layout.xaxis.title.text == "parts in 100"
    assert "same mould and season and person" in drawn.layout.title.text


def test_no_picture_is_drawn_of_what_may_not_be_said() -> None:
    found = asked_of(a_shop(parts=24))
    with pytest.raises(ValueError, match="too few"):
        figures.two_ways(found, found.findings[0])


def test_every_mould_with_both_ways_is_a_pair() -> None:
    found = asked_of(a_shop(share_one=0.4, share_three=0.05))
    (finding,) = found.findings
    drawn = figures.by_mould(found, finding)
    first = next(trace for trace in drawn.data if trace.name == "1")
    assert set(first.y) == {"HL-1", "TL-1", "WC-1"}
    pair = next(p for p in finding.by_mould if p.mould == "HL-1")
    shown = dict(zip(first.y, first.x, strict=True))["HL-1"]
    assert shown == pytest.approx(100 * pair.a_faults / pair.a_parts)
    less = sum(p.a_faults * p.b_parts < p.b_faults * p.a_parts for p in finding.by_mould)
    assert f"on {less} of 3 moulds" in drawn.layout.title.text


def test_names_from_a_log_cannot_write_into_a_picture() -> None:
    log = a_shop(share_one=0.4, share_three=0.05)
    parts = log.parts.assign(wax_type=["<b>x</b>" if n % 2 else "y" for n in range(len(log.parts))])
    found = asked_of(replace(log, parts=parts), "<b>x</b>", "y", field="wax_type")
    drawn = figures.two_ways(found, found.findings[0])
    assert {bar.name for bar in drawn.data} == {"&lt;b&gt;x&lt;/b&gt;", "y"}


def test_the_evidence_of_a_trial_is_drawn_against_the_line_that_settles_it() -> None:
    trial = a_trial()
    given = given_out(trial, 80)
    found = looked(trial, given, made(trial, given, 0.45, 0.02))
    drawn = figures.growth(found)
    grown, line = drawn.data
    assert grown.y[-1] == pytest.approx(found.stake)
    assert set(line.y) == {20.0}
    assert drawn.layout.yaxis.type == "log"
