"""The kinds of day in a household: a sheet is begun, carried out to the letter, and finished; then everything is looked at."""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta, timezone
from enum import StrEnum
from functools import cache
from pathlib import Path
from random import Random

from households import Household, Line, draw
from person import Clock, Person, SaysOtherwise, Stuck
from world import CantBeDone, Car, Group, Wheel

from wheelside.errors import BadRequest
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Garage, Sensor
from wheelside.garage.present import present
from wheelside.garage.words import Corner
from wheelside.identity.choice import Action, IdChoice
from wheelside.jobs.book.desk import Desk, new_desk, open_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.doing import BegunJob, begin, doing
from wheelside.jobs.work.finish import StillOpen, finish, give_up
from wheelside.jobs.work.seen import say_on
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Does
from wheelside.units.moment import Moment

OPEN_DAYS = 60
"""So long a change that nobody has seen done stays open: docs/deciding.md."""
ZONE = timezone(timedelta(hours=1))


class Kind(StrEnum):
    """The kinds of day."""

    BEFORE = "the day before"
    ON = "the day"
    LATE = "a week late"
    HALF_WAY = "half way through"
    GIVEN_UP = "after one was given up"
    NOW = "change now"
    SWAP = "two cars swap"


class Came(StrEnum):
    """What came of a day."""

    DONE = "done"
    REFUSED = "refused"
    LEFT_OUT = "left out"
    FAILED = "FAILED"


@dataclass
class Day:
    """One household-day: its seed, its kind, what came of it, why, and the garage file."""

    seed: int
    kind: Kind
    came: Came = Came.DONE
    why: str = ""
    text: str = ""
    log: list[str] = field(default_factory=list)


class Faulty(Exception):
    """Something is not as it has to be at the end of a day."""


class LeftOut(Exception):
    """A household that is not looked at yet; see households.py."""


class Refused(Exception):
    """No sheet is made, with a reason and what to do about it."""


def days(seed: int, count: int) -> Iterator[Day]:
    """So many household-days, each from a seed of its own, all kinds in turn."""
    kinds = tuple(Kind)
    for n in range(count):
        yield live(seed + n, kinds[(seed + n) % len(kinds)])


def live(seed: int, kind: Kind) -> Day:
    """One household-day."""
    day, folder = Day(seed, kind), Path(tempfile.mkdtemp(prefix="walk"))
    try:
        Life(day, Random(f"{kind.value} {seed}"), folder).live()
    except LeftOut as left:
        day.came, day.why = Came.LEFT_OUT, str(left)
    except Refused as refused:
        day.came, day.why = Came.REFUSED, str(refused)
    except (Faulty, CantBeDone, SaysOtherwise, Stuck) as fault:
        day.came, day.why = Came.FAILED, f"{type(fault).__name__}: {fault}"
    except RuntimeError as fault:  # the program's own audit of its plan
        day.came, day.why = Came.FAILED, f"the program stopped: {fault}"
    finally:
        shutil.rmtree(folder)
    return day


@cache
def _empty_book() -> bytes:
    """An empty book, made once."""
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "empty.book"
        new_desk(str(where)).close()
        return where.read_bytes()


class Life:
    """A household with its book, and the person who does what its sheets say."""

    def __init__(self, day: Day, random: Random, folder: Path) -> None:
        self.day, self.random, self.book = day, random, folder / "household.book"
        self.home: Household = self.drawn()
        self.world = self.home.world
        day.text = self.home.text
        self.clock = Clock(Moment.of(datetime.combine(self.first_day(), time(9), ZONE)))
        self.book.write_bytes(_empty_book())
        self.desk = self._open()
        take_in_text(self.desk, self.home.text, "household.toml")
        self.person = self._person()
        self.moved_unsaid = set[str]()

    def drawn(self) -> Household:
        return draw(self.random, self._line())

    def _line(self) -> Line:
        kind = self.day.kind
        if kind is Kind.SWAP:
            return Line.SWAP
        if kind is Kind.NOW:
            return self.random.choice((Line.EMPTY, Line.EMPTY, Line.YEARLY, Line.ONCE))
        return self.random.choice((Line.YEARLY, Line.ONCE))

    def first_day(self) -> date:
        kind, turn = self.day.kind, self.home.turn
        if kind is Kind.NOW:
            return turn + timedelta(days=self.random.choice((-80, -5, 0, 30, 100)))
        if kind in (Kind.HALF_WAY, Kind.GIVEN_UP, Kind.SWAP):
            return turn + timedelta(days=self.random.choice((-1, 0, 0, 7, 7)))
        return turn + timedelta(days={Kind.BEFORE: -1, Kind.ON: 0}.get(kind, 7))

    def _open(self) -> Desk:
        desk, _ = open_desk(str(self.book))
        desk.clock, desk.bits = self.clock, Random(self.day.seed).getrandbits
        return desk

    def _person(self) -> Person:
        home = self.home
        places = {p.id: p.name for p in self.desk.loaded().garage.place}
        families = {f.id: f.name for f in self.desk.loaded().garage.family}
        person = Person(
            home.world, self.desk, self.clock, self.random, home.gauge_bias, places, home.set_names, families
        )
        person.log = self.day.log
        return person

    # --- the day

    def live(self) -> None:
        try:
            job = self._begin()
            if self.day.kind is Kind.HALF_WAY:
                self._stop_half_way(job)
            if self.day.kind is Kind.GIVEN_UP:
                job = self._give_up(job)
            self._to_the_end(job)
        finally:
            self.desk.close()

    def _asked(self) -> dict[str, str]:
        """Which change is asked for: the one that is due, by name or without."""
        home = self.home
        if self.day.kind is Kind.NOW:
            car = self.random.choice(list(self.world.cars))
            old = (self.clock.now.day - home.turn).days > OPEN_DAYS or self.random.random() < 0.2
            for one in self.world.cars:
                if old or (one != car and self.desk.present().set_on(one) is None):
                    self._say_what_is_on(one)
            return {"car": car, "wheel_set": self._another_set(car)}
        if self.day.kind is Kind.SWAP and self.random.random() < 0.5:
            return {}
        return self.random.choice(({"car": home.car, "wheel_set": home.coming}, {"car": home.car}))

    def _another_set(self, car: str) -> str:
        """Any set that is not on a car now and has as many wheels as the car watches."""
        count = Counter(w.set for w in self.world.wheels.values())
        own = {w.set for w in self.world.wheels.values() if w.car == car}
        like = [s for s, n in count.items() if s not in own and n == len(self.world.cars[car].corners)]
        if not like:
            raise LeftOut("no other set has as many wheels as the car watches")
        return self.random.choice(like)

    def _say_what_is_on(self, car: str) -> None:
        """Somebody says what is on a car: where it counts as changed long ago and was not, or where nobody has said anything."""
        on = {w.set for w in self.world.wheels.values() if w.car == car}
        if len(on) == 1:
            say_on(self.desk, car, on.pop(), person="Ada")

    def _begin(self, asked: dict[str, str] | None = None) -> str:
        asked = self._asked() if asked is None else asked
        self.day.log.append(f"{self.clock.now.short()} begin {asked}")
        try:
            made: BegunJob = begin(self.desk, car=asked.get("car"), wheel_set=asked.get("wheel_set"), person="Ada")
        except BadRequest as refused:
            raise Refused(f"asked otherwise: {_first_words(str(refused))}") from refused
        if made.job is None:
            self._see_why(made)
            raise Refused("; ".join(sorted({f.code for f in made.forbidden})))
        start = doing(self.desk, made.job).start
        self._leave_out(start)
        return made.job

    def _see_why(self, made: BegunJob) -> None:
        if made.under_way is not None:
            raise Faulty(f"a job is under way where none was begun: {made.under_way}")
        if not made.forbidden:
            raise Faulty("no sheet, and no reason")
        for finding in made.forbidden:
            if not finding.way_out:
                raise Faulty(f"'{finding.code}' forbids it, and says no way out: {finding.text}")

    def _leave_out(self, start: JobStart) -> None:
        plan = self.desk.plan()
        if any(w.choice == IdChoice.CLONE.value for w in start.wheels):
            raise LeftOut("the plan has a clone")
        if plan.pairs or any(w.choice is IdChoice.CLONE for w in plan.wheels):
            raise LeftOut("the plan has a pair")
        ids = {w.id.hex: w.wheel for w in start.wheels if w.id}
        if any(
            w.sensor and w.sensor.hex in ids and ids[w.sensor.hex] != w.id and w.set != start.coming
            for w in self.world.wheels.values()
        ):
            raise LeftOut("the plan keeps a pair")

    def _steps_to_stop(self, job: str) -> int:
        return self.random.randint(1, max(1, len(doing(self.desk, job).states) - 4))

    def _stop_half_way(self, job: str) -> None:
        """Stops after a random step; the program is started again, and it goes on another day."""
        self.person.walk(job, most=self._steps_to_stop(job))
        self.hold_book_against_world()
        self._another_day(self.random.randint(1, 3))

    def _another_day(self, later: int) -> None:
        self.desk.close()
        self.clock.wait(timedelta(days=later))
        self.world.cool_down()
        self.desk = self.person.desk = self._open()
        self.day.log.append(f"{self.clock.now.short()} another day")

    def _give_up(self, job: str) -> str:
        """Gives a job up after a random step, and begins one for the same change."""
        start = doing(self.desk, job).start
        self.person.walk(job, most=self._steps_to_stop(job))
        give_up(self.desk, job, "it rains", person="Ada")
        self.day.log.append(f"{self.clock.now.short()} given up")
        self.world.put_back()
        self.person.tags, self.person.noted = {}, {}
        self.hold_book_against_world()
        self._another_day(self.random.choice((0, 1)))
        asked = {"car": start.car, "wheel_set": start.coming}
        return self._begin({k: v for k, v in asked.items() if v})

    def _to_the_end(self, job: str) -> None:
        start = doing(self.desk, job).start
        leave = (Does.TORQUE_AGAIN,) if self.random.random() < 0.4 else ()
        self.person.walk(job, leave=leave)
        left = [s.step.id for s in doing(self.desk, job).states if not s.finished and not s.step.optional]
        if left:
            self._asks_first(job)
        finish(self.desk, job, leave_open=bool(left), person="Ada")
        self.world.put_back()
        self.look(start)

    def _asks_first(self, job: str) -> None:
        try:
            finish(self.desk, job, person="Ada")
        except StillOpen:
            return
        raise Faulty("it finished with a step open, and did not ask")

    # --- what has to be so at the end

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
        if any(t.needed and t.day <= day + timedelta(days=1) for t in taught):
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


def _first_words(text: str) -> str:
    return " ".join(text.split()[:9])
