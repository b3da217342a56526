"""The kinds of day in a household: a sheet is begun, carried out to the letter, and finished; then everything is looked at."""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta, timezone
from enum import StrEnum
from functools import cache
from pathlib import Path
from random import Random

from households import Household, Line, draw
from looks import Faulty, Looks
from person import Clock, Person, SaysOtherwise, Stuck, Walked
from roadside import HOLE, HURT
from things import ELSEWHERE, ROAD, CantBeDone, Wheel

from wheelside.errors import BadRequest
from wheelside.identity.choice import IdChoice
from wheelside.jobs.book.desk import Desk, new_desk, open_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.doing import BegunJob, begin, doing
from wheelside.jobs.work.finish import StillOpen, finish, give_up
from wheelside.jobs.work.seen import say_on
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import Cause
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
    FLAT = "a coming wheel has lost its air"
    WRONG = "a writing goes wrong"
    SILENT = "a sensor is silent"
    PARTS = "part by part"
    SHOP = "a shop swaps"


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
    return lived(Day(seed, kind), lambda day, folder: Life(day, Random(f"{kind.value} {seed}"), folder))


def lived(day: Day, life: Callable[[Day, Path], Life]) -> Day:
    """A day with what came of it."""
    folder = Path(tempfile.mkdtemp(prefix="walk"))
    try:
        life(day, folder).live()
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


class Life(Looks):
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
        return draw(self.random, self._line(), pair=1.0 if self.day.kind is Kind.WRONG else 0.35)

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
        if kind in (Kind.BEFORE, Kind.ON, Kind.LATE):
            return turn + timedelta(days={Kind.BEFORE: -1, Kind.ON: 0, Kind.LATE: 7}[kind])
        return turn + timedelta(days=self.random.choice((-1, 0, 0, 7, 7)))

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
            _LIVED.get(self.day.kind, Life._whole)(self)
        finally:
            self.desk.close()

    def _whole(self) -> None:
        self.person.careless = self.random.random() < 0.3
        job = self._begin()
        if self.day.kind is Kind.HALF_WAY:
            self._stop_half_way(job)
        if self.day.kind is Kind.GIVEN_UP:
            job = self._give_up(job)
        self._to_the_end(job)

    def _flat(self) -> None:
        """A coming wheel lies nearly flat: it is mended at once, or a workshop has it, and then it goes on no car until that is done."""
        wheel = self._one_of(lambda w: w.place is not None)
        wheel.fill(self.random.choice((0.0, 60.0, 120.0)))
        wheel.lost = self.random.choice((Cause.MENDED, Cause.MENDED, Cause.WORKSHOP, Cause.DRIVEN_FLAT))
        job = self._begin()
        start = doing(self.desk, job).start
        if self.person.walk(job) is not Walked.BARRED:
            self._end(job, start)
            return
        self._only_in_the_evening(job)
        lay, wheel.place = wheel.place, ELSEWHERE
        self.moved_unsaid.add(wheel.id)
        how = self.random.choice(("given up", "mended", "left out"))
        self.day.log.append(f"{self.clock.now.short()} {wheel.name} is at a workshop: {how}")
        fetch = next(
            s.step for s in doing(self.desk, job).states if s.step.does is Does.FETCH and s.step.wheel == wheel.id
        )
        if how == "mended":
            self._another_day(self.random.choice((1, 7)))
            wheel.lost, wheel.unfit, wheel.place = "", False, lay
            self.moved_unsaid.clear()
            wheel.fill(230.0)
            self.person.reopen(job, fetch)
            self._to_the_end(job)
            return
        if how == "left out":
            self.person.skips = True
            self.person.skip(job, fetch.id, "a workshop has it")
            self.person.walk(job)
            finish(self.desk, job, leave_open=True, person="Ada")
        else:
            give_up(self.desk, job, "a workshop has a wheel", person="Ada")
        self.world.put_back()
        self.hold_book_against_world()
        self._unhurt(wheel)

    def _only_in_the_evening(self, job: str) -> None:
        """While a wheel may go on no car, none has come off one."""
        moved = [
            s.step.id
            for s in doing(self.desk, job).states
            if s.finished and s.step.moves and s.step.does is not Does.BRING
        ]
        if moved:
            raise Faulty(f"a wheel may go on no car, and {', '.join(moved)} was begun")

    def _unhurt(self, wheel: Wheel) -> None:
        if wheel.car is not None and wheel.unfit:
            self.world.breaches.append(f"{wheel.name} is {wheel.spot}, and its leak is not mended")
        if self.world.breaches:
            raise Faulty("; ".join(self.world.breaches))

    def _wrong(self) -> None:
        """A writing goes wrong: it is put right at once, or the job is given up and planned again."""
        way = self.random.choice(("not taken", "otherwise", "another wheel"))
        self.world.goes_wrong = [way]
        job = self._begin()
        start = doing(self.desk, job).start
        if self.person.walk(job, until=lambda step: step.does is Does.WRITTEN_WRONGLY) is not Walked.STOPPED:
            if not any(w.writes for w in start.wheels):
                raise LeftOut("nothing is written")
            self._end(job, start)
            return
        state = next(s for s in doing(self.desk, job).states if s.step.does is Does.READ_BACK and not s.as_planned)
        wheel = self.world.wheels[state.step.wheel]
        sensor = self.world.bench[wheel.id][0] if wheel.id in self.world.bench else wheel.sensor
        again = sensor is not None and (sensor.writing == "rewritable" or not sensor.written)
        if again and way != "another wheel" and self.random.random() < 0.6:
            self.day.log.append(f"{self.clock.now.short()} {wheel.name} is written once more")
            steps = (s.step for s in doing(self.desk, job).states if s.step.wheel == wheel.id)
            self.person.reopen(job, *(step for step in steps if step.does in _WRITING))
        else:
            job = self._again(job)
        self._to_the_end(job)

    def _silent(self) -> None:
        """A sensor that was to answer does not: that is said, and planned again."""
        wheel = self._one_of(lambda w: w.sensor is not None and w.sensor.alive and w.place is not None)
        assert wheel.sensor is not None
        wheel.sensor.alive = False
        job = self._begin()
        start = doing(self.desk, job).start
        if (
            self.person.walk(job, until=lambda step: (step.does, step.wheel) == (Does.TRIGGER, wheel.id))
            is Walked.ENDED
        ):
            self._end(job, start)
        else:
            self._to_the_end(self._again(job))

    def _parts(self) -> None:
        """A whole change, or one that was broken off once the wheels were on; then part by part."""
        job = self._begin()
        start = doing(self.desk, job).start
        car = self.world.cars[start.car]
        if self.random.random() < 0.5:
            self._to_the_end(job)
        else:
            self.person.walk(job, until=lambda step: step.does is self.random.choice((Does.TORQUE, Does.SET_PRESSURE)))
            self._given_up(job)
        self._another_day(self.random.choice((0, 1, 30)))
        for extent in (Extent.PRESSURES, Extent.TEACH, Extent.PROVE):
            part = self._begin_part(start, extent)
            if part is None:
                continue
            self.person.walk(part)
            finish(self.desk, part, person="Ada")
            self.world.put_back()
            self.hold_book_against_world()
            if extent is Extent.PROVE and not car.lamp_off:
                raise Faulty(
                    f"{car.name} is proven, and its lamp stays on: its list {car.memory}, fitted {car.fitted()}"
                )
        self._one_wheel(start)
        self._unhurt(next(iter(self.world.wheels.values())))

    def _one_wheel(self, start: JobStart) -> None:
        """One tyre is flat on the road, or a shop changes one; with a spare on, the wheel goes back by a job for its set."""
        car = self.world.cars[start.car]
        corner = self.random.choice(ROAD)
        wheel = car.hubs.get(corner)
        if wheel is None:
            return
        if self.random.random() < 0.5:
            extent, wheel.lost = Extent.FLAT, self.random.choice((HOLE, HURT))
            wheel.fill(self.random.choice((0.0, 90.0)))
        else:
            extent = Extent.WHEEL
        part = self._begin_part(start, extent, corner)
        if part is None:
            wheel.lost = ""
            wheel.fill(230.0)
            return
        self.person.walk(part)
        finish(self.desk, part, person="Ada")
        self.world.put_back()
        wheel.lost = ""
        wheel.fill(230.0)
        self.hold_book_against_world()
        if wheel.car is None:
            self._another_day(1)
            self._to_the_end(self._begin({"car": start.car, "wheel_set": start.coming}))

    def _begin_part(self, start: JobStart, extent: Extent, about: str = "") -> str | None:
        """One part of the work on what is on; None where there is nothing to do in it."""
        self.day.log.append(f"{self.clock.now.short()} begin {extent.value}")
        try:
            return begin(self.desk, car=start.car, wheel_set=start.coming, person="Ada", extent=extent, about=about).job
        except BadRequest as refused:
            self.day.log.append(f"  {_first_words(str(refused))}")
            return None

    def _one_of(self, like: Callable[[Wheel], bool]) -> Wheel:
        """A wheel of the coming set that is like that."""
        found = [w for w in self.world.wheels.values() if w.set == self.home.coming and like(w)]
        if not found:
            raise LeftOut("no coming wheel is like that")
        return self.random.choice(found)

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
            extent = Extent.SHOP if self.day.kind is Kind.SHOP else Extent.ALL
            made: BegunJob = begin(
                self.desk, car=asked.get("car"), wheel_set=asked.get("wheel_set"), person="Ada", extent=extent
            )
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
        return self.random.randint(1, max(1, sum(s.to_do for s in doing(self.desk, job).states) - 4))

    def _stop_half_way(self, job: str) -> None:
        """Stops after a random step, once or twice; the program is started again, and it goes on the same day, the next, or a week later."""
        for _ in range(self.random.choice((1, 1, 2))):
            self.person.walk(job, most=self._steps_to_stop(job))
            self.hold_book_against_world()
            self._another_day(self.random.choice((0, 1, 7)))
            car = self.world.cars.get(doing(self.desk, job).start.car)
            if car is not None and car.teaching is not None:
                self.person.begin_teaching_again(job, car)

    def _another_day(self, later: int) -> None:
        """Some days later, or some hours."""
        self.desk.close()
        self.clock.wait(timedelta(days=later) if later else timedelta(hours=3))
        self.world.cool_down()
        self.desk = self.person.desk = self._open()
        self.person.card = None
        self.day.log.append(f"{self.clock.now.short()} another day")

    def _give_up(self, job: str) -> str:
        """Gives a job up after a random step, and begins one for the same change."""
        self.person.walk(job, most=self._steps_to_stop(job))
        return self._again(job, self.random.choice((0, 1)))

    def _again(self, job: str, later: int = 0) -> str:
        """Gives a job up, and begins one for the same change."""
        start = doing(self.desk, job).start
        self._given_up(job)
        self._another_day(later)
        asked = {"car": start.car, "wheel_set": start.coming}
        return self._begin({k: v for k, v in asked.items() if v})

    def _given_up(self, job: str) -> None:
        give_up(self.desk, job, "it rains", person="Ada")
        self.day.log.append(f"{self.clock.now.short()} given up")
        for car in self.world.cars.values():
            if car.teaching is not None:
                car.break_off()
        self.world.put_back()
        self.person.tags, self.person.noted = set(), {}
        self.hold_book_against_world()

    def _to_the_end(self, job: str) -> None:
        start = doing(self.desk, job).start
        leave = self.random.choice(
            ((), (), (Does.TORQUE_AGAIN,), (Does.LOOK_LATER,), (Does.TORQUE_AGAIN, Does.LOOK_LATER))
        )
        if self.person.walk(job, leave=leave) is not Walked.ENDED:
            raise Faulty("an answer keeps the rest from opening")
        self._end(job, start)

    def _end(self, job: str, start: JobStart) -> None:
        left = [s.step.id for s in doing(self.desk, job).states if s.to_do]
        if left:
            self._asks_first(job)
        width = next((s.bits for w in start.wheels if (s := self.world.wheels[w.wheel].sensor) is not None), None)
        finish(self.desk, job, leave_open=bool(left), bits=width, person="Ada")
        self.world.put_back()
        self.look(start)

    def _asks_first(self, job: str) -> None:
        try:
            finish(self.desk, job, person="Ada")
        except StillOpen:
            return
        raise Faulty("it finished with a step open, and did not ask")


def _first_words(text: str) -> str:
    return " ".join(text.split()[:9])


_WRITING = (Does.LET_DOWN, Does.WRITE, Does.READ_BACK, Does.INFLATE)
_LIVED: dict[Kind, Callable[[Life], None]] = {
    Kind.FLAT: Life._flat, Kind.WRONG: Life._wrong, Kind.SILENT: Life._silent, Kind.PARTS: Life._parts,
}  # fmt: skip
