"""The store's tables as this version of laylog uses them, built from the field dictionary."""

from __future__ import annotations

from functools import lru_cache
from threading import Lock
from typing import Any

import sqlalchemy as sa

from analytics.records.fields import RECORDS, dictionary

KEYS = {
    "part": ("part_id",),
    "batch": ("batch_id",),
    "lot": ("lot",),
    "mould": ("mould_id",),
    "logger": ("logger_id", "timestamp"),
}
"""The columns that tell one record from another."""

_SQL_TYPES: dict[str, type[sa.types.TypeEngine[Any]]] = {
    "text": sa.Text,
    "choice": sa.Text,
    "time": sa.Text,
    "defects": sa.Text,
    "number": sa.Double,
    "yes_no": sa.Boolean,
    "date": sa.Date,
    "datetime": sa.DateTime,
}

metadata = sa.MetaData()

migration = sa.Table(
    "laylog_migration",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("title", sa.Text, nullable=False),
    sa.Column("applied_at", sa.DateTime, nullable=False),
)

BY_HAND = "by hand, "
"""How the file of an import is called that somebody typed in."""

revision = sa.Table(
    "revision",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("number", sa.Integer, nullable=False),
)

imports = sa.Table(
    "imports",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("file", sa.Text, nullable=False),
    sa.Column("sha256", sa.Text),
    sa.Column("at", sa.DateTime, nullable=False),
    sa.Column("new", sa.Integer, nullable=False),
    sa.Column("unchanged", sa.Integer, nullable=False),
    sa.Column("changed", sa.Integer, nullable=False),
    sa.Column("builds_on", sa.Text, nullable=False),
    sa.Column("problems", sa.Text, nullable=False),
    sa.Column("report", sa.Text, nullable=False),
    sa.Column("undone_at", sa.DateTime),
)

history = sa.Table(
    "history",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("import_id", sa.ForeignKey("imports.id"), nullable=False, index=True),
    sa.Column("record", sa.Text, nullable=False),
    sa.Column("record_id", sa.Integer, nullable=False),
    sa.Column("key", sa.Text, nullable=False),
    sa.Column("field", sa.Text, nullable=False),
    sa.Column("old", sa.Text),
    sa.Column("new", sa.Text),
    sa.Column("old_raw", sa.Text),
    sa.Column("changed_at", sa.DateTime, nullable=False),
    sa.Index("ix_history_record", "record", "key"),
)

placement = sa.Table(
    "placement",
    metadata,
    sa.Column("header", sa.Text, primary_key=True),
    sa.Column("target", sa.Text, nullable=False),
    sa.Column("unit", sa.Text),
)

setting = sa.Table(
    "setting",
    metadata,
    sa.Column("name", sa.Text, primary_key=True),
    sa.Column("value", sa.Text, nullable=False),
)

confirmation = sa.Table(
    "confirmation",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("part_id", sa.Text, nullable=False, index=True),
    sa.Column("defect", sa.Text, nullable=False),
    sa.Column("cause", sa.Text, nullable=False),
    sa.Column("at", sa.DateTime, nullable=False),
    sa.Column("withdrawn_at", sa.DateTime),
)

observation = sa.Table(
    "observation",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("part_id", sa.Text, nullable=False, index=True),
    sa.Column("bench_check", sa.Text, nullable=False),
    sa.Column("result", sa.Text, nullable=False),
    sa.Column("at", sa.DateTime, nullable=False),
    sa.Column("withdrawn_at", sa.DateTime),
)

entry = sa.Table(
    "entry",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("content", sa.Text, nullable=False),
    sa.Column("at", sa.DateTime, nullable=False),
    sa.Column("withdrawn_at", sa.DateTime),
    sa.Index("ix_entry_kind_name", "kind", "name"),
)

cache = sa.Table(
    "cache",
    metadata,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("fingerprint", sa.Text, nullable=False),
    sa.Column("content", sa.LargeBinary, nullable=False),
)


KEPT_VALUES = tuple(f"v{number:02d}" for number in range(1, 49))
"""Columns for the values that kept jobs are searched by; more of them than are in use today."""

kept_job = sa.Table(
    "kept_job",
    metadata,
    sa.Column("place", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("part_id", sa.Text, nullable=False, index=True),
    sa.Column("mould_id", sa.Text),
    sa.Column("good", sa.Boolean, nullable=False),
    *(sa.Column(name, sa.Double) for name in KEPT_VALUES),
    sa.Index("ix_kept_job_mould", "mould_id", "place"),
)


_ONE_AT_A_TIME = Lock()


def record_tables() -> dict[str, sa.Table]:
    """The five record tables by record, and "defect", the faults of each part."""
    # two threads that ask first at the same moment must not both define the tables
    with _ONE_AT_A_TIME:
        return _record_tables()


@lru_cache(maxsize=1)
def _record_tables() -> dict[str, sa.Table]:
    tables = {record: _record_table(record) for record in RECORDS}
    tables["defect"] = sa.Table(
        "defect",
        metadata,
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column(
            "part_id",
            sa.ForeignKey("part.part_id", ondelete="CASCADE"),
            nullable=False,
            index=True,
        ),
        sa.Column("defect", sa.Text, nullable=False),
        sa.Column("severity", sa.Text),
        sa.Column("place", sa.Text),
        sa.Column("words", sa.Text),
    )
    return tables


def all_tables() -> sa.MetaData:
    """Every table of a store of this version."""
    record_tables()
    return metadata


def _record_table(record: str) -> sa.Table:
    keys = KEYS[record]
    own = [
        sa.Column(field.id, _SQL_TYPES[field.kind], nullable=field.id not in keys)
        for field in dictionary().of(record)
    ]
    looked = [sa.Column("looked", sa.Boolean)] if record == "part" else []
    return sa.Table(
        record,
        metadata,
        sa.Column("id", sa.Integer, primary_key=True),
        *own,
        *looked,
        sa.Column("file", sa.Text),
        sa.Column("sheet", sa.Text),
        sa.Column("row", sa.Integer),
        sa.Column("raw", sa.Text),
        sa.Column("import_id", sa.ForeignKey("imports.id"), nullable=False, index=True),
        sa.Column("changed_id", sa.ForeignKey("imports.id"), nullable=False),
        sa.UniqueConstraint(*keys, name=f"uq_{record}"),
    )
