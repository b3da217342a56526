"""Readings that were noted by mistake."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import sqlite

revision = "0004"
down_revision = "0003"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
SMALL = sa.SmallInteger().with_variant(sa.Integer(), "sqlite")
REAL: sa.types.TypeEngine[float] = sa.Double().with_variant(sqlite.REAL(), "sqlite")


def upgrade() -> None:
    """Makes the table."""
    op.create_table(
        "mistaken", sa.Column("num", BIG, primary_key=True, autoincrement=False),
        sa.Column("subject", BIG, sa.ForeignKey("thing.num"), nullable=False), sa.Column("at", BIG, nullable=False),
        sa.Column("channel", sa.Text, nullable=False), sa.Column("pressure_kpa", REAL), sa.Column("absolute", SMALL, nullable=False),
        sa.Column("temperature_k", REAL), sa.Column("battery_low", SMALL), sa.Column("instrument", sa.Text),
        sa.Column("offset_min", SMALL, nullable=False), sa.Column("entry", BIG, sa.ForeignKey("entry.num"), nullable=False),
        sa.Column("marked", BIG, sa.ForeignKey("entry.num"), nullable=False), sa.Column("why", sa.Text, nullable=False),
        sqlite_strict=True,
    )  # fmt: skip
    op.create_index("mistaken_of_subject", "mistaken", ["subject", "at"])
