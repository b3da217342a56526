"""How far an ID had come, as a code, where events had words."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from wheelside.book.older import state_in_codes

revision = "0009"
down_revision = "0008"

_EVENT = sa.table("event", sa.column("num", sa.BigInteger), sa.column("kind", sa.Text), sa.column("body", sa.Text))


def upgrade() -> None:
    """Rewrites what events say of an ID's state."""
    conn = op.get_bind()
    for event in conn.execute(sa.select(_EVENT).where(_EVENT.c.kind == "ID state")).all():
        new = state_in_codes(event.body)
        if new != event.body:
            conn.execute(sa.update(_EVENT).where(_EVENT.c.num == event.num).values(body=new))
