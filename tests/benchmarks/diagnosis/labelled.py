"""Labelled logs kept in a folder: parts.csv, batches.csv, climate.csv and truth.csv per shop."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pandas as pd

from analytics.knowledge.loading import defect_words
from analytics.knowledge.model import Knowledge
from analytics.records.log import Log
from analytics.records.reading import read_files
from tests.benchmarks.diagnosis.cases import UNEXPLAINED, Measured, measured

LOG_FILES = ("parts.csv", "batches.csv", "climate.csv")
READ_ON = dt.date(2030, 1, 1)

# What the truth calls a cause -> laylog's causes that say the same.
CAUSE_IDS = {
    "wax_worn": ("release-worn-out",),
    "wax_too_few_coats": ("too-few-wax-coats",),
    "wax_poorly_buffed": ("wax-not-cured-or-buffed",),
    "release_too_slick": ("release-too-slippery",),
    "pva_missed_spot": ("film-patchy", "release-missed-area"),
    "pva_not_dry": ("film-not-dry",),
    "pva_not_used": ("film-not-used",),
    "mould_rough": ("mould-rough-or-scratched",),
    "mould_new": ("too-few-wax-coats",),
    "mould_poor_draft": ("poor-draft",),
    "mould_porous": ("mould-porous", "fault-in-the-mould"),
    "mould_sharp_corner": ("bridging-at-corner",),
    "condensation_on_mould": ("condensation-on-mould",),
    "silicone_contamination": ("silicone-contamination",),
    "air_line_contamination": ("wet-or-oily-air-line",),
    "gelcoat_thin": ("gelcoat-too-thin",),
    "gelcoat_thick": ("gelcoat-too-thick",),
    "gelcoat_uneven": ("gelcoat-uneven",),
    "gelcoat_old": ("gelcoat-old",),
    "gelcoat_bad_lot": ("bad-gelcoat-lot",),
    "gelcoat_catalyst_low": ("gelcoat-dose-low",),
    "gelcoat_catalyst_high": ("gelcoat-dose-high",),
    "gelcoat_poor_mixing": ("gelcoat-mixed-badly",),
    "gelcoat_air_whipped_in": ("air-whipped-into-gelcoat",),
    "gelcoat_backed_too_soon": ("backed-up-too-soon",),
    "gelcoat_backed_too_late": ("backed-up-too-late",),
    "spray_setup_wrong": ("spray-setup-wrong",),
    "cold_shop": ("too-cold",),
    "hot_shop": ("too-hot-shop",),
    "high_humidity": ("damp-air",),
    "resin_catalyst_low": ("resin-dose-low",),
    "resin_catalyst_high": ("resin-dose-high",),
    "resin_poor_mixing": ("resin-mixed-badly",),
    "resin_bad_lot": ("bad-resin-lot",),
    "catalyst_weak": ("catalyst-old-or-weak",),
    "catalyst_scale_error": ("dosing-slip",),
    "first_ply_heavy": ("heavy-first-ply",),
    "session_too_thick": ("too-many-plies-at-once",),
    "laying_outran_gel": ("worked-after-gel",),
    "poor_rolling": ("air-not-rolled-out",),
    "styrene_pooled": ("styrene-lying-in-mould",),
    "no_wax_topcoat": ("normal-air-side-tack",),
    "demoulded_too_soon": ("demoulded-too-early",),
    "forced_demould": ("knocked-at-demould",),
    "unbalanced_laminate": ("unbalanced-lay-up",),
    "solvent_contamination": ("acetone-left-in-tools",),
    "uneven_heat": ("uneven-heating",),
    "unexplained": (UNEXPLAINED,),
}


def labelled(folder: Path, knowledge: Knowledge, *, most: int, seed: int) -> Iterator[Measured]:
    """Every shop in the folder, read as a user's files are; the truth is never read as a log."""
    for truth_file in sorted(folder.glob("*/truth.csv")):
        shop = truth_file.parent
        read = read_files(
            [shop / name for name in LOG_FILES if (shop / name).exists()],
            defect_words=defect_words(knowledge),
            placed={},
            settings=None,
            today=READ_ON,
        )
        log = Log.of(read.tables)
        yield measured(
            shop.name,
            f"labelled: {shop.name}",
            f"{len(log.parts)} parts",
            knowledge,
            log,
            _truth(truth_file, knowledge),
            most=most,
            seed=seed,
        )


def _truth(path: Path, knowledge: Knowledge) -> pd.DataFrame:
    table = pd.read_csv(path, dtype={"part_id": str})
    known = {name.replace("-", "_"): name for name in knowledge.defects}
    told = table[table["reported"] == 1]
    return told.assign(
        defect=told["defect"].map(known),
        ids=told["cause"].map(CAUSE_IDS.__getitem__),
        recorded=told["cause_recorded"] == 1,
    )
