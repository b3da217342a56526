"""What jobs began with: quantities and IDs, where it had bare figures and digits."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from wheelside.book.older_starts import start_in_quantities

revision = "0008"
down_revision = "0007"

_JOB = sa.table("job", sa.column("id", sa.Text), sa.column("body", sa.Text))


def upgrade() -> None:
    """Rewrites the start of each job. Proofs are sealed, and stay as they are."""
    conn = op.get_bind()
    for job in conn.execute(sa.select(_JOB)).all():
        conn.execute(sa.update(_JOB).where(_JOB.c.id == job.id).values(body=start_in_quantities(job.body)))
