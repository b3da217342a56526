"""A household as it really is: hubs, wheels, air, sensors, lists, places. It allows what can be done, and nothing else.

Written from physics, the handbook facts that a garage file can state, and docs/deciding.md; it uses no code of the program. What
can't be done raises `CantBeDone`; what endangers somebody is kept in `breaches`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
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
    inflated since; `ungauged`: not gauged since it was let down, opened or fitted.
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

    @property
    def lamp_off(self) -> bool:
        """Whether the lamp goes out after the ignition is on."""
        if not self.direct:
            return self.reference
        return self.knows_fitted()


@dataclass
class World:
    """The household. `heard`: pairs of places that lie within earshot; `blanks`: new sensors in hand by family; `pile`: those that are
    laid out, with whether they were in hand; `bench`: those made ready, by the wheel that they are for, and `apart` those
    of them that are kept out of earshot of every car. `kinds`: band and width by
    family; `writes`: the families that the writer can write. `sold`: the sensors that left with sets that were sold.
    `written`, `changed`: how many sensors were written and changed so far. `awaiting`: the wheels that are to be written today;
    until then a car may hear one with another's ID, but for when it is taught, driven or proven.
    """

    cars: dict[str, Car]
    wheels: dict[str, Wheel]
    heard: set[frozenset[str]]
    blanks: dict[str, int]
    kinds: dict[str, tuple[str, int]]
    writes: set[str]
    kelvin: float
    bench: dict[str, tuple[Sensor, bool]] = field(default_factory=dict)
    apart: set[str] = field(default_factory=set)
    pile: list[tuple[str, bool]] = field(default_factory=list)
    left_over: list[str] = field(default_factory=list)
    taken_out: list[Sensor] = field(default_factory=list)
    breaches: list[str] = field(default_factory=list)
    cleared: set[str] = field(default_factory=set)
    sold: list[Sensor] = field(default_factory=list)
    written: int = 0
    changed: int = 0
    awaiting: set[str] = field(default_factory=set)

    # --- wheels

    def sell(self, wheels: list[Wheel]) -> None:
        """Wheels leave the household, sensors and all."""
        for wheel in wheels:
            if wheel.car is not None:
                raise CantBeDone(f"{wheel.name} can't be sold: it is {wheel.spot}")
            if wheel.sensor is not None:
                self.sold.append(wheel.sensor)
            del self.wheels[wheel.id]

    def take_off(self, wheel: Wheel, car: Car, corner: str) -> None:
        if car.hubs.get(corner) is not wheel:
            there = car.hubs.get(corner)
            raise CantBeDone(
                f"{wheel.name} is not on {car.name}, {corner}: {there.name if there else 'nothing'} is there"
            )
        car.hubs[corner], car.tight[corner] = None, False
        wheel.car = wheel.corner = None
        wheel.place, wheel.loose = car.place, True

    def fit(self, wheel: Wheel, car: Car, corner: str) -> None:
        there = car.hubs.get(corner)
        if there is not None:
            raise CantBeDone(f"{wheel.name} can't go on {car.name}, {corner}: {there.name} is there")
        if wheel.car is not None:
            raise CantBeDone(f"{wheel.name} can't go on {car.name}, {corner}: it is {wheel.spot}")
        if wheel.place != car.place:
            raise CantBeDone(f"{wheel.name} can't go on {car.name}, {corner}: it is {wheel.spot}")
        if wheel.low:
            self.breaches.append(f"{wheel.name} was let down, and fitted so")
        car.hubs[corner], car.tight[corner], car.reference = wheel, corner == SPARE, False
        wheel.car, wheel.corner, wheel.place, wheel.loose, wheel.ungauged = car.id, corner, None, False, True

    def torque(self, car: Car) -> None:
        bare = [c for c in ROAD if car.hubs.get(c) is None]
        if bare:
            raise CantBeDone(f"{car.name} can't stand on its wheels: none at {', '.join(bare)}")
        car.tight = dict.fromkeys(car.tight, True)

    def put(self, wheel: Wheel, place: str | None) -> None:
        """Carries a wheel to a place; to somewhere out of earshot for None."""
        if wheel.car is not None:
            raise CantBeDone(f"{wheel.name} can't be carried away: it is {wheel.spot}")
        wheel.place, wheel.loose = place or ELSEWHERE, place is None

    def fetch(self, wheel: Wheel, place: str, car: Car) -> None:
        """Brings a wheel from a place to where a car stands."""
        if wheel.place != place:
            raise CantBeDone(f"{wheel.name} can't be fetched at {place}: it is {wheel.spot}")
        wheel.place, wheel.loose = car.place, False

    def beside(self, car: Car) -> list[Wheel]:
        """The wheels that came off a car and were not put away yet."""
        return [w for w in self.wheels.values() if w.loose and w.place in (car.place, ELSEWHERE)]

    # --- air

    def gauge(self, wheel: Wheel) -> float:
        wheel.ungauged = wheel.low
        return wheel.gauge

    def set_pressure(self, wheel: Wheel, gauge: float) -> None:
        wheel.fill(gauge)
        wheel.low = wheel.ungauged = False

    def let_down(self, wheel: Wheel) -> None:
        if wheel.car is not None:
            raise CantBeDone(f"{wheel.name} can't be let down: it is {wheel.spot}, and carries the car")
        wheel.fill(WRITABLE_BELOW_KPA / 2)
        wheel.low = wheel.ungauged = True

    # --- sensors

    def trigger(self, wheel: Wheel) -> Sensor | None:
        """The sensor that answers; None where none does."""
        return wheel.sensor if wheel.sensor is not None and wheel.sensor.alive else None

    def write_mounted(self, wheel: Wheel, number: int) -> None:
        if wheel.sensor is None:
            raise CantBeDone(f"{wheel.name} has no sensor to write")
        if wheel.car is not None or wheel.gauge >= WRITABLE_BELOW_KPA:
            raise CantBeDone(
                f"the sensor of {wheel.name} takes no writing: it feels its tyre's pressure ({wheel.gauge:.0f} kPa)"
            )
        if wheel.sensor.family not in self.writes:
            raise CantBeDone(f"the writer can't write family {wheel.sensor.family}")
        wheel.sensor.write(number)
        self.written += 1
        self.awaiting.discard(wheel.id)

    def take_from_hand(self, family: str) -> None:
        if not self.blanks.get(family):
            raise CantBeDone(f"no new sensor of family {family} is in hand")
        self.blanks[family] -= 1
        self.pile.append((family, True))

    def buy(self, family: str) -> None:
        """Lays out a sensor that is bought, or was for a job that was given up."""
        if family in self.left_over:
            self.left_over.remove(family)
        self.pile.append((family, False))

    def put_back(self) -> None:
        """The job ends, or was given up: puts away new sensors that were not fitted, and brings back what was moved out of earshot."""
        for family, in_hand in [*self.pile, *((s.family, in_hand) for s, in_hand in self.bench.values())]:
            if in_hand:
                self.blanks[family] += 1
            else:
                self.left_over.append(family)
        self.pile, self.bench, self.cleared, self.apart = [], {}, set(), set()

    def ready(self, wheel: Wheel, number: int, *, writable: bool, apart: bool = False) -> Sensor:
        """Takes a new sensor from the pile for a wheel, with an ID that was written, out of earshot or not, or that it came with."""
        if not self.pile:
            raise CantBeDone(f"no new sensor is laid out for {wheel.name}")
        family, in_hand = self.pile.pop(0)
        if writable and family not in self.writes:
            raise CantBeDone(f"the writer can't write family {family}")
        band, bits = self.kinds[family]
        self.written += writable
        made = Sensor(
            f"the new one of {wheel.name}", family, band, bits, number, "rewritable" if writable else "fixed", writable
        )
        self.bench[wheel.id] = made, in_hand
        if apart:
            self.apart.add(wheel.id)
        return made

    def change_sensor(self, wheel: Wheel) -> None:
        if wheel.car is not None:
            raise CantBeDone(f"the sensor of {wheel.name} can't be changed: it is {wheel.spot}")
        if wheel.id not in self.bench:
            raise CantBeDone(f"no new sensor is ready for {wheel.name}")
        if wheel.sensor is not None:
            self.taken_out.append(wheel.sensor)
        wheel.sensor, _ = self.bench.pop(wheel.id)
        wheel.ungauged = True
        self.changed += 1
        self.awaiting.discard(wheel.id)

    # --- cars

    def hears(self, car: Car, place: str | None) -> bool:
        return place is not None and (place == car.place or frozenset((place, car.place)) in self.heard)

    def in_earshot(self, car: Car, but: frozenset[str] = frozenset()) -> Iterator[tuple[str, Sensor]]:
        """Every live sensor that a car hears where it stands, with where it is; but for those of some wheels."""
        for w in (w for w in self.wheels.values() if w.id not in but):
            at = self.cars[w.car].place if w.car else w.place
            near = w.car == car.id or (self.hears(car, at) and (w.car is not None or not (w.sensor and w.sensor.rests)))
            if w.sensor and w.sensor.alive and w.sensor.band == car.band and near:
                yield f"{w.name} {w.spot}", w.sensor
        for wheel, (sensor, _) in self.bench.items():
            if sensor.band == car.band and wheel not in self.apart:
                yield f"the new sensor for {wheel}", sensor

    def strangers(self, car: Car) -> list[str]:
        """The wheels of its family that a car hears beside its own, but for those that were moved away."""
        out = []
        for w in self.wheels.values():
            at = self.cars[w.car].place if w.car else w.place
            if w.car != car.id and car.understands(w.sensor) and self.hears(car, at) and w.id not in self.cleared:
                out.append(f"{w.name} {w.spot}")
        return out

    def look_for_equal_ids(self, *, proven: bool = False) -> None:
        """Keeps a breach for each car that hears one ID twice that it holds, is learning, or may adopt by itself. `proven`: while a car
        is taught, driven or proven."""
        but = frozenset() if proven else frozenset(self.awaiting)
        for car in (c for c in self.cars.values() if c.direct):
            held = {k for g in (*car.memory, car.teaching or {}) for k in g.values()}
            count = Counter(s.key for _, s in self.in_earshot(car, but))
            for key in [k for k, n in count.items() if n > 1 and (k in held or car.by_itself)]:
                where = ", ".join(at for at, s in self.in_earshot(car) if s.key == key)
                said = f"{car.name} hears one ID twice: {where}"
                if said not in self.breaches:
                    self.breaches.append(said)

    def begin_teaching(self, car: Car) -> None:
        if car.taught_by != "step by step":
            raise CantBeDone(f"{car.name} is not taught step by step")
        self._alone(car)
        car.teaching = {}

    def _alone(self, car: Car) -> None:
        near = self.strangers(car)
        if near:
            self.breaches.append(f"{car.name} is taught while it hears {', '.join(near)}")

    def teach_wheel(self, car: Car, corner: str, wheel: Wheel) -> None:
        if car.teaching is None:
            raise CantBeDone(f"{car.name} is not being taught")
        if car.hubs.get(corner) is not wheel:
            raise CantBeDone(f"{wheel.name} can't be taught at {corner} of {car.name}: it is {wheel.spot}")
        left = [c for c in car.order if c in car.corners and c not in car.teaching]
        if not left or left[0] != corner:
            raise CantBeDone(f"{car.name} takes {left[0] if left else 'no corner'} next, and not {corner}")
        if wheel.sensor is None or not car.understands(wheel.sensor):
            raise CantBeDone(f"{car.name} does not confirm {wheel.name}: it does not understand its sensor")
        car.teaching[corner] = wheel.sensor.key
        if len(left) == 1:
            car.learn(car.teaching, self.set_on(car))
            car.teaching = None

    def teach_by_port(self, car: Car, group: Group) -> None:
        if car.taught_by not in ("port", "locked"):
            raise CantBeDone(f"{car.name} takes no list by its port")
        self._alone(car)
        car.learn(group, self.set_on(car))

    def roll(self, car: Car) -> None:
        """A drive, be it short: only on four wheels that are fastened and gauged."""
        for corner in ROAD:
            wheel = car.hubs.get(corner)
            if wheel is None:
                raise CantBeDone(f"{car.name} can't be driven: no wheel at {corner}")
            if not car.tight[corner]:
                self.breaches.append(f"{car.name} is driven, and {wheel.name} at {corner} is not torqued")
            if wheel.ungauged or wheel.low:
                self.breaches.append(
                    f"{car.name} is driven on {wheel.name}, not gauged since it was let down or fitted"
                )
            wheel.kelvin = self.kelvin + WARMED_K

    def drive(self, car: Car) -> None:
        """A drive long enough to learn and to judge."""
        self.roll(car)
        if car.direct and car.by_itself and not car.knows_fitted() and len(car.fitted()) == len(car.corners):
            car.learn(car.fitted(), self.set_on(car))

    def set_on(self, car: Car) -> str:
        """The set of which most wheels are on a car."""
        return Counter(w.set for w in car.hubs.values() if w is not None).most_common(1)[0][0]

    def cool_down(self) -> None:
        for wheel in self.wheels.values():
            wheel.kelvin = self.kelvin
