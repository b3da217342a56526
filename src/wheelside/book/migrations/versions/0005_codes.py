"""Jobs and their claims in codes, where they kept sentences."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from wheelside.book.older import asks_of, claim_in_codes, job_in_codes

revision = "0005"
down_revision = "0004"

_JOB = sa.table("job", sa.column("id", sa.Text), sa.column("title", sa.Text), sa.column("body", sa.Text))
_CLAIM = sa.table(
    "evidence",
    sa.column("num", sa.BigInteger),
    sa.column("job", sa.Text),
    sa.column("step", sa.Text),
    sa.column("body", sa.Text),
)


def upgrade() -> None:
    """Rewrites each job and its claims. Proofs are sealed, and stay as they are."""
    conn = op.get_bind()
    for job in conn.execute(sa.select(_JOB)).all():
        body, title = job_in_codes(job.body)
        if not title:
            continue
        conn.execute(sa.update(_JOB).where(_JOB.c.id == job.id).values(body=body, title=title))
        asks = asks_of(job.body)
        for claim in conn.execute(sa.select(_CLAIM).where(_CLAIM.c.job == job.id)).all():
            new = claim_in_codes(claim.body, asks.get(claim.step, {}))
            if new != claim.body:
                conn.execute(sa.update(_CLAIM).where(_CLAIM.c.num == claim.num).values(body=new))
