"""Jobs: each with the plan and run sheet that it began with, and how it ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, case, func, literal, select

from wheelside.book import tables
from wheelside.book.checksum import put
from wheelside.book.entry import Writing
from wheelside.units.moment import Moment

FINISHED = "finished"
"""The outcome of a job that has a proof."""


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job. `body` is what it began with, as JSON; `outcome` is None while it is open, `proof` its proof as JSON.

    In lists of jobs `body` is left empty, and `proof` is left empty where there is one.
    """

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
    put(writing.conn, tables.job, {"id": job, "entry": writing.entry, "title": title, "day": day, "body": body})


def end_job(writing: Writing, job: str, outcome: str, proof: str | None) -> None:
    """Notes how a job ended. A job ends once."""
    put(writing.conn, tables.job_end, {"job": job, "entry": writing.entry, "outcome": outcome, "proof": proof})


def jobs_of(conn: Connection) -> tuple[JobRow, ...]:
    """Every job, newest first."""
    return tuple(_job(row) for row in conn.execute(_SHORT.order_by(tables.job.c.entry.desc())))


def job_of(conn: Connection, job: str) -> JobRow | None:
    """One job; None where there is none of this id."""
    row = conn.execute(_QUERY.where(tables.job.c.id == job)).first()
    return None if row is None else _job(row)


_ENDED = tables.entry.alias("ended")
_j, _e = tables.job.c, tables.job_end.c
_HEAD = (
    _j.id, _j.title, _j.day, tables.entry.c.at.label("begun"), tables.entry.c.offset_min, _e.outcome,
    _ENDED.c.at.label("ended"), _ENDED.c.offset_min.label("ended_offset"),
)  # fmt: skip


def _joined(*more: Any) -> Any:
    return (
        select(*_HEAD, *more)
        .select_from(tables.job)
        .join(tables.entry, tables.entry.c.num == tables.job.c.entry)
        .join(tables.job_end, tables.job_end.c.job == tables.job.c.id, isouter=True)
        .join(_ENDED, _ENDED.c.num == tables.job_end.c.entry, isouter=True)
    )


_QUERY = _joined(_j.body, _e.proof)
_SHORT = _joined(literal("").label("body"), case((_e.proof.is_(None), None), else_="").label("proof"))  # fmt: skip


def _job(row: Row[Any]) -> JobRow:
    ended = None if row.ended is None else Moment(row.ended, row.ended_offset)
    begun = Moment(row.begun, row.offset_min)
    return JobRow(row.id, row.title, row.day, begun, row.body, row.outcome, ended, row.proof)


def job_mark(conn: Connection, job: str) -> tuple[int, str, str]:
    """What changes whenever a job does: the number and sender's identifier of its newest claim, and its outcome."""
    e = tables.evidence.c
    newest = select(func.max(e.num)).where(e.job == job).scalar_subquery()
    claim = conn.execute(select(e.num, e.client).where(e.num == newest)).first()
    outcome = conn.execute(select(_e.outcome).where(_e.job == job)).scalar()
    return (claim.num, claim.client, outcome or "") if claim else (0, "", outcome or "")
