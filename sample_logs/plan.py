"""What a made-up workshop is like: its people, moulds, habits, and what changed on which day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

What = Literal[
    "gelcoat-dose",  # amount: mass % everybody weighs out, whatever the weather
    "resin-dose",
    "stove-c",  # amount: air temperature [°C] the stove is fed to reach; 0 = not lit
    "hot-spell",  # amount: degrees [°C] hotter than the time of year
    "rewax-every",  # amount: pulls between full waxings; subject: mould
    "film-dry-min",  # amount: minutes the barrier film is left; subject: person
    "first-ply",  # amount: g/m² of the first mat; subject: mould
    "wet-film-mm",  # amount: gel-coat thickness aimed at [mm]; subject: person
    "frothy-gelcoat",  # a gel-coat lot that froths is in use from since to until
    "weak-catalyst",  # a catalyst lot that has lost strength is in use from since to until
    "new-catalyst-lot",  # a sound new catalyst lot is opened
    "wax-brand",  # word: another wax of the same kind
    "not-written",  # nobody fills this in any more; subject: field
]


@dataclass(frozen=True)
class Change:
    """Something done another way from `since` up to and including `until` (None: for good).

    `subject` limits it to one mould, person or field; None means all of them.
    """

    what: What
    since: date
    until: date | None = None
    subject: str | None = None
    amount: float = 0.0
    word: str = ""

    def holds(self, day: date, subject: str | None = None) -> bool:
        """True when this change applies on that day to that subject."""
        in_time = self.since <= day and (self.until is None or day <= self.until)
        return in_time and self.subject in (None, subject)


@dataclass(frozen=True)
class Mould:
    """One mould: what it makes, its shape, and how the shop looks after it."""

    mould_id: str
    product: str
    made: date
    area_m2: float
    plies: int
    work: float = 1.0
    pulls_before: int = 60
    rewax_every: int = 4
    film_always: bool = False
    deep: bool = False
    draft: Literal["good", "poor"] = "good"
    condition: Literal["good", "fair", "poor"] = "good"
    corner_radius_mm: float = 15.0
    note: str = ""


@dataclass(frozen=True)
class Person:
    """One pair of hands and its habits.

    `wait_h` is how long they leave the gel coat by the clock, `film_mm` how thick they brush it,
    `uneven` the spread of that film as a share, `slips` how often something is done badly
    without being written down.
    """

    name: str
    since: date = date.min
    work: float = 1.0
    wait_h: float = 2.0
    film_mm: float = 0.50
    uneven: float = 0.16
    slips: float = 1.0
    mixer: Literal["hand stick", "paddle", "drill"] = "hand stick"


PEOPLE = (
    Person("Hob", work=1.2, wait_h=2.1, film_mm=0.52, slips=0.7),
    Person("Wenna", wait_h=2.4, film_mm=0.49, uneven=0.13, slips=0.6),
    Person("Tully", wait_h=1.7, film_mm=0.44, uneven=0.20, slips=1.2, mixer="drill"),
    Person("Ost", work=0.6, wait_h=2.2, film_mm=0.56, slips=1.0, mixer="paddle"),
)

MOULDS = (
    Mould("TL-1", "feed-trough liner", date(2019, 3, 11), 1.9, 3, 1.6, 212, film_always=True,
          deep=True, draft="poor", condition="fair", corner_radius_mm=12,
          note="oldest trough mould, hardly any draw on the end walls"),
    Mould("TL-2", "feed-trough liner", date(2024, 6, 3), 1.9, 3, 1.2, 9, film_always=True,
          deep=True, corner_radius_mm=18),
    Mould("HL-1", "hopper lid", date(2021, 5, 17), 0.8, 2, 1.1, 143, rewax_every=5),
    Mould("WC-1", "well cover", date(2020, 10, 5), 1.3, 4, 1.1, 97, rewax_every=5),
    Mould("BR-1", "beehive roof", date(2018, 2, 19), 0.5, 2, 1.0, 305, condition="fair",
          film_always=True, corner_radius_mm=5, note="tight corners"),
    Mould("BR-2", "beehive roof", date(2023, 1, 30), 0.5, 2, 0.9, 71, film_always=True,
          corner_radius_mm=8),
    Mould("PE-1", "pond edge", date(2022, 8, 8), 1.1, 3, 1.0, 88, rewax_every=5),
)  # fmt: skip


@dataclass(frozen=True)
class ShopPlan:
    """Everything that shapes a simulated shop; what is left alone is ordinary, careful work.

    `southern` puts winter in July. `heated` False leaves the stove cold all year.
    `missing_share` [0..1] of ordinary cells are left blank. `logger_every_min` is 30 or 60.
    `well_kept` maps a part to a note: every cell of that part is written down. `page_lines` are
    written across the page of the job book on their day; the book that starts on `new_book` has
    other columns.
    """

    start: date = date(2024, 9, 2)
    months: int = 18
    parts_per_month: float = 36.0
    southern: bool = False
    heated: bool = True
    missing_share: float = 0.2
    logger_every_min: int = 60
    people: tuple[Person, ...] = PEOPLE
    moulds: tuple[Mould, ...] = MOULDS
    changes: tuple[Change, ...] = ()
    well_kept: Mapping[str, str] = field(default_factory=dict)
    page_lines: Mapping[date, str] = field(default_factory=dict)
    new_book: date = date(2025, 7, 1)

    @property
    def end(self) -> date:
        """First day after the log."""
        years, month = divmod(self.start.month - 1 + self.months, 12)
        return date(self.start.year + years, month + 1, 1)

    def amount(self, what: What, day: date, usual: float, subject: str | None = None) -> float:
        """The amount in force that day; the latest change wins, `usual` when there is none."""
        found = self._latest(what, day, subject)
        return usual if found is None else found.amount

    def word(self, what: What, day: date, usual: str, subject: str | None = None) -> str:
        """The word in force that day; the latest change wins, `usual` when there is none."""
        found = self._latest(what, day, subject)
        return usual if found is None else found.word

    def is_on(self, what: What, day: date, subject: str | None = None) -> bool:
        """True when any such change holds that day."""
        return self._latest(what, day, subject) is not None

    def _latest(self, what: What, day: date, subject: str | None) -> Change | None:
        holding = [c for c in self.changes if c.what == what and c.holds(day, subject)]
        return max(holding, key=lambda c: c.since, default=None)
