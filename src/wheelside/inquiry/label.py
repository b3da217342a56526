"""What the label in the door says for a tyre size."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from wheelside.declared.kinds import Unfit
from wheelside.declared.row import GAUGE
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.inquiry.draft import TableDraft, unknown
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Gap, Given, Occasion, Query
from wheelside.inquiry.typed import told, value_of
from wheelside.said import say
from wheelside.tyre.designation import Designation
from wheelside.tyre.sidewall import read_designation
from wheelside.units import GaugePressure, read_gauge_pressure

NORMAL = "normal"
LEAST_LABEL, MOST_LABEL = GaugePressure(140.0), GaugePressure(560.0)
"""What labels of cars and light vans give, cold. Judgement."""
_AXLES = ("front", "rear")


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
        yield Query(
            f"label/{car.id}/{one.text.replace('/', '|')}",
            say("Which pressures does the label give for {size}?", size=one.size),
            (),
            tuple(Gap(axle, say(axle), "", "bar", "2.3" if axle == "front" else "2.2", "figure") for axle in _AXLES),
            say("On the door's frame or in the fuel flap; the column for the usual load. The handbook has it too."),
            say("Then no pressure can be given."),
            "placard",
        )


def answer_label(draft: TableDraft, rest: str, given: Given, now: Occasion) -> None:
    """Puts a row of the label in, for the usual load."""
    car_id, _, coded = rest.rpartition("/")
    car = draft.row("car", car_id)
    size = coded.replace("|", "/")
    if given.get("pick") == DONT_KNOW:
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
    car["placard"] = [*car.get("placard", ()), row]
