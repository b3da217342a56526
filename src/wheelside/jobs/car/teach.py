"""Teaching a car by writing: a draft that is shown, conditions, and the writing with every stage kept."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import replace
from datetime import date

from wheelside.book.cars import CarRecord, records_of
from wheelside.car.card import Holds, IdList, PortCard
from wheelside.car.conditions import Condition
from wheelside.car.draft import Draft, draft
from wheelside.car.drive import Hurry, Keeps, carry_out
from wheelside.car.frames import CarTrouble
from wheelside.car.reads import id_text, mark_of, read_list, read_value
from wheelside.car.talk import Talk
from wheelside.car.taught import Outcome, Stage, Taught, Trouble, What
from wheelside.car.teaching import Goal, Intent
from wheelside.errors import BadRequest, Meanwhile, Outside
from wheelside.garage.ids import sensor_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.words import Corner
from wheelside.jobs.car.visit import STAGE, TEACHING, TOLD, Visit, Work, last_teachings, records
from wheelside.jobs.jsonform import plain
from wheelside.sensor.ident import SensorId


def list_of(card: PortCard, name: str | None) -> IdList:
    """The list that is meant. Raises BadRequest."""
    if not name and len(card.lists) == 1:
        return card.lists[0]
    found = next((row for row in card.lists if row.name == name), None)
    if found is None:
        known = ", ".join(f"'{row.name}'" for row in card.lists) or "none"
        what = f"the port card has no list '{name}'" if name else "which list? name it with --list"
        raise BadRequest(f"{what}: there is {known}", found=str(name), expected=known)
    return found


def writable_list(card: PortCard, name: str | None) -> IdList:
    """The list that is meant, if it may be written. Raises BadRequest."""
    row = list_of(card, name)
    if not row.writable or card.read_only:
        raise BadRequest(f"the port card says that the list '{row.name}' can't be written", expected="writable = true")
    return row


def set_of(garage: Garage, name: str) -> WheelSet:
    """The wheel set that is meant. Raises BadRequest."""
    if name not in garage.sets:
        known = ", ".join(garage.sets) or "none"
        raise BadRequest(f"no set '{name}': there is {known}", found=name, expected=known)
    return garage.sets[name]


def wanted_ids(garage: Garage, wheel_set: WheelSet, day: date, row: IdList) -> dict[str, SensorId | None]:
    """The IDs of a set by the places of a list. Raises BadRequest where the set has no wheel for one, or an ID is not known for certain."""
    wheels = {corner.value: wheel for corner, wheel in wheel_set.wheels}
    lacking = [place for place in row.layout.places if place not in wheels and place != Corner.SPARE.value]
    if lacking:
        raise BadRequest(
            f"the set {wheel_set.name} has no wheel for {', '.join(lacking)}, and the list '{row.name}' has a place there",
            expected="a whole set",
        )
    return {place: _id_of(garage, wheels[place], day, row) for place in row.layout.places if place in wheels}


def _id_of(garage: Garage, wheel: str, day: date, row: IdList) -> SensorId:
    sensor = parts_on(garage, wheel, day).sensor
    readings = sensor_readings(garage, sensor) if sensor else None
    every = readings.ids if readings else ()
    ids = [one for one in every if one.bits == row.bits]
    if len(ids) == 1:
        return ids[0].bare
    name = garage.wheels[wheel].name
    if every and not ids:
        widths = ", ".join(sorted({str(one.bits) for one in every}))
        raise BadRequest(
            f"the ID of wheel {name} has {widths} bits, and the list '{row.name}' takes {row.bits}: look at 'length' in the port card",
            expected=f"{row.bits} bits",
        )
    empty = f"reads as {readings.empty.value}, which stands for no sensor" if readings and readings.empty else ""
    why = empty or ("can be read in several ways" if ids else "is not known")
    raise BadRequest(
        f"the ID of wheel {name} {why}: trigger it, and note what it sends in 'sends' of its sensor (Facts, or the garage file); a sensor "
        "that is still to be written or fitted is taught after that",
        expected="one ID",
    )


def drafted(talk: Talk, row: IdList, wanted: dict[str, SensorId | None]) -> Draft:
    """What would be written, beside the list as it is. Raises Refused, NoAnswer, BadAnswer, BadRequest, LinkLost."""
    return draft(row, read_list(talk, row), wanted)


def refuse_conditions(found: tuple[Condition, ...], *, owner_says: bool) -> None:
    """Raises BadRequest where a condition is not right, or is not known and the owner does not vouch for it."""
    wrong = [one for one in found if one.right is False]
    if wrong:
        raise BadRequest(
            "; ".join(f"{one.name}: {one.found}" for one in wrong) + ". Nothing was written",
            expected="all conditions right",
        )
    unknown = [one for one in found if one.right is None]
    if unknown and not owner_says:
        names = ", ".join(one.name for one in unknown)
        raise BadRequest(
            f"the car does not tell: {names}. Make sure of it, and say so (on the command line with --i-made-sure). Nothing was written",
            expected=names,
        )


def teach(
    visit: Visit, talk: Talk, card: PortCard, draft_: Draft, hurry: Hurry | None = None, *, old_is_so: bool = False
) -> Taught:
    """Writes a draft, every stage kept before it is begun. Raises Outside where nothing can be kept; then nothing was written.

    `old_is_so`: the owner vouches for an old list that has one ID in all places. Raises BadRequest without that, and Meanwhile while an earlier
    teaching is neither finished nor undone, for its old list is the way back, or another program has the car.
    """
    refuse_doubtful(draft_, old_is_so=old_is_so)
    with visit.alone(Work.TEACH):
        return _taught(visit, talk, card, draft_, hurry or Hurry())


def _taught(visit: Visit, talk: Talk, card: PortCard, draft_: Draft, hurry: Hurry) -> Taught:
    row, mark, goes_by = draft_.row, mark_of(talk), watched(talk, card)
    with visit.writing(TEACHING) as writing:
        _refuse_unsettled(records_of(writing.conn, visit.car))
        of = visit.add(
            writing, TEACHING, card=card.id, list=row.name, row=row_text(row), mark=mark, old=draft_.old.raw.hex(), new=draft_.new.hex()
        )  # fmt: skip
    try:
        taught = carry_out(talk, stages(visit, of), Goal(Intent.NEW, row, draft_.old.raw, draft_.new), hurry)
    except Exception:
        if hurry.progress is None or not hurry.progress.touched:
            with suppress(Outside):
                visit.keep(STAGE, of=of, stage=Stage.ENDED.value, data=Outcome.NOTHING.value)
        raise
    return told(visit, of, talk, card, goes_by, taught)


def refuse_doubtful(draft_: Draft, *, old_is_so: bool) -> None:
    """Raises BadRequest where the list that is to be kept as the way back can hardly be one, and the owner does not vouch for it."""
    one = draft_.one_id
    if one is None or old_is_so:
        return
    row = draft_.row
    raise BadRequest(
        f"all {len(row.layout.places)} places of the list '{row.name}' hold one ID, {id_text(one)}: no two wheels send the same. "
        "Does the port card say right where the IDs lie? If the car really holds this, say so; it is then kept as the old list. Nothing was "
        "written",
        found=id_text(one),
        expected="each place its own ID",
    )


def refuse_unsettled(visit: Visit) -> None:
    """Raises Meanwhile while the last teaching of a list of this car is neither finished nor undone, or another program has the car."""
    visit.refuse_held()
    _refuse_unsettled(records(visit.desk, visit.car))


def _refuse_unsettled(rows: tuple[CarRecord, ...]) -> None:
    for earlier in last_teachings(rows):
        if not earlier.settled:
            raise Meanwhile(
                f"the teaching of '{earlier.list}' of {earlier.at.short()} is neither finished nor undone: do one of both first",
                found=earlier.ended_so or "broken off",
            )


def row_text(row: IdList) -> str:
    """All that a port card says of a list, as text."""
    return json.dumps(plain(row), sort_keys=True)


def watched(talk: Talk, card: PortCard) -> str:
    """Which set the car goes by, in its own figure; '' where it does not tell."""
    value = card.value(Holds.WATCHED)
    try:
        return read_value(talk, value).said if value else ""
    except CarTrouble:
        return ""


def told(visit: Visit, of: int, talk: Talk, card: PortCard, before: str, taught: Taught) -> Taught:
    """What came of a teaching, kept, with what else changed in the car on the way."""
    after = watched(talk, card) if taught.holds is not None else ""
    if before and after and before != after:
        note = Trouble(What.GOES_BY, before=before, after=after)
        taught = replace(taught, trouble=(*taught.trouble, note))
    keep_told(visit, of, taught)
    return taught


def keep_told(visit: Visit, of: int, taught: Taught) -> None:
    """Keeps what came of a teaching where the book takes it; the end itself is kept as a stage."""
    with suppress(Outside):
        visit.keep(TOLD, of=of, came=plain(taught))


def stages(visit: Visit, of: int) -> Keeps:
    """Keeps the stages of one teaching."""

    def keep(stage: Stage, data: str) -> None:
        visit.keep(STAGE, of=of, stage=stage.value, data=data)

    return keep
