"""The check's figures off the car's own port: read at a tap, looked at, and kept as the car's."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from cars import keep_card, on_a_bus
from visits import Site, let_in, words
from wheelside.air.atmosphere import standard_air
from wheelside.book.reading import Purpose
from wheelside.demo.practice import practice_car
from wheelside.demo.practice.car import PracticeCar
from wheelside.demo.practice.told import SUMMER
from wheelside.demo.practice.wheels import PractisedWheel
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import readings_of
from wheelside.units import GaugePressure, Length, Temperature


@pytest.fixture
def car() -> PracticeCar:
    """The summer wheels are on it, and were driven."""
    made = practice_car()
    driven(made, 7)
    return made


def driven(car: PracticeCar, celsius: int) -> None:
    """The summer wheels are put on a car, at a temperature, and driven."""
    first, second, third, fourth = (PractisedWheel(s, kpa=331.3 + n, celsius=celsius) for n, s in enumerate(SUMMER))
    car.unit.fit((first, second, third, fourth))
    car.unit.drive(12, 60)


@pytest.fixture
def site(home: Desk, car: PracticeCar) -> Iterator[Site]:
    keep_card(home)
    with on_a_bus(car) as link:
        yield let_in(home, car_link=link)


def fields(page: str) -> dict[str, str]:
    """What the form would send as it stands."""
    found = dict(re.findall(r'name="((?:g|sent|told)\.[^"]+)" value="([^"]*)"', page))
    return {**found, "car": "estate", "came": "port"}


def test_they_fill_the_four_fields_and_are_kept_as_the_cars_own_once_somebody_looked(home: Desk, site: Site) -> None:
    card = site.get("/gauge?car=estate")
    assert words(card).index("Read and save first") < words(card).index("Read them")
    page = site.post("/gauge", 200, {"car": "estate", "do": "port", "g.outside": "8"})
    sent = fields(page)
    air = standard_air(home.loaded().garage.conditions.height_here or Length(0.0)).kpa
    shown = [float(sent[f"g.{c}"]) * 100 for c in ("front left", "front right", "rear right", "rear left")]
    assert shown == pytest.approx([331.3 + n - air for n in range(4)], abs=13)
    assert shown[1] - shown[0] == pytest.approx(1.0, abs=0.2)
    assert sent["g.outside"] == "8"
    assert readings_of(home, "wheel", "S1", 9) == ()
    site.post("/gauge", fields={**sent, "g.rear left": "2.3"})
    (first,), (typed,) = readings_of(home, "wheel", "S1", 9), readings_of(home, "wheel", "S3", 9)
    assert (first.channel, first.purpose) == ("port", Purpose.GAUGING)
    assert (typed.channel, typed.purpose) == ("gauge", Purpose.GAUGING)
    assert isinstance(first.pressure, GaugePressure)
    assert isinstance(typed.pressure, GaugePressure)
    assert [first.pressure.kpa, typed.pressure.kpa] == pytest.approx([shown[0], 230.0])


def test_how_warm_the_air_in_each_tyre_is_comes_with_the_cars_own_figures(home: Desk, site: Site) -> None:
    page = site.post("/gauge", 200, {"car": "estate", "do": "port", "g.outside": "3"})
    assert words(page).count("Air in the tyre: 7 °C") == 4
    again = site.post("/gauge", 422, {**fields(page), "g.front left": "24"})
    site.post("/gauge", fields={**fields(again), "g.front left": "2.30"})
    kept = {w: readings_of(home, "wheel", w, 9)[0] for w in ("S1", "S2")}
    assert (kept["S2"].channel, kept["S2"].tyre) == ("port", Temperature.from_celsius(7))
    assert kept["S2"].outside == Temperature.from_celsius(3), "the sensor's is not the outside's"
    assert (kept["S1"].channel, kept["S1"].tyre) == ("gauge", None), "typed otherwise: not what the car told"
    site.post("/gauge", 400, {**fields(page), "told.front left": "hot"})


def test_a_temperature_that_no_tyre_has_is_not_taken(home: Desk, car: PracticeCar, site: Site) -> None:
    driven(car, 180)
    page = site.post("/gauge", 200, {"car": "estate", "do": "port"})
    assert "Air in the tyre" not in words(page)
    site.post("/gauge", fields=fields(page))
    (first,) = readings_of(home, "wheel", "S1", 9)
    assert (first.channel, first.tyre) == ("port", None)


def test_what_the_car_did_not_tell_is_not_said_to_be_the_cars(home: Desk, site: Site) -> None:
    site.post("/gauge", fields={"car": "estate", "came": "port", "g.front left": "2.4"})
    (first,) = readings_of(home, "wheel", "S1", 9)
    assert first.channel == "gauge"


def test_wheels_that_the_car_does_not_go_by_are_not_taken_for_those_on_it(home: Desk) -> None:
    keep_card(home)
    other = practice_car()
    other.unit.drive(12, 60)
    with on_a_bus(other) as link:
        asking = let_in(home, car_link=link)
        page = words(asking.post("/gauge", 422, {"car": "estate", "do": "port", "g.front left": "2.4"}))
    assert "the car told no pressure of these wheels" in page


def test_it_is_offered_only_where_the_car_can_be_asked(home: Desk) -> None:
    offered = "Take them from the car"
    assert offered not in words(let_in(home, car_link="virtual nobody").get("/gauge"))
    keep_card(home)
    assert offered in words(let_in(home, car_link="virtual nobody").get("/gauge?car=estate"))
    assert offered not in words(let_in(home, car_link="virtual nobody").get("/gauge?set=winter"))
    assert offered not in words(let_in(home).get("/gauge"))
    silent = let_in(home, car_link="virtual nobody").post(
        "/gauge", 422, {"car": "estate", "do": "port", "g.front left": "2.4"}
    )
    assert 'value="2.4"' in silent
