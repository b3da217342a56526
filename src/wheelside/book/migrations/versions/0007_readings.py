"""What readings were for, whether the tyre was cold, its temperature and that outside, where, and by which instrument of the garage."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import sqlite

revision = "0007"
down_revision = "0006"

REAL: sa.types.TypeEngine[float] = sa.Double().with_variant(sqlite.REAL(), "sqlite")


def upgrade() -> None:
    """Adds the columns; the rows that there are leave them empty, which reads as not known."""
    for table in ("reading", "mistaken"):
        for name in ("purpose", "warmth", "place", "instrument_id"):
            op.add_column(table, sa.Column(name, sa.Text))
        for name in ("tyre_k", "outside_k", "air_kpa"):
            op.add_column(table, sa.Column(name, REAL))
