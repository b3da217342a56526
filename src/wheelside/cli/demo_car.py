"""The last part of the demo: a car is asked and taught. The car to practise on stands in for the estate, with the planned wheels fitted."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from wheelside.car.permit import Permit
from wheelside.car.portcard import read_port_card
from wheelside.cli.car_shown import show_draft, show_known, show_outcome
from wheelside.cli.tell import Teller
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import PracticeCar, PractisedWheel, practice_car, serve_tcp
from wheelside.identity.plan import IdentityPlan
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in
from wheelside.jobs.car.port import codes_and_keep, known_of, lined, talking
from wheelside.jobs.car.teach import writable_list
from wheelside.jobs.car.visit import Visit
from wheelside.jobs.car.write import GoAhead, write_list
from wheelside.jobs.source import Clock
from wheelside.sensor.ident import SensorId

CAR, SET, LIST, WATCHED = "estate", "winter", "set 2", 2
MINUTES, KM_H = 12, 60
LASTING_S = 120.0


def show_asking(out: Teller, file: Path, plan: IdentityPlan, clock: Clock) -> None:
    """Asks the stand-in for codes, teaches it the planned IDs, drives, and reads everything. The book for it is beside `file`."""
    planned: dict[str, SensorId | None] = {
        w.corner.value: w.id.bare for w in plan.wheels if w.set == SET and w.id is not None
    }
    card, car = read_port_card(port_card(), "practice.toml", dbc().decode()), practice_car()
    row = writable_list(card, LIST)
    car.unit.fit(_fitted(planned, row.layout.places))
    desk = new_desk(str(file.with_suffix(".book")), clock=clock)
    try:
        take_in(desk, file)
        visit = Visit(desk, CAR)
        with serve_tcp(car, lasting_s=LASTING_S) as (host, port):
            link = f"at socket://{host}:{port}"
            with talking(card, link, permit=Permit.TEACH) as talk:
                codes = codes_and_keep(visit, talk, card).codes.codes
                out.heading("Asking a car", "the car to practise on stands in for the estate")
                out.line(f"Codes: {', '.join(one.code.text for one in codes) or 'none'}.", indent=2)
                written = write_list(visit, talk, card, row, planned, GoAhead(), show=partial(show_draft, out))
                if written.taught is not None:
                    show_outcome(out, written.taught)
            _drive(car)
            with lined(card, link) as line:
                known = known_of(line, card)
    finally:
        desk.close()
    out.line(f"Then its set is chosen, and it is driven for {MINUTES} minutes:", indent=2)
    show_known(out, card.label, known)
    out.line("Try it yourself: wheelside car practise", indent=2)


def _fitted(
    planned: dict[str, SensorId | None], places: tuple[str, ...]
) -> tuple[PractisedWheel, PractisedWheel, PractisedWheel, PractisedWheel]:
    front_left, front_right, rear_right, rear_left = (
        PractisedWheel(one.number if one else 0) for one in (planned[place] for place in places)
    )
    return front_left, front_right, rear_right, rear_left


def _drive(car: PracticeCar) -> None:
    """The set is chosen in the car's menu, and the car driven."""
    car.unit.watched = WATCHED
    car.unit.drive(MINUTES, KM_H)
