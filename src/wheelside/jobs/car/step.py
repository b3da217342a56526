"""Steps of a job that the car itself answers: codes, its lamp, the IDs in its list; each a claim with the visit that it was read in."""

from __future__ import annotations

from collections import Counter

from wheelside.car.card import Holds, PortCard
from wheelside.car.codes import CodeList
from wheelside.car.conditions import conditions
from wheelside.car.frames import UnitTrouble
from wheelside.car.reads import CardRead, ListRead, id_text, read_value
from wheelside.car.talk import Talk
from wheelside.errors import BadRequest, NotThere
from wheelside.identity.inlist import SHOWN
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.port import codes_and_keep, lined, read_and_keep
from wheelside.jobs.car.pressures import counting
from wheelside.jobs.car.visit import Visit, kept_card
from wheelside.jobs.work.doing import doing, take_claims
from wheelside.sensor.ident import SensorId
from wheelside.sheet.ask import Ask, Tells
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.sheet.option import Codes, LampTold, Listed
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Step

MOST_WORDS = 1900
"""So many signs of a list of codes stand at a step; a form takes 2000."""
_CODES = (Tells.CODES_BEFORE, Tells.CODES_NOW, Tells.CODES_AFTER)
ANSWERED = (*_CODES, Tells.LAMP_TOLD, Tells.KNOWN_IDS)


def answered_by_car(step: Step) -> bool:
    """Whether a car with a port card can answer everything that this step must have."""
    return any(a.tells in ANSWERED for a in step.asks) and all(a.tells in ANSWERED for a in step.asks if a.required)


def ask_car(desk: Desk, job: str, step_id: str, link: str, *, person: str, device: str, passenger: bool) -> None:
    """Has the car answer a step, and keeps the claim. Raises BadRequest, NotThere, CarTrouble, Outside.

    While the car moves only a passenger may do this.
    """
    now = doing(desk, job)
    step = next((s.step for s in now.states if s.step.id == step_id), None)
    if step is None or not answered_by_car(step):
        raise NotThere("this job has no such step that a car could answer", found=step_id[:60])
    kept = kept_card(desk, now.start.car)
    if kept is None:
        raise BadRequest("no port card is kept for this car: give it one on the car's page", expected="a port card")
    visit = Visit(desk, now.start.car, person)
    with lined(kept.card, link) as line:
        with line.talk(kept.card) as talk:
            _refuse_driver(talk, kept.card, passenger=passenger)
        lists = any(a.tells is Tells.KNOWN_IDS for a in step.asks)
        known = read_and_keep(visit, line, kept.card) if lists else None
        with line.talk(kept.card) as talk:
            answers = _answers(visit, talk, kept.card, known, now.start, step)
    claim = Claim(
        client=f"car-{visit.id}", job=job, step=step_id, kind=ClaimKind.DONE, at=desk.clock(), person=person, device=device,
        seen=now.last, answers=answers, instrument=f"{kept.card.label}, {kept.card.unit.text}", visit=visit.id,
    )  # fmt: skip
    take_claims(desk, job, [claim], via="car")


def _refuse_driver(talk: Talk, card: PortCard, *, passenger: bool) -> None:
    standing = conditions(talk, card)[0]
    if standing.right is False and not passenger:
        raise BadRequest(
            f"the car moves ({standing.found}): whoever drives leaves this alone. Park first, or have a passenger do it and say so",
            found=standing.found,
            expected="a parked car",
        )


def _answers(
    visit: Visit, talk: Talk, card: PortCard, known: CardRead | None, start: JobStart, step: Step
) -> tuple[Answer, ...]:
    found = []
    for one in step.asks:
        if one.tells in _CODES:
            found.append(_codes(visit, talk, card, one))
        elif one.tells is Tells.LAMP_TOLD:
            found.append(_lamp(talk, card, one))
        elif one.tells is Tells.KNOWN_IDS and known is not None:
            found.append(_listed(known, card, start, one))
    return tuple(found)


def _codes(visit: Visit, talk: Talk, card: PortCard, one: Ask) -> Answer:
    """What the car says of its codes. 'None' is said only where it told both the stored and the pending ones."""
    try:
        read = codes_and_keep(visit, talk, card).codes
    except UnitTrouble as error:
        return Answer(one.id, Codes.NOT_READ, str(error))
    codes, lacking = read.codes, [(what, why) for what, why in read.not_told if what is not CodeList.PERMANENT]
    if not codes and lacking:
        return Answer(one.id, Codes.NOT_READ, "; ".join(f"{what.value}: {why}" for what, why in lacking))
    told = "; ".join(
        [
            *(f"{c.code.text} ({', '.join(c.code.said)})" for c in codes),
            *(f"{what.value} not told" for what, _ in lacking),
        ]
    )
    cut = (
        told if len(told) <= MOST_WORDS else f"{told[:MOST_WORDS]} … and more: all {len(codes)} are kept with the visit"
    )
    return Answer(one.id, Codes.SOME if codes else Codes.NONE, cut)


_LAMPS = {"off": LampTold.OFF, "steady": LampTold.STEADY, "flashing": LampTold.FLASHING}
"""By the words that port cards have for what a lamp does."""


def _lamp(talk: Talk, card: PortCard, one: Ask) -> Answer:
    value = card.value(Holds.LAMP)
    if value is None:
        return Answer(one.id, LampTold.NOT_TOLD)
    try:
        word = read_value(talk, value).word
    except UnitTrouble:
        word = ""
    return Answer(one.id, _LAMPS.get(word, LampTold.NOT_TOLD))


def _listed(known: CardRead, card: PortCard, start: JobStart, one: Ask) -> Answer:
    """What the list holds that the car goes by, against the planned IDs."""
    row = _counting(known, card, start)
    if row is None:
        why = "; ".join(f"{what}: {text}" for what, text in known.missing) or "the port card has no list"
        return Answer(one.id, Listed.NOT_READ, why)
    planned = _planned(start, row)
    told = {place: None if one is None or one.empty else one for place, one in row.ids}
    held = {place: one for place, one in told.items() if one is not None or place in planned}
    said = _verdict(held, planned)
    if said not in one.options:
        said = Listed.OTHERS
    return Answer(one.id, said, f"list '{row.name}': {', '.join(_told(row, planned))}")


def _counting(known: CardRead, card: PortCard, start: JobStart) -> ListRead | None:
    """The list that the car goes by; where it does not say, the one that is most like the plan."""
    if (row := counting(known, card)) is not None:
        return row
    return max(
        known.lists, key=lambda row: len({n for _, n in row.ids} & set(_planned(start, row).values())), default=None
    )


def _planned(start: JobStart, row: ListRead) -> dict[str, SensorId]:
    """The planned IDs by the places that the list has. Raises BadRequest where one is still to be noted."""
    places = {place for place, _ in row.ids}
    found = {}
    for wheel in start.wheels:
        if wheel.corner not in places or (wheel.sensor is None and wheel.id is None):
            continue
        if wheel.id is None or wheel.id.bits != row.bits:
            raise BadRequest(
                f"wheel {wheel.name}: the plan has no ID of {row.bits} bits to compare the car's list with; answer this step by hand",
                expected="an ID",
            )
        found[wheel.corner] = wheel.id.bare
    return found


def _verdict(held: dict[str, SensorId | None], planned: dict[str, SensorId]) -> Listed:
    if held == planned:
        return Listed.JUST_THESE
    return Listed.SWAPPED if Counter(held.values()) == Counter(planned.values()) else Listed.OTHERS


def _told(row: ListRead, planned: dict[str, SensorId]) -> list[str]:
    """What each place holds; of an ID that is not planned only its last digits."""
    ours = {None, *planned.values()}
    return [f"{place} {id_text(one) if one in ours else '…' + id_text(one)[-SHOWN:]}" for place, one in row.ids]
