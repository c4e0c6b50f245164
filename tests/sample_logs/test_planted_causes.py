"""What the sample logs' README says was planted can be seen in the clean tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

import sample_logs
from sample_logs import barn as plan
from sample_logs.workshop import Shop, simulate

STICKING = ("sticking-whole", "sticking-patches")
FLAT_MOULDS = ("HL-1", "WC-1", "PE-1")


def between(parts: pd.DataFrame, since: date, until: date = date.max) -> pd.Series[bool]:
    days = parts["date"].dt.date
    return (days >= since) & (days <= until)


@dataclass(frozen=True)
class Planted:
    """A cause by its name in the truth, what it brings, and where to look and compare."""

    cause: str
    faults: tuple[str, ...]
    here: Callable[[pd.DataFrame], pd.Series[bool]]
    beside: Callable[[pd.DataFrame], pd.Series[bool]]


PLANTED = {
    "cold winter": Planted(
        "too-cold",
        ("tacky-face", "wrinkling"),
        lambda p: between(p, *plan.COLD_WEEKS),
        lambda p: between(p, date(2025, 11, 18)),
    ),
    "stretched waxing": Planted(
        "release-worn-out",
        STICKING,
        lambda p: (p["mould_id"] == "TL-1") & between(p, plan.STRETCHED_REWAX),
        lambda p: (p["mould_id"] != "TL-1") & between(p, plan.STRETCHED_REWAX),
    ),
    "frothy lot": Planted(
        "bad-gelcoat-lot",
        ("pinholes",),
        lambda p: between(p, *plan.FROTHY_LOT),
        lambda p: ~between(p, *plan.FROTHY_LOT),
    ),
    "heavy first mat": Planted(
        "heavy-first-ply",
        ("print-through",),
        lambda p: p["mould_id"].isin(FLAT_MOULDS) & between(p, plan.HEAVY_MAT),
        lambda p: p["mould_id"].isin(FLAT_MOULDS) & ~between(p, plan.HEAVY_MAT),
    ),
    "hot weeks": Planted(
        "too-hot-shop",
        ("pre-release", "resin-rich"),
        lambda p: between(p, *plan.HOT_WEEKS),
        lambda p: ~between(p, *plan.HOT_WEEKS),
    ),
    "film dried too short": Planted(
        "film-not-dry",
        ("fish-eyes", "pinholes", *STICKING),
        lambda p: (p["operator"] == "Perrin") & p["pva_used"],
        lambda p: (p["operator"] != "Perrin") & p["pva_used"],
    ),
}


def share_with(shop: Shop, where: pd.Series[bool], faults: tuple[str, ...]) -> float:
    """Share of the parts looked at that show one of the faults."""
    ids = shop.parts.loc[where & shop.parts["looked"], "part_id"]
    found = shop.defects.loc[shop.defects["defect"].isin(faults), "part_id"]
    return float(ids.isin(found).mean())


def part(shop: Shop, part_id: str) -> pd.Series:
    return shop.parts[shop.parts["part_id"] == part_id].iloc[0]


@pytest.mark.parametrize("planted", PLANTED.values(), ids=PLANTED.keys())
def test_planted_fault_is_three_times_as_common_there(barn: Shop, planted: Planted) -> None:
    here = share_with(barn, planted.here(barn.parts), planted.faults)
    beside = share_with(barn, planted.beside(barn.parts), planted.faults)
    assert here > 0.25
    assert here > 3 * beside


@pytest.mark.parametrize("planted", PLANTED.values(), ids=PLANTED.keys())
def test_planted_cause_leads_the_blame_there(barn: Shop, planted: Planted) -> None:
    ids = barn.parts.loc[planted.here(barn.parts), "part_id"]
    there = barn.truth["part_id"].isin(ids) & barn.truth["defect"].isin(planted.faults)
    blame = barn.truth[there].groupby("cause")["share"].sum()
    assert blame.idxmax() == planted.cause


def test_sticking_on_the_stretched_mould_comes_with_many_pulls(barn: Shop) -> None:
    stretched = PLANTED["stretched waxing"].here(barn.parts)
    many = barn.parts["pulls_since_renewal"] >= 7
    few = barn.parts["pulls_since_renewal"] <= 4
    often = share_with(barn, stretched & many, STICKING)
    assert often > 3 * share_with(barn, stretched & few, STICKING)


def test_new_wax_is_only_a_bystander(barn: Shop) -> None:
    old_wax = simulate(plan.without(plan.BARN, "wax-brand"), plan.SEED)
    assert set(barn.parts["wax_type"].dropna()) == {"paste wax", "block wax"}
    assert set(old_wax.parts["wax_type"].dropna()) == {"paste wax"}
    pd.testing.assert_frame_equal(old_wax.truth, barn.truth)


def test_new_catalyst_lot_is_opened_with_the_frothy_gel_coat_and_works(barn: Shop) -> None:
    opened = barn.lots[barn.lots["opened"] == pd.Timestamp(plan.FROTHY_LOT[0])]
    assert set(opened["material"]) == {"gelcoat", "catalyst"}
    assert not any(job.film.mix.catalyst_lot.weak for job in barn.jobs)


def test_without_the_planted_changes_their_faults_are_rare() -> None:
    quiet = simulate(plan.without(plan.BARN, *(c.what for c in plan.CHANGES)), plan.SEED)
    causes = set(quiet.truth["cause"])
    assert not causes & {"bad-gelcoat-lot", "heavy-first-ply"}
    stretched = quiet.parts["mould_id"] == "TL-1"
    assert share_with(quiet, stretched, STICKING) < 0.15


def test_wet_film_is_written_down_until_the_gauge_is_lost(barn: Shop) -> None:
    lost = between(barn.parts, plan.FILM_GAUGE_LOST)
    readings = barn.parts[["gelcoat_wet_mm", "gelcoat_wet_min_mm", "gelcoat_wet_max_mm"]]
    assert readings[lost].isna().all().all()
    assert readings[~lost]["gelcoat_wet_mm"].notna().mean() > 0.7


def test_walk_through_part_is_stuck_because_the_release_was_worn_out(barn: Shop) -> None:
    stuck = part(barn, sample_logs.STUCK_PART)
    truth = barn.truth[barn.truth["part_id"] == sample_logs.STUCK_PART]
    assert stuck["pulls_since_renewal"] >= 9
    assert "hard and shiny" in stuck["notes"]
    assert list(zip(truth["defect"], truth["cause"], strict=True)) == [
        ("sticking-whole", "release-worn-out")
    ]


def test_walk_through_part_with_pinholes_is_of_the_frothy_lot(barn: Shop) -> None:
    pinholed = part(barn, sample_logs.PINHOLE_PART)
    truth = barn.truth[barn.truth["part_id"] == sample_logs.PINHOLE_PART]
    mix = barn.batches.set_index("batch_id").loc[pinholed["gelcoat_batch_id"]]
    frothy = {job.film.mix.lot.lot for job in barn.jobs if job.film.mix.lot.froths}
    assert {mix["lot"]} == frothy
    assert list(zip(truth["defect"], truth["cause"], strict=True)) == [
        ("pinholes", "bad-gelcoat-lot")
    ]


@pytest.mark.parametrize("part_id", [sample_logs.STUCK_PART, sample_logs.PINHOLE_PART])
def test_walk_through_parts_are_written_up_in_full(barn: Shop, part_id: str) -> None:
    row = part(barn, part_id)
    missing = set(row.index[row.isna()])
    assert missing <= {"pva_dry_min", "pva_coverage", "rework_min"}
    mixes = barn.batches[
        barn.batches["batch_id"].isin([row["gelcoat_batch_id"], row["resin_batch_id"]])
    ]
    assert not mixes.isna().any().any()


def test_review_month_is_full_of_pinholes(barn: Shop) -> None:
    month = barn.parts["date"].dt.strftime("%Y-%m") == sample_logs.REVIEW_MONTH
    assert share_with(barn, month, ("pinholes",)) > 0.4


def test_readme_names_what_is_planted(barn: Shop) -> None:
    readme = Path(sample_logs.__file__).with_name("README.md").read_text(encoding="utf-8")
    frothy = next(job.film.mix.lot.lot for job in barn.jobs if job.film.mix.lot.froths)
    days = [*plan.COLD_WEEKS, *plan.FROTHY_LOT, *plan.HOT_WEEKS, plan.HEAVY_MAT, plan.NEW_HAND]
    said = [f"{day.day} {day:%b} {day.year}" for day in [*days, plan.STRETCHED_REWAX]]
    said += [sample_logs.STUCK_PART, sample_logs.PINHOLE_PART, sample_logs.REVIEW_MONTH, frothy]
    assert [words for words in said if words not in readme] == []
