"""Random garages with a few cars and sets: near enough to fit at times, with any fact left out at times."""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

from wheelside.garage.model import (
    Car,
    Family,
    Garage,
    Joining,
    PlacardRow,
    RetiredId,
    Rim,
    Sensor,
    Tyre,
    Wheel,
    WheelSet,
)
from wheelside.garage.wishes import Costs, PlanWishes
from wheelside.garage.words import (
    ROAD_CORNERS,
    Band,
    Corner,
    Direction,
    Fastening,
    Monitor,
    Season,
    Seat,
    Stem,
    Teaching,
    WinterMark,
    Writing,
)
from wheelside.rim.fasten import Thread
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.tyre.sidewall import read_designation
from wheelside.units import Duration, GaugePressure, Length, Mass, Money, Speed

DAY = date(2026, 11, 25)
USUAL = (
    "205/55 R16 91V", "205/55 R16 94V XL", "205/55 R16 91H", "205/55 R16 94H XL", "195/60 R16 89H", "225/50 R16 92W", "215/50 R17 95V XL",
    "225/45 R17 94Y XL", "195/65 R15 91T",
)  # fmt: skip
ODD = (
    "205/55 R16", "205/55 ZR16", "205/55 ZR16 (91W)", "P205/55 R16 89H", "P215/60 R16 94T", "195/65 R16C 104/102R", "LT235/75R15/C 104/101S",
    "165 R13 82T", "6.40-13", "FR78-15", "31x10.50 R15LT", "185/70 HR14", "245/40 R18 97Q XL",
)  # fmt: skip
FAMILIES = (
    Family(id="plain", band=Band.MHZ_433, bits=32),
    Family(id="other", band=Band.MHZ_433, bits=32, unlike=("third",)),
    Family(id="third", band=Band.MHZ_433, bits=32),
    Family(id="narrow", band=Band.MHZ_433, bits=28),
    Family(id="west", band=Band.MHZ_315, bits=32),
    Family(id="dim"),
)
T = TypeVar("T")


class Drawing:
    """One garage being drawn: `lacks` is how likely a fact is left out, `odd` how likely it is another than the garage's usual."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.lacks = self.random.choice((0.0, 0.03, 0.1, 0.4))
        self.odd = self.random.choice((0.0, 0.05, 0.3, 0.7))
        self.base = self.random.choice(USUAL)

    def of(self, usual: T, *others: T) -> T:
        return self.random.choice(others) if self.random.random() < self.odd else usual

    def near(self, usual: float, spread: float, step: float = 0.5) -> float:
        steps = round(spread / step)
        return usual + step * self.random.randint(-steps, steps) * (self.random.random() < max(self.odd, 0.2))

    def kept(self, facts: dict[str, Any]) -> dict[str, Any]:
        return {key: value for key, value in facts.items() if value is not None and self.random.random() >= self.lacks}

    def yes(self, chance: float) -> bool:
        return self.random.random() < chance

    def tyre(self) -> str:
        return self.of(self.base, *USUAL, *USUAL, *ODD)

    def circle(self) -> BoltCircle:
        return self.of(
            BoltCircle(5, 112.0), BoltCircle(5, 114.3), BoltCircle(5, 114.0), BoltCircle(4, 112.0), BoltCircle(5, 112.3)
        )

    def garage(self) -> Garage:
        cars = tuple(self.car(f"car {n}") for n in range(self.random.randint(1, 5)))
        sets = [self.wheel_set(f"set {n}") for n in range(self.random.randint(2, 4))]
        rims = [row for drawn in sets for row in drawn[1]]
        tyres = [row for drawn in sets for row in drawn[2]]
        sensors = [row for drawn in sets for row in drawn[3]]
        wheels = [row for drawn in sets for row in drawn[4]]
        retired = tuple(RetiredId(id=one.sends) for one in sensors[:1] if one.sends and self.yes(0.2))
        plan = self.kept({"worn_at": Length(self.near(3.0, 1)), "worn_at_winter": Length(self.near(4.0, 1))})
        costs = self.kept({
            "hour": Money(Decimal(18), "EUR"), "sensor": Money(Decimal(self.random.randint(20, 60)), "EUR"),
            "fastener_set": Money(Decimal(31), "EUR"), "ring_set": Money(Decimal(11), "EUR"), "shop_trip": Duration(2400.0),
            "write_mounted": Duration(600.0),
        })  # fmt: skip
        return Garage(
            wheelside=1, family=FAMILIES, car=cars, rim=tuple(rims), tyre=tuple(tyres), sensor=tuple(sensors), wheel=tuple(wheels),
            set=tuple(drawn[0] for drawn in sets), retired=retired, plan=PlanWishes(**plan), costs=Costs(**costs),
        )  # fmt: skip

    def car(self, name: str) -> Car:
        r = self.random
        rows = tuple(
            PlacardRow(tyre=read_designation(text), load=load, **self.kept({
                "front": GaugePressure(r.choice((220.0, 240.0, 260.0, 290.0))),
                "rear": GaugePressure(r.choice((220.0, 240.0, 270.0, 310.0))),
            }))
            for text, load in ((self.base, "normal"), (self.base, "full"), (self.tyre(), "full"))
        )  # fmt: skip
        facts = {
            "monitor": self.of(Monitor.DIRECT, Monitor.INDIRECT, Monitor.NONE), "family": self.of("plain", "narrow", "west", "dim", "other"),
            "band": Band.MHZ_433 if self.yes(0.2) else None, "placard": rows[: r.randint(1, 3)],
            "approved": tuple(read_designation(self.tyre()) for _ in range(r.randint(0, 3))), "axle_load_front": Mass(self.near(1050, 200, 10)),
            "axle_load_rear": Mass(self.near(1000, 250, 10)), "load_index": r.randint(86, 96) if self.yes(0.6) else None,
            "speed_symbol": r.choice("THV") if self.yes(0.6) else None, "top_speed": Speed(r.choice((165.0, 190.0, 208.0, 225.0, 240.0, 255.0))),
            "bolt_circle": self.circle(), "centre_bore": Length(self.near(66.6, 1, 0.1)), "inset": Length(self.near(46, 8, 1)),
            "width_in": RimSize(self.of(6.5, 6.0, 7.0, 7.5)), "fastening": self.of(Fastening.BOLTS, Fastening.NUTS),
            "thread": Thread(self.of(14.0, 12.0), 1.5), "seat": self.of(Seat.CONE, Seat.BALL_13, Seat.FLAT),
            "fastener_length": Length(self.near(28, 4)), "room_inside": Length(self.near(16, 8)), "room_outside": Length(self.near(14, 8)),
            "least_rim": self.of(16, 15, 17) if self.yes(0.6) else None, "all_wheel_drive": self.yes(0.4),
            "speedometer_shows": Speed(104.0), "taught_by": r.choice(tuple(Teaching)), "season_distance": Length(r.randint(4, 12) * 1e9),
        }  # fmt: skip
        facts |= (
            {"remembers_sets": r.choice((1, 1, 2))}
            if self.yes(0.7)
            else {"remembers_ids": r.choice((4, 5, 8, 10)), "spare_counted": self.yes(0.5)}
        )
        kept = self.kept(facts)
        if "speedometer_shows" in kept and self.yes(0.5):
            kept["speedometer_true"] = Speed(100.0)
        else:
            kept.pop("speedometer_shows", None)
        return Car(id=name, **kept)

    def corners(self) -> Sequence[Corner]:
        if self.yes(0.85):
            return ROAD_CORNERS
        return self.random.sample(ROAD_CORNERS, self.random.randint(0, 3))

    def wheel_set(self, name: str) -> tuple[WheelSet, list[Rim], list[Tyre], list[Sensor], list[Wheel]]:
        shared = self.shared()
        parts: tuple[list[Rim], list[Tyre], list[Sensor], list[Wheel]] = ([], [], [], [])
        corners = self.corners()
        for n, _ in enumerate(corners):
            drawn = self.shared() if self.yes(self.odd / 2) else shared
            one = f"{name}.{n}"
            rim, tyre, sensor = (self.kept(part) for part in drawn)
            parts[0].append(Rim(id=one, **rim))
            parts[1].append(Tyre(id=one, **tyre))
            if "sends" in sensor and not self.yes(self.odd / 10):
                sensor["sends"] = f"0x{self.random.getrandbits(28):08X}"
            parts[2].append(Sensor(id=one, **sensor))
            joined = {"rim": one, "tyre": one, "sensor": None if self.yes(self.odd / 4) else one}
            parts[3].append(Wheel(id=one, joined=() if self.yes(self.lacks / 4) else (Joining(**self.kept(joined)),)))
        wheels = tuple((corner, f"{name}.{n}") for n, corner in enumerate(corners))
        price = None if self.yes(self.lacks) else Money(Decimal(self.random.randint(80, 900)), "EUR")
        return WheelSet(id=name, on_offer=True, price=price, wheels=wheels), *parts

    def shared(self) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
        """What the rims, the tyres and the sensors of one set have in common."""
        rim = {
            "max_pressure": GaugePressure(self.of(400.0, 250.0, 300.0)) if self.yes(0.7) else None, "max_load": Mass(self.near(650, 200, 10)),
            "bolt_circle": self.circle(), "centre_bore": Length(self.near(66.6, 1, 0.1)), "inset": Length(self.near(46, 10, 1)),
            "width_in": RimSize(self.of(6.5, 6.0, 7.0, 7.5, 4.5, 9.0), self.of(16.0, 15.0, 17.0) if self.yes(0.6) else None),
            "seat": self.of(Seat.CONE, Seat.BALL_13, Seat.FLAT), "seat_depth": Length(self.near(12, 4)),
            "valve_hole": Length(self.of(11.5, 8.3)), "damaged": self.yes(self.odd / 8),
        }  # fmt: skip
        season = self.of(Season.WINTER, *Season)
        tyre = {
            "designation": read_designation(self.tyre()), "max_pressure": GaugePressure(self.of(350.0, 300.0, 250.0)),
            "date_code": self.of("3823", "1219", "0215", "4716", "4816", "037", "529"), "tread": Length(self.near(7.0, 5.5)), "season": season,
            "direction": self.of(Direction.NONE, Direction.LEFT, Direction.RIGHT), "winter_mark": self.of(WinterMark.SNOWFLAKE, *WinterMark),
            "pattern": self.of("Blocks", "blocks", "ribs"), "damaged": self.yes(self.odd / 8),
            "rim_widths": (RimSize(6.0), RimSize(7.0)) if self.yes(0.3) else None,
        }  # fmt: skip
        sensor = {
            "sends": "0x0ABCDEF1", "family": self.of("plain", *(f.id for f in FAMILIES)), "band": Band.MHZ_433 if self.yes(0.2) else None,
            "bits": 32 if self.yes(0.1) else None, "writing": self.of(Writing.FIXED, *Writing), "written": self.yes(0.5),
            "answers": not self.yes(self.odd / 4), "battery_low": self.yes(self.odd / 4), "stem": self.of(Stem.METAL, Stem.RUBBER),
            "valve_hole": Length(self.of(11.5, 8.3)),
        }  # fmt: skip
        return rim, tyre, sensor


def drawn(seed: int) -> Garage:
    """The garage of one seed."""
    return Drawing(seed).garage()


def present_of(garage: Garage, seed: int) -> dict[str, str]:
    """For some of the cars a set that is on them now."""
    draw = random.Random(seed)
    return {car.id: draw.choice(garage.set).id for car in garage.car if draw.random() < 0.4}
