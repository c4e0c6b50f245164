"""The shop's own words: for faults, for good parts, for blanks, and the talk in the margin."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from sample_logs.faults import Fault
from sample_logs.job import Job

# The first word of each is the plain one; some of the rest are misspelt on purpose.
FAULT_WORDS: Mapping[str, tuple[str, ...]] = {
    "sticking-whole": ("stuck solid", "stuck", "stuck fast", "wouldn't come out", "stuck in mould"),
    "sticking-patches": ("stuck in patches", "stuk in patches", "patches stuck", "stuck corner"),
    "pinholes": ("pinholes", "pin holes", "pinholse", "porosity", "pinholed"),
    "fish-eyes": ("fish eyes", "fisheyes", "fish eyse", "craters"),
    "print-through": ("print through", "print thru", "mat showing", "fibre pattern", "print"),
    "tacky-face": ("tacky face", "soft gel coat", "tackey face", "face soft"),
    "tacky-back": ("tacky back", "back sticky", "inside tacky"),
    "wrinkling": ("wrinkles", "wrinkled", "wrinkeled", "alligator skin", "wrinkled gel coat"),
    "pre-release": ("pre-release", "let go early", "lifted in mould", "came away early"),
    "resin-rich": ("resin rich", "scorched", "resin pools", "scorch marks"),
    "air-voids": ("air voids", "voids", "air behind gel", "air bubbles", "hollow corner"),
    "dry-spots": ("dry spots", "dry patches", "white fibres", "dry mat"),
    "cracking": ("star cracks", "cracked", "crazing", "hairline cracks"),
    "delamination": ("delaminated", "plies parted", "delam"),
    "warping": ("warped", "bowed", "twisted"),
    "blisters": ("blisters", "blister"),
    "dull-surface": ("dull", "dull face", "dull patch", "hazy"),
    "colour-streaks": ("colour streaks", "streaky", "patchy colour"),
}
VAGUE_WORDS = {"sticking-whole": "stuck", "sticking-patches": "sticking",
               "tacky-face": "tacky", "tacky-back": "sticky"}  # fmt: skip
JOINS = (", ", " + ", " / ", "; ", " and ")
STRENGTH_WORDS = {"slight": ("slight", "slightly", "only slight"), "severe": ("bad", "badly")}
GOOD_WORDS = ("ok", "OK", "good", "fine", "Good", "ok ")
NO_FAULT_WORDS = ("", "", "-", "none", "no faults")
REWORK_WORDS = ("rework", "Rework", "repair", "rework ")
SCRAP_WORDS = ("scrap", "scrapped", "binned")
BLANKS = ("-", "?", "n/a", "–")
YES = ("y", "yes", "Y", "✓")
NO = ("n", "no", "N")

SMALL_TALK = (
    "customer collecting Friday", "one of a pair", "for the spring order", "mould polished",
    "new brush", "late start", "second go at this one", "nice one", "trimmed by hand",
    "phone rang twice", "van blocked the door", "last of the old mat",
)  # fmt: skip
TELLING: Mapping[str, str] = {
    "bad-gelcoat-lot": "gel coat frothy in the tin",
    "film-not-dry": "film still wet under the brush",
    "too-hot-shop": "roasting in the shed",
    "too-cold": "perishing cold, everything slow",
    "release-worn-out": "pulled hard, face hard and shiny",
    "release-missed-area": "bare patch on the mould",
    "air-not-rolled-out": "rolled in a hurry",
    "backed-up-too-soon": "gel coat still came off on the finger",
    "gelcoat-too-thin": "thin at the edges",
    "damp-mat": "mat roll felt damp",
}


def notes_of(
    jobs: Sequence[Job],
    faults: Sequence[Fault],
    well_kept: Mapping[str, str],
    rng: np.random.Generator,
) -> pd.Series[str]:
    """The remark beside each part: mostly none, some small talk, now and then a telling one."""
    causes: dict[str, list[str]] = {}
    for fault in faults:
        causes.setdefault(fault.part_id, []).extend(fault.shares)
    notes = [_note(job, causes.get(job.part_id, []), well_kept, rng) for job in jobs]
    return pd.Series(notes, dtype="str")


def _note(
    job: Job, causes: Sequence[str], well_kept: Mapping[str, str], rng: np.random.Generator
) -> str | None:
    throw, small = rng.random(2)
    if job.part_id in well_kept:
        return well_kept[job.part_id]
    telling = [TELLING[c] for c in causes if c in TELLING]
    if telling and throw < 0.15:
        return telling[0]
    return SMALL_TALK[int(rng.integers(len(SMALL_TALK)))] if small < 0.10 else None
