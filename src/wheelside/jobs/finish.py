"""Finishing a job: its proof, and what it changes in the book's standing facts."""

from __future__ import annotations

import copy
import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from wheelside import __version__
from wheelside.book.book import identity_of
from wheelside.book.entry import View
from wheelside.book.events import Event, Happened, add_events
from wheelside.book.facts import Row, as_table, facts_now, replace_facts
from wheelside.book.jobs import end_job, job_of
from wheelside.book.photos import read_photo
from wheelside.errors import BadRequest, NotThere
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Garage, Joining
from wheelside.garage.words import TakenOut, WhenFull
from wheelside.jobs.desk import Desk, checked
from wheelside.jobs.doing import Doing, doing_in
from wheelside.jobs.files import joinings_between
from wheelside.proof.level import Shown, shown_by
from wheelside.proof.plain import claims_json, record_json, start_json
from wheelside.proof.record import record_of
from wheelside.proof.seal import sealed
from wheelside.sheet.ask import LISTED, NO_ANSWER, Tells
from wheelside.sheet.progress import Standing
from wheelside.sheet.start import PlannedWheel

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Settling:
    """What finishing a job would do: what is still open, what it changes in the book in words, and the table after it."""

    unfinished: tuple[str, ...]
    changes: tuple[str, ...]
    table: Row


def settling(desk: Desk, now: Doing) -> Settling:
    """What finishing the job now would do."""
    loaded = desk.loaded()
    return _settling(now, loaded.garage, loaded.table, desk.clock().day)


def _settling(now: Doing, garage: Garage, table: Row, day: date) -> Settling:
    unfinished = [
        f"{s.step.title}: {s.standing.value}"
        for s in now.states
        if not s.finished and (not s.step.optional or s.standing is not Standing.OPEN)
    ]
    after, told = copy.deepcopy(table), list[str]()
    shown = shown_by(now.states)
    for wheel in now.start.wheels:
        _settle_wheel(garage, after, wheel, shown, day, told)
    if _taught(now, shown) and now.start.car in garage.cars:
        _settle_list(garage, after, now, day, told)
    fitted = {s.kept.claim.at.day for s in now.states if s.finished and s.kept and s.step.id.startswith("fit-")}
    if fitted and now.start.day not in fitted:
        told.append(
            f"not changed by this: the season line has this change on {now.start.day}, the wheels were fitted on {max(fitted)}; "
            "correct its stays under Facts where that matters"
        )
    return Settling(tuple(unfinished), tuple(told), after)


def _settle_wheel(
    garage: Garage, table: Row, w: PlannedWheel, shown: tuple[Shown, ...], day: date, told: list[str]
) -> None:
    """Puts what a wheel's sensor was heard to send into the table."""
    heard = [s for s in shown if s.wheel == w.wheel and s.tells in (Tells.SENT_BEFORE, Tells.READ_BACK, Tells.AWAKE)]
    fitted = [s for s in heard if s.tells is Tells.AWAKE or s.step == "shop"]
    if w.refit:
        if fitted and fitted[-1].answer.hex and w.wheel in garage.wheels:
            _new_sensor(garage, table, w, fitted[-1].answer.hex, day, told)
        return
    if not heard or w.sensor not in garage.sensors:
        return
    row = next(r for r in table["sensor"] if r.get("id") == w.sensor)
    last = heard[-1].answer
    if last.said == NO_ANSWER:
        if row.get("answers") is not False:
            row["answers"] = False
            told.append(f"sensor {w.sensor} of wheel {w.name}: it gave no answer")
        return
    if last.hex and (row.get("sends") != f"0x{last.hex}" or row.get("answers") is not True):
        row["sends"], row["answers"] = f"0x{last.hex}", True
        told.append(f"sensor {w.sensor} of wheel {w.name}: it answers, and sends {last.hex}")


def _new_sensor(garage: Garage, table: Row, w: PlannedWheel, one: str, day: date, told: list[str]) -> None:
    """A refitted sensor: a new row, a new joining, and the fate of the old one."""
    name = f"sensor {w.wheel} {day}"
    if name in garage.sensors:
        return
    new: Row = {"id": name, "sends": f"0x{one}", "answers": True, "first_used": day}
    if w.family in garage.families:
        new["family"] = w.family
    table.setdefault("sensor", []).append(new)
    joined = joining_on(garage.wheels[w.wheel], day)
    row = next(r for r in table["wheel"] if r.get("id") == w.wheel)
    rows: list[Row] = row.setdefault("joined", [])
    if joined is not None:
        index = garage.wheels[w.wheel].joined.index(joined)
        if joined.since == day:
            del rows[index]
        else:
            rows[index]["until"] = day
    rows.append({**_parts(joined), "sensor": name, "since": day})
    told.append(f"wheel {w.name}: new sensor {name}, which sends {one}")
    _old_sensor(garage, table, joined, day, told)


def _parts(joined: Joining | None) -> Row:
    return {k: v for k in ("rim", "tyre") if joined is not None and (v := getattr(joined, k))}


def _old_sensor(garage: Garage, table: Row, joined: Joining | None, day: date, told: list[str]) -> None:
    if joined is None or joined.sensor not in garage.sensors:
        return
    row = next(r for r in table["sensor"] if r.get("id") == joined.sensor)
    if garage.plan.taken_out is TakenOut.SCRAP and "gone" not in row:
        row["gone"] = day
        told.append(f"sensor {joined.sensor}: taken out and scrapped; its ID is never given out again")
    elif garage.plan.keep_at and garage.plan.taken_out is TakenOut.KEEP:
        row["kept_at"] = garage.plan.keep_at
        told.append(f"sensor {joined.sensor}: taken out, kept at {garage.plan.keep_at}")


def _taught(now: Doing, shown: tuple[Shown, ...]) -> bool:
    """Whether the evidence shows that the car knows the set now: confirmed wheel by wheel, listed, or driven with the lamp off."""
    if not now.start.taught:
        return False
    listed = [s for s in shown if s.tells is Tells.KNOWN_IDS]
    if listed:
        return listed[-1].answer.said in LISTED[:2]
    confirmed = [s for s in shown if s.tells is Tells.TAUGHT]
    if confirmed:
        wheels = {s.wheel for s in confirmed if s.answer.said == "yes"}
        return all(s.answer.said == "yes" for s in confirmed) and wheels >= {
            w.wheel for w in now.start.wheels if w.corner != "spare"
        }
    driven = [s for s in shown if s.tells in (Tells.LAMP_DRIVING, Tells.DRIVEN)]
    return bool(driven) and all(s.answer.as_planned for s in driven)


def _settle_list(garage: Garage, table: Row, now: Doing, day: date, told: list[str]) -> None:
    """The car's list after it was taught: what it forgets by its own rule, then this set as it is joined now."""
    car = garage.cars[now.start.car]
    row = next(r for r in table["car"] if r.get("id") == car.id)
    held = [h for h in row.get("holds", []) if h.get("set") != now.start.coming]
    if car.when_full is WhenFull.ALL and car.slots is not None and len(held) >= car.slots:
        held = []
    while car.slots is not None and len(held) >= car.slots and held:
        held.pop(0)
    row["holds"] = [*held, {"set": now.start.coming, "as_of": day}]
    told.append(f"{car.name}: its list holds {now.start.coming_name} from {day} on")


def finish(desk: Desk, job: str, *, put_right: bool = True, person: str = "", via: str = "page") -> str:
    """Ends a job: seals its proof, and puts what it changed into the book where `put_right`. The proof as JSON text.

    One transaction does all of it. Raises BadRequest for a job that there is not, or that has ended.
    """
    with desk.writing(f"job finished: {job}", person=person, via=via) as writing:
        now = doing_in(writing.conn, job)
        if not now.open:
            raise BadRequest("this job has ended already; its proof stands", found=now.row.outcome or "")
        proof = _proof(desk, writing.conn, now)
        if put_right:
            table = as_table(facts_now(writing.conn))
            before = checked(table, desk.book.name)
            wanted = _settling(now, before, table, writing.at.day)
            after = checked(wanted.table, desk.book.name)
            replace_facts(writing, wanted.table)
            add_events(writing, joinings_between(before, after, writing.at))
            if _taught(now, shown_by(now.states)):
                taught = Event(Happened.TAUGHT, writing.at, car=now.start.car, set=now.start.coming, job=job)
                add_events(writing, [taught])
        text = json.dumps(proof, ensure_ascii=False)
        end_job(writing, job, "finished", text)
    return text


def give_up(desk: Desk, job: str, reason: str, *, person: str = "", via: str = "page") -> None:
    """Ends a job without a proof; its evidence stays. Raises BadRequest."""
    with desk.writing(f"job given up: {reason}", person=person, via=via) as writing:
        now = doing_in(writing.conn, job)
        if not now.open:
            raise BadRequest("this job has ended already", found=now.row.outcome or "")
        end_job(writing, job, "given up", None)


def _proof(desk: Desk, conn: View, now: Doing) -> Json:
    book, seal = identity_of(conn)
    about = {
        "program": __version__, "book": book, "job": now.row.id, "begun": now.row.begun.iso(),
        "ended": desk.clock().iso(),
    }  # fmt: skip
    record = record_json(record_of(now.start, now.claims))
    return sealed(about, start_json(now.start), record, claims_json(now.claims), seal)


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
    names = [noted["text"] for noted in proof["record"]["photos"]]
    found = {name: read_photo(desk.photos, name) for name in names}
    return {name: data for name, data in found.items() if data is not None}
