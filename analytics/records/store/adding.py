"""Records no import has brought before, put into the store's tables."""

from __future__ import annotations

import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
from sqlalchemy.engine import Connection

from analytics.records.log import DEFECT_COLUMNS, columns_of
from analytics.records.store import tables as t
from analytics.records.store.bulk import add_rows, add_table
from analytics.records.store.comparing import Difference, findings
from analytics.records.store.values import FINDINGS, as_arrow

_ORIGINS = ("file", "sheet")


def add_new(connection: Connection, difference: Difference, import_id: int) -> None:
    """Add what is new to its table, of parts their faults too."""
    record, new = difference.record, difference.new
    if new.empty:
        return
    if record == "logger":
        # a shop with one logger need not name it, but a key must not be NULL: NULLs never clash
        new = new.assign(logger_id=new["logger_id"].fillna(""))
    rows = as_arrow(record, new, columns_of(record))
    alike = {name: rows[name][0].as_py() for name in _ORIGINS if _is_alike(rows[name])}
    same = alike | {"import_id": import_id, "changed_id": import_id}
    add_table(connection, t.record_tables()[record], rows.drop_columns(list(alike)), same)
    if record == "part":
        _add_findings(connection, new)


def _is_alike(column: pa.ChunkedArray) -> bool:
    first = column[0]
    return first.is_valid and pc.all(pc.equal(column, first), skip_nulls=False).as_py() is True


def _add_findings(connection: Connection, parts: pd.DataFrame) -> None:
    """Write the faults of new parts, which can have none yet."""
    told = parts.loc[parts[FINDINGS].notna() & (parts[FINDINGS] != "[]"), ["part_id", FINDINGS]]
    ids, texts = told["part_id"].tolist(), told[FINDINGS].tolist()
    # thousands of parts, a few hundred different faults
    by_text = {text: [tuple(fault.values()) for fault in findings(text)] for text in set(texts)}
    pairs = zip(ids, texts, strict=True)
    rows = [(part, *fault) for part, text in pairs for fault in by_text[text]]
    if rows:
        columns = list(zip(*rows, strict=True))
        add_rows(connection, t.record_tables()["defect"], DEFECT_COLUMNS, columns)
