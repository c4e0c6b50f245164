"""What else differed between the two ways: then the log cannot say which of them did it."""

from __future__ import annotations

from collections.abc import Iterable
from math import erfc, sqrt

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import column
from analytics.knowledge.model import Knowledge
from analytics.settling.answer import Tangle
from analytics.settling.like import HOLDERS, Like
from analytics.settling.ways import Bools, as_words
from analytics.stats.multiple import benjamini_hochberg

ALWAYS = (
    "mould_id", "operator", "gelcoat_lot", "resin_lot", "wax_type", "release_system", "product",
    "air_c", "humidity_pct",
)  # fmt: skip
MUCH_SHARE = 0.25
"""A word used this much oftener in one way than in the other."""
MUCH_SPREAD = 0.5
"""Means this many standard deviations apart."""
LEAST_KNOWN = 10
SURE = 0.05
NAMED = 5
KIN = {
    "backup_h20": "backup_hours",
    "demould_h20": "demould_hours",
    "pva_h_ref_min": "pva_dry_min",
    "laying_over_gel": "laying_min",
    "mould_young_pulls": "mould_pulls_total",
    "gelcoat_wet_min_mm": "gelcoat_wet_mm",
    "gelcoat_wet_max_mm": "gelcoat_wet_mm",
    "film_spread": "gelcoat_wet_mm",
    "release_system": "pva_used",
    "pva_dry_min": "pva_used",
    "pva_coverage": "pva_used",
    "plies_in_session": "session_mm",
    "dew_margin_c": "humidity_pct",
    "gelcoat_gel_ratio": "gelcoat_gel_min",
    "resin_gel_ratio": "resin_gel_min",
    "product": "mould_id",
}
"""Columns that are another reading of a column: what is compared is no rival of itself."""


def tangled(
    jobs: pd.DataFrame,
    like: Like,
    is_a: Bools,
    field: str,
    defects: Iterable[str],
    knowledge: Knowledge,
) -> tuple[Tangle, ...]:
    """Recorded things that can bring the fault and differ between the ways in like conditions.

    Differences are taken inside the strata (Mantel-Haenszel weights); those too small to matter
    are left out, as are those luck explains (Benjamini-Hochberg over everything looked at).
    """  # fmt: skip
    found: list[tuple[float, float, Tangle]] = []
    for name in _looked_at(jobs, field, like, defects, knowledge):
        one = _day(jobs, like, is_a) if name == "date" else _column(name, jobs, like, is_a)
        if one is not None:
            found.append(one)
    if not found:
        return ()
    sure = benjamini_hochberg([p for p, _, _ in found]) < SURE
    kept = [one for one, is_sure in zip(found, sure, strict=True) if is_sure and one[1] >= 1.0]
    return tuple(tangle for _, _, tangle in sorted(kept, key=lambda one: -one[1])[:NAMED])


def _looked_at(
    jobs: pd.DataFrame, field: str, like: Like, defects: Iterable[str], knowledge: Knowledge
) -> list[str]:
    causes = [cause for defect in defects for cause in knowledge.causes_of(defect)]
    evidence = [piece.field for cause in causes for piece in cause.evidence]
    held = {HOLDERS[name] for name in like.held}
    names = dict.fromkeys([*evidence, *ALWAYS, "date"])
    own = _kin(field)
    return [n for n in names if n in jobs and n not in held - {"date"} and _kin(n) != own]


def _kin(name: str) -> str:
    """What a column is another reading of: hours to first ply, as they are and as at 20 °C."""
    return KIN.get(KIN.get(name, name), KIN.get(name, name))


Found = tuple[float, float, Tangle]
"""P of luck, size of the difference (1 is just enough to name), and how it is said."""


def _column(name: str, jobs: pd.DataFrame, like: Like, is_a: Bools) -> Found | None:
    cells = jobs[name]
    known = like.both & cells.notna().to_numpy(dtype=bool)
    if min((known & is_a).sum(), (known & ~is_a).sum()) < LEAST_KNOWN:
        return None
    if column(name).kind == "number":
        values = cells.to_numpy(dtype=np.float64, na_value=np.nan)
        return _numbers(name, values, known, like, is_a)
    return _words(name, as_words(cells), known, like, is_a)


def _numbers(
    name: str, values: NDArray[np.float64], known: Bools, like: Like, is_a: Bools
) -> Found | None:
    spread = float(np.std(values[known]))
    if spread == 0:
        return None
    gap, jobs = _gap(values, known, like, is_a)
    if not jobs:
        return None
    size = abs(gap) / spread
    said = column(name)
    means = [float(values[known & side].mean()) for side in (is_a, ~is_a)]
    text = f"{said.name}: {means[0]:.3g} against {means[1]:.3g} {said.unit}".rstrip()
    return _luck(size * sqrt(jobs)), size / MUCH_SPREAD, Tangle(name, f"{text} on average")


def _words(name: str, words: pd.Series, known: Bools, like: Like, is_a: Bools) -> Found | None:
    best: Found | None = None
    common = words[known].value_counts().index[:8]
    for word in common:
        hit = (words == word).to_numpy(dtype=bool).astype(np.float64)
        gap, jobs = _gap(hit, known, like, is_a)
        share = float(hit[known].mean())
        if not jobs or not 0 < share < 1:
            continue
        p = min(1.0, _luck(abs(gap) * sqrt(jobs / (share * (1 - share)))) * len(common))
        shares = [100 * float(hit[known & side].mean()) for side in (is_a, ~is_a)]
        text = f"{column(name).name} {word}: {shares[0]:.0f} against {shares[1]:.0f} in 100 parts"
        found = (p, abs(gap) / MUCH_SHARE, Tangle(name, text))
        best = found if best is None or found[1] > best[1] else best
    return best


def _day(jobs: pd.DataFrame, like: Like, is_a: Bools) -> Found | None:
    known = like.both & jobs["date"].notna().to_numpy(dtype=bool)
    if min((known & is_a).sum(), (known & ~is_a).sum()) < LEAST_KNOWN:
        return None
    days = jobs["date"].to_numpy("datetime64[D]").astype(np.float64)
    found = _numbers("date", days, known, like, is_a)
    if found is None:
        return None
    halves = [pd.Timestamp(jobs["date"][known & side].median()) for side in (is_a, ~is_a)]
    middle = [f"{half:%B %Y}" for half in halves]
    text = f"when: half of the first way by {middle[0]}, half of the second by {middle[1]}"
    return found[0], found[1], Tangle("date", text)


def _gap(values: NDArray[np.float64], known: Bools, like: Like, is_a: Bools) -> tuple[float, float]:
    """Mean difference a - b inside the strata, and the jobs a side it is worth (0: none)."""
    size = int(like.code.max(initial=0)) + 1
    sums, jobs = np.zeros((2, size)), np.zeros((2, size))
    for row, side in enumerate((is_a, ~is_a)):
        used = known & side
        jobs[row] = np.bincount(like.code[used], minlength=size)
        sums[row] = np.bincount(like.code[used], weights=values[used], minlength=size)
    both = (jobs > 0).all(0)
    if not both.any():
        return 0.0, 0.0
    a, b = jobs[:, both]
    weight = a * b / (a + b)
    gap = sums[0, both] / a - sums[1, both] / b
    return float(weight @ gap / weight.sum()), float(weight.sum())


def _luck(z: float) -> float:
    """Chance that luck alone gives a difference this many standard errors from nothing."""
    return erfc(abs(z) / sqrt(2.0))
