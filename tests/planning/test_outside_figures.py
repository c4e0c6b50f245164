"""A day planned with trade figures alone against what is known from elsewhere."""

from __future__ import annotations

import pytest

from analytics.knowledge.model import PlanFigure
from tests.planning.days import KNOWN, minutes, room, step


@pytest.mark.parametrize(
    ("schedule", "glass_kg", "mm"),
    [
        # ISO 12215-5: t/w = (2.56/psi - 1.36)/3.072 with psi 0.30 for hand-laid chopped mat
        ("225", 0.225, 0.53),
        ("300", 0.300, 0.70),
        ("450", 0.450, 1.05),
        ("600", 0.600, 1.40),
        ("225+2x450", 1.125, 2.63),
    ],
)
def test_thickness_is_that_of_iso_12215_5(schedule: str, glass_kg: float, mm: float) -> None:
    amounts = room(schedule=schedule).materials
    assert amounts.glass_kg == pytest.approx(glass_kg)
    assert amounts.thickness_mm.usual == pytest.approx(mm, abs=0.005)


def test_225_and_2_times_450_gives_2_to_3_mm() -> None:
    # common practice, no published source
    thickness = room(schedule="225+2x450").materials.thickness_mm
    assert 2.0 < thickness.low < thickness.usual < thickness.high < 3.0


def test_resin_for_a_square_metre_is_that_of_30_per_cent_glass_and_the_waste() -> None:
    # 2.63 kg/m2 for 1125 g/m2 at psi 0.30 (ISO 12215-5 arithmetic); 10 to 15 % more is ordered,
    # common practice, no published source
    amounts = room(schedule="225+2x450").materials
    assert amounts.resin_kg / (1 + amounts.waste_share) == pytest.approx(2.625, abs=0.01)
    assert 0.10 <= amounts.waste_share <= 0.15


def test_gel_coat_for_a_square_metre_is_about_550_to_650_grams() -> None:
    # UK supplier's spread rate of 550 g/m2, another's 1 kg to 1.6 m2: common practice
    amounts = room().materials
    assert 0.55 <= amounts.gelcoat_kg / (1 + amounts.waste_share) <= 0.65


def test_gel_coat_is_ready_to_back_up_in_about_two_hours() -> None:
    # touch-dry in about two hours at room temperature: common practice, no published source
    ready = step(room(), "ready")
    started = ready.starts.usual
    assert minutes(started, ready.ends.early) < 120 < minutes(started, ready.ends.late)
    assert minutes(started, ready.ends.usual) == pytest.approx(120, abs=5)


def test_green_trim_opens_about_an_hour_and_a_half_after_the_last_layer() -> None:
    # at room temperature: common practice, no published source
    plan = room()
    last = [one for one in plan.timeline if one.id.startswith("lay-")][-1]
    trim = step(plan, "trim")
    assert minutes(last.ends.usual, trim.starts.usual) == pytest.approx(90, abs=5)
    # knife-trimmable for about 30 min (Practical Action, Fibreglass boats)
    assert minutes(trim.starts.usual, trim.ends.usual) == pytest.approx(30, abs=5)


@pytest.mark.parametrize(
    ("figure", "about_min"),
    # film dry in about 10 minutes, wax in about 20: common practice, no published source
    [("film-dry", 10), ("wax-between-coats", 20), ("wax-last-coat", 20)],
)
def test_release_can_be_tested_by_hand_from_the_shortest_time_in_common_practice(
    figure: str, about_min: float
) -> None:
    known: PlanFigure = KNOWN.plan[figure]
    assert known.unit == "min"
    assert known.low == pytest.approx(about_min)
    assert known.low < known.usual <= known.high


def test_earliest_demould_is_4_to_24_hours_at_20_degrees() -> None:
    # common practice, no published source; hardness decides
    plan = room()
    demould = step(plan, "demould")
    hours = [minutes(demould.starts.usual, one) / 60 for one in
             (demould.ends.early, demould.ends.usual, demould.ends.late)]  # fmt: skip
    assert 3.5 <= hours[0] < hours[1] < hours[2] <= 24.5
    assert "Barcol" in demould.test


@pytest.mark.parametrize("figure", KNOWN.plan.values(), ids=KNOWN.plan)
def test_every_figure_of_a_plan_names_its_source_and_a_test_by_hand(figure: PlanFigure) -> None:
    assert figure.source in KNOWN.sources
    assert figure.test.endswith(".")
    assert figure.basis
    assert 0 < figure.low <= figure.usual <= figure.high


def test_ten_degrees_colder_doubles_the_waits_that_cure() -> None:
    # "10 C doubles" is 2.0 to 2.3 for activation energies of 50 to 60 kJ/mol: exact arithmetic
    warm, cool = room(temperature_c=27.0), room(temperature_c=17.0)
    waits = [
        minutes(step(p, "ready").starts.usual, step(p, "ready").ends.usual) for p in (warm, cool)
    ]
    assert 1.9 < waits[1] / waits[0] < 2.3


def test_damp_air_doubles_the_drying_of_film() -> None:
    # vapour pressure deficit at 20 °C: 75 % leaves half of what 50 % leaves, exact arithmetic
    dry, damp = room(humidity_pct=50), room(humidity_pct=75)
    waits = [minutes(step(p, "film").starts.usual, step(p, "film").ends.usual) for p in (dry, damp)]
    assert waits[1] / waits[0] == pytest.approx(2.0, abs=0.2)
