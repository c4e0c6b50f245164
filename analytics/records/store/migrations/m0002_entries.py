"""Migration 2: a table of dated entries, for what a shop plans, tries and decides."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import Connection


def apply(connection: Connection) -> None:
    """Add the table to a store of version 1."""
    metadata = sa.MetaData()
    sa.Table(
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
    metadata.create_all(connection)
