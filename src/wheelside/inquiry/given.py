"""What an owner has answered, fact by fact in the owner's words, and each of these questions once more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from wheelside.declared.row import Row
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.inquiry import climate, label, opening
from wheelside.inquiry.draft import Table, TableDraft
from wheelside.inquiry.facts import ANSWERS, METRIC, PARTS, TOPS, declared, fact_query, pick_code, silent_ones
from wheelside.inquiry.query import Gap, Query
from wheelside.said import Joined, Said, listed, say
from wheelside.units import UnitChoice

NOT_ONE_BY_ONE = ("printed", "family", "can", "other_set")
"""Facts that are asked in ways of their own, or for each wheel by itself."""


@dataclass(frozen=True, slots=True)
class FactGiven:
    """One fact: its question, and the answer as it stands; None where there is none. `unknown`: it was said not to be known.

    `code`: by which it is asked once more; '' where wheels differ in it, so that one answer for all would lose something.
    """

    code: str
    question: Said
    answer: Said | None
    unknown: bool


def of_car(car: Car) -> tuple[FactGiven, ...]:
    """What is asked of a car: its name, its label, then its facts."""
    rows = [r for r in car.placard if r.load == label.NORMAL and r.front is not None and r.rear is not None]
    said = [say("front {front}, rear {rear}", front=r.front, rear=r.rear) for r in rows]
    given = [
        FactGiven(label.code_of(car, r.tyre.text), label.title_of(r.tyre), one, unknown=False)
        for r, one in zip(rows, said, strict=True)
    ]
    return (_named("car", car.id, car.name), *given, *_of_rows(f"car/{car.id}/", Car, (car,), car.name))


def _named(kind: str, row_id: str, name: str) -> FactGiven:
    return FactGiven(f"name/{kind}/{row_id}", NAME, say("{name}", name=name), unknown=False)


NAME = say("What do you call it?")


def of_set(garage: Garage, wheel_set: WheelSet, day: date) -> tuple[FactGiven, ...]:
    """What is asked of a set's tyres, rims and sensors."""
    found = [_named("set", wheel_set.id, wheel_set.name), *_ids(garage, wheel_set, day)]
    parts = [parts_on(garage, wheel, day) for _, wheel in wheel_set.wheels]
    for kind, cls in PARTS.items():
        rows = tuple(one for p in parts if (one := getattr(p, kind)) is not None)
        if rows:
            found += _of_rows(f"set/{wheel_set.id}/{kind}.", cls, rows, wheel_set.name)
    return tuple(found)


def _ids(garage: Garage, wheel_set: WheelSet, day: date) -> Iterator[FactGiven]:
    query = opening.ids_query(garage, wheel_set, day)
    there = [(garage.wheels[w].name, query.gap(c.key).value) for c, w in wheel_set.wheels]
    shown = [say("{wheel} {id}", wheel=wheel, id=printed) for wheel, printed in there if printed]
    if any(parts_on(garage, w, day).sensor is not None for _, w in wheel_set.wheels):
        answer = say("{all}", all=listed(shown, Joined.COMMA)) if shown else None
        yield FactGiven(query.code, query.title, answer, unknown=not shown)


def of_rest(garage: Garage) -> tuple[FactGiven, ...]:
    """What is asked of the use and of the work."""
    rows = (one for table, cls in TOPS.items() for one in _of_rows(f"top/{table}/", cls, (getattr(garage, table),), ""))
    return (*rows, *_mornings(garage))


def _mornings(garage: Garage) -> Iterator[FactGiven]:
    """How cold mornings are, once that was answered."""
    if climate.climate_open(garage):
        return
    query = climate.climate_query(garage)
    shown = [say("{label} {value}", label=g.label, value=g.value) for g in query.gaps if g.value]
    answer = say("{all}", all=listed(shown, Joined.COMMA)) if shown else None
    yield FactGiven(query.code, query.title, answer, climate.KEY in garage.conditions.not_known)


def _of_rows(begins: str, cls: type[Row], rows: tuple[Any, ...], name: str) -> Iterator[FactGiven]:
    for one in fields(cls):
        asked = one.metadata.get("asked")
        if asked is None or one.name in NOT_ONE_BY_ONE:
            continue
        values = [v for row in rows if (v := getattr(row, one.name)) is not None]
        words = {str(v): w for v, w in asked.options}
        shown = [
            say(words[str(v)]) if str(v) in words else say("{value}", value=getattr(v, "text", v))
            for v in dict.fromkeys(values)
        ]
        whole = len(values) == len(rows)
        answer = None if not shown else shown[0] if len(shown) == 1 and whole else say("not the same on all wheels")
        unknown = any(one.name in row.not_known for row in rows)
        code = f"{begins}{one.name}" if len(shown) < 2 and (whole or not values) else ""
        yield FactGiven(code, say(asked.question, name=name), answer, unknown)


def once_more(garage: Garage, table: Table, code: str, day: date) -> Query | None:
    """A question with what stands there now, as it is written in the table; None where there is no such question."""
    head, _, rest = code.partition("/")
    draft = TableDraft(table)
    try:
        if head == "name":
            kind, _, key = rest.partition("/")
            named: WheelSet | Car = garage.sets[key] if kind == "set" else garage.cars[key]
            return Query(code, NAME, (), (Gap("name", say("name"), named.name),))
        if code == climate.CODE:
            return climate.climate_query(garage)
        if head == "ids":
            return opening.ids_query(garage, garage.sets[rest], day)
        if head == "label":
            return label.once_more(garage.cars[rest.rpartition("/")[0]], draft, code)
        if head == "car":
            car_id, _, key = rest.rpartition("/")
            car = garage.cars[car_id]
            return _shown(code, Car, key, (car,), car.name, draft.find("car", car_id))
        if head == "set":
            set_id, _, path = rest.rpartition("/")
            kind, _, key = path.partition(".")
            parts = [parts_on(garage, wheel, day) for _, wheel in garage.sets[set_id].wheels]
            rows = tuple(one for p in parts if (one := getattr(p, kind)) is not None)
            row = draft.find(kind, rows[0].id) if rows else None
            query = _shown(code, PARTS[kind], key, rows, garage.sets[set_id].name, row)
            return silent_ones(query, garage, garage.sets[set_id]) if path == ANSWERS else query
        if head == "top":
            top, _, key = rest.partition("/")
            return _shown(code, TOPS[top], key, (getattr(garage, top),), "", draft.single(top), garage.units.choice)
    except (KeyError, AttributeError):
        return None
    return None


def _shown(
    code: str, cls: type[Row], key: str, rows: tuple[Any, ...], name: str, raw: Table | None, units: UnitChoice = METRIC
) -> Query:  # fmt: skip
    asked, _ = declared(cls, key)
    query = fact_query(code, asked, name, units)
    values = list(dict.fromkeys(v for row in rows if (v := getattr(row, key)) is not None))
    if len(values) != 1:
        return query
    picks = tuple(replace(p, then=say("your answer now")) if p.code == pick_code(values[0]) else p for p in query.picks)
    gaps = tuple(replace(g, value=str((raw or {}).get(key, ""))) for g in query.gaps)
    return replace(query, picks=picks, gaps=gaps)
