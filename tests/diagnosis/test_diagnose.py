"""What a moulder may count on when asking why a part failed."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from analytics.diagnosis.alike import Compared, like_jobs
from analytics.diagnosis.answer import Diagnosis
from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.model import fit_shop
from analytics.diagnosis.observed import said_in
from analytics.errors import QuestionError
from analytics.jobs import jobs_table
from analytics.knowledge.loading import load_knowledge
from tests.builders import a_log
from tests.diagnosis.shops import (
    ASKED,
    a_shop,
    asked_job,
    chance,
    faults,
    ordinary_jobs,
    the,
    why,
)

GOOD_RELEASE = {"pulls_since_renewal": 1.0, "wax_coats": 5.0, "pva_used": True}


def test_with_no_log_the_trade_answers() -> None:
    answer = why("pinholes")
    assert answer.causes[0].cause == "air-whipped-into-gelcoat"
    assert any("Not enough jobs to tell" in w for w in answer.warnings)


def test_chances_and_the_unexplained_sum_to_one() -> None:
    answer = why("sticking", "cracking", air_c=12.0, pulls_since_renewal=9.0)
    total = sum(c.probability for c in answer.causes) + answer.unexplained
    assert total == pytest.approx(1, abs=1e-6)


def test_each_chance_lies_inside_its_interval() -> None:
    answer = why("wrinkling", gelcoat_wet_mm=0.25, others=ordinary_jobs(60))
    assert all(c.low <= c.probability <= c.high for c in answer.causes)


@pytest.mark.parametrize(
    ("defect", "recorded", "cause"),
    [
        ("sticking", {"pulls_since_renewal": 12.0, "wax_coats": 5.0}, "release-worn-out"),
        ("sticking", {"wax_coats": 1.0, "pulls_since_renewal": 0.0}, "too-few-wax-coats"),
        ("wrinkling", {"gelcoat_wet_mm": 0.2, "backup_hours": 3.0}, "gelcoat-too-thin"),
        ("wrinkling", {"gelcoat_wet_mm": 0.5, "backup_hours": 0.3}, "backed-up-too-soon"),
        ("print-through", {"first_ply_g_m2": 600.0, "gelcoat_wet_mm": 0.5}, "heavy-first-ply"),
        ("warping", {"demould_hours": 2.0}, "demoulded-too-early"),
        ("cracking", {"gelcoat_wet_mm": 1.1}, "gelcoat-too-thick"),
        ("tacky-face", {"air_c": 6.0, "gelcoat_wet_mm": 0.5}, "too-cold"),
    ],
)
def test_a_plain_reason_in_the_record_comes_out_on_top(
    defect: str, recorded: dict[str, float], cause: str
) -> None:
    answer = why(defect, **{"air_c": 20.0, **recorded})
    assert answer.causes[0].cause == cause


@pytest.mark.parametrize(
    ("field", "values", "defect", "cause"),
    [
        ("pulls_since_renewal", [2, 4, 6, 7, 8], "sticking", "release-worn-out"),
        ("gelcoat_wet_mm", [0.5, 0.38, 0.3, 0.22, 0.1], "wrinkling", "gelcoat-too-thin"),
        ("air_c", [21, 17, 13, 9, 3], "tacky-face", "too-cold"),
        ("first_ply_g_m2", [300, 400, 450, 600, 900], "print-through", "heavy-first-ply"),
    ],
)
def test_more_of_a_harmful_condition_never_lowers_its_cause(
    field: str, values: list[float], defect: str, cause: str
) -> None:
    chances = [chance(why(defect, **{field: float(v)}), cause) for v in values]
    assert chances == sorted(chances)
    assert chances[-1] > chances[0]


def test_a_value_made_unknown_never_raises_the_cause_it_alone_supports() -> None:
    others = ordinary_jobs(80)
    told = why("sticking", others=others, pulls_since_renewal=12.0, wax_coats=5.0)
    unknown = why("sticking", others=others, wax_coats=5.0)
    assert chance(unknown, "release-worn-out") < chance(told, "release-worn-out")


def test_missing_is_unknown_and_said_so() -> None:
    answer = why("sticking", wax_coats=5.0)
    worn = the(answer, "release-worn-out")
    assert any("pulls since" in text for text in worn.unknown)
    assert not any("pulls" in clue.text for clue in (*worn.clues_for, *worn.clues_against))


def test_a_film_fault_is_impossible_where_no_film_was_used() -> None:
    assert chance(why("fish-eyes", pva_used=False), "film-not-dry") == 0
    assert chance(why("fish-eyes", pva_used=True, pva_dry_min=4.0), "film-not-dry") > 0.2


def test_sticking_with_a_tacky_face_points_to_cure_not_release() -> None:
    alone = why("sticking", **GOOD_RELEASE)
    tacky = why("sticking", "tacky-face", **GOOD_RELEASE)
    cure = ("gelcoat-dose-low", "too-cold", "gelcoat-mixed-badly", "catalyst-old-or-weak")
    assert sum(chance(tacky, c) for c in cure) > 2 * sum(chance(alone, c) for c in cure)


def test_a_bench_result_moves_the_ranking_at_once() -> None:
    before = why("sticking", air_c=14.0, pulls_since_renewal=4.0)
    soft = why("sticking", air_c=14.0, pulls_since_renewal=4.0, seen={"acetone-swab": "soft"})
    assert chance(soft, "gelcoat-dose-low") > 2 * chance(before, "gelcoat-dose-low")
    assert soft.seen == (("acetone-swab", "soft"),)


def test_things_seen_together_are_read_as_the_trade_reads_them() -> None:
    told = why("sticking", "tacky-face")
    assert any("points to" in reading for reading in told.readings)
    assert why("sticking").readings == ()


def test_a_done_check_is_not_offered_again() -> None:
    answer = why("sticking", seen={"acetone-swab": "clean"})
    assert "acetone-swab" not in [check.check for check in answer.next_checks]


def test_next_checks_come_most_telling_per_minute_first() -> None:
    worth = [check.worth for check in why("sticking").next_checks]
    assert worth == sorted(worth, reverse=True)
    assert worth


def test_a_telling_note_counts() -> None:
    plain = why("cracking", notes="customer waiting")
    told = why("cracking", notes="took some hammering")
    assert chance(told, "knocked-at-demould") > 1.5 * chance(plain, "knocked-at-demould")


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("took some hammering", True),
        ("no hammering this time", False),
        ("did not need hammering", False),
        ("jackhammer next door", False),
    ],
)
def test_a_note_counts_at_the_start_of_a_word_and_not_when_denied(note: str, told: bool) -> None:
    assert said_in("hammer", note) is told


def test_a_value_written_only_on_this_part_still_counts() -> None:
    shop = ordinary_jobs(60)
    plain = why("delamination", others=shop)
    dry = why("delamination", others=shop, resin_kg=1.5, glass_kg=1.0)
    assert chance(dry, "too-little-resin") > 2 * chance(plain, "too-little-resin")


def test_cracks_on_a_stuck_part_share_the_root_of_the_sticking() -> None:
    cracked = why("cracking", pulls_since_renewal=14.0)
    stuck = why("cracking", "sticking", pulls_since_renewal=14.0)
    assert chance(cracked, "release-worn-out") < 0.05
    assert chance(stuck, "release-worn-out") > 0.15


def a_bad_mould() -> tuple[list[dict[str, object]], list[dict[str, object]]]:
    jobs = ordinary_jobs(160)
    bad = [job["part_id"] for job in jobs if job["mould_id"] == "M2"][::2]
    return jobs, [fault for part in bad for fault in faults(str(part), "pinholes")]


def test_a_mould_that_repeats_a_fault_is_blamed_and_the_others_are_not() -> None:
    jobs, seen = a_bad_mould()
    given = {"gelcoat_wet_mm": 0.5, "air_c": 20.0}
    there = why("pinholes", others=jobs, their_faults=seen, mould_id="M2", **given)
    elsewhere = why("pinholes", others=jobs, their_faults=seen, mould_id="M1", **given)
    assert there.causes[0].cause in ("mould-porous", "fault-in-the-mould")
    mould_faults = sum(chance(elsewhere, c) for c in ("mould-porous", "fault-in-the-mould"))
    assert mould_faults < 0.15


def test_every_part_of_one_mix_failing_points_to_that_mix() -> None:
    jobs = ordinary_jobs(200)
    for job in jobs[90:96]:
        job["gelcoat_batch_id"] = "MIX-7"
    seen = [f for job in jobs[90:96] for f in faults(job["part_id"], "wrinkling")]
    given = {"gelcoat_wet_mm": 0.5, "backup_hours": 3.0, "air_c": 20.0}
    there = why("wrinkling", others=jobs, their_faults=seen, gelcoat_batch_id="MIX-7", **given)
    elsewhere = why("wrinkling", others=jobs, their_faults=seen, **given)
    mix = ("gelcoat-dose-low", "gelcoat-mixed-badly", "dosing-slip")
    assert sum(chance(there, c) for c in mix) > 2 * sum(chance(elsewhere, c) for c in mix)


def test_every_mould_failing_on_one_day_points_to_that_day() -> None:
    jobs = ordinary_jobs(200)
    for job in jobs[90:98]:
        job["date"] = pd.Timestamp("2024-06-28")
    seen = [f for job in jobs[90:98] for f in faults(job["part_id"], "fish-eyes")]
    there = why("fish-eyes", others=jobs, their_faults=seen, gelcoat_method="spray")
    day = ("silicone-contamination", "wet-or-oily-air-line", "condensation-on-mould")
    assert sum(chance(there, c) for c in day) > 0.5


def blamed_on_a_group(seed: int) -> float:
    """The largest share of a fault's hazard put on a mould or person, where faults fall by luck."""
    jobs = ordinary_jobs(300)
    hit = np.random.default_rng(seed).choice(len(jobs), size=18, replace=False)
    model, _, _ = a_shop(
        jobs, [f for i in hit for f in faults(jobs[int(i)]["part_id"], "pinholes")]
    )
    groups = model.strengths[model.trade.family_index("pinholes")].groups
    worst = max((value for own in groups.values() for value in own.values()), default=0.0)
    return worst / (worst + 18 / 300)


def test_a_shop_with_no_fault_of_its_own_is_not_blamed() -> None:
    shares = [blamed_on_a_group(seed) for seed in range(20)]
    assert sum(share > 0.2 for share in shares) <= 1


def heavy_ply_after(count: int) -> float:
    """Chance of the heavy first ply after `count` jobs where light plies print just as often."""
    jobs = ordinary_jobs(count)
    for job in jobs[::2]:
        job["first_ply_g_m2"] = 600.0
    hit = np.random.default_rng(3).random(count) < 0.1
    printed = [job["part_id"] for job, shows in zip(jobs, hit, strict=True) if shows]
    return chance(
        why(
            "print-through",
            others=jobs,
            their_faults=[f for part in printed for f in faults(part, "print-through")],
            first_ply_g_m2=600.0,
            gelcoat_wet_mm=0.5,
        ),
        "heavy-first-ply",
    )


def test_ten_jobs_hardly_move_the_trade_and_thousands_lead_it() -> None:
    none, ten, many = heavy_ply_after(0), heavy_ply_after(10), heavy_ply_after(3000)
    assert ten == pytest.approx(none, rel=0.35)
    assert many < 0.5 * none


def test_order_of_jobs_and_an_unrelated_column_change_nothing() -> None:
    jobs = [*ordinary_jobs(60), asked_job(pulls_since_renewal=9.0)]
    seen = [*faults("P0007", "sticking"), *faults("P0031", "sticking"), *faults(ASKED, "sticking")]
    model, table, log = a_shop(jobs, seen)
    first = diagnose(model, table, log.defects, ASKED)[0]
    shuffled = [{**job, "product": "trough"} for job in reversed(jobs)]
    model, table, log = a_shop(shuffled, seen)
    again = diagnose(model, table, log.defects, ASKED)[0]
    assert [(c.cause, round(c.probability, 9)) for c in first.causes] == [
        (c.cause, round(c.probability, 9)) for c in again.causes
    ]


def test_every_remedy_that_can_hurt_carries_its_cautions() -> None:
    for answer in (why("tacky-face"), why("pinholes"), why("sticking")):
        for cause in answer.causes:
            text = (cause.mend + cause.check + cause.prevent).lower()
            if "acetone" in text or "sand" in text or "grind" in text:
                assert cause.cautions, cause.cause


def test_a_confirmed_cause_stands_first_and_certain() -> None:
    jobs = [asked_job()]
    model, table, log = a_shop(jobs, faults(ASKED, "sticking"))
    found = {"sticking": "silicone-contamination"}
    answer = diagnose(model, table, log.defects, ASKED, confirmed=found)[0]
    assert answer.causes[0].cause == "silicone-contamination"
    assert answer.causes[0].confirmed
    assert answer.causes[0].probability == 1


def test_confirmed_causes_teach_the_shop() -> None:
    jobs = [*ordinary_jobs(60), asked_job(gelcoat_wet_mm=0.5, air_c=20.0)]
    craters = [job["part_id"] for job in jobs[:48:6]]
    seen = [f for part in [*craters, ASKED] for f in faults(part, "fish-eyes")]
    log = a_log(parts=jobs, defects=seen)
    table = jobs_table(log)
    found = [(part, "fish-eyes", "silicone-contamination") for part in craters]

    def told(confirmed: list[tuple[str, str, str]]) -> float:
        model = fit_shop(load_knowledge(), table, log.defects, confirmed)
        return chance(diagnose(model, table, log.defects, ASKED)[0], "silicone-contamination")

    assert told(found) > 2 * told([])
    assert told(found) > 0.3


def test_alike_parts_are_good_ones_of_the_same_mould_with_what_differs() -> None:
    jobs = ordinary_jobs(40)
    answer = why(
        "wrinkling", others=jobs, their_faults=faults("P0000", "wrinkling"),
        gelcoat_wet_mm=0.2, pulls_since_renewal=1.0, wax_coats=4.0, air_c=20.0, backup_hours=2.5,
    )  # fmt: skip
    assert all(job.same_mould for job in answer.like_jobs)
    assert "P0000" not in [job.part for job in answer.like_jobs]
    assert any("wet film" in field for field, _, _ in answer.like_jobs[0].differs)


def test_other_moulds_give_their_good_parts_where_this_one_has_none() -> None:
    answer = why("wrinkling", others=ordinary_jobs(12), mould_id="M9", air_c=20.0)
    assert answer.like_jobs
    assert not any(job.same_mould for job in answer.like_jobs)


def test_parts_of_no_known_mould_are_not_of_the_same_one() -> None:
    jobs = [{k: v for k, v in job.items() if k != "mould_id"} for job in ordinary_jobs(12)]
    answer = why("wrinkling", others=jobs, mould_id=None, air_c=20.0)
    assert answer.like_jobs
    assert not any(job.same_mould for job in answer.like_jobs)


def test_alikeness_is_the_mean_step_over_what_both_wrote_down() -> None:
    """Worked by hand: of 32 fields compared, two are known on both sides of each pair."""
    jobs = [
        {"part_id": f"G{i}", "air_c": c, "operator": "Ann", "looked": True, "outcome": "good"}
        for i, c in enumerate([10.0, 14.0, 18.0, 22.0, 26.0])
    ]
    jobs.append({"part_id": ASKED, "air_c": 18.0, "operator": "Ben", "looked": True})
    table = jobs_table(a_log(parts=jobs, defects=faults(ASKED, "pinholes")))
    compared = Compared.of(table, pd.DataFrame({"part_id": [ASKED]}))
    row = int(np.flatnonzero(table["part_id"] == ASKED)[0])
    first = like_jobs(table, compared, row, count=5)[0]
    # no step in the air, a whole one in the hand; 30 of 32 fields unknown cost half a step each
    assert first.part == "G2"
    assert first.likeness == pytest.approx(1 / (1 + 0.5 + 0.5 * 30 / 32))
    assert first.differs == (("by", "Ben", "Ann"),)


def test_where_on_the_part_is_asked_most_telling_place_first_and_only_once() -> None:
    asked = why("sticking")
    assert asked.place_check == "where-map"
    assert set(dict(asked.places)) == set(load_knowledge().checks["where-map"].results)
    told = why("sticking", seen={"where-map": "same-spot"})
    assert told.places == ()
    assert chance(told, "poor-draft") > chance(asked, "poor-draft")


def test_the_place_in_the_log_is_shown_and_nothing_is_concluded_from_it() -> None:
    def answered(place: str | None) -> Diagnosis:
        row = {**faults(ASKED, "pinholes")[0], "place": place}
        model, table, log = a_shop([asked_job()], [row])
        return diagnose(model, table, log.defects, ASKED)[0]

    assert answered("corner").place_written == "corner"
    assert answered(None).place_written == ""
    assert answered("corner").causes == answered(None).causes


def test_a_part_without_a_result_says_so() -> None:
    jobs = [{**asked_job(), "looked": False, "outcome": None}]
    model, table, log = a_shop(jobs, [])
    answer = diagnose(model, table, log.defects, ASKED, asked=["sticking"])[0]
    assert any("No result is written" in warning for warning in answer.warnings)


@pytest.mark.parametrize(
    ("part", "seen", "asked", "says"),
    [
        ("NOPE", {}, [], 'No part is called "NOPE"'),
        (ASKED, {}, [], "no fault written down"),
        (ASKED, {"smell-test": "bad"}, ["sticking"], "No bench check"),
        (ASKED, {"acetone-swab": "purple"}, ["sticking"], "no result of acetone-swab"),
        (ASKED, {}, ["stickyness"], "no defect laylog knows"),
    ],
)
def test_a_question_that_cannot_be_answered_is_a_sentence(
    part: str, seen: dict[str, str], asked: list[str], says: str
) -> None:
    model, table, log = a_shop([asked_job()], [])
    with pytest.raises(QuestionError, match=says):
        diagnose(model, table, log.defects, part, seen=seen, asked=asked)


def test_an_empty_log_has_no_jobs_and_still_a_model() -> None:
    model, table, _ = a_shop([], [])
    assert isinstance(table, pd.DataFrame)
    assert model.jobs == 0
