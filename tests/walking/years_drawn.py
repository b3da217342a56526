"""Random households for years on end: pairs, sales, a spare of two sets, sensors never written, sets that lie far away.

What a file says of these is true, and whether a place is heard is said of each. What a file leaves open is named in `open_facts`: a plan
that is made later may know more. The cars are the owner's own, and one person with one car does it all.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from random import Random

from households import Draw, Household, Line, Row
from things import ROAD, SPARE, USUAL_ORDER, Car, Sensor, Wheel
from world import World

TYRE = "205/60 R16 92V"
MAIN, OTHER = "estate", "runabout"


class Theme(StrEnum):
    """What a household is drawn for."""

    PAIR_SOLD = "a pair, one of them sold"
    PAIR = "a pair"
    SOLD = "a set is sold"
    PLAIN = "neither"


@dataclass
class Years:
    """A household for years: as for a day, with the day on which it begins, what is sold and moved when, and what its file leaves open."""

    home: Household
    theme: Theme
    begins: date
    sales: list[tuple[date, str]]
    moves: list[tuple[date, str, str]]
    members: dict[str, list[str]]
    open_facts: list[str]
    goes_on: bool


@dataclass
class YearsDraw(Draw):
    """A household for years in the making."""

    theme: Theme = Theme.PLAIN
    open_facts: list[str] = field(default_factory=list)
    sales: list[tuple[date, str]] = field(default_factory=list)
    moves: list[tuple[date, str, str]] = field(default_factory=list)

    def years(self) -> Years:
        r = self.random
        self.begins = date(2026, 8, 1) + timedelta(days=r.randrange(400))
        self.horizon = r.choice((1, 1, 2, 2, 3))
        self.moving = Random(f"moves {r.getstate()[1][:3]}")
        self.main, self.turn = MAIN, self.begins
        self.paired = self.theme in (Theme.PAIR_SOLD, Theme.PAIR)
        self.places()
        self.families()
        self.draw_writer()
        self.draw_cars()
        self.draw_sets()
        self.draw_sensors()
        self.draw_lists()
        self.goes_on = self.theme in (Theme.PAIR, Theme.PLAIN) and self.chance(0.3)
        self.draw_line()
        world = self.world()
        home = Household(
            self.text(), world, self.turn, self.main, self.going, self.coming, self.turns, self.known_lists, self.seen,
            self.bias, self.set_names(),
        )  # fmt: skip
        return Years(
            home, self.theme, self.begins, self.sales, self.moves, self.members(), self.open_facts, self.goes_on
        )

    # --- where

    def places(self) -> None:
        """Home, a shed that is heard there or not, and a lockup that is not."""
        self.there = ["home", "shed", "lockup"]
        names = {"home": "Carport", "shed": "Shed", "lockup": "Lockup"}
        for place in self.there:
            self.add("place", id=place, label=names[place])
        near = self.chance(0.6)
        self.heard = {frozenset(("home", "shed"))} if near else set()
        self.add("path", between=["home", "shed"], heard="yes" if near else "no", distance="30 m" if near else None)
        self.add("path", between=["home", "lockup"], heard="no", distance=self.maybe(0.4, "8000 m"))
        self.add("path", between=["shed", "lockup"], heard="no")

    def draw_writer(self) -> None:
        self.rows.pop("writer", None)
        self.writer = self.random.choice((["given"], ["given"], ["given", "copy"], None))
        if self.writer:
            self.add("writer", id="writer", label="Hand writer", can=self.writer, families=["kestrel", "plover"])

    # --- cars

    def draw_cars(self) -> None:
        self.adapter = self.chance(0.6)
        dear = self.paired or self.chance(0.3)
        taught = self.random.choice(
            ("locked", "locked", "port") if dear else ("driving", "step by step", "port", "locked")
        )
        self.spare_of_two = self.chance(0.3)
        self.one_car(
            MAIN, taught, self.random.choice((1, 1, 1, 2) if self.paired else (1, 1, 2, 3)), spare=self.spare_of_two
        )
        if self.chance(0.25):
            self.one_car(OTHER, self.random.choice(("driving", "step by step", "locked")), 1, spare=False)

    def one_car(self, name: str, taught: str, slots: int, *, spare: bool) -> None:
        order = USUAL_ORDER if spare else ROAD
        aware, label = self.chance(0.6), name.capitalize()
        self.cars[name] = Car(
            name, label, "home", True, "kestrel", "433.92 MHz", spare, slots, "oldest", aware, taught, tuple(order), self.adapter,
        )  # fmt: skip
        placard = [{"tyre": TYRE, "load": "normal", "front": "2.3 bar", "rear": "2.2 bar", "spare": "2.6 bar"}]
        self.add(
            "car", id=name, label=label, stands_at="home", monitor="direct", family="kestrel", remembers_sets=slots,
            when_full="oldest", spare_counted=spare, corner_aware=aware, taught_by=taught,
            teach_order=list(order) if taught == "step by step" else None, dash_shows=self.chance(0.6),
            torque=self.maybe(0.8, "120 Nm"), placard=placard,
        )  # fmt: skip

    # --- sets

    def draw_sets(self) -> None:
        """Two or three sets of the first car, which may have one spare in common, and one of the other."""
        main = self.cars[MAIN]
        self.going, self.coming = self.make_set(main), self.make_set(main)
        self.own = [self.going, self.coming, *([self.make_set(main)] if self.chance(0.5) else [])]
        self.wears[MAIN] = self.going
        if self.spare_of_two:
            for name in self.own[1:]:
                lost = self.sets[name].pop()
                for kind in ("rim", "tyre"):
                    self.rows[kind] = [row for row in self.rows[kind] if row["id"] != f"{kind} {lost.id}"]
        if OTHER in self.cars:
            self.wears[OTHER] = self.make_set(self.cars[OTHER])
        far = self.paired or self.chance(0.4)
        for name in self.own[1:]:
            self.stores[name] = "lockup" if far and name == self.coming else self.random.choice(self.there)

    def spare(self, name: str) -> list[Wheel]:
        """The spare that a set has in common with the first one."""
        mine = self.spare_of_two and name in self.own[1:]
        return [w for w in self.sets[self.going] if w.meant == SPARE] if mine else []

    def members(self) -> dict[str, list[str]]:
        return {name: [w.id for w in (*own, *self.spare(name))] for name, own in self.sets.items()}

    def set_rows(self) -> None:
        gone = {name: day for day, name in self.sales}
        for name, own in self.sets.items():
            corners = {w.meant.replace(" ", "_"): w.id for w in (*own, *self.spare(name))}
            self.add("set", id=name, label=f"{name.capitalize()} set", wheels=corners, sold=gone.get(name))

    # --- sensors

    def draw_sensors(self) -> None:
        for name, wheels in self.sets.items():
            kind = self.random.choice(("good", "good", "good", "mixed", "never written", "write once"))
            if name in self.wears.values() or (self.paired and name == self.coming):
                kind = "good"
            for wheel in wheels:
                self.one_sensor(wheel, kind)
        if self.paired:
            for here, there in zip(self.sets[self.going], self.sets[self.coming], strict=False):
                assert here.sensor is not None
                assert there.sensor is not None
                there.sensor.number = here.sensor.number

    def one_sensor(self, wheel: Wheel, kind: str) -> None:
        if kind == "mixed":
            kind = self.random.choices(("good", "dead", "unread", "fixed", "other"), (50, 15, 10, 15, 10))[0]
        family = "plover" if kind == "other" else "kestrel"
        band, bits = self.kinds[family]
        writing = {"write once": "write once", "fixed": "fixed", "never written": "rewritable"}.get(kind, "rewritable")
        rests = self.chance(0.5)
        wheel.sensor = Sensor(
            f"sensor {wheel.id}", family, band, bits, self.fresh(bits), writing, kind == "write once" and self.chance(0.5),
            alive=kind not in ("dead", "never written"), rests=rests,
        )  # fmt: skip
        self.statements[wheel.id] = kind
        parts: Row = {"rim": f"rim {wheel.id}", "tyre": f"tyre {wheel.id}", "sensor": wheel.sensor.name}
        self.add("wheel", id=wheel.id, label=self.labels[wheel.id], joined=[parts])

    def sensor_rows(self) -> None:
        for wheel in (w for wheels in self.sets.values() for w in wheels):
            s, kind = wheel.sensor, self.statements[wheel.id]
            assert s is not None
            known = kind not in ("unread", "never written")
            written = {"never written": False, "write once": s.written}.get(kind)
            if kind == "unread":
                self.open_facts.append("an ID is not read")
            self.add(
                "sensor", id=s.name, family=s.family, sends=f"0x{s.hex}" if known else None, writing=s.writing, written=written,
                at_rest="silent" if s.rests else "transmits", answers=None if kind == "never written" else s.alive,
                first_used=date(2025, 4, 2) if known and self.goes_on else None,
            )  # fmt: skip

    # --- lists

    def draw_lists(self) -> None:
        """Each car's list holds the set that is on; that of the first, where there is room, perhaps another."""
        for car in self.cars.values():
            mine = [self.wears[car.id]]
            second = next((s for s in self.own[1:] if s != self.coming or not self.paired), None)
            if car.id == MAIN and car.slots > 1 and second and self.chance(0.5) and self.all_good(second):
                mine.insert(0, second)
            car.memory, car.whose = [self.listed(s, car) for s in mine], mine
            row = next(r for r in self.rows["car"] if r["id"] == car.id)
            self.known_lists.add(car.id)
            row["holds"] = [{"set": s, "as_of": self.begins - timedelta(days=100)} for s in mine]

    def all_good(self, name: str) -> bool:
        return all(self.statements[w.id] in ("good", "write once", "fixed") for w in self.sets[name])

    def listed(self, name: str, car: Car) -> dict[str, tuple[int, int]]:
        wheels = (*self.sets[name], *self.spare(name))
        return {w.meant: w.sensor.key for w in wheels if w.sensor and w.meant in car.corners}

    # --- the season line

    def draw_line(self) -> None:
        """The first car's sets take turns, about twice a year; one may be sold while it is off. Nothing changes after the end."""
        r = self.random
        end = self.begins.replace(year=self.begins.year + self.horizon, day=min(28, self.begins.day))
        turns, day = [self.begins - timedelta(days=r.randint(70, 160))], self.begins + timedelta(days=r.randint(0, 60))
        while day < end - timedelta(days=30):
            turns.append(day)
            day += timedelta(days=r.randint(150, 210))
        if self.goes_on:
            turns = [turns[0], turns[0] + timedelta(days=182)]
        worn = [self.own[n % 2] for n in range(len(turns))]
        self.draw_sale(turns, worn, end)
        if self.goes_on:
            self.for_ever(turns)
        else:
            self.spells(turns, worn)
        for name in (n for n in self.sets if n not in self.own):
            self.stay(name, turns[0] - timedelta(days=300), None, on=OTHER)
        if len(self.own) > 2 and self.own[2] not in worn:
            self.store(self.own[2], turns[0], self.gone(self.own[2]))
        if self.chance(0.7):
            self.see(self.going, self.begins - timedelta(days=20), on=MAIN)

    def draw_sale(self, turns: list[date], worn: list[str], end: date) -> None:
        """A set is sold in an interval in which it is off the car; another one has its turns from then on."""
        if self.theme not in (Theme.SOLD, Theme.PAIR_SOLD):
            return
        r = self.random
        which = (
            self.own[2]
            if self.theme is Theme.SOLD and len(self.own) > 2 and self.chance(0.4)
            else r.choice(self.own[:2])
        )
        off = [n for n in range(len(turns)) if worn[n] != which]
        n = r.choice(off[1:] or off)
        since, until = max(turns[n], self.begins), min([*turns[n + 1 : n + 2], end])
        day = since + timedelta(days=r.randint(4, max(5, min(90, (until - since).days - 3))))
        stays = next(s for s in self.own[:2] if s != which) if which in self.own[:2] else ""
        for later in range(n + 1, len(turns)):
            if worn[later] == which:
                worn[later] = self.own[2] if len(self.own) > 2 else stays
        self.sales.append((day, which))

    def gone(self, name: str) -> date | None:
        return next((day for day, sold in self.sales if sold == name), None)

    def store(self, name: str, since: date, until: date | None) -> None:
        if until is not None and since >= until:
            return
        day = self.moved(since, until)
        if day is None:
            self.stay(name, since, until, at=self.stores[name])
            return
        nearer = self.moving.choice(("home", "shed"))
        self.stay(name, since, day, at=self.stores[name])
        self.stay(name, day, until, at=nearer)
        self.moves.append((day, name, nearer))

    def moved(self, since: date, until: date | None) -> date | None:
        """The day on which a set is brought nearer though it stays off the car; None where it is not."""
        last = until or self.begins + timedelta(days=300 * self.horizon)
        first = max(since, self.begins) + timedelta(days=5)
        if (last - first).days < 30 or self.moving.random() < 0.85:
            return None
        return first + timedelta(days=self.moving.randrange((last - first).days - 8))

    def spells(self, turns: list[date], worn: list[str]) -> None:
        """The stays of the sets that have turns."""
        self.stores.setdefault(self.going, "lockup" if self.paired else self.random.choice(self.there))
        for name in dict.fromkeys(worn):
            since = turns[0]
            for n, day in enumerate(turns):
                if worn[n] == name and (n == 0 or worn[n - 1] != name):
                    if since < day:
                        self.store(name, since, day)
                    since = next((turns[m] for m in range(n, len(turns)) if worn[m] != name), day)
                    last = all(s == name for s in worn[n:])
                    self.stay(name, day, None if last else since, on=MAIN)
                    if day >= self.begins - timedelta(days=1) and n:
                        self.turns.append((MAIN, day, name))
                    if last:
                        since = date.max
            if since < (self.gone(name) or date.max):
                self.store(name, since, self.gone(name))
        self.turns.sort()

    def for_ever(self, turns: list[date]) -> None:
        """Two sets that take turns every year."""
        self.stores.setdefault(self.going, "lockup" if self.paired else self.random.choice(self.there))
        first, second = (day.replace(day=min(28, day.day)) for day in turns)
        third = first.replace(year=first.year + 1)
        for name, on, off in (
            (self.going, (first, second), (second, third)),
            (self.coming, (second, third), (first, second)),
        ):
            self.stay(name, *on, yearly=True, on=MAIN)
            self.stay(name, *off, yearly=True, at=self.stores[name])
        for year in range(self.horizon + 2):
            for day, name in ((first, self.going), (second, self.coming)):
                self.turns.append((MAIN, day.replace(year=day.year + year), name))
        self.turns = sorted(t for t in self.turns if t[1] >= self.begins)

    def world(self) -> World:
        world = super().world()
        world.writes = {"kestrel", "plover"} if self.writer else set()
        return world

    def plan(self) -> Row:
        return {"horizon_years": self.horizon, "taken_out": "scrap"}


def draw_years(random: Random) -> Years:
    """A random household for years."""
    theme = random.choices(tuple(Theme), (45, 15, 20, 20))[0]
    return YearsDraw(random, Line.ONCE, theme=theme).years()
