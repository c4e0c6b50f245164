"""A small log made here: a winter, two moulds, a release that wears out on one of them."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from io import StringIO

HOSTILE_PART = "<script>window.hacked=1</script>"
HOSTILE_NOTE = "=cmd|'/c calc'!A0 \"quoted\" <img src=x onerror=window.hacked=1>"
STUCK = "P-071"
HEADS = (
    "Part no", "Date", "Mould", "Pulls since renewal", "Wax coats", "PVA used", "Gel coat wet mm",
    "Gel coat catalyst %", "Gel time min", "Air C", "Humidity %", "Demould h", "Result", "Faults",
    "Zorble", "Notes",
)  # fmt: skip


def small_log() -> str:
    """The log as CSV text: 90 parts, one a day from 28 December 2023, one row each.

    On mould M07 the release is renewed every 12 pulls and parts stick from the 8th on; M02 is
    renewed every 6 and never sticks. Every tenth part has pinholes.
    """
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(HEADS)
    for number in range(1, 91):
        writer.writerow(_row(number))
    return out.getvalue()


def _row(number: int) -> tuple[object, ...]:
    worn = number % 2 == 1
    pulls = (number // 2) % (12 if worn else 6) + 1
    faults = [*(["stuck in patches"] if worn and pulls >= 8 else []),
              *(["pinholes"] if number % 10 == 0 else [])]  # fmt: skip
    air_c = 15 + number % 7
    return (
        HOSTILE_PART if number == 90 else f"P-{number:03d}",
        (date(2023, 12, 28) + timedelta(days=number - 1)).isoformat(),
        "M07" if worn else "M02", pulls, 4, "no", 0.5, 1.8, round(19 - 0.5 * (air_c - 15), 1),
        air_c, 55 + number % 9, 20, "rework" if faults else "good",
        ", ".join(faults) or "none", number % 5, HOSTILE_NOTE if number >= 89 else "",
    )  # fmt: skip
