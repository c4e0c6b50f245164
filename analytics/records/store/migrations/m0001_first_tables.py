"""Migration 1: every table of the first version, from lists frozen on that day."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

_TYPES: dict[str, type[sa.types.TypeEngine[Any]]] = {
    "text": sa.Text,
    "number": sa.Double,
    "whole": sa.Integer,
    "yes_no": sa.Boolean,
    "date": sa.Date,
    "datetime": sa.DateTime,
    "bytes": sa.LargeBinary,
}

_RECORDS = {
    "part": """
        part_id text!, date date, start_time text, operator text, mould_id text, product text,
        colour text, mould_pulls_total number, pulls_since_renewal number, mould_condition text,
        mould_draft text, release_system text, wax_type text, wax_coats number,
        wax_wait_min number, wax_final_wait_min number, pva_used yes_no, pva_dry_min number,
        pva_coverage text, gelcoat_batch_id text, resin_batch_id text, gelcoat_method text,
        gelcoat_wet_mm number, gelcoat_wet_min_mm number, gelcoat_wet_max_mm number,
        backup_hours number, ply_schedule text, plies_in_session number, first_ply_g_m2 number,
        session_mm number, laying_min number, glass_kg number, resin_kg number, area_m2 number,
        air_c number, humidity_pct number, mould_c number, waxed_topcoat yes_no,
        exotherm_peak_c number, barcol number, trim_hours number, demould_hours number,
        demould_effort number, defects text, outcome text, rework_min number, cost number,
        notes text, looked yes_no
    """,
    "batch": """
        batch_id text!, date date, time text, material text, product text, lot text,
        lot_age_months number, mass_kg number, catalyst_pct number, catalyst_basis text,
        catalyst_lot text, mix_method text, mix_min number, rest_min number, air_c number,
        material_c number, mould_c number, humidity_pct number, gel_min number, gel_where text,
        operator text, notes text
    """,
    "lot": """
        lot text!, material text, product text, received date, opened date, expires date,
        sheet_low_pct number, sheet_high_pct number, sheet_gel_min number, sheet_gel_c number,
        sheet_gel_pct number, density_g_ml number, notes text
    """,
    "mould": """
        mould_id text!, product text, made date, area_m2 number, surface text, draft text,
        deep yes_no, corner_radius_mm number, last_renewal date, notes text
    """,
    "logger": "logger_id text!, timestamp datetime!, air_c number, humidity_pct number",
}
_ORIGIN = "file text, sheet text, row whole, raw text"

_KEYS = {
    "part": ("part_id",),
    "batch": ("batch_id",),
    "lot": ("lot",),
    "mould": ("mould_id",),
    "logger": ("logger_id", "timestamp"),
}

_BOOKS = {
    "imports": """
        id whole#, file text!, sha256 text, at datetime!, new whole!, unchanged whole!,
        changed whole!, builds_on text!, problems text!, report text!, undone_at datetime
    """,
    "history": """
        id whole#, import_id whole!, record text!, record_id whole!, key text!, field text!,
        old text, new text, old_raw text, changed_at datetime!
    """,
    "placement": "header text#, target text!, unit text",
    "setting": "name text#, value text!",
    "confirmation": """
        id whole#, part_id text!, defect text!, cause text!, at datetime!, withdrawn_at datetime
    """,
    "observation": """
        id whole#, part_id text!, bench_check text!, result text!, at datetime!,
        withdrawn_at datetime
    """,
    "cache": "key text#, fingerprint text!, content bytes!",
    "defect": "id whole#, part_id text!, defect text!, severity text, place text, words text",
}


def apply(connection: Connection) -> None:
    """Create the first version's tables in an empty database."""
    metadata = sa.MetaData()
    sa.Table(
        "laylog_migration",
        metadata,
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        *_columns("title text!, applied_at datetime!"),
    )
    revision = sa.Table(
        "revision",
        metadata,
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        *_columns("number whole!"),
    )
    for name, columns in _BOOKS.items():
        sa.Table(name, metadata, *_columns(columns))
    for name, columns in _RECORDS.items():
        _add_record(metadata, name, columns)
    _link(metadata)
    metadata.create_all(connection, checkfirst=False)
    connection.execute(sa.insert(revision), {"id": 1, "number": 0})


def _columns(text: str) -> list[sa.Column[Any]]:
    """Columns from "name type" pairs; "!" marks one that must be filled, "#" the primary key."""
    made = []
    for pair in text.split(","):
        name, kind = pair.split()
        made.append(
            sa.Column(
                name,
                _TYPES[kind.rstrip("!#")],
                primary_key=kind.endswith("#"),
                nullable=not kind.endswith(("!", "#")),
            )
        )
    return made


def _add_record(metadata: sa.MetaData, name: str, columns: str) -> None:
    sa.Table(
        name,
        metadata,
        *_columns("id whole#"),
        *_columns(columns),
        *_columns(_ORIGIN),
        sa.Column("import_id", sa.ForeignKey("imports.id"), nullable=False, index=True),
        sa.Column("changed_id", sa.ForeignKey("imports.id"), nullable=False),
        sa.UniqueConstraint(*_KEYS[name], name=f"uq_{name}"),
    )


def _link(metadata: sa.MetaData) -> None:
    tables = metadata.tables
    history, defect = tables["history"], tables["defect"]
    history.append_constraint(sa.ForeignKeyConstraint(["import_id"], ["imports.id"]))
    defect.append_constraint(
        sa.ForeignKeyConstraint(["part_id"], ["part.part_id"], ondelete="CASCADE")
    )
    sa.Index("ix_history_import_id", history.c.import_id)
    sa.Index("ix_history_record", history.c.record, history.c.key)
    for name in ("defect", "confirmation", "observation"):
        sa.Index(f"ix_{name}_part_id", tables[name].c.part_id)
