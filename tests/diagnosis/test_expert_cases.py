"""Forty faulty parts whose cause a good laminator would name: how often the answer agrees.

The cases (expert_cases.toml) are written from the trade's own tables of faults and bench
findings, not from the model; all of them are practice estimates.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from analytics.diagnosis.diagnose import diagnose
from analytics.jobs import jobs_table
from analytics.knowledge.loading import load_knowledge
from tests.builders import a_log
from tests.diagnosis.shops import ASKED, ordinary_jobs
from tests.diagnosis.shops import faults as faults_of

Case = Mapping[str, Any]
Row = dict[str, Any]

CASES: list[Case] = tomllib.loads(
    (Path(__file__).parent / "expert_cases.toml").read_text(encoding="utf-8")
)["case"]
DAY = pd.Timestamp("2024-01-22")
GOOD_JOBS = 40
USUAL_MIX: dict[str, Row] = {
    "gelcoat": {"lot": "G1", "catalyst_pct": 1.8, "gel_min": 14.0, "mix_min": 2.0},
    "resin": {"lot": "R1", "catalyst_pct": 1.5, "gel_min": 22.0, "mix_min": 2.0},
}
ROLES = tuple(USUAL_MIX)
TOP_1, TOP_3 = 0.0, 0.0


def mix(part: Row, role: str, fields: Row) -> Row:
    """A mix of its own for `part`."""
    return {
        "batch_id": f"{part['part_id']}/{role}",
        "material": role,
        "date": part["date"],
        "air_c": part.get("air_c", np.nan),
        **fields,
    }


class CaseShop:
    """The ordinary shop, the jobs around a case, and the part asked about."""

    def __init__(self, case: Case) -> None:
        self.parts: list[Row] = []
        self.mixes: list[Row] = []
        self.faults: list[Row] = []
        self.case = case
        for job in ordinary_jobs(GOOD_JOBS):
            self._add(job, {role: self._usual(role) for role in ROLES})
        for number, group in enumerate(case.get("around", ())):
            self._add_around(group, number)
        self._add_asked()
        self.log = a_log(
            self.parts,
            self.mixes,
            moulds=[{"mould_id": case["part"]["mould_id"], **case["mould"]}]
            if "mould" in case
            else (),
            defects=self.faults,
        )

    def _usual(self, role: str) -> Row:
        return {**USUAL_MIX[role], "catalyst_lot": "K1"}

    def _add(self, part: Row, mixes: Mapping[str, Row]) -> None:
        ids = {f"{role}_batch_id": f"{part['part_id']}/{role}" for role in mixes}
        self.parts.append({**ids, **part})
        for role, fields in mixes.items():
            if f"{role}_batch_id" not in part:
                self.mixes.append(mix(part, role, fields))

    def _add_asked(self) -> None:
        part = {
            "part_id": ASKED, "date": DAY, "start_time": "13:00", "looked": True,
            "outcome": "faulty", **self.case.get("part", {}),
        }  # fmt: skip
        shared = {group["shares"] for group in self.case.get("around", ())}
        mixes = {
            role: self.case.get(role, {})
            for role in ROLES
            if role in self.case or f"same_{role}_mix" in shared
        }
        self._add(part, mixes)
        self.faults += faults_of(ASKED, *self.case["defects"])

    def _add_around(self, group: Case, number: int) -> None:
        good, faulty = group.get("good", 0), group.get("faulty", 0)
        for i in range(good + faulty):
            bad = i >= good
            part, mixes = self._neighbour(group, f"N{number}{i}", i, good + faulty - i)
            part["outcome"] = "faulty" if bad else "good"
            self._add(part, mixes)
            if bad:
                self.faults += faults_of(part["part_id"], *group["faults"])

    def _neighbour(
        self, group: Case, name: str, i: int, days_ago: int
    ) -> tuple[Row, dict[str, Row]]:
        """An ordinary job that shares with the asked part what the group says."""
        asked = self.case.get("part", {})
        part = ordinary_jobs(1, seed=100 + i)[0]
        part |= {"part_id": name, "mould_id": f"M{10 + i % 4}"}
        mixes = {role: {**self._usual(role), **group.get(f"each_{role}", {})} for role in ROLES}
        part["date"] = DAY - pd.Timedelta(days=days_ago)
        match group["shares"]:
            case "same_mould":
                part["mould_id"] = asked["mould_id"]
            case "same_person":
                part["operator"] = asked["operator"]
            case "same_day" | "same_gelcoat_mix" | "same_resin_mix":
                part["date"] = DAY
                part |= {k: asked[k] for k in ("air_c", "humidity_pct") if k in asked}
            case lot:
                self._share_lot(lot, mixes)
        for role in ROLES:
            if group["shares"] == f"same_{role}_mix":
                part[f"{role}_batch_id"] = f"{ASKED}/{role}"
        part |= group.get("each", {})
        part |= {field: values[i] for field, values in group.get("steps", {}).items()}
        return part, mixes

    def _share_lot(self, shares: str, mixes: dict[str, Row]) -> None:
        """Gives the mixes the lot of the asked part: gel coat's, resin's or the catalyst's."""
        field = "catalyst_lot" if shares == "same_catalyst_lot" else "lot"
        roles = {"same_gelcoat_lot": ("gelcoat",), "same_resin_lot": ("resin",)}.get(shares, ROLES)
        for role in roles:
            mixes[role][field] = self.case[role][field]


@cache
def ranking(position: int) -> tuple[tuple[str, float], ...]:
    """Causes and chances, likeliest first, for the first defect of a case."""
    from analytics.diagnosis.model import fit_shop

    case = CASES[position]
    log = CaseShop(case).log
    jobs = jobs_table(log)
    model = fit_shop(load_knowledge(), jobs, log.defects)
    answer = diagnose(model, jobs, log.defects, ASKED, seen=case.get("seen"))
    first = next(a for a in answer if a.defect == case["defects"][0])
    return tuple((c.cause, c.probability) for c in first.causes)


def place(position: int) -> int:
    """Where an accepted cause stands in the ranking of a case, 1 for first."""
    case = CASES[position]
    accepted = {case["cause"], *case.get("also", ())}
    ranked = [cause for cause, _ in ranking(position)]
    return next((i for i, cause in enumerate(ranked, 1) if cause in accepted), len(ranked) + 1)
