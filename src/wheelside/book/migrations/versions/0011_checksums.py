"""A checksum in every row, so that damage is noticed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from wheelside.book.checksum import checksum_of

revision = "0011"
down_revision = "0010"

BIG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
TABLES = (
    "book", "entry", "fact", "garage_text", "thing", "job", "job_end", "event", "reading", "mistaken", "evidence", "reservation",
    "door_key", "visitor", "shop_link", "car_record", "car_lock",
)  # fmt: skip
CHUNK = 5_000


def upgrade() -> None:
    """Adds the column and fills it."""
    conn = op.get_bind()
    for name in TABLES:
        op.add_column(name, sa.Column("checksum", BIG))
        found = sa.Table(name, sa.MetaData(), autoload_with=conn)
        columns = [c for c in found.columns if c.name != "checksum"]
        names = [c.name for c in columns]
        keys = list(found.primary_key.columns)
        same = [key == sa.bindparam(f"key_{key.name}") for key in keys]
        change = sa.update(found).where(*same).values(checksum=sa.bindparam("sum"))
        rows = conn.execute(sa.select(*columns)).all()
        for at in range(0, len(rows), CHUNK):
            sums = [
                {**{f"key_{k.name}": row[names.index(k.name)] for k in keys}, "sum": checksum_of(name, row)}
                for row in rows[at : at + CHUNK]
            ]
            conn.execute(change, sums)
