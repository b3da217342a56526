"""Jobs: each with the plan and run sheet that it began with, and how it ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from wheelside.book import tables
from wheelside.book.entry import Writing
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job. `body` is what it began with, as JSON; `outcome` is None while it is open, `proof` its proof as JSON."""

    id: str
    title: str
    day: str
    begun: Moment
    body: str
    outcome: str | None
    ended: Moment | None
    proof: str | None


def begin_job(writing: Writing, job: str, title: str, day: str, body: str) -> None:
    """Keeps a job with what it begins with."""
    writing.conn.execute(insert(tables.job).values(id=job, entry=writing.entry, title=title, day=day, body=body))


def end_job(writing: Writing, job: str, outcome: str, proof: str | None) -> None:
    """Notes how a job ended. A job ends once."""
    writing.conn.execute(insert(tables.job_end).values(job=job, entry=writing.entry, outcome=outcome, proof=proof))


def jobs_of(conn: Connection) -> tuple[JobRow, ...]:
    """Every job, newest first."""
    return tuple(_job(row) for row in conn.execute(_QUERY.order_by(tables.job.c.entry.desc())))


def job_of(conn: Connection, job: str) -> JobRow | None:
    """One job; None where there is none of this id."""
    row = conn.execute(_QUERY.where(tables.job.c.id == job)).first()
    return None if row is None else _job(row)


_ENDED = tables.entry.alias("ended")
_QUERY = (
    select(
        tables.job, tables.entry.c.at.label("begun"), tables.entry.c.offset_min, tables.job_end.c.outcome,
        tables.job_end.c.proof, _ENDED.c.at.label("ended"), _ENDED.c.offset_min.label("ended_offset"),
    )
    .join(tables.entry, tables.entry.c.num == tables.job.c.entry)
    .join(tables.job_end, tables.job_end.c.job == tables.job.c.id, isouter=True)
    .join(_ENDED, _ENDED.c.num == tables.job_end.c.entry, isouter=True)
)  # fmt: skip


def _job(row: Row[Any]) -> JobRow:
    ended = None if row.ended is None else Moment(row.ended, row.ended_offset)
    begun = Moment(row.begun, row.offset_min)
    return JobRow(row.id, row.title, row.day, begun, row.body, row.outcome, ended, row.proof)
