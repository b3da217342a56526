"""Teaching a car by writing: a draft that is shown, conditions, the writing with every stage kept, and the ways back."""

from __future__ import annotations

from datetime import date

from wheelside.car.card import IdList, PortCard
from wheelside.car.reads import list_from, read_list
from wheelside.car.talk import Talk
from wheelside.car.teach import Condition, Draft, Keep, Stage, Taught, Teaching, draft
from wheelside.errors import BadRequest, Meanwhile
from wheelside.garage.ids import sensor_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, WheelSet
from wheelside.jobs.carbook import STAGE, TEACHING, LastTeaching, Visit, last_teaching, records


def list_of(card: PortCard, name: str | None) -> IdList:
    """The list that is meant. Raises BadRequest."""
    if not name and len(card.lists) == 1:
        return card.lists[0]
    found = next((row for row in card.lists if row.name == name), None)
    if found is None:
        known = ", ".join(f"'{row.name}'" for row in card.lists) or "none"
        raise BadRequest(f"the port card has no list '{name}': it has {known}", found=str(name), expected=known)
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


def wanted_ids(garage: Garage, wheel_set: WheelSet, day: date, row: IdList) -> dict[str, int | None]:
    """The IDs of a set by the places of a list. Raises BadRequest where one is not known for certain."""
    found: dict[str, int | None] = {}
    for corner, wheel in wheel_set.wheels:
        if corner.value not in row.layout.places:
            continue
        sensor = parts_on(garage, wheel, day).sensor
        readings = sensor_readings(garage, sensor) if sensor else None
        ids = [r.id for r in readings.all if r.id.bits == row.bits] if readings else []
        if len(ids) != 1:
            why = "is not known" if not ids else "can be read in several ways"
            raise BadRequest(
                f"the ID of wheel {garage.wheels[wheel].name} {why}: trigger it, and note what it sends",
                expected="one ID",
            )
        found[corner.value] = ids[0].number
    return found


def drafted(talk: Talk, row: IdList, wanted: dict[str, int | None]) -> Draft:
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


def teach(visit: Visit, talk: Talk, card: PortCard, draft_: Draft) -> Taught:
    """Writes a draft, every stage kept before it is begun. Raises Outside where nothing can be kept; then nothing was written.

    Raises Meanwhile while an earlier teaching is neither finished nor undone: its old list is the way back.
    """
    refuse_unsettled(visit)
    row = draft_.row
    visit.keep(TEACHING, card=card.id, list=row.name, old=draft_.old.raw.hex(), new=draft_.new.hex())
    return Teaching(talk, card, _stages(visit), []).run(draft_)


def refuse_unsettled(visit: Visit) -> None:
    """Raises Meanwhile while the last teaching of this car is neither finished nor undone."""
    earlier = last_teaching(records(visit.desk, visit.car))
    if earlier is not None and not earlier.settled:
        raise Meanwhile(
            f"the teaching of '{earlier.list}' of {earlier.at.short()} is neither finished nor undone: do one of both first",
            found=earlier.ended or "broken off",
        )


def undo(visit: Visit, talk: Talk, card: PortCard, last: LastTeaching) -> Taught:
    """Puts the list back that was there before the last teaching, every stage kept before it is begun."""
    row = list_of(card, last.list)
    list_from(row, last.old)
    return Teaching(talk, card, _stages(visit), []).put_back(row, last.old)


def finish_teaching(visit: Visit, talk: Talk, card: PortCard, last: LastTeaching) -> Taught:
    """Ends a teaching that was broken off: the new list, or else the old one, in the car."""
    row = list_of(card, last.list)
    old = list_from(row, last.old)
    wanted = dict(list_from(row, last.new).ids)
    return Teaching(talk, card, _stages(visit), []).finish(draft(row, old, wanted))


def _stages(visit: Visit) -> Keep:
    def keep(stage: Stage, data: str) -> None:
        visit.keep(STAGE, stage=stage.value, data=data)

    return keep
