"""Random garages, drawn as the text of a garage file, small enough for every plan to be tried."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import Enum
from itertools import combinations, pairwise
from math import prod
from random import Random

from oracle import settlings
from oracle_desk import decisions
from oracle_parts import Decision
from oracle_world import World
from twists import Row, Twists
from twists_later import LaterTwists

from tomlrows import toml_text
from wheelside.errors import BadFile
from wheelside.garage.file import read_garage
from wheelside.garage.ids import car_bits
from wheelside.garage.present import line_now
from wheelside.garage.season import Spell, spells

MOST_COMBINATIONS = 120_000

FAMILIES: tuple[Row, ...] = (
    {"band": "433.92 MHz", "bits": 32, "printed": "hex"},
    {"band": "433.92 MHz", "bits": 28, "printed": "hex"},
    {"band": "315 MHz", "bits": 32, "printed": "decimal"},
    {"band": "433.92 MHz"},
    {},
)
POOL = ("0x1A2B3C4", "0x0C0FFEE", "0xBADCAFE", "0x0DECADE", "0x7D20E41", "1234567")
ROAD = ("front_left", "front_right", "rear_left", "rear_right")
KINDS = ("driving", "driving, finds corners", "step by step", "port", "locked", None)


class Mood(Enum):
    """What a garage is made for: that clones pay, that no plan is possible, or nothing of the kind."""

    KINDLY = "kindly"
    MIXED = "mixed"
    HARSH = "harsh"


@dataclass
class Sketch:
    """A random garage in the making."""

    random: Random
    rows: dict[str, list[Row]] = field(default_factory=dict)
    numbers: list[str] = field(default_factory=list)
    open_stays: int = 0
    turn: int = 0

    def text(self) -> str:
        self.mood = self.random.choices(tuple(Mood), (82, 4, 14))[0]
        self.crowded = self.chance(self.by_mood(0.05, 0.5, 0.9))
        self.rotating = self.chance(self.by_mood(0.6, 0.4, 0.2))
        self.buys = self.chance(self.by_mood(0.85, 0.7, 0.12))
        for draw in (
            *(self.places, self.families, self.sets, self.wheels, self.cars, self.stays, self.leaving),
            *(self.writers, self.outings, self.stand_ins, self.blanks, self.retired),
        ):
            draw()
        if self.chance(self.by_mood(0.63, 1, 1)):
            Twists(self.rows, self.random).all()
        LaterTwists(self.rows, self.random).all()
        return toml_text(self.rows, {"costs": self.costs(), "odds": self.odds(), "plan": self.plan()})

    # --- the dice -------------------------------------------------------------------------------------------------

    def add(self, table: str, **row: object) -> None:
        self.rows.setdefault(table, []).append(row)

    def ids(self, table: str) -> list[str]:
        return [str(row["id"]) for row in self.rows.get(table, [])]

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def maybe(self, share: float, value: object) -> object:
        return value if self.chance(share) else None

    def pick(self, *values: object) -> object:
        return self.random.choice(values)

    def by_mood(self, kindly: float, mixed: float, harsh: float) -> float:
        return {Mood.KINDLY: kindly, Mood.MIXED: mixed, Mood.HARSH: harsh}[self.mood]

    def day(self, first: date, days: int) -> date:
        return first + timedelta(days=self.random.randint(0, days))

    # --- the tables -----------------------------------------------------------------------------------------------

    def places(self) -> None:
        for n in range(self.random.randint(2 if self.mood is Mood.KINDLY else 1, 3)):
            room = self.maybe(self.by_mood(0.15, 0.25, 0.25), self.random.choice((0, 1, 1, 1, 2, 2, 2, 3)))
            self.add("place", id=f"p{n}", room=room if n or self.mood is not Mood.KINDLY else None)
        quiet = self.by_mood(0.85, 0.3, 0.05)
        for a, b in combinations(self.ids("place"), 2):
            if self.chance(0.9):
                heard = "no" if self.chance(quiet) else self.pick("yes", "perhaps", "no", None)
                self.add("path", between=[a, b], heard=heard)

    def families(self) -> None:
        first = 0 if self.chance(0.7) else self.random.randrange(2 if self.mood is Mood.KINDLY else len(FAMILIES))
        chosen = [first, *self.random.sample(range(len(FAMILIES)), self.random.randint(0, 2))]
        for n, kind in enumerate(chosen):
            unlike = ["f0"] if n and self.chance(0.3) else None
            self.add("family", id=f"f{n}", **FAMILIES[kind], unlike=unlike)
        self.usual = "f0" if self.mood is Mood.KINDLY else str(self.random.choice(self.ids("family")))

    def family(self) -> object:
        known = self.usual if self.chance(self.by_mood(0.98, 0.85, 0.85)) else self.random.choice(self.ids("family"))
        return self.maybe(self.by_mood(0.99, 0.93, 0.93), known)

    def sets(self) -> None:
        if self.mood is Mood.KINDLY and self.chance(0.75):
            count, size = self.random.choice(((2, 1), (2, 1), (2, 2), (2, 2), (2, 3), (3, 1), (3, 2)))
            for n in range(count):
                self.add("set", id=f"s{n}", wheels={corner: f"s{n}{corner}" for corner in ROAD[:size]})
            return
        left = 7
        fewest = 2 if self.mood is Mood.KINDLY else 1
        for n in range(self.random.randint(3, 4) if self.rotating else self.random.randint(fewest, 4)):
            size = min(left, self.random.choice((1, 1, 2) if self.rotating else (1, 2, 2, 2, 3, 4)))
            if not size:
                break
            left -= size
            start = self.random.choice((0, 0, 0, 0, 1)) if size < 4 and self.mood is not Mood.KINDLY else 0
            corners = [*ROAD[start : start + size]][:size]
            if size > 1 and self.chance(0.06):
                corners[-1] = "spare"
            self.add("set", id=f"s{n}", wheels={corner: f"s{n}{corner}" for corner in corners})

    def leaving(self) -> None:
        """Some sets are sold or scrapped, a few of them before the day of the plan."""
        for row in self.rows["set"]:
            if self.chance(self.by_mood(0.08, 0.2, 0.3)):
                row[str(self.pick("sold", "sold", "scrapped"))] = self.day(date(2026, 5, 1), 900)

    def cars(self) -> None:
        for n in range(self.random.choice((1, 1, 1, 2) if self.mood is Mood.KINDLY else (1, 1, 2, 2, 3))):
            monitor = "direct" if self.chance(self.by_mood(0.97, 0.9, 0.93)) else self.pick("indirect", "none", None)
            kindly = self.mood is Mood.KINDLY and self.chance(0.9)
            room = 1 if kindly else self.random.choice((1, 2, 2, 3) if self.rotating else (1, 1, 1, 1, 2, 3))
            by_sets = self.chance(0.75) or room == 1
            stands_at = "p0" if kindly and not n else self.random.choice(self.ids("place"))
            self.add(
                "car",
                id=f"c{n}",
                stands_at=self.maybe(self.by_mood(0.98, 0.9, 0.9), stands_at),
                monitor=monitor,
                band=self.maybe(0.04, self.pick("433.92 MHz", "315 MHz")),
                family=self.family(),
                remembers_sets=(room if room > 1 else self.pick(1, None)) if by_sets else None,
                remembers_ids=None if by_sets else 5 * room + self.random.randint(0, 3),
                when_full=self.pick("oldest", "chosen", None, "all"),
                spare_counted=self.maybe(0.4, self.chance(0.4)),
                corner_aware=self.pick(True, False, False, None),
                dash_shows=self.maybe(0.5, self.chance(0.6)),
                taught_by=self.pick("locked", "locked", "locked", "locked", "port") if kindly else self.pick(*KINDS),
                holds=self.holds(room) if monitor in ("direct", None) else None,
            )

    def holds(self, room: int) -> list[Row] | None:
        if self.chance(self.by_mood(0.03, 0.12, 0.2)):
            return None
        if self.mood is Mood.KINDLY and self.chance(0.85):
            return [self.held("s0")]
        groups: list[Row] = []
        for _ in range(min(room, self.random.choice((0, 1, 1, 1, 2, 3)))):
            kind = self.random.random()
            if kind < 0.65 and self.ids("set"):
                groups.append(self.held(self.random.choice(self.ids("set"))))
            elif kind < 0.82:
                groups.append({"ids": self.known_numbers()})
            else:
                corners = self.random.sample(ROAD, self.random.randint(1, 4))
                groups.append({"corners": {corner: self.random.choice([*POOL, *self.numbers]) for corner in corners}})
        return groups

    def held(self, set_id: str) -> Row:
        return {"set": set_id, "as_of": self.day(date(2025, 12, 1), 150)} if self.chance(0.3) else {"set": set_id}

    def known_numbers(self) -> list[str]:
        share = self.random.choice((0.3, 0.9))
        return sorted({self.random.choice(POOL), *(n for n in self.numbers if self.chance(share))})[:20]

    def sensor(self, name: str, number: str, gone: date | None = None) -> None:
        self.numbers.append(number)
        kindly = self.mood is Mood.KINDLY
        writing = self.pick("rewritable", "write once", "fixed", None)
        writing = "fixed" if self.chance(self.by_mood(0, 0.1, 0.5)) else writing
        self.add(
            "sensor",
            id=name,
            printed=self.maybe(0.5, number),
            sends=self.maybe(0.98 if kindly else 0.7, number),
            family=self.family(),
            bits=self.maybe(0.03, self.pick(28, 32)),
            writing="rewritable" if kindly else writing,
            written=self.maybe(0.6, self.chance(0.3)),
            at_rest="silent" if kindly and self.chance(0.95) else self.pick("silent", "transmits", None),
            answers=self.pick(True, None, None) if self.chance(self.by_mood(0.98, 0.93, 0.9)) else False,
            kept_at=self.maybe(0.4, self.random.choice(self.ids("place"))),
            first_used=self.maybe(0.6, self.day(date(2014, 1, 1), 4700)),
            gone=gone,
        )

    def wheels(self) -> None:
        spare_numbers = self.random.sample([f"0x{n:07X}" for n in range(0x2000001, 0x2000020)], 14)
        for row in self.rows["set"]:
            wheels = row["wheels"]
            assert isinstance(wheels, dict)
            for wheel in wheels.values():
                self.add("wheel", id=wheel, joined=None if self.chance(0.02) else [{}])
                if self.chance(self.by_mood(0.98, 0.93, 0.93)):
                    pooled = self.chance(0.8 if self.crowded else self.by_mood(0.05, 0.15, 0.15))
                    number = self.random.choice(POOL[: 3 if self.crowded else None]) if pooled else spare_numbers.pop()
                    self.sensor(f"x{wheel}", number)
                    self.rows["wheel"][-1]["joined"] = self.joined(wheel)
        for n in range(self.random.choice((0, 0, 0, 1, 2))):
            gone = self.day(date(2025, 6, 1), 600) if self.chance(0.4) else None
            self.sensor(f"loose{n}", self.random.choice((*POOL, *self.numbers)), gone)

    def joined(self, wheel: str) -> list[Row]:
        """The joinings of a wheel with a sensor; now and then it has had another one before."""
        if not self.chance(0.06):
            return [{"sensor": f"x{wheel}"}]
        changed = self.day(date(2026, 1, 1), 110)
        self.sensor(f"y{wheel}", self.random.choice(POOL), changed if self.chance(0.6) else None)
        return [{"sensor": f"y{wheel}", "until": changed}, {"sensor": f"x{wheel}", "since": changed}]

    def stays(self) -> None:
        alike = self.rotating or (self.mood is Mood.KINDLY and self.chance(0.9))
        yearly = self.chance(0.6)
        start = date(2026, 1, 1) + timedelta(days=self.random.randint(0, 100))
        length = 365 if yearly else 900
        changes = self.random.choice((2, 3, 4, 5, 6) if alike else (0, 1, 1, 2, 3))
        cuts = sorted(self.random.sample(range(20, length - 20), changes))
        turns = [start + timedelta(days=d) for d in (0, *cuts)]
        turns.append(start.replace(year=start.year + 1) if yearly else start + timedelta(days=length))
        homes = {s: "c0" if alike else str(self.pick(*self.ids("car"), None)) for s in self.ids("set")}
        places = self.ids("place")
        store = {
            s: places[-1] if self.chance(self.by_mood(0.9, 0.5, 0.5)) else self.pick(*places, *places, None)
            for s in self.ids("set")
        }
        for since, until in pairwise(turns):
            on = self.fitted(homes)
            for set_id in self.ids("set"):
                spot = self.spot(set_id, on, store)
                if spot:
                    self.add("stay", set=set_id, **spot, since=since, until=until, yearly=yearly or None)

    def fitted(self, homes: dict[str, str]) -> dict[str, str]:
        """Which set is on which car for a while."""
        on: dict[str, str] = {}
        for car in self.ids("car"):
            free = [s for s in self.ids("set") if s not in on]
            own = [s for s in free if homes[s] == car]
            pool = own or (free if self.chance(self.by_mood(0.05, 0.25, 0.25)) else [])
            if pool and self.chance(0.9):
                turn = self.turn % len(pool) if self.mood is Mood.KINDLY else self.random.randrange(len(pool))
                on[pool[turn]] = car
        self.turn += 1
        return on

    def spot(self, set_id: str, on: dict[str, str], store: dict[str, object]) -> Row | None:
        if set_id in on:
            return {"on": on[set_id]}
        if self.chance(self.by_mood(0.01, 0.05, 0.05)):
            return {"riding_in": self.random.choice(self.ids("car"))}
        at = store[set_id]
        if not at or not self.chance(self.by_mood(0.99, 0.95, 0.9)):
            return None
        others = [place for place in self.ids("place") if place != at]
        cramped = any(row["id"] == at and row["room"] is not None for row in self.rows["place"])
        if not others or self.open_stays == 3 or not self.chance(0.8 if cramped else 0.15):
            return {"at": at}
        self.open_stays += 1
        return {"at": at, "or_at": self.random.sample(others, self.random.randint(1, len(others)))}

    def span(self) -> Row:
        since = self.day(date(2026, 4, 1), 700)
        return {"since": since, "until": self.day(since + timedelta(days=1), 120)}

    def few(self) -> int:
        return self.random.randint(1, 2) if self.chance(self.by_mood(0.2, 0.4, 0.4)) else 0

    def outings(self) -> None:
        for _ in range(self.few()):
            cars = self.random.sample(self.ids("car"), self.random.randint(1, len(self.ids("car"))))
            self.add("outing", cars=cars, at=self.random.choice(self.ids("place")), **self.span())

    def stand_ins(self) -> None:
        for _ in range(self.few() if len(self.ids("wheel")) > 1 else 0):
            wheel, other = self.random.sample(self.ids("wheel"), 2)
            other_at = self.maybe(0.6, self.random.choice(self.ids("place")))
            on = self.random.choice(self.ids("car"))
            self.add("stand_in", wheel=wheel, instead_of=other, on=on, other_at=other_at, **self.span())

    def blanks(self) -> None:
        for family in self.ids("family"):
            if self.chance(self.by_mood(0.3, 0.5, 0.35)):
                count = self.random.choice((0, 1, 1, 2, 4))
                each = self.maybe(0.6, f"{self.random.randint(0, 70)} EUR")
                self.add("blank", family=family, count=count, each=each)

    def retired(self) -> None:
        for _ in range(self.few()):
            number = self.random.choice((*POOL, *self.numbers))
            self.add("retired", id=number, family=self.maybe(0.7, self.random.choice(self.ids("family"))))

    def writers(self) -> None:
        if self.mood is Mood.KINDLY:
            self.add("writer", id="w", can=["given"])
        for n in range(int(self.chance(self.by_mood(0.3, 0.6, 0.4))) * self.random.randint(1, 2)):
            skills = self.random.sample(("given", "copy", "own"), self.random.randint(1, 3))
            families = [self.pick(self.usual, *self.ids("family"))] if self.chance(0.3) else None
            self.add("writer", id=f"w{n}", can=skills, families=families)

    def money(self, most: int) -> object:
        return self.maybe(0.5, f"{self.random.randint(1, most)} EUR")

    def minutes(self, least: int, most: int) -> object:
        return self.maybe(0.5, f"{self.random.randint(least, most)} min")

    def costs(self) -> Row:
        return {
            "hour": self.money(60),
            "sensor": self.money(60),
            "kit": self.money(9),
            "fitting": self.money(30),
            "shop_trip": self.minutes(1, 90),
            "write": self.minutes(1, 10),
            "write_mounted": self.minutes(1, 15),
            "teach": self.minutes(60, 300) if self.mood is Mood.KINDLY else self.minutes(1, 60),
            "teach_paid": self.money(90),
            "move": self.minutes(1, 60),
            "fault": self.minutes(1, 120),
            "show_corner": self.minutes(1, 20),
            "writer": self.money(120),
        }

    def odds(self) -> Row:
        def share(most: int) -> object:
            return self.maybe(0.5, f"{self.random.randint(0, 10 * most) / 10} %")

        life = self.maybe(0.5, f"{self.random.randint(2, 15)} years")
        most = 15 if self.mood is Mood.KINDLY else 40
        return {"pair_meets": share(most), "write_wrong": share(10), "teach_fails": share(20), "sensor_life": life}

    def plan(self) -> Row:
        keep = self.chance(0.4)
        return {
            "horizon_years": self.random.randint(1, 2) if self.chance(self.by_mood(0.4, 1, 1)) else 2,
            "taken_out": "keep" if keep else self.pick("scrap", None),
            "keep_at": self.random.choice(self.ids("place")) if keep else None,
            "buy_sensors": None if self.buys else False,
            "get_writer": False if self.chance(self.by_mood(0.15, 0.5, 0.75)) else self.pick(True, None),
            "shop": False if self.chance(self.by_mood(0.12, 0.2, 0.12)) else self.pick(True, None),
        }


# --- what can be tried --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Case:
    """One garage to be tried, small enough to be enumerated."""

    text: str
    world: World
    wheels: tuple[Decision, ...]

    @property
    def combinations(self) -> int:
        """How many combinations of places and options there are."""
        return prod(max(1, len(d.options)) for d in self.wheels) * len(list(settlings(self.world)))


def as_meant(world: World) -> str:
    """Rows that say that every set was seen where the season line has it on the day, so that no change is open.

    A wheel of several sets is seen with that one that it is with; of its sets each other wheel has a row of its own then.
    """
    garage, day = world.garage, world.day
    line = [s for s in spells(garage, day, day + timedelta(days=1)) if s.covers(day) and not s.or_at]
    where = {s.set: s for s in line}
    shared = {wheel for wheel, names in garage.sets_of.items() if len(names) > 1}
    rows = []
    for name, spell in where.items():
        wheels = garage.sets[name].wheels
        if shared.isdisjoint(wheel for _, wheel in wheels):
            rows.append((f'set = "{name}"', spot_of(spell)))
            continue
        for corner, wheel in wheels:
            if world.with_set(wheel, day) == name:
                at = f'\ncorner = "{corner.value}"' if spell.on else ""
                rows.append((f'wheel = "{wheel}"', spot_of(spell) + at))
    return "".join(f"\n[[seen]]\n{what}\n{spot}\nas_of = {day}\n" for what, spot in rows)


def spot_of(spell: Spell) -> str:
    return (
        f'on = "{spell.on}"' if spell.on else f'at = "{spell.at}"' if spell.at else f'riding_in = "{spell.riding_in}"'
    )


def draw_case(random: Random) -> Case:
    """The next garage that can be read, is small enough, and can be what it is made for."""
    while True:
        sketch = Sketch(random)
        text, day = sketch.text(), date(2026, 1, 1) + timedelta(days=random.randint(120, 420))
        try:
            text += as_meant(World(read_garage(text.encode(), "drawn.toml"), day))
            world = World(read_garage(text.encode(), "drawn.toml"), day)
        except BadFile:
            continue
        if line_now(world.garage, day, world.end) != spells(world.garage, day, world.end):
            continue  # a set that the line had on a car and then forgets: what is on is told apart, in tests/garage
        case = Case(text, world, decisions(world))
        options = [option for decision in case.wheels for option in decision.options]
        if sketch.mood is Mood.KINDLY and not any(option.choice == "clone" for option in options):
            continue
        if case.wheels and case.combinations <= MOST_COMBINATIONS and clearly_told(world):
            return case


def clearly_told(world: World) -> bool:
    """Whether every wheel goes on direct cars of ours of one width of IDs only, so that 'the width that its cars hold' is one."""
    going = [
        [car for car in world.judging if any(world.goes_on(name, car) for name in names)]
        for names in (
            tuple(s.id for s in world.garage.set if wheel in dict(s.wheels).values()) for wheel in world.wheels
        )
    ]
    return all(len({car_bits(world.garage, car) for car in cars}) < 2 for cars in going)
