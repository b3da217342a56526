"""What the label in the door says for a tyre size."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from wheelside.declared.kinds import Unfit
from wheelside.declared.row import GAUGE
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.inquiry.draft import Table, TableDraft, unknown
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Gap, Given, Occasion, Query
from wheelside.inquiry.typed import told, value_of
from wheelside.said import Said, say
from wheelside.tyre.designation import Designation
from wheelside.tyre.sidewall import read_designation
from wheelside.units import GaugePressure, read_gauge_pressure

NORMAL = "normal"
LEAST_LABEL, MOST_LABEL = GaugePressure(140.0), GaugePressure(560.0)
"""What labels of cars and light vans give, cold. Judgement."""
_AXLES = {"front": "2.3", "rear": "2.2"}


def sizes_of(garage: Garage, wheel_set: WheelSet, day: date) -> tuple[Designation, ...]:
    """The tyre sizes of a set as they are written, each size once."""
    tyres = [parts_on(garage, wheel, day).tyre for _, wheel in wheel_set.wheels]
    found = [t.designation for t in tyres if t is not None and t.designation is not None]
    return tuple({one.size: one for one in found}.values())


def label_query(garage: Garage, car: Car, wheel_set: WheelSet, day: date) -> Iterator[Query]:
    """The label's two figures for each size of a set that it has no row for yet."""
    there = {row.tyre.size for row in car.placard}
    for one in sizes_of(garage, wheel_set, day):
        if one.size in there or f"label {one.size}" in car.not_known:
            continue
        yield _query(code_of(car, one.text), one, {})


def code_of(car: Car, size: str) -> str:
    """By which the label's figures for a size are asked."""
    return f"label/{car.id}/{size.replace('/', '|')}"


def title_of(size: Designation) -> Said:
    """What is asked."""
    return say("Which pressures does the label give for {size}?", size=size.size)


def _query(code: str, size: Designation, noted: Table) -> Query:
    return Query(
        code,
        title_of(size),
        (),
        tuple(Gap(axle, say(axle), str(noted.get(axle, "")), "bar", example, "figure") for axle, example in _AXLES.items()),
        say("On the door's frame or in the fuel flap; the column for the usual load. The handbook has it too."),
        say("Then no pressure can be given."),
        "placard",
    )  # fmt: skip


def once_more(car: Car, draft: TableDraft, code: str) -> Query | None:
    """The label's figures for a size with what is noted; None where nothing is."""
    size = next((r.tyre for r in car.placard if code_of(car, r.tyre.text) == code), None)
    return _query(code, size, _noted(draft, car.id, size)) if size is not None else None


def _noted(draft: TableDraft, car: str, size: Designation) -> Table:
    rows: list[Table] = (draft.find("car", car) or {}).get("placard", [])
    return next((r for r in rows if r["load"] == NORMAL and read_designation(r["tyre"]).size == size.size), {})


def answer_label(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts a row of the label in, for the usual load."""
    car_id, _, coded = rest.rpartition("/")
    car = draft.row("car", car_id)
    size = coded.replace("|", "/")
    if given.get("pick") == DONT_KNOW:
        noted = _noted(draft, car_id, read_designation(size))
        car["placard"] = [r for r in car.get("placard", ()) if r is not noted]
        unknown(car, f"label {read_designation(size).size}")
        return
    wrong: dict[str, str] = {}
    row: dict[str, Any] = {"tyre": size, "load": NORMAL}
    for axle in _AXLES:
        text = given.get(axle, "").strip()
        try:
            row[axle] = value_of(GAUGE, text, "bar", now.units) if text else ""
            if text and not LEAST_LABEL.kpa <= read_gauge_pressure(row[axle]).kpa <= MOST_LABEL.kpa:
                wrong[axle] = f"{row[axle]} is on no car's label: read it again"
        except Unfit as error:
            wrong[axle] = told(error)
        if not text:
            wrong[axle] = "write a figure, or pick Don't know"
    if wrong:
        raise AnswerRefused(wrong)
    noted = _noted(draft, car_id, read_designation(size))
    if noted:
        noted.update({axle: row[axle] for axle in _AXLES})
    else:
        car["placard"] = [*car.get("placard", ()), row]
