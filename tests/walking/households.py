"""Random households: a garage file, and the household as it really is.

What the file says is true, as far as it says anything; some of it is left out. Left out of the drawing, because the planner's own
rules for it come later, and they join when those are there:

- **clones and pairs**: a clone is only right where both sets are kept apart for years, and a sheet that has to keep them apart by
  itself is not written yet. Households whose plan has one are turned away and counted (`days.py`). Two IDs that are equal at the
  beginning are drawn where the plan can only part them by writing a fresh one.
- **sensors never written**: blanks that are mounted have no ID of their own.
- **somebody else's car**: a neighbour's car hears and is heard, and can't be described as not the owner's.
- **a spare of several sets**: a wheel is in one set; each set has a spare of its own where spares are counted, and goes only on
  cars that watch as many wheels as it has.
- **a full list of several sets, unless it forgets the oldest**: where the owner chooses what goes, the sheet does not name the list to
  give up; where all go, no such car that remembers several is drawn yet.

A sensor that answers worse than its file says is left out too: the sheet then says to plan again, which is another day's job.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from random import Random

from things import ROAD, SPARE, USUAL_ORDER, Car, Group, Sensor, Wheel
from world import World

from tomlrows import toml_text

Row = dict[str, object]
TYRE = "205/60 R16 92V"
COLOURS = ("Amber", "Birch", "Cobalt", "Dune", "Ember", "Fjord", "Granite", "Heath")
PLACES = {"home": "Carport", "shed": "Shed", "cellar": "Cellar", "lockup": "Lockup"}
CARS = {"estate": "Estate", "runabout": "Runabout", "van": "Van"}
FAMILIES = {"kestrel": "Kestrel", "plover": "Plover"}
TAUGHT = ("driving", "driving, finds corners", "step by step", "step by step", "port", "locked", None)


class Line(StrEnum):
    """What the season line has for the car that is changed."""

    YEARLY = "yearly"
    ONCE = "once"
    EMPTY = "empty"
    SWAP = "two cars swap"


@dataclass
class Household:
    """A household: the text of its garage file, how it really is, and which change the line has when.

    `turns`: car, day, and the set that is meant to go on it then. `kept`: what the file says of lists by car: whether it says it.
    """

    text: str
    world: World
    turn: date
    car: str
    going: str
    coming: str
    turns: list[tuple[str, date, str]]
    known_lists: set[str]
    seen: set[str]
    gauge_bias: float
    set_names: dict[str, str]


@dataclass
class Draw:
    """A household in the making."""

    random: Random
    line: Line
    rows: dict[str, list[Row]] = field(default_factory=dict)
    sets: dict[str, list[Wheel]] = field(default_factory=dict)
    cars: dict[str, Car] = field(default_factory=dict)
    wears: dict[str, str] = field(default_factory=dict)
    stores: dict[str, str | None] = field(default_factory=dict)
    turns: list[tuple[str, date, str]] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    known_lists: set[str] = field(default_factory=set)
    seen: set[str] = field(default_factory=set)
    pair: float = 0.35

    def household(self) -> Household:
        self.turn = date(2026, 10, 1) + timedelta(days=self.random.randrange(500))
        self.size = 0
        self.places()
        self.families()
        self.make_cars()
        self.make_sets()
        self.sensors_of_all()
        self.part_a_pair()
        self.lists()
        self.season()
        world = self.world()
        text = self.text()
        return Household(
            text, world, self.turn, self.main, self.going, self.coming, self.turns, self.known_lists, self.seen,
            self.bias, self.set_names(),
        )  # fmt: skip

    # --- dice

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def maybe(self, share: float, value: object) -> object:
        return value if self.chance(share) else None

    def add(self, table: str, **row: object) -> None:
        self.rows.setdefault(table, []).append(row)

    # --- where

    def places(self) -> None:
        self.there = ["home", *self.random.sample(["shed", "cellar", "lockup"], self.random.randint(1, 3))]
        for place in self.there:
            self.add("place", id=place, label=PLACES[place])
        self.heard: set[frozenset[str]] = set()
        for n, a in enumerate(self.there):
            for b in self.there[n + 1 :]:
                silent = self.chance(0.45)
                said = "no" if silent else self.random.choice(("yes", "perhaps", None))
                if silent or self.chance(0.7):
                    far = self.maybe(0.5, "8000 m" if silent else self.random.choice(("30 m", "150 m")))
                    self.add("path", between=[a, b], heard=said, distance=far)
                if not silent:
                    self.heard.add(frozenset((a, b)))

    def families(self) -> None:
        bits = self.random.choice((32, 32, 28))
        form = self.random.choice(("hex", "decimal"))
        self.kinds = {"kestrel": ("433.92 MHz", bits), "plover": ("433.92 MHz", 28 if bits == 32 else 32)}
        self.add("family", id="kestrel", label="Kestrel", band="433.92 MHz", bits=bits, printed=form)
        self.add("family", id="plover", label="Plover", band="433.92 MHz", bits=self.kinds["plover"][1], printed="hex")
        self.form = form
        self.writer = self.random.choices((["given"], ["given", "copy"], ["own"], None), (60, 15, 5, 20))[0]
        if self.writer:
            self.add("writer", id="writer", label="Hand writer", can=self.writer, families=["kestrel"])
        self.in_hand = self.random.choice((0, 0, 0, 2, 4))
        if self.in_hand:
            self.add("blank", family="kestrel", count=self.in_hand)

    # --- cars

    def make_cars(self) -> None:
        self.adapter = self.chance(0.6)
        count = self.random.choice((2, 2, 3)) if self.line is Line.SWAP else self.random.choice((1, 1, 2, 2, 3))
        for name in list(CARS)[:count]:
            self.make_car(name)
        self.main = self.random.choice(list(self.cars))

    def make_car(self, name: str) -> None:
        r = self.random
        direct = self.chance(0.85)
        taught = r.choice(TAUGHT)
        order = list(r.choice((USUAL_ORDER[:4], ROAD, ("rear left", "rear right", "front right", "front left"))))
        slots = r.choice((None, 1, 1, 2, 2, 3))
        place = "home" if self.chance(0.8) else r.choice(self.there)
        full = r.choice(("oldest", "oldest", "chosen"))
        spare = direct and self.chance(0.12)
        if spare:
            order.append(SPARE)
        stated = self.chance(0.5)
        car = Car(
            name, CARS[name], place, direct, "kestrel", "433.92 MHz", spare, slots or 1, full, self.chance(0.6),
            taught or "step by step", tuple(order if stated else USUAL_ORDER), self.adapter,
        )  # fmt: skip
        self.cars[name] = car
        placard = [{"tyre": TYRE, "load": "normal", "front": "2.3 bar", "rear": "2.2 bar", "spare": "2.6 bar"}]
        self.add(
            "car", id=name, label=car.name, stands_at=place, monitor="direct" if direct else "indirect", family="kestrel",
            remembers_sets=slots if direct else None, when_full=full if direct and (slots or 1) > 1 else None,
            spare_counted=spare, corner_aware=car.corner_aware, taught_by=taught if direct else None,
            teach_order=order if stated and taught == "step by step" else None, dash_shows=self.chance(0.6),
            rest_before=self.maybe(0.3, "20 min"), drive_for=self.maybe(0.5, "15 min"), drive_above=self.maybe(0.5, "30 km/h"),
            stores_reference=self.maybe(0.3, True), abort_erases=self.maybe(0.5, True), torque=self.maybe(0.8, "120 Nm"),
            warns_at=self.maybe(0.5, "25 % below placard"), placard=placard,
        )  # fmt: skip
        if not (stated and taught == "step by step"):
            car.order = USUAL_ORDER

    # --- sets

    def make_sets(self) -> None:
        for car in sorted(self.cars.values(), key=lambda c: c.id != self.main):
            many = self.random.choice((2, 2, 3)) if car.id == self.main else self.random.choice((1, 1, 2))
            for n in range(min(many, 6 - len(self.sets))):
                made = self.make_set(car)
                if n == 0:
                    self.wears[car.id] = made
                else:
                    self.stores[made] = self.random.choice(self.there)
                if car.id == self.main and n < 2:
                    self.going, self.coming = (self.going or made, made if n else "")
        if len(self.sets) < 5 and self.chance(0.25):
            self.stores[self.make_set(self.cars[self.main])] = self.random.choice(self.there)

    def make_set(self, car: Car) -> str:
        colour = COLOURS[len(self.sets)]
        named = self.chance(0.3)
        corners = car.corners
        wheels = []
        for n, corner in enumerate(corners, 1):
            one = f"{colour[0]}{n}"
            label = f"{colour.lower()} {n}" if named else None
            kelvin = 290.0
            wheels.append(Wheel(one, label or one, colour.lower(), corner, None, (230.0 + 101.3) / kelvin, kelvin))
            self.add("rim", id=f"rim {one}", max_pressure="4.5 bar")
            self.add("tyre", id=f"tyre {one}", designation=TYRE, max_pressure="3.5 bar", tread=self.maybe(0.6, "6 mm"))
            self.labels[one] = label
        self.sets[colour.lower()] = wheels
        return colour.lower()

    labels: dict[str, str | None] = field(default_factory=dict)

    def set_names(self) -> dict[str, str]:
        return {name: f"{name.capitalize()} set" for name in self.sets}

    # --- sensors

    def fresh(self, bits: int) -> int:
        while True:
            number = self.random.randrange(1, (1 << bits) - 1)
            if number not in self.used:
                self.used.add(number)
                return number

    def sensors_of_all(self) -> None:
        for name, wheels in self.sets.items():
            on = name in self.wears.values()
            all_good = self.chance(0.75 if on else 0.5)
            for wheel in wheels:
                kind = "good" if all_good else self.random.choices(_KINDS, _WEIGHTS)[0]
                self.sensor_for(wheel, kind if not (on and kind in ("other", "none")) else "good")

    def sensor_for(self, wheel: Wheel, kind: str) -> None:
        joined: Row = {"rim": f"rim {wheel.id}", "tyre": f"tyre {wheel.id}"}
        if kind != "none":
            family = "plover" if kind == "other" else "kestrel"
            band, bits = self.kinds[family]
            writing = self.random.choice(("rewritable", "rewritable", "fixed", "write once"))
            written = writing == "write once" and self.chance(0.5)
            name = f"sensor {wheel.id}"
            wheel.sensor = Sensor(name, family, band, bits, self.fresh(bits), writing, written, kind != "dead")
            joined["sensor"] = name
            self.statements[wheel.id] = kind
        self.add("wheel", id=wheel.id, label=self.labels[wheel.id], joined=[joined])

    statements: dict[str, str] = field(default_factory=dict)

    def sensor_rows(self) -> None:
        for wheel in (w for wheels in self.sets.values() for w in wheels):
            s = wheel.sensor
            if s is None:
                continue
            kind = self.statements[wheel.id]
            printed = f"{s.number:0{len(str((1 << s.bits) - 1))}d}" if self.form == "decimal" else s.hex
            by_print = s.family == "kestrel" and self.chance(0.5)
            self.add(
                "sensor", id=s.name, family=s.family, printed=printed if by_print and kind != "unread" else None,
                sends=f"0x{s.hex}" if not by_print and kind != "unread" else None,
                writing=s.writing if self.chance(0.9) or kind == "pair" else None,
                written=s.written if s.writing == "write once" else None,
                at_rest=self.random.choice(("transmits", "silent", None)),
                answers=s.alive if not s.alive or self.chance(0.7) else None,
                first_used=self.maybe(0.5, date(2024, 4, 2)),
            )  # fmt: skip

    def part_a_pair(self) -> None:
        """Now and then two wheels carry one ID, and never met so far: the coming one is to be written before they do."""
        car = self.cars[self.main]
        far = [p for p in self.there if p != car.place and frozenset((p, car.place)) not in self.heard]
        together = all(other.place == car.place for other in self.cars.values())
        if (
            not far
            or not together
            or not car.direct
            or self.line in (Line.SWAP, Line.EMPTY)
            or not self.chance(self.pair)
        ):
            return
        here, there = self.random.choice(self.sets[self.going]), self.random.choice(self.sets[self.coming])
        if not (here.sensor and there.sensor and here.sensor.alive and there.sensor.alive):
            return
        if there.sensor.family != here.sensor.family or "unread" in (
            self.statements[here.id],
            self.statements[there.id],
        ):
            return
        self.stores[self.coming] = self.random.choice(far)
        there.sensor.number, there.sensor.writing, there.sensor.written = here.sensor.number, "rewritable", False
        here.sensor.writing = "fixed"
        self.statements[there.id] = self.statements[here.id] = "pair"
        self.goes_to = car.place

    goes_to: str | None = None
    going: str = ""
    coming: str = ""

    # --- lists

    def lists(self) -> None:
        for car in self.cars.values():
            if not car.direct:
                continue
            mine = [self.wears[car.id]] if self.chance(0.9) else []
            if car.slots > 1 and car.id == self.main and self.chance(0.4) and self.complete(self.coming, car):
                mine.insert(self.random.randint(0, len(mine)), self.coming)
            most = car.slots - 1 if car.when_full == "chosen" and car.slots > 1 else car.slots
            mine = [s for s in mine if self.complete(s, car)][:most]
            car.memory, car.whose = [self.group(s, car) for s in mine], mine
            row = next(r for r in self.rows["car"] if r["id"] == car.id)
            if self.chance(0.85):
                self.known_lists.add(car.id)
                row["holds"] = [self.held(s, car) for s in mine]

    def complete(self, name: str, car: Car) -> bool:
        wheels = self.sets[name]
        return len(wheels) >= len(car.corners) and all(car.understands(w.sensor) or _was_good(w) for w in wheels)

    def group(self, name: str, car: Car) -> Group:
        return {w.meant: w.sensor.key for w in self.sets[name] if w.sensor and w.meant in car.corners}

    def held(self, name: str, car: Car) -> Row:
        if self.chance(0.7):
            return {"set": name, "as_of": self.turn - timedelta(days=self.random.randint(30, 200))}
        rows = {
            w.meant.replace(" ", "_"): f"0x{w.sensor.hex}"
            for w in self.sets[name]
            if w.sensor and w.meant in car.corners
        }
        return {"corners": rows}

    # --- the season line

    def stay(self, name: str, since: date, until: date | None, *, yearly: bool = False, **where: str | None) -> None:
        if all(where.values()):
            self.add("stay", set=name, **where, since=since, until=until, yearly=yearly or None)

    def season(self) -> None:
        self.longer_ago = self.turn - timedelta(days=self.random.randint(120, 230))
        {
            Line.YEARLY: self.yearly, Line.ONCE: self.once, Line.EMPTY: self.empty, Line.SWAP: self.swap,
        }[self.line]()  # fmt: skip
        first = self.longer_ago - timedelta(days=400)
        for car, name in self.wears.items():
            if name not in self.placed:
                self.stay(name, first, None, on=car)
        for name, place in self.stores.items():
            if name not in self.placed and self.chance(0.85):
                self.stay(name, first, None, at=place)
        for name in {**{v: k for k, v in self.wears.items()}}:
            if self.line is not Line.EMPTY and self.chance(0.2):
                self.see(
                    name, self.longer_ago + timedelta(days=1), on=next(c for c, s in self.wears.items() if s == name)
                )

    @property
    def placed(self) -> set[str]:
        return {self.going, self.coming} | ({self.wears[self.other]} if self.line is Line.SWAP else set())

    other: str = ""

    def see(self, name: str, day: date, **where: str | None) -> None:
        self.add("seen", set=name, **where, as_of=day)
        self.seen.add(name)

    def yearly(self) -> None:
        next_year = self.longer_ago.replace(year=self.longer_ago.year + 1, day=min(28, self.longer_ago.day))
        self.longer_ago = self.longer_ago.replace(day=min(28, self.longer_ago.day))
        self.turn = self.turn.replace(day=min(28, self.turn.day))
        away = self.goes_to or self.random.choice(self.there)
        home = self.stores[self.coming]
        self.stay(self.going, self.longer_ago, self.turn, yearly=True, on=self.main)
        self.stay(self.going, self.turn, next_year, yearly=True, at=away)
        self.stay(self.coming, self.longer_ago, self.turn, yearly=True, at=home)
        self.stay(self.coming, self.turn, next_year, yearly=True, on=self.main)
        self.turns += [(self.main, self.turn, self.coming), (self.main, next_year, self.going)]

    def once(self) -> None:
        away = self.goes_to or (self.random.choice(self.there) if self.chance(0.7) else None)
        self.stay(self.going, self.longer_ago, self.turn, on=self.main)
        self.stay(self.going, self.turn, None, at=away)
        if self.chance(0.8) or self.goes_to:
            self.stay(self.coming, self.longer_ago, self.turn, at=self.stores[self.coming])
        self.stay(self.coming, self.turn, None, on=self.main)
        self.turns.append((self.main, self.turn, self.coming))

    def empty(self) -> None:
        if self.chance(0.8):
            self.see(self.going, self.longer_ago, on=self.main)
        if self.chance(0.7):
            self.see(self.coming, self.longer_ago, at=self.stores[self.coming])

    def swap(self) -> None:
        self.other = next(c for c in self.cars if c != self.main)
        self.coming = self.wears[self.other]
        for car, first, then in ((self.main, self.going, self.coming), (self.other, self.coming, self.going)):
            self.stay(first, self.longer_ago, self.turn, on=car)
            self.stay(then, self.turn, None, on=car)
            self.turns.append((car, self.turn, then))

    # --- all of it

    def world(self) -> World:
        wheels = {w.id: w for own in self.sets.values() for w in own}
        kelvin = 273.15 + self.random.randint(2, 20)
        for wheel in wheels.values():
            wheel.kelvin = kelvin
        self.kelvin = kelvin
        for name, own in self.sets.items():
            car = next((self.cars[c] for c, s in self.wears.items() if s == name), None)
            for wheel in own:
                if car is not None:
                    wheel.car, wheel.corner = car.id, wheel.meant
                    car.hubs[wheel.meant], car.tight[wheel.meant] = wheel, True
                else:
                    wheel.place = self.stores[name]
        for car in self.cars.values():
            for corner in car.corners:
                car.hubs.setdefault(corner, None)
                car.tight.setdefault(corner, True)
        writes = {"kestrel"} if self.writer else set()
        return World(
            self.cars, wheels, self.heard, {"kestrel": self.in_hand}, self.kinds, writes, kelvin, far=self.far_apart()
        )

    def far_apart(self) -> set[frozenset[str]]:
        """The pairs of places that are further apart than wheels are carried, or may be, where nobody has noted it."""
        paths = [row for row in self.rows.get("path", ()) if row.get("distance") == "30 m"]
        near = {frozenset(map(str, row["between"])) for row in paths}  # type: ignore[call-overload]
        return {frozenset((a, b)) for a in self.there for b in self.there if a != b} - near

    def beside_the_draw(self) -> None:
        """What cars do and wheels have lost, from dice of its own: what was drawn before stays as it was."""
        dice = Random(f"beside {self.random.getstate()[1][:3]}")
        for row in self.rows["car"]:
            car = self.cars[str(row["id"])]
            car.erases = dice.random() < 0.5
            row["abort_erases"] = dice.choice((car.erases, None)) if car.taught_by == "step by step" else None
            car.dash = bool(row.get("dash_shows"))
            car.parked = dice.choice(("yes", "yes", "after a drive", "no"))
            row["dash_parked"] = dice.choice((car.parked == "yes", None)) if car.dash else None
            if dice.random() < 0.3:
                car.codes, car.only_ours = {"C1A5F"}, dice.random() < 0.7
        for wheel in (w for own in self.sets.values() for w in own if w.place):
            lay = dice.choices((240.0, 215.0, 170.0), (70, 20, 10))[0]
            wheel.fill(lay)

    def text(self) -> str:
        self.beside_the_draw()
        self.sensor_rows()
        self.set_rows()
        self.bias = self.random.choice((0.0, 0.0, 5.0, -3.0))
        self.add("instrument", id="gauge", label="Red gauge", kind="gauge", pressure_bias=f"{self.bias / 100:g} bar")
        if self.adapter:
            self.add("instrument", id="adapter", label="Grey adapter", kind="adapter")
        return toml_text(self.rows, {"units": self.units(), "conditions": self.conditions(), "plan": self.plan()})

    def set_rows(self) -> None:
        for name, wheels in self.sets.items():
            corners = {w.meant.replace(" ", "_"): w.id for w in wheels}
            self.add("set", id=name, label=f"{name.capitalize()} set", wheels=corners)

    def units(self) -> Row:
        return {"pressure": self.random.choice(("bar", "bar", "psi", "kPa"))}

    def conditions(self) -> Row:
        if self.chance(0.1):
            return {"gauge": "gauge"}
        now = round(self.kelvin - 273.15)
        return {
            "tyres": "cold", "tyre_temperature": f"{now} °C", "temperature_of_use": f"{now - self.random.randint(0, 12)} °C",
            "next_check": "4 weeks", "height_here": "120 m", "height_there": "120 m", "load": "normal", "gauge": "gauge",
        }  # fmt: skip

    def plan(self) -> Row:
        return {
            "horizon_years": self.random.choice((1, 1, 2)), "taken_out": "scrap",
            "buy_sensors": False if self.chance(0.1) else None,
        }  # fmt: skip


_KINDS = ("good", "dead", "other", "none", "unread")
_WEIGHTS = (70, 8, 8, 5, 9)


def _was_good(wheel: Wheel) -> bool:
    """Whether its sensor spoke as the car understands it once, though it is silent now."""
    return wheel.sensor is not None and not wheel.sensor.alive and wheel.sensor.family == "kestrel"


def draw(random: Random, line: Line, *, pair: float = 0.35) -> Household:
    """A random household with a line of one kind. `pair`: how likely two of its wheels carry one ID."""
    return Draw(random, line, pair=pair).household()
