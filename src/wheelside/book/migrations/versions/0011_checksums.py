"""A checksum in every row, so that damage is noticed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from wheelside.book.resum import SUMMED, sum_again, summing_11

revision = "0011"
down_revision = "0010"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Adds the column and fills it."""
    for name in SUMMED:
        op.add_column(name, sa.Column("checksum", BIG))
        sum_again(op.get_bind(), name, summing_11(name))
