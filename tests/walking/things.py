"""The things of a household as they really are: sensors, wheels, cars. Written without any code of the program."""

from __future__ import annotations

from dataclasses import dataclass, field

ROAD = ("front left", "front right", "rear left", "rear right")
SPARE = "spare"
USUAL_ORDER = ("front left", "front right", "rear right", "rear left", "spare")
ELSEWHERE = "somewhere out of earshot"
AIR_KPA = 101.3
WRITABLE_BELOW_KPA = 70.0
WARMED_K = 15.0
"""By so much a tyre is warmer after a drive of some length; any figure above nought does here."""

Key = tuple[int, int]
"""An ID as receivers compare it: width in bits and number."""
Group = dict[str, Key]
"""The IDs of one set in a car's list, by corner."""


class CantBeDone(Exception):
    """Something was to be done that can't be done; the message says why."""


@dataclass
class Sensor:
    """A sensor. `writing`: as in a garage file; `alive`: whether it answers; `rests`: whether it is silent in a wheel that lies still."""

    name: str
    family: str
    band: str
    bits: int
    number: int
    writing: str = "fixed"
    written: bool = False
    alive: bool = True
    rests: bool = False

    @property
    def key(self) -> Key:
        return self.bits, self.number

    @property
    def hex(self) -> str:
        return f"{self.number:0{self.bits // 4}X}"

    def write(self, number: int) -> None:
        if self.writing == "fixed":
            raise CantBeDone(f"sensor {self.name} can't be written")
        if self.writing == "write once" and self.written:
            raise CantBeDone(f"sensor {self.name} can be written once, and was written")
        self.number, self.written, self.alive = number, True, True


@dataclass
class Wheel:
    """A wheel. `content`: absolute pressure through temperature, kPa/K, which a closed tyre keeps.

    `car` and `corner`, or `place`: where it is; `loose`: it came off a car and was not put away yet. `low`: let down and not
    inflated since; `ungauged`: not gauged since it was let down, opened or fitted. `lost`: what becomes of the cause for which it lost
    its air, where it did; `unfit`: the cause is not mended.
    """

    id: str
    name: str
    set: str
    meant: str
    sensor: Sensor | None
    content: float
    kelvin: float
    car: str | None = None
    corner: str | None = None
    place: str | None = None
    loose: bool = False
    low: bool = False
    ungauged: bool = False
    lost: str = ""
    unfit: bool = False

    @property
    def gauge(self) -> float:
        """The true gauge pressure, kPa: the gas law at constant volume."""
        return self.content * self.kelvin - AIR_KPA

    def fill(self, gauge: float) -> None:
        self.content = (gauge + AIR_KPA) / self.kelvin

    @property
    def spot(self) -> str:
        return f"on {self.car}, {self.corner}" if self.car else f"at {self.place}"


@dataclass
class Car:
    """A car. `memory`: the IDs of the sets in its list, oldest first, and `whose` their names; `slots`: how many it holds.

    `chosen`: which of them the next teaching goes into, their number for an empty one, None where nothing was chosen; `own`: chosen
    as the list that this set has already.
    `teaching`: the IDs taken so far while it is being taught; None else. `lessons`: how many sets it has taken into its list.
    `erases`: whether a teaching that is broken off empties the list that was chosen. `dash`: whether its dash has a figure for each corner,
    and `parked` whether these follow while it is parked: 'yes', 'no', or
    only 'after a drive', while it is `awake`; `shown`: what they were when it last rolled. `codes`: what is stored, of which
    `only_ours` says whether a clearing would clear the tyre monitor's alone. `touched`: the minute at which something on it was moved last.
    """

    id: str
    name: str
    place: str
    direct: bool
    family: str
    band: str
    spare: bool
    slots: int
    when_full: str
    corner_aware: bool
    taught_by: str
    order: tuple[str, ...]
    readable: bool
    hubs: dict[str, Wheel | None] = field(default_factory=dict)
    tight: dict[str, bool] = field(default_factory=dict)
    memory: list[Group] = field(default_factory=list)
    whose: list[str] = field(default_factory=list)
    chosen: int | None = None
    own: bool = False
    teaching: Group | None = None
    reference: bool = True
    lessons: int = 0
    erases: bool = False
    dash: bool = False
    parked: str = "yes"
    awake: bool = False
    shown: dict[str, float] = field(default_factory=dict)
    codes: set[str] = field(default_factory=set)
    only_ours: bool = True
    touched: float = 0.0

    @property
    def corners(self) -> tuple[str, ...]:
        return (*ROAD, SPARE) if self.spare else ROAD

    @property
    def by_itself(self) -> bool:
        return self.taught_by.startswith("driving")

    def understands(self, sensor: Sensor | None) -> bool:
        return sensor is not None and sensor.alive and sensor.family == self.family

    def fitted(self) -> Group:
        """What it hears from its own monitored corners."""
        wheels = [(c, self.hubs.get(c)) for c in self.corners]
        return {c: w.sensor.key for c, w in wheels if w is not None and w.sensor and self.understands(w.sensor)}

    def same(self, one: Group, other: Group) -> bool:
        """Whether two sets of IDs are one to this car."""
        return one == other if self.corner_aware else sorted(one.values()) == sorted(other.values())

    def knows_fitted(self) -> bool:
        fitted = self.fitted()
        return len(fitted) == len(self.corners) and any(self.same(fitted, g) for g in self.memory)

    def place_of(self, group: Group) -> int | None:
        """The list that holds a set of IDs; None where none does."""
        return next((n for n, one in enumerate(self.memory) if self.same(one, group)), None)

    def choose(self, place: int, *, own: bool = False) -> None:
        """Chooses the list that the next teaching goes into."""
        if place > len(self.memory) or place >= self.slots:
            raise CantBeDone(f"{self.name} has no such list: {len(self.memory)} of {self.slots} are taken")
        self.chosen, self.own = place, own

    def learn(self, group: Group, name: str) -> None:
        """Takes a set into its list: into the one that was chosen, else an empty one, else the oldest. A full one may forget all."""
        self.lessons += 1
        full = len(self.memory) >= self.slots
        place = self.chosen if self.chosen is not None else 0 if full else len(self.memory)
        gone = set(range(self.slots)) if full and self.when_full == "all" and not self.own else {place}
        gone |= {n for n, one in enumerate(self.memory) if self.same(one, group)}
        kept = [n for n in range(len(self.memory)) if n not in gone]
        self.memory = [*(self.memory[n] for n in kept), dict(group)]
        self.whose = [*(self.whose[n] for n in kept), name]
        self.chosen, self.own = None, False

    def break_off(self) -> None:
        """A teaching is broken off: what it has taken so far is lost, and with some cars what the list held."""
        self.teaching = None
        place = 0 if self.chosen is None and self.memory else self.chosen
        if self.erases and place is not None and place < len(self.memory):
            del self.memory[place], self.whose[place]
            self.chosen = None

    def figures(self) -> dict[str, float]:
        """What the dash shows for each corner, kPa: of the wheel that carries the ID that the list has for it, in tens."""
        now: dict[str, float] = {}
        heard = {
            w.sensor.key: w for w in self.hubs.values() if w is not None and w.sensor and self.understands(w.sensor)
        }
        for corner, key in (self.memory[-1] if self.memory else {}).items():
            if key in heard:
                now[corner] = round(heard[key].gauge, -1)
        return now

    def dash_now(self, corner: str) -> float | None:
        """The figure for a corner, parked; None where there is none."""
        follow = self.parked == "yes" or (self.parked == "after a drive" and self.awake)
        return (self.figures() if follow else self.shown).get(corner) if self.dash else None

    @property
    def lamp_off(self) -> bool:
        """Whether the lamp goes out after the ignition is on."""
        if not self.direct:
            return self.reference
        return self.knows_fitted()
