"""Evidence of jobs: what each phone claimed at each step, kept once, only ever added to."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, func, select

from wheelside.book import tables
from wheelside.book.checksum import put
from wheelside.book.entry import Writing
from wheelside.sheet.claim import Answer, Claim, ClaimKind, Kept
from wheelside.units.moment import Moment


def add_claims(writing: Writing, claims: Iterable[Claim]) -> tuple[int, ...]:
    """Keeps claims once each, by their clients' identifiers; the numbers of those that are new."""
    wanted = {claim.client: claim for claim in claims}
    known = known_clients(writing.conn, wanted)
    new = [claim for client, claim in wanted.items() if client not in known]
    first = writing.next_number(tables.evidence)
    rows = [
        {
            "num": first + i, "client": c.client, "entry": writing.entry, "job": c.job, "step": c.step, "kind": c.kind.value,
            "at": c.at.us, "spread_s": c.spread_s, "offset_min": c.at.offset_min, "person": c.person,
            "device": c.device, "seen": c.seen, "body": as_body(c),
        }
        for i, c in enumerate(new)
    ]  # fmt: skip
    put(writing.conn, tables.evidence, *rows)
    return tuple(int(row["num"]) for row in rows)


def known_clients(conn: Connection, clients: Iterable[str]) -> frozenset[str]:
    """Which of these identifiers the book has already."""
    e = tables.evidence.c
    return frozenset(conn.execute(select(e.client).where(e.client.in_(list(clients)))).scalars())


def claims_by(conn: Connection, clients: Iterable[str]) -> dict[str, Claim]:
    """The claims that came under some identifiers, whatever their job."""
    e = tables.evidence.c
    jobs = set(conn.execute(select(e.job).where(e.client.in_(list(clients)))).scalars())
    wanted = set(clients)
    return {k.claim.client: k.claim for job in jobs for k in claims_of(conn, job) if k.claim.client in wanted}


def claims_of(conn: Connection, job: str, after: int = 0) -> tuple[Kept, ...]:
    """The claims of a job whose number is greater than `after`, in the order in which they came."""
    e, n = tables.evidence, tables.entry
    query = select(e, n.c.at.label("recorded"), n.c.offset_min.label("recorded_offset")).join(n, n.c.num == e.c.entry)
    rows = conn.execute(query.where(e.c.job == job, e.c.num > after).order_by(e.c.num))
    return tuple(
        Kept(
            row.num,
            Moment(row.recorded, row.recorded_offset),
            Claim(
                client=row.client, job=row.job, step=row.step, kind=ClaimKind(row.kind), at=Moment(row.at, row.offset_min),
                person=row.person, device=row.device, seen=row.seen, spread_s=row.spread_s, **from_body(row.body),
            ),
        )
        for row in rows
    )  # fmt: skip


def last_number(conn: Connection, job: str) -> int:
    """The number of the newest claim of a job; 0 where there is none."""
    e = tables.evidence.c
    return int(conn.execute(select(func.coalesce(func.max(e.num), 0)).where(e.job == job)).scalar_one())


def as_body(claim: Claim) -> str:
    """What a claim says, as JSON text."""
    answers = [{"ask": a.ask, "said": a.said, "words": a.words, "photo": a.photo} for a in claim.answers]
    body = {"answers": answers, "reason": claim.reason, "keep": claim.keep, "instrument": claim.instrument}
    return json.dumps(body | ({"visit": claim.visit} if claim.visit else {}), ensure_ascii=False)


def from_body(text: str) -> dict[str, Any]:
    """The parts of a claim that its JSON text holds."""
    body: dict[str, Any] = json.loads(text)
    return {**body, "answers": tuple(Answer(**answer) for answer in body["answers"])}
