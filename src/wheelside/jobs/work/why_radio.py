"""What a book knows of sensors and IDs of a car whose lamp is lit: ages and batteries, clones, the car's own list, its codes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from wheelside.book.cars import CarRecord
from wheelside.car.card import PortCard
from wheelside.car.reads import CardRead
from wheelside.earshot.hearing import set_heard
from wheelside.errors import BadFile
from wheelside.garage.joined import parts_on
from wheelside.garage.lasting import set_lives
from wheelside.garage.model import Car, Garage, Sensor
from wheelside.garage.season import where
from wheelside.identity.inlist import InList, in_list
from wheelside.identity.roll import Roll, carried_by
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.page import list_of, value_of
from wheelside.jobs.car.pressures import counting
from wheelside.jobs.car.visit import CODES, CODES_AFTER, card_among, last_read, records
from wheelside.jobs.work.low_batteries import low_days
from wheelside.said import Figure, Joined, Said, count, listed, say
from wheelside.units import Share
from wheelside.units.moment import Moment
from wheelside.why.table import why_table

YOUNG_YEARS, OLD_YEARS = 4.0, 7.0
"""The ages between the table's outcomes, judgement."""
CODES_DAYS = 30
"""Codes that were read longer ago tell nothing of today; judgement."""
MAYBE = 0.3
"""What other outcomes weigh beside one that was seen on a day that is not known, or that is only noted; judgement."""


@dataclass(frozen=True, slots=True)
class CaseKnown:
    """One thing that is known. `code`: by which it is struck out; `on`: of which day it is, None where that is not known or it is a fact.

    `outcomes`: of each test that it answers the weights; `contexts`, `excluded`: as in `CaseSeen`; `answers`: tests that need not be made, for
    what they would tell is counted as a context; `whole`: nothing of it has faded yet.
    """

    code: str
    said: Said
    on: date | None
    outcomes: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    contexts: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    whole: bool = False

    def about(self, answers: Mapping[str, str]) -> bool:
        """Whether it is what was answered anew."""
        return any(test in answers for test in (*self.outcomes, *self.answers))


def sensors(desk: Desk, car: Car, now: Moment) -> CaseKnown | None:
    """How old the sensors on a car are, the oldest of them, with the chance that one fails within a year; or whose battery is low."""
    present, garage = desk.present(), desk.loaded().garage
    fitted = _fitted(garage, present.wheel_at(car.id).values(), now.day)
    low = [garage.wheels[w].name for w, s in fitted.items() if s.battery_low]
    if low:
        said = count(
            len(low),
            "{wheels} says that its battery is low.",
            "{wheels} say that their batteries are low.",
            wheels=listed(low),
        )
        days = low_days(desk)
        known = [days[s.id] for s in fitted.values() if s.id in days]
        return CaseKnown("sensors", said, min(known, default=None), contexts=("battery-low",), answers=("sensor-age",))
    lives = set_lives(present).get(present.set_on(car.id) or "")
    if lives is None or not lives.batch.serving:
        return None
    oldest = max(lives.batch.serving, key=lambda s: s.most_years)
    year = lives.within(1.0).any
    said = say(
        "The oldest sensor is {years} years old; the chance that one of them fails within a year is {chance}.",
        years=Figure(int(oldest.least_years), 0), chance=Share(year),
    )  # fmt: skip
    return CaseKnown("sensors", said, None, {"sensor-age": _ages(oldest.least_years, oldest.most_years)})


def _fitted(garage: Garage, wheels: Iterable[str], day: date) -> dict[str, Sensor]:
    """By wheel the sensors that are in some wheels."""
    found = {}
    for wheel in wheels:
        sensor = parts_on(garage, wheel, day).sensor
        if sensor is not None:
            found[wheel] = sensor
    return found


def _ages(least: float, most: float) -> dict[str, float]:
    """The weights of the outcomes of an age between two, each year of it as likely."""
    young, middle, old = why_table().test("sensor-age").outcomes
    if most <= least:
        shown = young if least < YOUNG_YEARS else middle if least <= OLD_YEARS else old
        return why_table().test("sensor-age").shown(shown)
    spans = {young: (0.0, YOUNG_YEARS), middle: (YOUNG_YEARS, OLD_YEARS), old: (OLD_YEARS, 1e9)}
    return {o: max(0.0, min(most, b) - max(least, a)) / (most - least) for o, (a, b) in spans.items()}


def clones(desk: Desk, car: Car, now: Moment) -> CaseKnown | None:
    """Whether another wheel that the car may hear carries the ID of one that is on it."""
    present, garage = desk.present(), desk.loaded().garage
    on = _fitted(garage, present.wheel_at(car.id).values(), now.day)
    mine = {one.key for s in on.values() for one in carried_by(garage, s)}
    found = []
    for own in garage.set:
        others = [w for _, w in own.wheels if w not in on]
        if own.gone_by(now.day) or not others:
            continue
        same = [
            w for w, s in _fitted(garage, others, now.day).items() if mine & {one.key for one in carried_by(garage, s)}
        ]
        if same and set_heard(garage, car, where(present.line, own.id, now.day), now.day).heard:
            found += same
    if not found:
        return None
    names = listed(dict.fromkeys(garage.wheels[w].name for w in found))
    said = count(
        len(found),
        "{wheels} has an ID that is on the car too, and is within hearing.",
        "{wheels} have IDs that are on the car too, and are within hearing.",
        wheels=names,
    )
    return CaseKnown("clones", said, None, contexts=("clone-made",))


def silent(desk: Desk, car: Car, now: Moment) -> CaseKnown | None:
    """Which sensors on a car gave no answer when they were triggered last; on which day is not known."""
    garage = desk.loaded().garage
    fitted = _fitted(garage, desk.present().wheel_at(car.id).values(), now.day)
    names = [garage.wheels[w].name for w, s in fitted.items() if s.answers is False]
    if not names:
        return None
    said = say("{wheels} gave no answer when last triggered.", wheels=listed(names))
    shown = "one-silent" if len(names) == 1 else "several-silent"
    return CaseKnown("silent", said, None, {"wake": why_table().test("wake").shown(shown, MAYBE)})


def car_list(desk: Desk, car: Car, now: Moment) -> CaseKnown | None:
    """The list that was read from the car last, held against what is on it now; else what is noted of it; None where neither is known."""
    rows, garage = records(desk, car.id), desk.loaded().garage
    card = _card(rows)
    read = last_read(rows, card.id) if card is not None else None
    if card is None or read is None:
        return _noted_list(desk, car, now)
    lists = tuple(list_of(row) for row in read.body["lists"])
    by = counting(CardRead(lists, tuple(value_of(row) for row in read.body["values"]), ()), card)
    if by is None:
        return None
    found = in_list(garage, garage.sets.get(desk.present().set_on(car.id) or ""), now.day, by.bits, by.ids)
    shown, day = _shown(found), read.at.day
    if shown is None:
        return None
    words = {
        "same": say("Its list, read on {day}, has what is on it.", day=day),
        "some-differ": say("Its list, read on {day}, lacks {n} of the wheels on it.", day=day, n=len(found.lacking)),
        "all-differ": say("Its list, read on {day}, has none of the wheels on it.", day=day),
    }
    return CaseKnown("list", words[shown], day, {"car-list": why_table().test("car-list").shown(shown)})


def _noted_list(desk: Desk, car: Car, now: Moment) -> CaseKnown | None:
    """The list as it is noted: it counts, but not whole, for it may have changed since; None where nothing is noted of it."""
    garage, day = desk.loaded().garage, max((h.as_of for h in car.holds or () if h.as_of is not None), default=None)
    fitted = _fitted(garage, desk.present().wheel_at(car.id).values(), now.day).values()
    ids = [{one.key for one in carried_by(garage, s)} for s in fitted]
    if car.holds is None or not ids or not all(ids):
        return None
    held = {h.id.key for group in Roll(garage, now.day).held(car) for h in group}
    lacking = sum(not (one & held) for one in ids)
    shown = "same" if not lacking else "all-differ" if lacking == len(ids) else "some-differ"
    said = {
        "same": say("Its list is noted to have what is on it."),
        "some-differ": say("Its list is noted to lack {n} of the wheels on it.", n=lacking),
        "all-differ": say("Its list is noted to have none of the wheels on it."),
    }
    return CaseKnown("list", said[shown], day, {"car-list": why_table().test("car-list").shown(shown, MAYBE)})


def _card(rows: tuple[CarRecord, ...]) -> PortCard | None:
    """The port card of a car; None where there is none that can be read."""
    try:
        kept = card_among(rows)
    except BadFile:
        return None
    return kept.card if kept is not None else None


def _shown(found: InList) -> str | None:
    if not found.lacking:
        return "same" if any(p.seen.value in ("same", "swapped") for p in found.places) else None
    return "all-differ" if len(found.lacking) >= len(found.places) or found.empty else "some-differ"


def codes(desk: Desk, car: Car, now: Moment) -> CaseKnown | None:
    """The codes that were read from the car within a month. A port card does not say what a code means: one that is there may be any of the kinds."""
    rows = records(desk, car.id)
    card = _card(rows)
    kept = [r for r in rows if r.what in (CODES, CODES_AFTER) and card is not None and r.body.get("card") == card.id]
    if not kept or (now.day - kept[-1].at.day).days > CODES_DAYS:
        return None
    body, day = kept[-1].body, kept[-1].at.day
    outcomes, there = why_table().test("codes").outcomes, [str(one["code"]) for one in body["codes"]]
    if there:
        said = say(
            "Codes read on {day}: {codes}; what they mean is not known.", day=day, codes=listed(there, Joined.COMMA)
        )
        return CaseKnown("codes", said, day, {"codes": {o: float(o != "none") for o in outcomes}})
    if body["not_told"]:
        return None
    said = say("No codes, read on {day}.", day=day)
    return CaseKnown("codes", said, day, {"codes": why_table().test("codes").shown("none")})
