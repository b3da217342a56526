"""What has to be so once a job is done: the household is as it was planned, and the book says of it what is so."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

from households import Household
from person import Clock
from things import Car, Group, Wheel
from world import World

from wheelside.garage.joined import joining_on
from wheelside.garage.model import Garage, Sensor
from wheelside.garage.present import present
from wheelside.garage.words import Corner
from wheelside.identity.choice import Action
from wheelside.identity.teaching import First
from wheelside.jobs.book.desk import Desk
from wheelside.sheet.start import JobStart


class Faulty(Exception):
    """Something is not as it has to be at the end of a day."""


class Looks:
    """A household with its book, and everything that is looked at in it."""

    home: Household
    world: World
    desk: Desk
    clock: Clock
    moved_unsaid: set[str]

    def look(self, start: JobStart) -> None:
        self._as_planned(start)
        self.hold_book_against_world(start)
        self._nothing_left(start)
        if self.world.breaches:
            raise Faulty("; ".join(self.world.breaches))
        self.clock.wait(timedelta(days=7))
        self._nothing_left(start)

    def _as_planned(self, start: JobStart) -> None:
        car = self.world.cars.get(start.car)
        for planned in start.wheels:
            wheel = self.world.wheels[planned.wheel]
            if car is not None and planned.corner in car.corners and car.hubs.get(planned.corner) is not wheel:
                raise Faulty(f"{wheel.name} is to be at {planned.corner}, and is {wheel.spot}")
            watched = car is not None and car.direct and planned.corner in car.corners
            if watched and (wheel.sensor is None or not car.understands(wheel.sensor) if car else False):
                raise Faulty(f"{wheel.name} is on {start.car_name}, which does not hear it")
            if planned.id and wheel.sensor and wheel.sensor.hex != planned.id.hex:
                raise Faulty(f"{wheel.name} sends {wheel.sensor.hex}, and was to send {planned.id.hex}")
        if car is not None and not car.lamp_off:
            raise Faulty(f"the lamp of {car.name} stays on: its list {car.memory}, fitted {car.fitted()}")

    def hold_book_against_world(self, start: JobStart | None = None) -> None:
        """Whatever the book says has to be so; and after a job it has to say where the coming wheels are and what they send."""
        garage = self.desk.loaded().garage
        now = present(garage, self.clock.now.day)
        for car in self.world.cars.values():
            at = {c.value: w for c, w in now.wheel_at(car.id).items()}
            for corner, wheel in at.items():
                there = car.hubs.get(corner)
                if there is None or there.id != wheel:
                    raise Faulty(
                        f"the book has {wheel} on {car.name}, {corner}: {there.name if there else 'nothing'} is there"
                    )
        for one in now.known.values():
            seen = self.world.wheels.get(one.wheel)
            said = one.at is not None and one.wheel not in self.moved_unsaid
            if seen is not None and said and seen.place != one.at:
                raise Faulty(f"the book has {seen.name} at {one.at}, and it is {seen.spot}")
        if start is not None:
            self._after_the_job(garage, start, self.world.cars.get(start.car))

    def _after_the_job(self, garage: Garage, start: JobStart, car: Car | None) -> None:
        now = present(garage, self.clock.now.day)
        for planned in start.wheels:
            wheel = self.world.wheels[planned.wheel]
            if car is not None and now.wheel_at(car.id).get(Corner(planned.corner)) != wheel.id:
                raise Faulty(f"the book does not have {wheel.name} on {car.name}, {planned.corner}")
            if car is None or (car.direct and planned.corner in car.corners):
                self._sends(garage, wheel)
        if car is not None and car.direct:
            self._list(garage, car, start)
        blanks = {b.family: b.count for b in garage.blank}
        if blanks != {f: n for f, n in self.world.blanks.items() if f in blanks}:
            raise Faulty(f"the book has new sensors in hand {blanks}, and there are {self.world.blanks}")

    def _sends(self, garage: Garage, wheel: Wheel) -> None:
        joined = joining_on(garage.wheels[wheel.id], self.clock.now.day)
        row = garage.sensors.get(joined.sensor or "") if joined else None
        if wheel.sensor is None or row is None:
            raise Faulty(f"{wheel.name}: its sensor is {wheel.sensor}, and the book's is {row and row.id}")
        number = _number(garage, row)
        if number != wheel.sensor.number:
            raise Faulty(f"the book has {number or 0:X} for {wheel.name}, and it sends {wheel.sensor.hex}")
        if wheel.sensor.writing == "write once" and wheel.sensor.written and row.written is not True:
            raise Faulty(f"{wheel.name} can't be written again, and the book does not say so")

    def _list(self, garage: Garage, car: Car, start: JobStart) -> None:
        held = [_group(garage, one.set, one.as_of, one.corners, car) for one in garage.cars[car.id].holds or ()]
        if car.id in self.home.known_lists:
            good = len(held) == len(car.memory) and all(_says(car, a, b) for a, b in zip(held, car.memory, strict=True))
        else:
            good = all(any(_says(car, one, other) for other in car.memory) for one in held) and (
                bool(held) or not start.taught
            )
        if not good:
            raise Faulty(f"the book has {_shown(held)} in the list of {car.name}, and it holds {_shown(car.memory)}")

    def _nothing_left(self, start: JobStart) -> None:
        day = self.clock.now.day
        plan = self.desk.plan()
        if not plan.possible:
            raise Faulty(f"{day}: no plan is possible any more: {[c.text for c in plan.conflict]}")
        work = [w.wheel for w in plan.wheels if w.set == start.coming and (w.writes or w.action is Action.REFIT)]
        if work:
            raise Faulty(f"{day}: the plan still has work on {', '.join(work)}")
        taught = [t for t in plan.teachings if (t.car, t.set) == (start.car, start.coming)][:1]
        if any(t.needed and t.first is not First.BITS and t.day <= day + timedelta(days=1) for t in taught):
            raise Faulty(f"{day}: the plan still has {start.coming} to be taught: {taught[0].why}")
        turned = any(c == start.car and start.day < d <= day and s != start.coming for c, d, s in self.home.turns)
        due = [c for c in plan.open if c.car == start.car and start.car]
        if due and not turned:
            raise Faulty(f"{day}: a change is still due: {due[0]}")


def _number(garage: Garage, row: Sensor) -> int | None:
    """The number that the book has for a sensor: what it sends, else its print in its family's form."""
    if row.sends:
        return int(row.sends.removeprefix("0x"), 16)
    form = garage.families[row.family or ""].printed
    return int(row.printed, 10 if form == "decimal" else 16) if row.printed else None


def _group(
    garage: Garage, name: str | None, as_of: date | None, corners: tuple[tuple[Corner, str], ...], car: Car
) -> Group:
    """What one line of a list in the book stands for: written out, or by the set as it was joined on that day."""
    bits = 0
    out: Group = {}
    for corner, text in corners:
        bits = (len(text) - 2) * 4
        out[corner.value] = (bits, int(text, 16))
    for corner, wheel in garage.sets[name].wheels if name else ():
        joined = joining_on(garage.wheels[wheel], as_of or date(2030, 1, 1))
        row = garage.sensors.get(joined.sensor or "") if joined else None
        number = _number(garage, row) if row else None
        family = garage.families.get(row.family or "") if row else None
        if number is not None and family is not None and corner.value in car.corners:
            out[corner.value] = (family.bits or 0, number)
    return out


def _says(car: Car, said: Group, real: Group) -> bool:
    """Whether what the book says of a list is so; an ID that nobody has read it leaves out."""
    if car.corner_aware:
        return said.items() <= real.items()
    return not Counter(said.values()) - Counter(real.values())


def _shown(groups: list[Group]) -> str:
    return "; ".join(" ".join(f"{n:X}" for _, n in g.values()) for g in groups) or "nothing"
