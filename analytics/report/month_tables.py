"""The month in review as tables for a spreadsheet: nothing in them can run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.export import as_csv, as_xlsx, write_whole
from analytics.month.answer import MonthReview, Share

if TYPE_CHECKING:
    import pandas as pd

ENDINGS = (".csv", ".xlsx")


def month_tables(review: MonthReview) -> Mapping[str, pd.DataFrame]:
    """The review's tables by name; every row begins with the month, blanks are unknown.

    Shares are 0 to 1, hours and °C are in the heading, days are days.
    """
    rows = {
        "totals": [_totals(one) for one in review.totals],
        "faults": [_fault(one) for one in review.defects],
        "causes": [_cause(one) for one in review.causes],
        "changes": [_signal(one) for one in review.signals],
        "actions": [_action(one) for one in review.actions],
        "days": [_day(one) for one in review.days],
    }
    return {name: _frame(review.month, kept) for name, kept in rows.items() if kept}


def tables_file(review: MonthReview, path: Path, *, replace: bool) -> Path:
    """The file written: a workbook of a sheet a table, or all of them in one CSV, named in `table`.

    Raises QuestionError for another ending, FileError where the file is there or cannot be written.
    """
    import pandas as pd

    kind, tables = path.suffix.lower(), month_tables(review)
    if kind not in ENDINGS:
        raise QuestionError(f"{path.name} is no table's name: it must end in .csv or .xlsx.")
    if kind == ".xlsx":
        return write_whole(path, as_xlsx(tables), replace)
    named = [table.assign(table=name) for name, table in tables.items()]
    whole = pd.concat(named, ignore_index=True)
    first = ["table", *(name for name in whole.columns if name != "table")]
    return write_whole(path, as_csv(whole[first]), replace)


def _frame(month: str, rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Rows as a table; a column of figures or days keeps its kind where some are unknown."""
    import pandas as pd

    made = pd.DataFrame([{"month": month, **row} for row in rows])
    for name in made.columns:
        seen = {type(value) for value in made[name] if value is not None and value == value}
        if seen and seen <= {int, float}:
            made[name] = made[name].astype("float64")
        elif not seen & {str}:
            made[name] = pd.to_datetime(made[name])
        else:
            made[name] = made[name].astype("str")
    return made


def _share(share: Share, name: str) -> dict[str, Any]:
    return {
        f"{name}_parts": share.count, f"{name}_out_of": share.out_of,
        f"{name}_share": share.share, f"{name}_low": share.low, f"{name}_high": share.high,
    }  # fmt: skip


def _totals(one: Any) -> dict[str, Any]:
    return {
        "what": one.period, "months": one.months, "parts": one.parts, **_share(one.good, "good"),
        "scrap": one.scrap, "rework_hours": one.rework_hours, "cost": one.cost,
    }  # fmt: skip


def _fault(one: Any) -> dict[str, Any]:
    return {
        "what": one.title, "verdict": one.verdict, **_share(one.this_month, "with_it"),
        **_share(one.usual, "usual"), "q_value": one.q_value, "scrap": one.scrap,
        "rework_hours": one.rework_hours, "cost": one.cost,
    }  # fmt: skip


def _cause(one: Any) -> dict[str, Any]:
    return {
        "what": one.title, "faults_owed": one.expected, "faults_low": one.low,
        "faults_high": one.high, "confirmed": one.confirmed, "last_month": one.last_month,
        "year_ago": one.year_ago, "usual_month": one.usual, "scrap": one.scrap,
        "rework_hours": one.rework_hours, "cost": one.cost,
    }  # fmt: skip


def _signal(one: Any) -> dict[str, Any]:
    return {
        "what": one.subject, "kind": one.kind, "since": one.since, "strength": one.strength,
        "parts": one.jobs, "text": one.text, "at_the_same_time": "; ".join(one.confounded_with),
    }  # fmt: skip


def _action(one: Any) -> dict[str, Any]:
    return {
        "what": one.name, "since": one.since, "hope": one.hope_title, "verdict": one.verdict,
        **_share(one.before, "before"), **_share(one.after, "after"), "needed": one.needed,
        "text": one.text, "at_the_same_time": "; ".join(one.together),
    }  # fmt: skip


def _day(one: Any) -> dict[str, Any]:
    return {
        "date": one.date, "parts": one.parts, "good": one.good, "faulty": one.faulty,
        "unknown": one.unknown, "air_c": one.air_c, "humidity_pct": one.humidity_pct,
        "dew_margin_c": one.dew_margin_c,
    }  # fmt: skip
