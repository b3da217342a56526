"""The course of a conversation: what is asked first, what is always asked, and what could be asked besides.

It goes by the garage alone, so that it can be left and taken up at any point: what is known, or said not to be, is not asked again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from wheelside.garage.file import complaints_of
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Rim, WheelSet
from wheelside.garage.present import present
from wheelside.garage.words import Monitor
from wheelside.inquiry import climate, days, facts, label, opening, radio
from wheelside.inquiry.draft import Table, TableDraft
from wheelside.inquiry.query import AnswerRefused, Errand, Given, Occasion, Query
from wheelside.said import say

PLAN_CAR = ("taught_by", "remembers_sets", "corner_aware", "when_full", "spare_counted")
PLAN_SET = ("sensor.writing", "sensor.first_used", "sensor.answers", "sensor.at_rest", "tyre.date_code")
AIR_SET = ("tyre.max_pressure",)
FIT_CAR = ("load_index", "speed_symbol", "seat", "fastening")
FIT_SET = ("tyre.date_code", "tyre.tread", "tyre.damaged", "rim.seat", "rim.max_load", "sensor.answers")


def sets_of(garage: Garage, car: Car) -> tuple[WheelSet, ...]:
    """The sets that go on a car by the season line, or else by what is said of them, in the order in which they are noted.

    One of which nothing is said may go on any.
    """
    on = {s.set for s in garage.stay if s.on == car.id}
    others = {s.set for s in garage.stay if s.on is not None and s.on != car.id}
    others |= {s.id for s in garage.set if s.goes_on is not None and s.goes_on != car.id}
    return tuple(s for s in garage.set if not s.on_offer and (s.id in on or s.id not in others))


def set_on(garage: Garage, car: Car, day: date) -> WheelSet | None:
    """The set that is on a car on a day, or most of it; None where that is not known."""
    return garage.sets.get(present(garage, day).set_on(car.id) or "")


def offered(garage: Garage) -> WheelSet | None:
    """The set on offer that is talked about: the one noted last."""
    return next((s for s in reversed(garage.set) if s.on_offer), None)


def opening_query(garage: Garage, car: Car | None, day: date, errand: Errand) -> Query | None:
    """The next of the fixed first questions, until there is a car with its sets and their wheels; None where they are through."""
    if car is None:
        return opening.car_query(garage)
    on = set_on(garage, car, day)
    if on is None:
        return opening.on_query(car, tuple(s for s in sets_of(garage, car) if not s.gone_by(day)))
    if errand is Errand.USED:
        found = offered(garage)
        return None if found is not None else opening.offer_query(car, garage)
    if errand is Errand.PRESSURES:
        return None
    if _ids_open(garage, on, day):
        return opening.ids_query(garage, on, day)
    heard = next(radio.heard_query(garage, car, on, day), None)
    if heard is not None:
        return heard
    others = [s for s in sets_of(garage, car) if s.id != on.id]
    if not others and car.other_set is None and "other_set" not in car.not_known:
        sizes = label.sizes_of(garage, on, day)
        return opening.other_query(car, on, sizes[0].text if sizes else "")
    return next((opening.ids_query(garage, s, day) for s in others if _ids_open(garage, s, day)), None)


def _ids_open(garage: Garage, wheel_set: WheelSet, day: date) -> bool:
    there = radio.sensors_of(garage, wheel_set, day)
    return bool(there) and not any(s.printed or s.sends or "printed" in s.not_known for s in there)


def always(garage: Garage, car: Car, day: date, errand: Errand) -> Iterator[Query]:
    """What has to be asked before a pressure, a verdict or a sheet is given."""
    on = set_on(garage, car, day)
    sets = (
        (on, offered(garage))
        if errand is Errand.USED
        else (on,)
        if errand is Errand.PRESSURES
        else sets_of(garage, car)
    )
    for one in sets:
        if one is not None:
            yield from facts.of_set(garage, one, ("tyre.designation",), day)
    if errand is Errand.USED:
        yield from _used_first(garage, car, day)
        return
    for one in sets if errand is Errand.WHEELS else ():
        if one is not None:
            yield from radio.alike_query(garage, one, day)
    for one in sets:
        if one is not None:
            yield from label.label_query(garage, car, one, day)
    if errand is Errand.WHEELS:
        yield from (days.when_query(car, s, day) for s in _unplaced(garage, car, on))
    if not facts.today_said(garage, car, day, stated=errand is Errand.WHEELS):
        yield facts.today_query(car, garage.units.choice)


def _unplaced(garage: Garage, car: Car, on: WheelSet | None) -> Iterator[WheelSet]:
    """The sets that go on a car some day of which nothing is said."""
    for one in sets_of(garage, car):
        goes = any(s.set == one.id and s.on == car.id for s in garage.stay)
        if on is not None and one.id != on.id and not goes and "when" not in one.not_known:
            yield one


def _used_first(garage: Garage, car: Car, day: date) -> Iterator[Query]:
    """What a verdict on a used set hangs on most: whether it bolts on."""
    one = offered(garage)
    rims = [parts_on(garage, w, day).rim for _, w in one.wheels] if one is not None else []
    if one is not None and not any(r is not None and (_has(r) or r.not_known) for r in rims):
        yield facts.rims_query(f"rims/set/{one.id}", say("What is cast inside the rims of {name}?", name=one.name), Rim)
    if not _has(car) and not set(facts.RIM_KEYS) & set(car.not_known):
        yield facts.rims_query(f"rims/car/{car.id}", say("And inside the car's own rims?"), Car)


def _has(row: Car | Rim) -> bool:
    return any(getattr(row, key) is not None for key in facts.RIM_KEYS)


def besides(garage: Garage, car: Car, day: date, errand: Errand) -> Iterator[Query]:
    """What could be asked besides, in a fixed order: the coarse rating, judgement."""
    if errand is Errand.USED:
        one = offered(garage)
        if one is not None:
            yield from facts.of_set(garage, one, FIT_SET, day)
            if car.monitor is not Monitor.INDIRECT:
                yield from radio.kind_query(garage, car, one, day)
        yield from facts.of_car(car, FIT_CAR)
        return
    sets = sets_of(garage, car)
    on = set_on(garage, car, day)
    if errand is Errand.WHEELS and car.planned:
        yield from _of_radio(garage, car, on, sets, day)
    for one in sets:
        yield from facts.of_set(garage, one, AIR_SET, day)
    if len({row.load for row in car.placard}) > 1:
        yield from facts.of_top(garage, "conditions", ("load",))


def _of_radio(garage: Garage, car: Car, on: WheelSet | None, sets: tuple[WheelSet, ...], day: date) -> Iterator[Query]:
    yield from facts.of_car(car, PLAN_CAR)
    others = [s for s in sets if on is None or s.id != on.id]
    for one in others:
        yield from radio.kind_query(garage, car, one, day)
    if others:
        yield from days.kept_query(garage, car)
    for one in sets:
        yield from facts.of_set(garage, one, PLAN_SET, day)
    yield from radio.writer_query(garage)
    yield from facts.shop_query(garage)
    yield from facts.of_top(garage, "costs", ("hour",))


_ANSWERS: dict[str, tuple[str, Callable[[TableDraft, str, Given, Occasion], None]]] = {
    "begin": ("", opening.answer_car),
    "on": ("car", opening.answer_on),
    "other": ("car", opening.answer_other),
    "ids": ("set", opening.answer_ids),
    "name": ("", opening.answer_name),
    "offer": ("car", opening.answer_offer),
    "car": ("car", facts.answer_car),
    "set": ("set", facts.answer_set),
    "top": ("", facts.answer_top),
    "today": ("car", facts.answer_today),
    "rims": ("rims", facts.answer_rims),
    "label": ("car", label.answer_label),
    "heard": ("car and set", radio.answer_heard),
    "alike": ("set", radio.answer_alike),
    "kind": ("car and set", radio.answer_kind),
    "writer": ("", radio.answer_writer),
    "climate": ("", climate.answer_climate),
    "when": ("car and set", days.answer_when),
    "kept": ("car", days.answer_kept),
}
"""By the head of a question's code: what the rest of it names, and what puts its answer in."""


def answered(table: Table, code: str, given: Given, now: Occasion) -> Table:
    """The table with an answer in it. Raises AnswerRefused where it can't be taken, or would contradict what is known."""
    head, _, rest = code.partition("/")
    draft = TableDraft(table)
    names, answer = _ANSWERS.get(head, ("", None))
    if answer is None or not _is_there(draft, names, rest.split("/")):
        raise AnswerRefused({"": _NOT_ASKED})
    try:
        answer(draft, rest, given, now)
    except KeyError:
        raise AnswerRefused({"": _NOT_ASKED}) from None
    made = draft.done()
    _, found = complaints_of(made)
    if found:
        first = found[0]
        raise AnswerRefused({"": f"found {first.found}, expected {first.expected}. {first.suggestion}".strip()})
    return made


_NOT_ASKED = "this is not asked any more: go on with the next question"


def _is_there(draft: TableDraft, named: str, names: list[str]) -> bool:
    """Whether what a question is about is there: a page may have stood open since it was taken out."""
    if named == "rims":
        return len(names) == 2 and names[0] in ("car", "set") and draft.find(names[0], names[1]) is not None
    kinds = named.split(" and ") if named else []
    return len(names) >= len(kinds) and all(draft.find(k, n) is not None for k, n in zip(kinds, names, strict=False))
