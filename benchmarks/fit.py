"""Judging many wheel sets for many cars: how long it takes, and how it grows with the pairs.

python benchmarks/fit.py            10,000 sets on offer against 100 cars
python benchmarks/fit.py --growth   the same at a tenth, a third and all of it, in pairs

Cars and sets are drawn at random, every wheel on its own, with a tenth of all facts left out. Gathering facts, judging, pricing and
ranking are counted; drawing the garage is not. Printed beside it: one sum over as many numbers, as a measure of the machine.
"""

from __future__ import annotations

import random
import resource
import sys
import time
from datetime import date
from decimal import Decimal

import numpy as np

from wheelside.fit.compare import compare
from wheelside.fit.scene import scene
from wheelside.fit.screen import screen
from wheelside.garage.model import Car, Family, Garage, Joining, PlacardRow, Rim, Sensor, Tyre, Wheel, WheelSet
from wheelside.garage.words import ROAD_CORNERS, Band, Direction, Fastening, Monitor, Season, Seat, Teaching, Writing
from wheelside.rim.fasten import Thread
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.tyre.designation import Designation, MarkForm, Service
from wheelside.units import GaugePressure, Length, Mass, Money, Speed

DAY = date(2026, 11, 25)
SEED = 20261125
LEFT_OUT = 0.1


class Draw:
    """Random things of a garage."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def maybe(self, value: object) -> object:
        return None if self.random.random() < LEFT_OUT else value

    def circle(self) -> BoltCircle:
        return BoltCircle(self.random.choice((4, 5)), self.random.choice((98.0, 100.0, 108.0, 112.0, 114.3, 120.0)))

    def tyre(self) -> Designation:
        r = self.random
        service = Service(r.randint(82, 104), r.choice("QTHVW"))
        return Designation(
            MarkForm.METRIC,
            float(r.randint(14, 19)),
            r.choice(range(175, 256, 10)),
            r.choice(range(35, 71, 5)),
            service=service,
            extra_load=r.random() < 0.3,
        )


def garage(cars: int, sets: int) -> Garage:
    """A garage with so many cars and sets on offer."""
    draw = Draw(SEED)
    families = tuple(
        Family(id=f"family {n}", band=draw.random.choice(tuple(Band)), bits=draw.random.choice((24, 28, 32)))
        for n in range(8)
    )
    parts = [_wheel(draw, f"{s}.{n}", families) for s in range(sets) for n in range(4)]
    offered = tuple(
        WheelSet(
            id=f"set {s}", on_offer=True, price=Money(Decimal(draw.random.randint(80, 900)), "EUR"),
            wheels=tuple((corner, f"{s}.{n}") for n, corner in enumerate(ROAD_CORNERS)),
        )
        for s in range(sets)
    )  # fmt: skip
    rims, tyres, sensors, wheels = (tuple(column) for column in zip(*parts, strict=True))
    return Garage(
        wheelside=1, family=families, car=tuple(_car(draw, n, families) for n in range(cars)), rim=rims, tyre=tyres, sensor=sensors,
        wheel=wheels, set=offered,
    )  # fmt: skip


def _car(draw: Draw, n: int, families: tuple[Family, ...]) -> Car:
    r, maybe = draw.random, draw.maybe
    meant = draw.tyre()
    rows = tuple(
        PlacardRow(
            tyre=tyre, load="full", front=GaugePressure(r.randint(210, 300)), rear=GaugePressure(r.randint(210, 340))
        )
        for tyre in (meant, draw.tyre())
        if r.random() > LEFT_OUT
    )
    given = {
        "monitor": Monitor.DIRECT if r.random() < 0.8 else Monitor.INDIRECT, "family": r.choice(families).id,
        "bolt_circle": draw.circle(), "centre_bore": Length(r.choice((57.1, 63.4, 65.1, 66.6, 72.6))), "inset": Length(r.randint(30, 55)),
        "width_in": RimSize(r.choice((6.0, 6.5, 7.0, 7.5, 8.0))), "fastening": r.choice(tuple(Fastening)),
        "thread": Thread(r.choice((12.0, 14.0)), 1.5),
        "seat": r.choice(tuple(Seat)), "fastener_length": Length(r.randint(24, 34)), "room_inside": Length(r.randint(5, 25)),
        "room_outside": Length(r.randint(5, 25)), "axle_load_front": Mass(r.randint(800, 1300)), "axle_load_rear": Mass(r.randint(800, 1300)),
        "load_index": r.randint(84, 98), "speed_symbol": r.choice("THV"), "top_speed": Speed(r.randint(160, 240)),
        "all_wheel_drive": r.random() < 0.2, "taught_by": r.choice(tuple(Teaching)), "remembers_sets": r.choice((1, 1, 2)),
        "season_distance": Length(r.randint(4, 15) * 1e9),
    }  # fmt: skip
    return Car(id=f"car {n}", placard=rows, **{k: v for k, v in given.items() if maybe(v) is not None})  # type: ignore[arg-type]


def _wheel(draw: Draw, name: str, families: tuple[Family, ...]) -> tuple[Rim, Tyre, Sensor, Wheel]:
    r, maybe = draw.random, draw.maybe
    rim = {
        "bolt_circle": draw.circle(), "centre_bore": Length(r.choice((57.1, 63.4, 66.6, 72.6, 73.1))), "inset": Length(r.randint(25, 60)),
        "width_in": RimSize(r.choice((5.5, 6.0, 6.5, 7.0, 7.5, 8.0)), float(r.randint(14, 19))), "seat": r.choice(tuple(Seat)),
        "seat_depth": Length(r.randint(8, 16)), "max_load": Mass(r.randint(450, 800)), "max_pressure": GaugePressure(r.randint(250, 450)),
        "damaged": r.random() < 0.05,
    }  # fmt: skip
    tyre = {
        "designation": draw.tyre(), "max_pressure": GaugePressure(r.choice((300.0, 350.0))),
        "date_code": f"{r.randint(1, 52):02d}{r.randint(12, 26)}",
        "tread": Length(r.uniform(1.5, 9)), "season": r.choice(tuple(Season)), "direction": r.choice(tuple(Direction)), "pattern": r.choice("abcdef"),
        "damaged": r.random() < 0.05,
    }  # fmt: skip
    family = r.choice(families)
    assert family.bits is not None
    sensor = {
        "sends": f"0x{r.getrandbits(family.bits):0{family.bits // 4}X}", "family": family.id, "answers": r.random() < 0.9,
        "writing": r.choice(tuple(Writing)),
        "battery_low": r.random() < 0.1,
    }  # fmt: skip
    return (
        Rim(id=name, **{k: v for k, v in rim.items() if maybe(v) is not None}),  # type: ignore[arg-type]
        Tyre(id=name, **{k: v for k, v in tyre.items() if maybe(v) is not None}),  # type: ignore[arg-type]
        Sensor(id=name, **{k: v for k, v in sensor.items() if k == "family" or maybe(v) is not None}),  # type: ignore[arg-type]
        Wheel(id=name, joined=(Joining(rim=name, tyre=name, sensor=name),)),
    )


def timed(cars: int, sets: int) -> None:
    """Prints how long one size takes."""
    drawn = garage(cars, sets)
    start = time.perf_counter()
    gathered = scene(drawn, drawn.car, drawn.set, {}, DAY)
    middle = time.perf_counter()
    screen(gathered)
    judged = time.perf_counter()
    compare(drawn, drawn.car, drawn.set, DAY, {}, most=1)
    end = time.perf_counter()
    numbers = np.random.default_rng(1).random(cars * sets * 4)
    before = time.perf_counter()
    numbers.sum()
    bare = time.perf_counter() - before
    pairs = cars * sets
    print(
        f"{cars} cars, {sets} sets, {pairs} pairs: gathering {middle - start:.2f} s, judging {judged - middle:.2f} s, "
        f"all of it with prices and order {end - judged:.2f} s = {(end - judged) / pairs * 1e6:.2f} µs a pair; judging is "
        f"{(judged - middle) / bare:.0f} × one sum over as many numbers; most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MiB"
    )


def main() -> None:
    """Runs one size, or several."""
    if "--growth" in sys.argv:
        for cars, sets in ((10, 10_000), (33, 10_000), (100, 10_000), (100, 1_000), (100, 3_300), (200, 10_000)):
            timed(cars, sets)
    else:
        timed(100, 10_000)


if __name__ == "__main__":
    main()
