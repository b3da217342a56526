"""What the plan's later rules are about, put into a garage that is being drawn: each twist now and then, several at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

Row = dict[str, object]
FIRST = date(2026, 1, 1)


def columns(row: Row, key: str) -> Row:
    """A table within a row, such as the wheels of a set by corner."""
    found = row[key]
    assert isinstance(found, dict)
    return found


@dataclass(frozen=True)
class Twists:
    """Changes the rows of a garage that is drawn as far as its places, sets, cars, stays and writers."""

    rows: dict[str, list[Row]]
    random: Random

    def all(self) -> None:
        shares: tuple[tuple[float, Callable[[], None]], ...] = (
            (0.34, self.never_written),
            (0.43, self.other_writers),
            (0.54, self.guest),
            (0.17, self.lent_car),
            (0.74, self.free_places),
            (0.52, self.sold_before),
            (0.5, self.strange_entries),
            (0.5, self.other_width),
            (0.37, self.not_taught),
        )
        for share, draw in shares:
            if self.chance(share):
                draw()

    # --- the dice -------------------------------------------------------------------------------------------------

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def maybe(self, share: float, value: object) -> object:
        return value if self.chance(share) else None

    def pick(self, *values: object) -> object:
        return self.random.choice(values)

    def ids(self, table: str) -> list[str]:
        return [str(row["id"]) for row in self.rows.get(table, [])]

    def add(self, table: str, **row: object) -> None:
        self.rows.setdefault(table, []).append(row)

    def day(self, first: date, days: int) -> date:
        return first + timedelta(days=self.random.randint(0, days))

    def number(self) -> str:
        """A number that nothing else carries."""
        return f"0x{self.random.randint(0x3000000, 0x3FFFFFF):07X}"

    # --- what is there --------------------------------------------------------------------------------------------

    def worn(self, set_id: str | None = None) -> list[Row]:
        """The sensors in wheels, of one set or of all."""
        sets = [row for row in self.rows["set"] if set_id in (None, row["id"])]
        wheels = {f"x{wheel}" for row in sets for wheel in columns(row, "wheels").values()}
        return [row for row in self.rows.get("sensor", []) if row["id"] in wheels]

    def number_of(self, sensor: Row) -> object:
        return sensor["sends"] or sensor["printed"]

    def sets_of(self, car: Row) -> list[str]:
        """The sets that are meant to go on a car."""
        return sorted({str(row["set"]) for row in self.rows.get("stay", []) if row.get("on") == car["id"]})

    def watching(self) -> Row | None:
        """A car that watches its wheels by sensors, and is meant to have a set on."""
        cars = [car for car in self.rows["car"] if car["monitor"] == "direct" and self.sets_of(car)]
        return self.random.choice(cars) if cars else None

    # --- the twists -----------------------------------------------------------------------------------------------

    def never_written(self) -> None:
        sensors = self.worn()
        for row in self.random.sample(sensors, min(len(sensors), self.random.choice((1, 1, 2)))):
            writing = self.pick(*["rewritable", "write once"] * 3, "fixed", None)
            row |= {"printed": None, "sends": self.maybe(0.1, "0x0000000"), "writing": writing, "written": False}
            row["answers"] = False if self.chance(0.5) else self.pick(True, None)

    def other_writers(self) -> None:
        """No writer, one that lacks a skill, or one for other families; blanks in hand may have nothing to write them."""
        skills = self.random.choice(
            ([], [], ["copy"], ["copy"], ["copy"], ["own"], ["own"], ["own"], ["own"], ["copy", "own"], ["given"])
        )
        one = self.random.choice(self.ids("family"))
        families = [one] if skills == ["given"] or self.chance(0.2) else None
        self.rows["writer"] = [{"id": "wanting", "can": skills, "families": families}] if skills else []
        in_hand = {row["family"] for row in self.rows.get("blank", [])}
        for family in self.ids("family"):
            if family not in in_hand and self.chance(0.4):
                self.add("blank", family=family, count=self.random.randint(1, 3), each=self.maybe(0.5, "9 EUR"))

    def lent_car(self) -> None:
        """One of the cars is somebody else's: its sets may go on one of ours, too."""
        if len(self.rows["car"]) > 1:
            car = self.random.choice(self.rows["car"])
            car["somebody_elses"] = True
            if self.chance(0.4):
                self.lend(str(car["id"]))

    def lend(self, car: str) -> None:
        """One of our sets is on another car while it was to lie somewhere."""
        lying = [row for row in self.rows.get("stay", []) if row.get("at") and row["set"] != "theirs"]
        if lying:
            row = self.random.choice(lying)
            row |= {"on": car, "at": None, "or_at": None}

    def guest(self) -> None:
        """Somebody else's car, with a set of its own whose IDs may be some of ours, or with one of our sets for a time."""
        monitor, borrows = self.pick("direct", "direct", "indirect", "none"), self.chance(0.3)
        stands_at = self.random.choice(self.ids("place"))
        if self.chance(0.75):
            for place in self.ids("place"):
                self.add("path", between=[place, "street"], heard="no")
            self.add("place", id="street")
            stands_at = "street"
        self.add(
            "car",
            id="guest",
            somebody_elses=True,
            stands_at=self.maybe(0.95, stands_at),
            monitor=monitor,
            family=self.maybe(0.9, self.random.choice(self.ids("family"))),
            remembers_sets=self.pick(1, 2, None),
            when_full=self.pick("oldest", "all", None),
            corner_aware=self.pick(True, False, None),
            taught_by=self.pick("driving", "step by step", "port", "locked", None),
            holds=self.pick(None, [], [] if borrows else [{"set": "theirs"}]) if monitor == "direct" else None,
        )
        if borrows:
            self.lend("guest")
        else:
            self.theirs()

    def theirs(self) -> None:
        """The set of somebody else's car."""
        ours = self.worn()
        wheels = {corner: f"theirs {corner}" for corner in ("front_left", "front_right")[: self.random.randint(1, 2)]}
        for wheel in wheels.values():
            alike = self.random.choice(ours) if ours and self.chance(0.7) else None
            number = self.number_of(alike) if alike else None
            self.add(
                "sensor",
                id=f"x{wheel}",
                sends=number or self.number(),
                family=alike["family"] if alike and self.chance(0.8) else self.random.choice(self.ids("family")),
                at_rest=self.pick("silent", "silent", "transmits", None),
                writing=self.pick("rewritable", "fixed"),
                answers=self.pick(True, None, False),
            )
            self.add("wheel", id=wheel, joined=[{"sensor": f"x{wheel}"}])
        self.add("set", id="theirs", wheels=wheels, sold=self.maybe(0.05, self.day(date(2026, 5, 1), 900)))
        self.their_stays()

    def their_stays(self) -> None:
        if self.chance(0.3):
            self.add("stay", set="theirs", on="guest", since=FIRST)
            return
        on = self.day(FIRST, 300)
        off = self.day(on + timedelta(days=15), 45)
        others = self.random.sample(self.ids("place"), min(2, len(self.ids("place"))))
        self.add("stay", set="theirs", on="guest", since=on, until=off, yearly=True)
        self.add(
            "stay",
            set="theirs",
            at=others[0],
            or_at=self.maybe(0.15, others[1:]),
            since=off,
            until=on.replace(year=on.year + 1),
            yearly=True,
        )

    def free_places(self) -> None:
        """A full list forgets all, and it has several places; some of them may be free."""
        car = self.watching()
        if car is None:
            return
        car |= {"when_full": "all", "remembers_sets": self.pick(2, 2, 3), "remembers_ids": None}
        if self.chance(0.4):
            car["holds"] = self.pick([], [{"set": self.sets_of(car)[0]}], [{"ids": [self.number()]}])
        if self.chance(0.85):
            car |= {"remembers_sets": None, "holds": [{"set": s} for s in self.sets_of(car)[:2]]}

    def sold_before(self) -> None:
        """A set that left before the day of the plan, with an ID that one of our wheels has; its sensor may be gone since."""
        sensors = [row for row in self.worn() if self.number_of(row)]
        if not sensors:
            return
        alike, sold = self.random.choice(sensors), self.day(date(2025, 6, 1), 300)
        gone = self.pick(None, None, sold + timedelta(days=9), sold + timedelta(days=9), sold - timedelta(days=9))
        family = alike["family"] if self.chance(0.7) else self.random.choice(self.ids("family"))
        bits = alike.get("bits") if family == alike["family"] else None
        self.add("sensor", id="xold", sends=self.number_of(alike), family=family, bits=bits, gone=gone)
        self.add("wheel", id="old", joined=[{"sensor": "xold", "until": gone}])
        self.add(
            "set",
            id="old set",
            wheels={"front_left": "old"},
            **{str(self.pick("sold", "sold", "scrapped")): sold},
        )

    def strange_entries(self) -> None:
        """A car that remembers sets apart has entries that nobody carries, or that its own set's other wheels carry."""
        car = self.watching()
        if car is None:
            return
        if not isinstance(car["remembers_sets"], int) or car["remembers_sets"] < 2:
            car |= {"remembers_sets": self.pick(2, 2, 3), "remembers_ids": None}
        room = car["remembers_sets"]
        assert isinstance(room, int)
        old = car["holds"] if isinstance(car["holds"], list) else []
        car["holds"] = self.random.sample([*old[: room - 1], self.strange_group(car)], min(len(old), room - 1) + 1)
        car["taught_by"] = self.pick("locked", "locked", "port", "step by step")

    def strange_group(self, car: Row) -> Row:
        set_id = self.random.choice(self.sets_of(car))
        wheels = next(columns(row, "wheels") for row in self.rows["set"] if row["id"] == set_id)
        own = [number for row in self.worn(set_id) if (number := self.number_of(row))]
        if len(own) > 1 and self.chance(0.8):
            return self.own_group(car, set_id, list(wheels), own)
        if self.chance(0.7) and (before := self.taught_before()):
            return before
        if car["corner_aware"] is False and self.chance(0.4):
            return {"ids": [self.number() for _ in wheels]}
        return {"corners": {corner: self.number() for corner in wheels}}

    def own_group(self, car: Row, set_id: str, corners: list[str], own: list[object]) -> Row:
        """A set's own IDs, each at the corner of another wheel, or wherever they are."""
        if self.chance(0.4):
            car["corner_aware"] = False
            return {"set": set_id}
        car["corner_aware"] = self.pick(True, True, None)
        return {"corners": dict(zip(corners, [*own[1:], own[0]], strict=False))}

    def taught_before(self, bits: int | None = None) -> Row | None:
        """A set by name, as it was before the sensor of one of its wheels was changed: nobody carries that ID now."""
        set_row = self.random.choice(self.rows["set"])
        wheel = self.random.choice(list(columns(set_row, "wheels").values()))
        row = next(row for row in self.rows["wheel"] if row["id"] == wheel)
        if row["joined"] != [{"sensor": f"x{wheel}"}]:
            return None
        changed = self.day(date(2025, 6, 1), 150)
        family = None if bits else self.random.choice(self.ids("family"))
        at_rest = self.pick("silent", "transmits")
        self.add("sensor", id=f"z{wheel}", sends=self.number(), family=family, bits=bits, at_rest=at_rest)
        row["joined"] = [{"sensor": f"z{wheel}", "until": changed}, {"sensor": f"x{wheel}", "since": changed}]
        return {"set": set_row["id"], "as_of": changed - timedelta(days=self.random.randint(1, 40))}

    def other_width(self) -> None:
        """A car's list holds a set whose sensors have IDs of another width than its own."""
        car = self.watching()
        widths = {row["id"]: row.get("bits") for row in self.rows["family"]}
        if car is None or widths.get(car["family"]) is None:
            return
        bits = 28 if widths[car["family"]] == 32 else 32
        old = car["holds"] if isinstance(car["holds"], list) else []
        if self.chance(0.5) and (before := self.taught_before(bits)):
            car["holds"] = [before, *old[1:]]
            return
        fitting = self.sets_of(car)
        set_id = self.random.choice(fitting if self.chance(0.5) else self.ids("set"))
        for row in self.worn(set_id):
            row |= {"family": None, "bits": bits}
        car["holds"] = [{"set": set_id}, *[group for group in old if group.get("set") != set_id]][: len(old) or 1]

    def not_taught(self) -> None:
        """A car that can't be taught; its list may hold the sets that are meant for it, or one that the others can be cloned from."""
        car = self.watching()
        if car is None:
            return
        car["taught_by"] = "not at all"
        wheels = {str(row["id"]): columns(row, "wheels") for row in self.rows["set"]}
        sets = sorted(self.sets_of(car), key=lambda one: -len(wheels[one]))
        if self.chance(0.4):
            self.list_holds(car, sets)
        elif self.chance(0.8):
            self.list_holds(car, sets[:1])
            bits = next((row.get("bits") for row in self.rows["family"] if row["id"] == car["family"]), None)
            for row in (row for one in sets for row in self.worn(one)):
                row |= {"writing": "rewritable", "at_rest": "silent", "family": car["family"], "bits": bits or 32}

    def list_holds(self, car: Row, sets: list[str]) -> None:
        """A car's list holds just these sets, and is full; how many it can hold may not be noted."""
        noted = self.maybe(0.7, len(sets))
        car |= {"holds": [{"set": one} for one in sets], "remembers_sets": noted, "remembers_ids": None}
