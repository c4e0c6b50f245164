"""What a plan for the day says, and refuses to say."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest

from analytics.catalyst import advise
from analytics.errors import QuestionError
from analytics.planning import DayPlan, WrongTemperatureError
from analytics.planning.dosing import SENTENCE_END
from analytics.records.log import Log
from tests.builders import a_log
from tests.planning.days import KNOWN, TODAY, a_shop, logged_air, minutes, planned, room, step


def check_state(plan: DayPlan, name: str) -> str:
    return next(check.state for check in plan.checks if check.id == name)


# -- amounts and mixes --


def test_mat_is_cut_for_every_ply_with_waste() -> None:
    plan = room(area_m2=2.0, schedule="225+2x450")
    assert [ply.g_m2 for ply in plan.materials.plies] == [225, 450, 450]
    for ply in plan.materials.plies:
        assert ply.cut_m2 == pytest.approx(2.0 * (1 + plan.materials.waste_share))
        assert ply.cut_kg == pytest.approx(ply.cut_m2 * ply.g_m2 / 1000)


@pytest.mark.parametrize("area", [0.3, 1.0, 2.5, 6.0])
@pytest.mark.parametrize("temperature", [16.0, 20.0, 26.0])
def test_mixes_hold_all_the_resin_and_each_is_used_up_in_its_working_time(
    area: float, temperature: float
) -> None:
    plan = room(area_m2=area, temperature_c=temperature)
    for material, needed in (
        ("resin", plan.materials.resin_kg),
        ("gelcoat", plan.materials.gelcoat_kg),
    ):
        pots = [mix for mix in plan.mixes if mix.material == material]
        assert needed - 1e-9 <= sum(mix.kg for mix in pots) <= needed + 0.01 * len(pots) + 1e-9
        for mix in pots:
            assert mix.of == len(pots)
            assert mix.work_min <= mix.working_min + 1e-9
            assert mix.grams == pytest.approx(10 * mix.kg * mix.catalyst_pct)
            assert mix.ml < mix.grams


def test_no_mix_is_larger_than_the_trade_mixes_by_hand() -> None:
    assert max(mix.kg for mix in room(area_m2=6.0).mixes) <= 2.51


def test_shop_that_mixes_more_at_once_may() -> None:
    batches = [{"material": "resin", "mass_kg": 6.0, "gel_min": 60, "catalyst_pct": 1.5,
                "air_c": 20, "date": TODAY - timedelta(days=n)} for n in range(1, 20)]  # fmt: skip
    quick = a_shop(laying_min=8.0, glass_kg=1.0)
    log = Log(**{**quick.__dict__, "batches": a_log(batches=batches).batches})
    large = planned(log, area_m2=1.5, schedule="225+2x450", temperature_c=20.0)
    assert max(mix.kg for mix in large.mixes if mix.material == "resin") > 2.51


@pytest.mark.parametrize("temperature_c", [15.0, 18.0, 19.0, 20.0, 22.0, 26.0, 30.0])
def test_plan_doses_what_the_catalyst_advice_says_for_that_temperature(
    temperature_c: float,
) -> None:
    for dose in room(temperature_c=temperature_c).doses:
        asked = advise(
            a_log(), KNOWN, material=dose.material, today=TODAY, temperature_c=temperature_c
        )
        assert dose.catalyst_pct == asked.catalyst_pct
        assert dose.chance == asked.chance
        assert dose.limits.low <= dose.catalyst_pct <= dose.limits.high


def test_resin_to_glass_is_learnt_from_weighed_parts() -> None:
    weighed = a_shop(glass_kg=1.5, resin_kg=3.75)
    ratio = planned(weighed, temperature_c=20.0, schedule="450").materials.resin_to_glass
    assert ratio.usual == pytest.approx(2.5)
    assert ratio.jobs == 30
    assert "your log" in ratio.source


# -- the clock --


def test_steps_follow_each_other_in_order() -> None:
    plan = room(wax_coats=3)
    names = [one.id for one in plan.timeline]
    assert names == ["wax-1", "wax-2", "wax-3", "film", "gelcoat", "gelled", "ready", "lay-1",
                     "lay-2", "lay-3", "trim", "demould"]  # fmt: skip
    for before, after in zip(plan.timeline[:4], plan.timeline[1:5], strict=True):
        assert before.ends.usual == after.starts.usual
    for one in plan.timeline:
        assert one.ends.early <= one.ends.usual <= one.ends.late
        assert one.test
        assert one.rests_on


def test_ranges_grow_through_the_day() -> None:
    widths = [minutes(one.ends.early, one.ends.late) for one in room(wax_coats=2).timeline
              if one.id not in ("gelled",)]  # fmt: skip
    assert widths == sorted(widths)


def test_waits_are_learnt_from_good_parts_where_enough_are_logged() -> None:
    own = planned(a_shop(backup_hours=3.0, pva_dry_min=40.0, demould_hours=30.0),
                  temperature_c=20.0, humidity_pct=50.0, schedule="450")  # fmt: skip
    ready, film, out = (step(own, name) for name in ("ready", "film", "demould"))
    assert minutes(ready.starts.usual, ready.ends.usual) == pytest.approx(180, abs=5)
    assert minutes(film.starts.usual, film.ends.usual) == pytest.approx(40, abs=5)
    assert minutes(out.starts.usual, out.ends.usual) / 60 == pytest.approx(30, abs=0.2)
    assert {one.jobs for one in (ready, film, out)} == {30}


def test_too_few_logged_waits_leave_it_to_the_trade() -> None:
    few = planned(a_shop(jobs=8, backup_hours=3.0), temperature_c=20.0, schedule="450")
    assert step(few, "ready").jobs == 0
    assert "trade figure" in step(few, "ready").rests_on


def test_parts_spoilt_by_haste_teach_nothing() -> None:
    hasty = a_shop(backup_hours=0.4, faults=["wrinkling"])
    assert step(planned(hasty, temperature_c=20.0, schedule="450"), "ready").jobs == 0


def test_nobody_is_told_a_shorter_wait_than_the_trade_has() -> None:
    hasty = planned(a_shop(backup_hours=0.4, pva_dry_min=4.0), temperature_c=20.0,
                    humidity_pct=50.0, schedule="450")  # fmt: skip
    ready, film = step(hasty, "ready"), step(hasty, "film")
    assert minutes(ready.starts.early, ready.ends.early) >= 60
    assert minutes(film.starts.early, film.ends.early) >= 10


def test_laying_speed_is_learnt() -> None:
    slow = planned(a_shop(glass_kg=1.0, laying_min=50.0), temperature_c=20.0, schedule="450",
                   area_m2=2.0)  # fmt: skip
    pots = [mix for mix in slow.mixes if mix.material == "resin"]
    assert sum(mix.work_min for mix in pots) == pytest.approx(45.0)
    assert step(slow, "lay-1").jobs == 30


def test_steps_without_wax_or_film_are_left_out() -> None:
    names = [one.id for one in room(release="semi-permanent").timeline]
    assert names[0] == "gelcoat"
    assert any("Semi-permanent" in text for text in room(release="semi-permanent").warnings)


# -- work hours --


def test_late_start_moves_gel_coat_and_lay_up_to_tomorrow_together() -> None:
    plan = room(start="14:00", wax_coats=2)
    assert not plan.fits
    assert any("go to tomorrow" in text for text in plan.moves)
    assert [one.tomorrow for one in plan.timeline[:2]] == [False, False]
    assert all(one.tomorrow for one in plan.timeline[2:])
    assert step(plan, "film").starts.usual.strftime("%H:%M") == "08:00"


def test_wax_that_outlasts_the_day_says_so() -> None:
    late = room(start="16:00", wax_coats=4).moves
    assert any("The wax alone takes until" in text for text in late)


def test_day_that_fits_says_the_latest_start_at_which_it_still_would() -> None:
    plan = room()
    assert plan.fits
    assert plan.start_by is not None
    assert room(start=plan.start_by, until="17:00").timeline[0].tomorrow is False
    assert not any("go to tomorrow" in text for text in room(start=plan.start_by).moves)


def test_trim_after_work_is_named() -> None:
    plan = room(start=room().start_by)
    assert any("Green trim comes after work" in text for text in plan.moves)


def test_part_too_large_for_any_day_says_so() -> None:
    assert any("whole day is too short" in text for text in room(area_m2=30.0).moves)


def test_thick_laminate_is_laid_in_goes() -> None:
    plan = room(schedule="300+7x450")
    # 4 to 6 mm, or five plies, in one session: common practice, no published source
    assert any("first go" in text for text in plan.moves)
    assert check_state(plan, "session") == "look"
    assert plan.mixes[-1].covers.endswith("5")


# -- temperature --


@pytest.mark.parametrize("celsius", [5.0, 14.9, 30.1, 38.0])
def test_outside_15_to_30_degrees_there_is_no_plan_but_what_to_do(celsius: float) -> None:
    with pytest.raises(
        WrongTemperatureError, match="plan with the temperature they have"
    ) as refused:
        room(temperature_c=celsius)
    assert 15 <= refused.value.try_c <= 30


def test_fahrenheit_taken_for_celsius_is_named() -> None:
    with pytest.raises(QuestionError, match=r"21\.1 °C"):
        room(temperature_c=70.0)


def test_logged_takes_the_usual_course_of_this_time_of_year() -> None:
    plan = planned(logged_air(a_shop(), 18.0), schedule="450")
    assert plan.temperature_c == pytest.approx(20.0, abs=0.3)
    assert "usual course around 2 Mar" in plan.temperature_from
    assert any("not today's" in text for text in plan.warnings)


def test_cold_night_slows_the_cure_of_a_warm_day() -> None:
    night = planned(logged_air(a_shop(), 18.0), schedule="450")
    steady = planned(a_shop(), schedule="450", temperature_c=20.0)
    cured = [minutes(step(p, "demould").starts.usual, step(p, "demould").ends.usual)
             for p in (night, steady)]  # fmt: skip
    assert cured[0] > cured[1]


def test_too_cold_morning_names_the_hour_it_is_warm_enough() -> None:
    rising = logged_air(a_shop(), 15.0)
    with pytest.raises(WrongTemperatureError) as refused:
        planned(rising, schedule="450", start="05:00", wax_coats=0, release="wax")
    assert refused.value.try_start == "08:00"


def test_season_nobody_logged_asks_for_a_measurement() -> None:
    with pytest.raises(QuestionError, match="measure resin and mould"):
        planned(logged_air(a_shop(), 18.0), schedule="450", day=date(2026, 9, 1))


# -- checks before starting --


def test_mould_near_the_dew_point_stops_the_job() -> None:
    # 20 °C at 90 %: dew point 18.3 °C, less than 3 °C off (Magnus table, WMO constants)
    assert check_state(room(humidity_pct=90), "dew") == "stop"
    assert check_state(room(humidity_pct=60), "dew") == "ok"
    assert check_state(room(), "dew") == "unknown"


def test_lot_past_its_date_stops_the_job() -> None:
    lots = [
        {"lot": "G1", "material": "gelcoat", "expires": TODAY - timedelta(days=1)},
        {"lot": "R1", "material": "resin", "expires": TODAY},
    ]
    plan = planned(a_log(lots=lots), area_m2=1, temperature_c=20, gelcoat_lot="g1", resin_lot="R1")
    assert check_state(plan, "lot-gel") == "stop"
    assert check_state(plan, "lot-resin") == "ok"
    assert check_state(plan, "lot-catalyst") == "unknown"


def test_release_due_is_renewed_in_the_plan() -> None:
    due = planned(a_shop(), temperature_c=20.0, schedule="450", pulls=6)
    assert due.wax_coats == 3
    assert check_state(due, "release") == "ok"
    skipped = planned(a_shop(), temperature_c=20.0, schedule="450", pulls=6, wax_coats=0)
    assert check_state(skipped, "release") == "stop"


def test_pulls_are_counted_on_from_the_log() -> None:
    plan = planned(a_shop(jobs=28), temperature_c=20.0, schedule="450")
    assert plan.pulls_since_renewal == 4  # the last part was pull 3 of its run: 27 % 6
    assert plan.wax_coats == 0


def test_woven_straight_on_gel_coat_is_named() -> None:
    assert check_state(room(schedule="600 WR + 450"), "first-ply") == "look"


# -- what it rests on --


def test_usual_schedule_is_worked_out_from_weights_where_none_was_written() -> None:
    log = a_shop(glass_kg=1.8, plies_in_session=3, first_ply_g_m2=300)
    plan = planned(log, temperature_c=20.0)
    assert plan.schedule == "300 + 2x450"
    assert any("worked out from the glass" in text for text in plan.assumed)


def test_written_schedule_comes_before_weights() -> None:
    log = a_shop(ply_schedule="225+450", glass_kg=9.0, plies_in_session=3, first_ply_g_m2=300)
    assert planned(log, temperature_c=20.0).schedule == "225 + 450"


def test_everything_nobody_said_is_named() -> None:
    told = " ".join(room().assumed)
    assert "usual schedule of the trade" in told
    assert "release: nobody said" in told
    assert "wax today: nobody said" in told


def test_ten_cautions_of_both_materials_stand_with_the_doses() -> None:
    plan = room()
    for dose in plan.doses:
        assert len(dose.cautions) == 10
        for ten, (caution, joined) in enumerate(zip(dose.cautions, plan.cautions, strict=False)):
            for line in SENTENCE_END.split(caution):
                assert line in joined, ten


def test_deep_mould_brings_the_caution_of_a_confined_space() -> None:
    log = a_log(moulds=[{"mould_id": "D1", "area_m2": 2.0, "deep": True}])
    plan = planned(log, temperature_c=20.0, mould="d1")
    assert any("confined space" in text for text in plan.cautions)
    assert not any("confined space" in text for text in room().cautions)


def test_answer_is_plain_json() -> None:
    told = json.loads(json.dumps(room(humidity_pct=55).to_json()))
    assert told["materials"]["plies"][0]["g_m2"] == 225
    assert told["timeline"][0]["starts"]["usual"] == "2026-03-02T08:00"
    assert told["mixes"][0]["material"] == "gelcoat"


# -- bad input --


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"area_m2": -1.0}, "-1 m2 cannot be"),
        ({"area_m2": 0.0}, "cannot be"),
        ({"area_m2": 500.0}, "no part for a day"),
        ({"area_m2": None}, "say how large"),
        ({"mould": "M9"}, "no mould is called"),
        ({"gelcoat_pct": 4.0}, "outside 1 to 2.5 %"),
        ({"resin_pct": 0.3}, "outside 1 to 2.5 %"),
        ({"start": "25:00"}, "no clock time"),
        ({"start": "18:00"}, "cannot end at 17:00"),
        ({"humidity_pct": 0.0}, "humidity of 0"),
        ({"wax_coats": -1}, "coats of wax"),
        ({"pulls": -2}, "cannot be"),
        ({"release": "butter"}, "no kind of release"),
        ({"schedule": "soup"}, "is no ply"),
    ],
    ids=str,
)
def test_nonsense_is_refused_with_a_sentence(asked: dict[str, object], says: str) -> None:
    with pytest.raises(QuestionError, match=says):
        room(**asked)


def test_unknown_mould_names_the_nearest() -> None:
    with pytest.raises(QuestionError, match="Nearest: M1"):
        planned(a_shop(), mould="M2", temperature_c=20.0)


def test_mould_without_an_area_asks_for_it() -> None:
    log = a_log(parts=[{"mould_id": "X1", "date": TODAY}])
    with pytest.raises(QuestionError, match="no area for mould X1"):
        planned(log, mould="x1", temperature_c=20.0)
