"""The example workshop: a barn end where farm and garden ware is laid by hand. All invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from sample_logs import PINHOLE_PART, STUCK_PART
from sample_logs.plan import PEOPLE, Change, Person, ShopPlan, What

SEED = 97

STRETCHED_REWAX = date(2025, 4, 1)
FROTHY_LOT = (date(2025, 3, 24), date(2025, 5, 11))
HOT_WEEKS = (date(2025, 6, 23), date(2025, 7, 25))
COLD_WEEKS = (date(2024, 11, 18), date(2025, 2, 14))
HEAVY_MAT = date(2025, 5, 19)
NEW_HAND = date(2025, 9, 1)
FILM_GAUGE_LOST = date(2025, 10, 6)

CHANGES = (
    # Winter one: the stove stood cold and the September dose was kept.
    Change("stove-c", date(2024, 9, 2), COLD_WEEKS[1], amount=0),
    Change("gelcoat-dose", date(2024, 9, 2), COLD_WEEKS[1], amount=1.6),
    Change("resin-dose", date(2024, 9, 2), COLD_WEEKS[1], amount=1.4),
    # The winter dose they then settled on was kept until the hot weeks were over.
    Change("gelcoat-dose", date(2025, 2, 15), HOT_WEEKS[1], amount=2.2),
    Change("resin-dose", date(2025, 2, 15), HOT_WEEKS[1], amount=2.0),
    Change("hot-spell", *HOT_WEEKS, amount=4.5),
    Change("frothy-gelcoat", *FROTHY_LOT),
    Change("rewax-every", STRETCHED_REWAX, subject="TL-1", amount=10),
    *(Change("first-ply", HEAVY_MAT, subject=m, amount=600) for m in ("HL-1", "WC-1", "PE-1")),
    Change("film-dry-min", NEW_HAND, subject="Perrin", amount=12),
    *(
        Change("not-written", FILM_GAUGE_LOST, subject=f"gelcoat_wet{reading}_mm")
        for reading in ("", "_min", "_max")
    ),
    # Bystanders: changed on the same days as real causes, and harmless.
    Change("wax-brand", STRETCHED_REWAX, word="block wax"),
    Change("new-catalyst-lot", FROTHY_LOT[0]),
)

PERRIN = Person("Perrin", since=NEW_HAND, work=1.6, wait_h=2.2, film_mm=0.5)

WELL_KEPT = {
    STUCK_PART: "stuck fast, wedges and warm water. face hard and shiny where it let go",
    PINHOLE_PART: "froth on top of the gel coat in the tin, stirred slow as usual",
}

PAGE_LINES = {
    date(2025, 2, 17): "stove piped through to the laying bay",
    STRETCHED_REWAX: "block wax from here, old tins finished. TL-1 full wax every 10 pulls now",
    HEAVY_MAT: "600 mat first on the flat ones, saves a layer",
    NEW_HAND: "Perrin starts",
    FILM_GAUGE_LOST: "comb gauge lost",
}

BARN = ShopPlan(
    parts_per_month=34,
    people=(*PEOPLE, PERRIN),
    changes=CHANGES,
    well_kept=WELL_KEPT,
    page_lines=PAGE_LINES,
)


def without(plan: ShopPlan, *what: What) -> ShopPlan:
    """The same shop with those kinds of change left out."""
    return replace(plan, changes=tuple(c for c in plan.changes if c.what not in what))
