"""Browsers that are let in by one-time keys."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the tables."""
    op.create_table(
        "door_key", sa.Column("digest", sa.Text, primary_key=True), sa.Column("made_at", BIG, nullable=False),
        sa.Column("until", BIG, nullable=False), sa.Column("used_at", BIG),
        sa.Column("goes_to", sa.Text, nullable=False), sqlite_strict=True,
    )  # fmt: skip
    op.create_table(
        "visitor", sa.Column("id", sa.Text, primary_key=True), sa.Column("digest", sa.Text, nullable=False, unique=True),
        sa.Column("label", sa.Text, nullable=False), sa.Column("person", sa.Text, nullable=False),
        sa.Column("made_at", BIG, nullable=False), sa.Column("seen_at", BIG, nullable=False),
        sa.Column("ended_at", BIG), sqlite_strict=True,
    )  # fmt: skip
