"""Finishing a job: its proof, and what it changes in the book's standing facts."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from wheelside import __version__
from wheelside.book.book import identity_of
from wheelside.book.entry import View
from wheelside.book.events import Event, Happened, add_events
from wheelside.book.facts import as_table, facts_now, replace_facts
from wheelside.book.jobs import FINISHED, end_job, job_of
from wheelside.book.photos import read_photo
from wheelside.errors import BadRequest, NotThere
from wheelside.garage.file import checked
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import present
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import joinings_between
from wheelside.jobs.work.doing import Doing, doing_in
from wheelside.jobs.work.settle import Ended, Unfinished, left_by, settled_facts, was_taught
from wheelside.jobs.work.tyres import all_tyres
from wheelside.proof.page import proof_page
from wheelside.proof.plain import claims_json, record_json, sealed_start
from wheelside.proof.record import RULES, record_of
from wheelside.proof.seal import sealed
from wheelside.proof.shown import shown_by
from wheelside.proof.tyres import TYRES, TyreSealed, tyres_json
from wheelside.proof.view import photo_names
from wheelside.sheet.ask import Tells
from wheelside.sheet.option import Codes
from wheelside.units.moment import Moment

Json = dict[str, Any]


def settling(desk: Desk, now: Doing) -> Ended:
    """What finishing the job now would do."""
    loaded = desk.loaded()
    return settled_facts(now, loaded.garage, loaded.table, desk.clock())


def finish(
    desk: Desk,
    job: str,
    *,
    put_right: bool = True,
    leave_open: bool = False,
    bits: int | None = None,
    person: str = "",
    via: str = "page",
) -> str:
    """Ends a job: seals its proof, and puts what it changed into the book where `put_right`. The proof as JSON text.

    One transaction does all of it. `leave_open`: even with steps that are not done. `bits`: the width of
    IDs that can be read in several ways. Raises StillOpen where there are such,
    BadRequest for a job that there is not, or that has ended.
    """
    with desk.writing(f"job finished: {job}", person=person, via=via) as writing:
        now = doing_in(writing.conn, job)
        if not now.open:
            raise BadRequest("this job has ended already; its proof stands", found=now.row.outcome or "")
        table = as_table(facts_now(writing.conn))
        before = checked(table, desk.book.name)
        wanted = settled_facts(now, before, table, writing.at, bits)
        if wanted.unfinished and not leave_open:
            raise StillOpen(wanted.unfinished)
        after = checked(wanted.table, desk.book.name) if put_right else before
        proof = _proof(desk, writing.conn, now, after)
        if put_right:
            replace_facts(writing, wanted.table)
            add_events(writing, joinings_between(before, after, writing.at))
            add_events(writing, list(_of_the_car(now, writing.at)))
        text = json.dumps(proof, ensure_ascii=False)
        end_job(writing, job, FINISHED, text)
    return text


class StillOpen(BadRequest):
    """A job that is to be finished while steps are open."""

    def __init__(self, unfinished: tuple[Unfinished, ...]) -> None:
        said = "; ".join(one.title for one in unfinished[:3]) + (
            f"; and {len(unfinished) - 3} more" if len(unfinished) > 3 else ""
        )
        super().__init__(f"{len(unfinished)} steps are not done ({said}): do them, or say that they stay open")
        self.unfinished = unfinished


def _of_the_car(now: Doing, at: Moment) -> Iterator[Event]:
    """What happened to the car: taught, and its codes gone since the work began."""
    shown = shown_by(now.states)
    if was_taught(now, shown):
        yield Event(Happened.TAUGHT, at, car=now.start.car, set=now.start.coming, job=now.row.id)
    before = [s.answer.said for s in shown if s.tells is Tells.CODES_BEFORE]
    after = [s.answer.said for s in shown if s.tells is Tells.CODES_AFTER]
    if before and after and (before[-1], after[-1]) == (Codes.SOME, Codes.NONE):
        yield Event(Happened.CHECKED, at, car=now.start.car, job=now.row.id, detail={"codes": "gone"})


def give_up(desk: Desk, job: str, reason: str, *, person: str = "", via: str = "page") -> None:
    """Ends a job without a proof; its evidence stays, and what it did to wheels, sensors and lists. Raises BadRequest."""
    with desk.writing(f"job given up: {reason}", person=person, via=via) as writing:
        now = doing_in(writing.conn, job)
        if not now.open:
            raise BadRequest("this job has ended already", found=now.row.outcome or "")
        table = as_table(facts_now(writing.conn))
        before = checked(table, desk.book.name)
        left = left_by(now, before, table, writing.at)
        if left != table:
            replace_facts(writing, left)
            add_events(writing, joinings_between(before, checked(left, desk.book.name), writing.at))
        end_job(writing, job, "given up", None)


def _proof(desk: Desk, conn: View, now: Doing, after: Garage) -> Json:
    """The proof of a job as it stands; `after`: the garage that it leaves."""
    book, seal = identity_of(conn)
    about: Json = {
        "program": __version__, "rules": RULES, "book": book, "job": now.row.id, "begun": now.row.begun.iso(),
        "ended": desk.clock().iso(),
    }  # fmt: skip
    tyres = tyres_json(_tyres(desk, conn, now, after))
    if tyres:
        about[TYRES] = tyres
    record = record_json(record_of(now.start, now.claims))
    return sealed(about, sealed_start(now.start), record, claims_json(now.claims), seal)


def _tyres(desk: Desk, conn: View, now: Doing, after: Garage) -> Iterator[TyreSealed]:
    """What is said of the tyres of a job's wheels as it is finished."""
    at, wheels = desk.clock(), {w.wheel for w in now.start.wheels}
    for t in all_tyres(conn, after, present(without_offers(after), at.day), at, wheels).tyres:
        if t.wheel in wheels:
            yield TyreSealed(t.wheel, t.name, t.corner.value if t.corner else "", at.day, t.says)


def proof_of(desk: Desk, job: str) -> Json:
    """The proof of a finished job. Raises BadRequest where there is none."""
    with desk.book.reading() as conn:
        row = job_of(conn, job)
    if row is None or row.proof is None:
        raise NotThere("this job has no proof: it is not finished", found=job[:40], expected="a finished job")
    proof: Json = json.loads(row.proof)
    return proof


def photos_for(desk: Desk, proof: Json) -> dict[str, bytes]:
    """Those photos of a proof that are at hand."""
    found = {name: read_photo(desk.photos, name) for name in photo_names(proof)}
    return {name: data for name, data in found.items() if data is not None}


def page_of(desk: Desk, proof: Json) -> str:
    """The page of a proof of this book, with its photos, signed as it is drawn now."""
    with desk.book.reading() as conn:
        _, seal = identity_of(conn)
    return proof_page(proof, photos_for(desk, proof), seal)
