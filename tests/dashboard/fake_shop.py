"""A shop with answers made by hand, so that pages can be tested without a log or a model."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from types import SimpleNamespace
from typing import Any

import pandas as pd

from analytics.catalyst.answer import (
    CatalystAdvice,
    Density,
    DoseLimits,
    DosePoint,
    GelTime,
    LearntLaw,
    SetAside,
    Window,
)
from analytics.diagnosis.answer import Clue, Diagnosis, LikeJob, NextCheck, RankedCause
from analytics.errors import QuestionError, StoreError
from analytics.knowledge.model import BenchCheck, Cause, Defect, Knowledge, Trust
from analytics.month.answer import (
    Chart,
    ChartPoint,
    Comparison,
    Day,
    DefectLine,
    MonthReview,
    Share,
    Signal,
)
from analytics.records.problems import (
    ColumnPlacement,
    FileReport,
    NotRecord,
    Problem,
    SheetReport,
)
from analytics.records.store import Import
from analytics.records.store.saving import Counts
from analytics.shop.browsing import Choices, FoundPart

HOSTILE = '<script>alert("x")</script>'
PLAIN = (
    "sticking-whole",
    "sticking-patches",
    "pinholes",
    "air-voids",
    "print-through",
    "tacky-face",
    "tacky-back",
    "wrinkling",
    "pre-release",
    "fish-eyes",
    "cracking",
    "delamination",
    "dry-spots",
    "resin-rich",
    "warping",
    "blisters",
    "dull-surface",
    "colour-streaks",
)


def a_defect(defect: str, **changes: Any) -> Defect:
    made = Defect(
        id=defect,
        title=defect.replace("-", " ").capitalize(),
        look="Torn spots in the face.",
        this_part="Fill and polish.",
        prevent="Renew the release on trend.",
        words=(defect,),
        base_rate=0.04,
        cautions=(),
        source="common-practice",
    )
    return replace(made, **changes)


def a_cause(cause: str, **changes: Any) -> Cause:
    made = Cause(
        id=cause,
        title="Release worn out",
        what="Too many pulls since the release was renewed.",
        scope="mould",
        record="pulls_since_renewal",
        evidence=(),
        needs="any",
        levels={"sticking-patches": 3},
        shares={"sticking-patches": 0.3},
        stands_out={},
        checks={"tape-pull": "hard"},
        check_text="Tape-pull test.",
        mend="Polish.",
        prevent="Renew on trend.",
        said=(),
        cautions=(),
        source="common-practice",
    )
    return replace(made, **changes)


TAPE = BenchCheck(
    id="tape-pull",
    title="Tape-pull test",
    how="Press tape on the released mould and peel it.",
    minutes=3,
    results={"easy": "It peels off easily", "hard": "It pulls hard"},
    cautions=(),
    source="common-practice",
)
SWAB = BenchCheck(
    id="acetone-swab",
    title="Acetone swab",
    how="Rub the face for 10 s in a hidden place.",
    minutes=2,
    results={"clean": "Clean: no colour, no tack", "soft": "Colour or tack comes off"},
    cautions=("Acetone burns: no sparks, goggles on.",),
    source="common-practice",
)


def a_knowledge() -> Knowledge:
    return Knowledge(
        sources={},
        defects={d: a_defect(d) for d in PLAIN},
        causes={
            "release-worn": a_cause("release-worn"),
            "release-missed": a_cause("release-missed", title="Release missed in an area"),
        },
        checks={"tape-pull": TAPE, "acetone-swab": SWAB},
        limits={},
        cautions={},
        likelihood=(0.008, 0.07, 0.28, 0.6),
        unlisted_share=(0, 0.01, 0.02, 0.03),
        trust=Trust(0.9, 0.1, 0.5, 0.05),
    )


def a_ranked(cause: str = "release-worn", probability: float = 0.62, **changes: Any) -> RankedCause:
    made = RankedCause(
        start="in the trade about 14 in 100 cases",
        cause=cause,
        title="Release worn out",
        what="The wax or film has gone in the places that rub most.",
        probability=probability,
        low=max(probability - 0.17, 0.0),
        high=min(probability + 0.14, 1.0),
        clues_for=(
            Clue("9 pulls since the release was renewed; trouble starts near 6.", 11.0, "log"),
            Clue("Demould effort went up from 2 to 4 over three pulls.", 6.0, "trade"),
        ),
        clues_against=(Clue("Stuck patches are not at the high spots.", -3.0, "trade"),),
        unknown=("Nobody wrote whether PVA was used.",),
        trade_jobs=12,
        log_jobs=31,
        check="Tape-pull test on the mould.",
        check_id="tape-pull",
        mend="Sand the torn spots back, re-gel and polish.",
        prevent="Renew the release every 6 pulls on this mould.",
        cautions=(),
        source="common practice, no published source",
    )
    return replace(made, **changes)


def a_diagnosis(part: str = "K-031", defect: str = "sticking-patches", **changes: Any) -> Diagnosis:
    made = Diagnosis(
        part=part,
        defect=defect,
        defect_title=defect.replace("-", " ").capitalize(),
        words="stuck in 2 places",
        look="Torn spots in the face with sharp borders.",
        this_part="Stop forcing; air and warm water, then cut the part rather than the mould.",
        prevent="Log coats, minutes and pulls; renew the release on trend.",
        causes=(
            a_ranked(),
            a_ranked(
                "release-missed",
                0.21,
                title="Release missed in an area",
                what="One zone got no wax.",
                clues_for=(),
            ),
            a_ranked(
                "mould-rough",
                0.08,
                title="Mould surface rough or porous",
                what="Scratches or pores hold the gel coat.",
                clues_against=(),
            ),
        ),
        unexplained=0.09,
        jobs_used=412,
        next_checks=(
            NextCheck("tape-pull", TAPE.title, TAPE.how, 3, 0.6, tuple(TAPE.results.items()), ()),
            NextCheck(
                "acetone-swab",
                SWAB.title,
                SWAB.how,
                2,
                0.2,
                tuple(SWAB.results.items()),
                SWAB.cautions,
            ),
        ),
        like_jobs=(
            LikeJob(
                "K-027",
                "2024-02-20",
                True,
                0.91,
                (("Pulls since renewal", "9", "4"), ("PVA dried", "12 min", "40 min")),
            ),
        ),
        summary="Nine pulls since the wax was renewed, and the demould got harder each time.",
        warnings=("Only 4 jobs with this release system: treat it as a hint.",),
        cautions=("Stuck parts let go suddenly: eye protection on.",),
    )
    return replace(made, **changes)


def a_share(count: int, out_of: int) -> Share:
    share = count / out_of if out_of else None
    return Share(count, out_of, share, share and max(share - 0.1, 0), share and min(share + 0.1, 1))


def a_line(defect: str, count: int, verdict: Any = "usual", **changes: Any) -> DefectLine:
    title = defect.replace("-", " ").capitalize()
    made = DefectLine(
        defect, title, a_share(count, 46), a_share(8, 202), verdict, None, None, f"{count} parts."
    )
    return replace(made, **changes)


def a_review(month: str = "2024-03", **changes: Any) -> MonthReview:
    points = tuple(
        ChartPoint(m, 48, a_share(n, 46), 0.02, 0.24, n / 46 > 0.24, True)
        for m, n in (
            ("2023-11", 5),
            ("2023-12", 7),
            ("2024-01", 6),
            ("2024-02", 4),
            ("2024-03", 13),
        )
    )
    made = MonthReview(
        month=month,
        title="March 2024",
        parts=48,
        good=a_share(33, 46),
        unknown=2,
        scrap=1,
        rework_hours=14.5,
        cost=None,
        comparisons=(
            Comparison(
                "all earlier months",
                a_share(180, 202),
                -0.17,
                -0.31,
                -0.05,
                "worse",
                "Fewer good parts than in all earlier months (89 in 100).",
            ),
        ),
        defects=(
            DefectLine(
                "sticking-patches",
                "Sticking in patches",
                a_share(9, 46),
                a_share(8, 202),
                "more",
                0.001,
                0.004,
                "9 parts stuck in patches; usually about 2 in such a month.",
                {},
                8.0,
                1,
            ),
            DefectLine(
                "pinholes",
                "Pinholes",
                a_share(4, 46),
                a_share(18, 202),
                "usual",
                0.9,
                0.9,
                "4 parts with pinholes, as usual.",
            ),
        ),
        days=tuple(
            Day(
                date(2024, 3, d),
                3,
                3 - (d % 4 == 0) - (d % 7 == 0),
                int(d % 4 == 0),
                int(d % 7 == 0),
                {"sticking-patches": 1} if d % 4 == 0 else {},
                14.0,
                71.0,
            )
            for d in range(1, 28)
            if d % 6
        ),
        chart=Chart(0.12, "2023-06", "2024-01", "p chart", points),
        signals=(
            Signal(
                kind="mould",
                subject="M07",
                since=date(2024, 3, 4),
                jobs=19,
                p_value=0.001,
                text="Sticking on mould M07 went from 1 in 60 to 7 in 19 parts.",
                q_value=0.01,
                strength="clear: luck alone does this in about 1 month in 400",
                defect="sticking-patches",
                now=a_share(7, 19),
                before=a_share(1, 60),
                confounded_with=("wax changed",),
                part_ids=("K-031", HOSTILE, "K-035"),
            ),
        ),
        not_enough=("resin lots: only one was used",),
        warnings=(),
        months_before=9,
        looks=60,
    )
    return replace(made, **changes)


TEN = tuple(f"Caution {number} of ten." for number in range(1, 11))


def an_advice(**changes: Any) -> CatalystAdvice:
    curve = tuple(
        DosePoint(
            1 + k * 0.05,
            max(0.0, 0.8 - abs(k - 15) * 0.05),
            30 - k * 0.6,
            22 - k * 0.5,
            40 - k * 0.7,
        )
        for k in range(31)
    )
    made = CatalystAdvice(
        material="gelcoat",
        temperature_c=18.0,
        temperature_from="given",
        lot=None,
        pot_kg=1.5,
        window=Window(12, 20),
        catalyst_pct=1.75,
        limits=DoseLimits(1.0, 2.5, "data sheet"),
        gel_min=GelTime(16.2, 12.0, 21.5),
        gel_at="cup",
        chance=0.78,
        feasible=True,
        instead=(),
        grams=26.25,
        ml=22.6,
        density=Density(1.16, "assumed"),
        curve=curve,
        cure_risks=(),
        cautions=TEN,
        warnings=(),
        jobs_used=42,
        last_record=date(2024, 3, 12),
        set_aside=(SetAside("B17", "three times slower than its neighbours", 0.02),),
        law=LearntLaw((17, 0.1), (60, 8), (0.8, 0.1), (1.3, 0.1), 0.15, 0.1),
    )
    return replace(made, **changes)


def a_sheet_report(**changes: Any) -> SheetReport:
    made = SheetReport(
        sheet="Jobs",
        rows=12,
        parts=8,
        batches=0,
        logger=0,
        lots=0,
        moulds=0,
        duplicates=1,
        not_records=3,
        listed=(NotRecord(1, "title", "Our log"), NotRecord(9, "blank", "")),
        columns=(
            ColumnPlacement("Job", "part_id", None, "heading"),
            ColumnPlacement("Air C", "air_c", "°C", "heading"),
            ColumnPlacement("Who knows", None, None, "not known"),
        ),
        mixes_in_part_rows=6,
    )
    return replace(made, **changes)


def a_problem(**changes: Any) -> Problem:
    made = Problem(
        "ask",
        "log.csv",
        "Jobs",
        14,
        "Humidity",
        "0.65",
        "percent from 1 to 100",
        "left unknown; if 65 % was meant, type 65",
    )
    return replace(made, **changes)


def a_file_report(**changes: Any) -> FileReport:
    return replace(FileReport("log.csv", (a_sheet_report(),), (a_problem(),)), **changes)


@dataclass
class FakeShop:
    """Answers like a Shop, from what it was given; remembers what it was told."""

    parts: tuple[str, ...] = ("K-031", "K-030", HOSTILE)
    good: tuple[str, ...] = ("K-099",)
    knowledge: Knowledge = field(default_factory=a_knowledge)
    told: list[tuple[Any, ...]] = field(default_factory=list)
    nothing_in_it: bool = False
    month_names: tuple[str, ...] = ("2024-03", "2024-02", "2023-12")

    def units(self) -> str:
        return "metric"

    def jobs(self) -> pd.DataFrame:
        known = self.parts + self.good if self.parts else ()
        count = len(known)
        return pd.DataFrame(
            {
                "part_id": known,
                "date": pd.to_datetime(["2024-03-12"] * count),
                "mould_id": ["M07"] * count,
                "outcome": ["rework"] * count,
                "defects": ["stuck"] * count,
                "looked": pd.array([part in self.parts for part in known], dtype="boolean"),
            }
        )

    def log(self) -> Any:
        return SimpleNamespace(parts=self.jobs())

    def imports(self) -> tuple[Import, ...]:
        return (
            Import(1, "old.csv", None, datetime(2024, 1, 5), Counts(60, 0, 0), (), {}, None),
            Import(
                2,
                HOSTILE,
                None,
                datetime(2024, 2, 5),
                Counts(8, 2, 1),
                (),
                {},
                datetime(2024, 2, 6),
            ),
        )

    def preview(self, paths: Any, mends: Any = None) -> Any:
        names = [path.name for path in paths]
        self.told.append(("check", *names))
        assert all(path.is_file() for path in paths)
        answer = SimpleNamespace(
            files=tuple(a_file_report(file=name) for name in names),
            has_problems=True,
            could_not=self.nothing_in_it,
        )
        return SimpleNamespace(answer=answer, sheets=())

    def keep_files(self, paths: Any, mends: Any) -> Any:
        self.told.append(("import", *[path.read_bytes() for path in paths]))
        return SimpleNamespace(files=(), saved=SimpleNamespace(total=Counts(8, 2, 1)))

    def browse(self, text: str = "", *, limit: int = 50, **filters: str) -> Any:
        known = [p for p in self.parts + self.good if text.casefold() in p.casefold()]
        found = [FoundPart(p, "2024-03-12", "M07", "rework", "stuck") for p in known]
        return tuple(found[:limit]), len(found)

    def browse_choices(self) -> Choices:
        return Choices((HOSTILE,), self.month_names, (("sticking-patches", HOSTILE),))

    def place_column(self, *where: Any) -> None:
        self.told.append(("place", *where))

    def undo_import(self, import_id: int) -> None:
        if import_id == 1:
            raise StoreError("a later import builds on this one: take that back first.")
        self.told.append(("undo", import_id))

    def failed_parts(self) -> tuple[Any, ...]:
        return tuple(
            SimpleNamespace(
                part_id=part, date="2024-03-12", mould_id="M07", defects=("sticking-patches",)
            )
            for part in self.parts
        )

    def why(self, part_id: str, *, seen: Any = None, asked: Any = ()) -> tuple[Diagnosis, ...]:
        self.told.append(("why", part_id, dict(seen or {}), tuple(asked)))
        if part_id not in self.parts:
            raise QuestionError(f'no part is called "{part_id}".')
        answer = a_diagnosis(part_id, *asked[:1], seen=tuple((seen or {}).items()))
        if (seen or {}).get("tape-pull") == "easy":
            first, second, *rest = answer.causes
            answer = replace(
                answer,
                causes=(replace(second, probability=0.6), replace(first, probability=0.2), *rest),
            )
        return (answer, a_diagnosis(part_id, "pinholes")) if not asked else (answer,)

    def confirm(self, *which: str) -> None:
        self.told.append(("confirm", *which))

    def withdraw(self, *which: str) -> bool:
        self.told.append(("withdraw", *which))
        return True

    def observe(self, *which: str) -> None:
        self.told.append(("observe", *which))

    def months(self) -> list[str]:
        return list(self.month_names)

    def month(self, month: str | None = None) -> MonthReview:
        return a_review(month or self.month_names[0])

    def catalyst(self, **question: Any) -> CatalystAdvice:
        self.told.append(("catalyst", question))
        if question["pot_kg"] > 50:
            raise QuestionError("a pot of 60 kg is more than laylog advises on (50 kg).")
        return an_advice()


def clock() -> datetime:
    return datetime(2024, 3, 28, 9, 30)
