"""A household as it really is: hubs, wheels, air, sensors, lists, places. It allows what can be done, and nothing else.

Written from physics, the handbook facts that a garage file can state, and docs/deciding.md; it uses no code of the program. What
can't be done raises `CantBeDone`; what endangers somebody is kept in `breaches`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from things import ELSEWHERE, ROAD, SPARE, WARMED_K, WRITABLE_BELOW_KPA, CantBeDone, Car, Group, Sensor, Wheel

SOFT_KPA = 175.0
"""Below this no wheel is to carry a car: 1.8 bar by a gauge that reads somewhat too much."""


@dataclass
class World:
    """The household. `heard`: pairs of places that lie within earshot; `blanks`: new sensors in hand by family; `pile`: those that are
    laid out, with whether they were in hand; `bench`: those made ready, by the wheel that they are for, and `apart` those
    of them that are kept out of earshot of every car. `kinds`: band and width by
    family; `writes`: the families that the writer can write. `sold`: the sensors that left with sets that were sold.
    `written`, `changed`: how many sensors were written and changed so far. `awaiting`: the wheels that are to be written today;
    until then a car may hear one with another's ID, but for when it is taught, driven or proven; so, too, those that share one before anything is
    done, of which the plan warns. `far`: pairs of places between which
    one drives. `goes_wrong`: how the next writings fail: one that is not taken, one that arrives otherwise, one that another wheel takes.
    `at_hand`: wheels that lie so near to the one in hand that they answer the trigger in its place. `silent_for`: those whose new
    sensors are silent at rest.
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
    far: set[frozenset[str]] = field(default_factory=set)
    goes_wrong: list[str] = field(default_factory=list)
    at_hand: set[str] = field(default_factory=set)
    silent_for: set[str] = field(default_factory=set)

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
        if corner != SPARE and (wheel.gauge < SOFT_KPA or wheel.unfit):
            self.breaches.append(
                f"{wheel.name} is fitted at {wheel.gauge:.0f} kPa" + ", its leak not mended" * wheel.unfit
            )
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

    def one_drives(self, one: str | None, other: str | None) -> bool:
        """Whether wheels are driven, and not carried, between two places."""
        return one is not None and other is not None and one != other and frozenset((one, other)) in self.far

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
        self._write(wheel.sensor, number, wheel)
        self.written += 1
        self.awaiting.discard(wheel.id)

    def _write(self, sensor: Sensor, number: int, wheel: Wheel | None = None) -> None:
        """Writes, as well as that goes today."""
        how = self.goes_wrong.pop(0) if self.goes_wrong else ""
        if how == "otherwise":
            sensor.write(number ^ 0xF0)
        elif how == "another wheel":
            near = (
                w.sensor
                for w in self.wheels.values()
                if wheel and w.set == wheel.set and w is not wheel and w.place == wheel.place
            )
            other = next(
                (s for s in near if s and s.family == sensor.family and s.alive and s.writing == "rewritable"), None
            )
            (other or sensor).write(number)
        elif how != "not taken":
            sensor.write(number)

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
        made.rests = wheel.id in self.silent_for
        if writable and self.goes_wrong:
            made.number = number ^ 0xFF
            self._write(made, number)
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
        """Every live sensor that a car hears where it stands, with where it is; but for those of some wheels, and for those that were moved away."""
        yield from ((f"{w.name} {w.spot}", w.sensor) for w in self._near(car) if w.id not in but and w.sensor)
        for wheel, (sensor, _) in self.bench.items():
            if sensor.band == car.band and wheel not in self.apart:
                yield f"the new sensor for {wheel}", sensor

    def _near(self, car: Car) -> Iterator[Wheel]:
        """The wheels that a car hears where it stands."""
        for w in (w for w in self.wheels.values() if w.id not in self.cleared):
            at = self.cars[w.car].place if w.car else w.place
            near = w.car == car.id or (self.hears(car, at) and (w.car is not None or not (w.sensor and w.sensor.rests)))
            if w.sensor and w.sensor.alive and w.sensor.band == car.band and near:
                yield w

    def doubled(self) -> set[str]:
        """The wheels of which a car hears the ID more than once."""
        out: set[str] = set()
        for near in (list(self._near(car)) for car in self.cars.values() if car.direct):
            count = Counter(w.sensor.key for w in near if w.sensor)
            out |= {w.id for w in near if w.sensor and count[w.sensor.key] > 1}
        return out

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
        car.teaching = {}

    def _alone(self, car: Car) -> None:
        near = self.strangers(car)
        if near:
            self.breaches.append(f"{car.name} is taught while it hears {', '.join(near)}")

    def answering(self, car: Car, wheel: Wheel) -> Wheel:
        """The wheel whose sensor answers when one is triggered at a car: one that lies at hand may be heard in its place."""
        near = (self.wheels[w] for w in sorted(self.at_hand) if w in self.wheels)
        return next((w for w in near if w.car is None and w.place == car.place and car.understands(w.sensor)), wheel)

    def teach_wheel(self, car: Car, corner: str, wheel: Wheel) -> Wheel:
        """Triggers a wheel at its corner while the car is being taught; the wheel that answered, and that the car took."""
        if car.teaching is None:
            raise CantBeDone(f"{car.name} is not being taught")
        if car.hubs.get(corner) is not wheel:
            raise CantBeDone(f"{wheel.name} can't be taught at {corner} of {car.name}: it is {wheel.spot}")
        left = [c for c in car.order if c in car.corners and c not in car.teaching]
        if not left or left[0] != corner:
            raise CantBeDone(f"{car.name} takes {left[0] if left else 'no corner'} next, and not {corner}")
        took = self.answering(car, wheel)
        if took.sensor is None or not car.understands(took.sensor):
            raise CantBeDone(f"{car.name} does not confirm {wheel.name}: it does not understand its sensor")
        car.teaching[corner] = took.sensor.key
        if len(left) == 1 and all(
            (on := car.hubs.get(c)) is not None and on.sensor is not None and on.sensor.key == key
            for c, key in car.teaching.items()
        ):
            car.learn(car.teaching, self.set_on(car))
            car.teaching = None
        return took

    def teach_by_port(self, car: Car, group: Group) -> None:
        if car.taught_by not in ("port", "locked"):
            raise CantBeDone(f"{car.name} takes no list by its port")
        if car.taught_by == "locked":
            self.roll(car)  # to the workshop and back
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
        car.shown, car.awake = car.figures(), True

    def drive(self, car: Car) -> None:
        """A drive long enough to learn and to judge."""
        self.roll(car)
        if car.direct and car.by_itself and not car.knows_fitted() and len(car.fitted()) == len(car.corners):
            self._alone(car)
            car.learn(car.fitted(), self.set_on(car))
        car.shown = car.figures()

    def set_on(self, car: Car) -> str:
        """The set of which most wheels are on a car."""
        return Counter(w.set for w in car.hubs.values() if w is not None).most_common(1)[0][0]

    def cool_down(self) -> None:
        for car in self.cars.values():
            car.awake = False
        for wheel in self.wheels.values():
            wheel.kelvin = self.kelvin
