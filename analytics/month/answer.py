"""What the month in review answers: plain frozen objects, rendered by terminal and dashboard.

Numbers that cannot be told are None, never NaN and never 0: nobody wrote it, so nobody knows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any, Literal

from analytics.month.answer_pieces import CauseLine, ControlChart, Followed, Totals
from analytics.month.plain import Share as Share
from analytics.month.plain import plain

NOT_ENOUGH: Literal["not enough jobs to tell"] = "not enough jobs to tell"

Verdict = Literal["more", "fewer", "usual", "not enough jobs to tell"]
Against = Literal["better", "worse", "no clear difference", "not enough jobs to tell"]
Direction = Literal["up", "down", "moved"]
SignalKind = Literal[
    "defect",  # a defect's rate over the whole shop
    "mould",
    "gelcoat_lot",
    "resin_lot",
    "catalyst_lot",
    "operator",
    "condition",  # cold, damp, thin film ...: more of it this month, and it goes with a defect
    "process",  # a process figure drifting: dose, film, waits ...
    "reporting",  # results, faults or readings no longer written down
]


@dataclass(frozen=True)
class Comparison:
    """The good share of this month against another period.

    `period` is in words ("March 2023", "all earlier months"); `difference` is this month's share
    minus theirs [-1..1] with its 95 % interval (Newcombe); `text` is the sentence to print.
    """

    period: str
    good: Share
    difference: float | None
    low: float | None
    high: float | None
    verdict: Against
    text: str


@dataclass(frozen=True)
class DefectLine:
    """One kind of defect this month.

    `this_month` counts parts with it out of parts with a result; `usual` is the same for all
    earlier months. `p_value` is Fisher's exact test (two-sided), `q_value` the same corrected for
    all defects looked at (Benjamini-Hochberg). `of_which` splits a group (sticking) into the
    members that were written. `cost` is the logged cost of parts with it, None if none was logged.
    """

    defect: str
    title: str
    this_month: Share
    usual: Share
    verdict: Verdict
    p_value: float | None
    q_value: float | None
    text: str
    of_which: Mapping[str, int] = field(default_factory=dict)
    rework_hours: float | None = None
    scrap: int = 0
    cost: float | None = None

    def to_json(self) -> dict[str, Any]:
        """The line with its count, share and interval on the top level."""
        return {
            "defect": self.defect,
            "title": self.title,
            **plain(asdict(self.this_month)),
            "usual": plain(asdict(self.usual)),
            "verdict": self.verdict,
            "p_value": self.p_value,
            "q_value": self.q_value,
            "text": self.text,
            "of_which": dict(self.of_which),
            "rework_hours": self.rework_hours,
            "scrap": self.scrap,
            "cost": self.cost,
        }


@dataclass(frozen=True)
class Signal:
    """Something that stands out against the months before.

    kind : what sort of thing it is about (`SignalKind`).
    subject : its name in the log: "M07", "G52", a person, a defect id, a field of the jobs table.
    since : day the change most likely began, None where the log cannot date it; it began between
        `since_earliest` and `since_latest` with 90 % probability.
    text : one plain sentence with figures.
    strength : words and number, e.g. "clear: luck alone does this in about 1 month in 400".
    jobs : parts the signal rests on (with a result, since the change).
    p_value : chance that luck alone shows this much for this one thing, over all start days tried.
    q_value : the same corrected for everything looked at of its family (Benjamini-Hochberg).
    defect : defect id it is about, None for process and reporting.
    now, before : the counts (rates) or None (process figures).
    confounded_with : what changed at the same time, so that the log cannot tell them apart.
    part_ids : the faulty (or affected) parts since the change, to look up.
    direction : "up" or "down" for what is counted, "moved" for a process figure.
    new : none of the reviews of the last three months showed it; else `last_shown` is the month
        that did, as "2024-03".
    """

    kind: SignalKind
    subject: str
    since: date | None
    text: str
    strength: str
    jobs: int
    p_value: float
    q_value: float
    since_earliest: date | None = None
    since_latest: date | None = None
    defect: str | None = None
    now: Share | None = None
    before: Share | None = None
    confounded_with: tuple[str, ...] = ()
    part_ids: tuple[str, ...] = ()
    direction: Direction = "moved"
    new: bool = True
    last_shown: str | None = None

    @property
    def fell(self) -> bool:
        """True where there is less of it than before; never for a process figure."""
        return self.direction == "down"

    def to_json(self) -> dict[str, Any]:
        """All fields, dates as ISO text."""
        return {key: plain(value) for key, value in asdict(self).items()}


@dataclass(frozen=True)
class Day:
    """One working day of the strip: parts made, written good, written faulty, defects, weather.

    `unknown` is parts nobody wrote a result for. `air_c` [°C] and `humidity_pct` [%] are means of
    the day's parts; their ranges take in the logger's readings of the working hours.
    `dew_margin_c` [°C] is the least the mould face was above the dew point. None if not logged.
    """

    date: date
    parts: int
    good: int
    faulty: int
    unknown: int
    defects: Mapping[str, int]
    air_c: float | None
    humidity_pct: float | None
    air_low_c: float | None = None
    air_high_c: float | None = None
    humidity_low_pct: float | None = None
    humidity_high_pct: float | None = None
    dew_margin_c: float | None = None


@dataclass(frozen=True)
class ChartPoint:
    """One month on the p chart of faulty parts: count, share and its frozen limits [0..1].

    `beyond` is True only strictly outside a limit; limits are None for months of no result.
    """

    month: str
    parts: int
    faulty: Share
    low: float | None
    high: float | None
    beyond: bool
    in_base: bool


@dataclass(frozen=True)
class Chart:
    """p chart of faulty parts by month; limits frozen from `base_first`..`base_last`.

    `centre` is None, and no point has limits, while there are too few months for a base.
    `widened` says that the base months differ more than luck makes them: the limits are Laney's.
    """

    centre: float | None
    base_first: str | None
    base_last: str | None
    rule: str
    points: tuple[ChartPoint, ...]
    widened: bool = False


ROWS = ("comparisons", "days", "totals", "causes", "charts", "actions")
PIECES = ("chart", *ROWS)


@dataclass(frozen=True)
class MonthReview:
    """How the month went, what stands out, and how far the log can be trusted on it.

    `parts` made; `good` counts parts written good out of those with a result; `unknown` parts have
    no result written (never counted as good); `scrap` parts and `rework_hours` [h] and `cost` are
    as logged, None where nobody logged any. `not_enough` lists what could not be judged, in words.
    `causes` is empty where no cause model was asked.
    """

    month: str
    title: str
    parts: int
    good: Share
    unknown: int
    scrap: int
    rework_hours: float | None
    cost: float | None
    comparisons: tuple[Comparison, ...]
    defects: tuple[DefectLine, ...]
    days: tuple[Day, ...]
    chart: Chart
    signals: tuple[Signal, ...]
    not_enough: tuple[str, ...]
    warnings: tuple[str, ...]
    months_before: int = 0
    looks: int = 0
    totals: tuple[Totals, ...] = ()
    causes: tuple[CauseLine, ...] = ()
    charts: tuple[ControlChart, ...] = ()
    actions: tuple[Followed, ...] = ()

    @property
    def news(self) -> tuple[Signal, ...]:
        """Signals that no review of the last three months showed."""
        return tuple(signal for signal in self.signals if signal.new)

    def to_json(self) -> dict[str, Any]:
        """The fixed keys month, parts, good, defects, signals, warnings, and all the rest."""
        whole = {
            name: getattr(self, name)
            for name in self.__dataclass_fields__
            if name not in ("good", "defects", "signals", *PIECES)
        }
        return {
            **{name: plain(value) for name, value in whole.items()},
            "good": {**asdict(self.good), "unknown": self.unknown},
            "defects": [line.to_json() for line in self.defects],
            "signals": [signal.to_json() for signal in self.signals],
            "chart": plain(asdict(self.chart)),
            **{name: [plain(asdict(one)) for one in getattr(self, name)] for name in ROWS},
        }
