"""Migration 3: a table to search a large log's jobs by, worked out from the records."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import Connection


def apply(connection: Connection) -> None:
    """Add the table to a store of version 2."""
    metadata = sa.MetaData()
    sa.Table(
        "kept_job",
        metadata,
        sa.Column("place", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("part_id", sa.Text, nullable=False, index=True),
        sa.Column("mould_id", sa.Text),
        sa.Column("good", sa.Boolean, nullable=False),
        *(sa.Column(f"v{number:02d}", sa.Double) for number in range(1, 49)),
        sa.Index("ix_kept_job_mould", "mould_id", "place"),
    )
    metadata.create_all(connection)
