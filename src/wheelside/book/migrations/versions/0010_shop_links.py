"""Links by which a tyre shop sees the note of one job, and answers it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the table."""
    op.create_table(
        "shop_link", sa.Column("id", sa.Text, primary_key=True), sa.Column("digest", sa.Text, nullable=False, unique=True),
        sa.Column("job", sa.Text, sa.ForeignKey("job.id"), nullable=False), sa.Column("made_at", BIG, nullable=False),
        sa.Column("until", BIG, nullable=False), sa.Column("ended_at", BIG), sqlite_strict=True,
    )  # fmt: skip
