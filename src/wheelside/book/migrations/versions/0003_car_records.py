"""What was read from cars and written to them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
SMALL = sa.SmallInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the table."""
    op.create_table(
        "car_record", sa.Column("num", BIG, primary_key=True, autoincrement=False), sa.Column("car", sa.Text, nullable=False),
        sa.Column("visit", sa.Text, nullable=False), sa.Column("at", BIG, nullable=False), sa.Column("offset_min", SMALL, nullable=False),
        sa.Column("what", sa.Text, nullable=False), sa.Column("body", sa.Text, nullable=False),
        sa.Column("entry", BIG, sa.ForeignKey("entry.num"), nullable=False), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("car_record_car", "car_record", ["car", "num"])
