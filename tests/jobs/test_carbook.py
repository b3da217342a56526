"""What a book keeps of visits to cars, in both databases: records, readings of wheels, and teachings with their stages."""

from __future__ import annotations

import json

import pytest

from cars import CARD, broken_off, keep_card, on_a_bus, suited_household
from visits import let_in
from wheelside.book.check import wrong_with
from wheelside.book.reading import Purpose, Warmth
from wheelside.book.readings import all_readings
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import PractisedWheel, bytes_of
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.car.port import lined, read_and_keep
from wheelside.jobs.car.visit import Visit, keep_port_card, kept_card, last_teaching, records
from wheelside.units import AbsolutePressure


@pytest.fixture
def home(desk: Desk) -> Desk:
    take_in_text(desk, suited_household(), "household.toml")
    return desk


def test_the_newest_port_card_counts(home: Desk) -> None:
    assert kept_card(home, "estate") is None
    keep_card(home)
    keep_port_card(
        Visit(home, "estate"), port_card().replace(b"Car to practise on", b"Another"), "b.toml", dbc().decode()
    )
    kept = kept_card(home, "estate")
    assert kept is not None
    assert (kept.name, kept.card.label) == ("b.toml", "Another")
    assert kept_card(home, "runabout") is None


def test_pressures_are_readings_of_the_wheels_whose_ids_the_car_goes_by(home: Desk) -> None:
    car = practice_car()
    first, second, third, fourth = (PractisedWheel(sensor, kpa=331.3 + n, celsius=7) for n, sensor in enumerate(SUMMER))
    car.unit.fit((first, second, third, fourth))
    car.unit.drive(12, 60)
    car.unit.teaching.lists[1] = (SUMMER[0], SUMMER[1], 0x1234ABCD, SUMMER[3])
    with on_a_bus(car) as link, lined(CARD, link) as line:
        read_and_keep(Visit(home, "estate"), line, CARD, 0.5)
    with home.book.reading() as conn:
        found = {w: list(all_readings(conn, "wheel", w)) for w in ("S1", "S2", "S3", "S4")}
        assert wrong_with(conn, home.photos) == ()
    kpa = {wheel: [r.pressure for r in rows] for wheel, rows in found.items()}
    assert kpa == {
        w: [AbsolutePressure(p) for p in told]
        for w, told in (("S1", [331.3]), ("S2", [332.3]), ("S3", [334.3]), ("S4", []))
    }
    (reading,) = found["S1"]
    assert (reading.channel, reading.battery_low) == ("port", False)
    assert (reading.temperature, reading.purpose, reading.warmth) == (None, Purpose.FETCHED, Warmth.NOT_KNOWN)
    assert reading.tyre is not None
    assert reading.tyre.kelvin == pytest.approx(280.15)


def test_a_wheel_that_the_car_is_not_known_to_hear_gets_no_reading(home: Desk) -> None:
    car = practice_car()
    car.unit.drive(12, 60)
    with on_a_bus(car) as link, lined(CARD, link) as line:
        read_and_keep(Visit(home, "estate"), line, CARD, 0.5)
    with home.book.reading() as conn:
        assert not any(list(all_readings(conn, "wheel", w)) for w in ("S1", "S2", "S3", "S4", "W1", "W2"))


@pytest.mark.parametrize(
    ("stages", "settled"),
    [
        ((), True),
        (("saved", "session"), True),
        (("saved", "session", "begun"), False),
        (("begun", "written", "read-back", "ended: new-list"), True),
        (("begun", "written", "undo", "ended: old-list"), True),
        (("begun", "ended: not-known"), False),
        (("begun", "ended: old-list", "undo", "begun"), False),
    ],
)
def test_a_teaching_is_settled_where_the_car_was_not_touched_or_what_it_holds_is_known(
    home: Desk, stages: tuple[str, ...], settled: bool
) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), stages)
    last = last_teaching(records(home, "estate"))
    assert last is not None
    assert last.settled is settled
    assert last.old == bytes_of(SUMMER)


def test_records_come_out_by_the_api(home: Desk) -> None:
    keep_card(home)
    told = json.loads(let_in(home).get("/api/cars/estate/port"))
    assert [(one["num"], one["what"], one["car"]) for one in told] == [(1, "port card", "estate")]
