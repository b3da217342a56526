"""A household lived to the end of its horizon: on each day on which something is to be done it is planned anew, and the sheet carried out.

What has to be so is told here from the world that is really there: `hearing`, `listed`, `sold_alike` and `no_dearer` use no rule of the program.
"""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random

from days import ZONE, Came, Day, Kind, LeftOut, Life, Refused
from households import Household
from looks import Faulty
from person import SaysOtherwise, Stuck
from things import CantBeDone, Car
from world import World
from years_drawn import Theme, draw_years

from wheelside.errors import BadRequest
from wheelside.identity.choice import Action
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.doing import doing
from wheelside.jobs.work.finish import finish
from wheelside.jobs.work.seen import say_at
from wheelside.jobs.work.sheet import change_due
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Does

A_DAY = timedelta(days=1)
LATE = timedelta(days=7)
WALK_TAKES = timedelta(days=11)
"""Within so many days of something else that is to be done nobody waits for wheels to be torqued and the lamp to be looked at again."""
AFTERWARDS = (Does.TORQUE_AGAIN, Does.LOOK_LATER)


@dataclass
class Years(Day):
    """One household's years: as one day, with what came to pass: jobs, sensors written on a later day, sales. `put_off`: promises that a later plan
    took back; `waited`: days after which a stored set's work waits for its change. `not_counted`: why the costs are not held against
    the first plan."""

    theme: Theme = Theme.PLAIN
    jobs: int = 0
    later: int = 0
    sales: int = 0
    put_off: int = 0
    waited: int = 0
    not_counted: str = ""


def years(first: int, count: int) -> Iterator[Years]:
    """So many households, each from a seed of its own."""
    for seed in range(first, first + count):
        yield live_years(seed)


def live_years(seed: int, life: type[YearsLife] | None = None) -> Years:
    """One household to the end of its horizon."""
    lived, folder = Years(seed, Kind.ON), Path(tempfile.mkdtemp(prefix="years"))
    try:
        (life or YearsLife)(lived, Random(f"years {seed}"), folder).live()
    except LeftOut as left:
        lived.came, lived.why = Came.LEFT_OUT, str(left)
    except (Faulty, CantBeDone, SaysOtherwise, Stuck, Refused) as fault:
        lived.came, lived.why = Came.FAILED, f"{type(fault).__name__}: {fault}"
    except RuntimeError as fault:  # the program's own audit of its plan
        lived.came, lived.why = Came.FAILED, f"the program stopped: {fault}"
    finally:
        shutil.rmtree(folder)
    return lived


# --- what has to be so in the world


def hearing(world: World, waiting: set[str]) -> Iterator[str]:
    """Cars that hear two sensors with an ID that they hold or that is on them; but for `waiting`, wheels that are still to be written."""
    for car in (c for c in world.cars.values() if c.direct):
        known = {key for group in car.memory for key in group.values()} | set(car.fitted().values())
        heard: dict[tuple[int, int], list[str]] = {}
        for wheel in world.wheels.values():
            place = world.cars[wheel.car].place if wheel.car else wheel.place
            near = wheel.car == car.id or world.hears(car, place)
            s = wheel.sensor
            if s is not None and s.alive and near and s.band == car.band and not (s.rests and wheel.car is None):
                heard.setdefault(s.key, []).append(wheel.id)
        for key, wheels in heard.items():
            if len(wheels) > 1 and key in known and not waiting & set(wheels):
                yield f"{car.name} hears {key[1]:X} from {' and '.join(wheels)}"


def listed(car: Car) -> str:
    """What is wrong with a car's list for what is on it; '' where it holds just that."""
    fitted = {c: w.sensor.key for c in car.corners if (w := car.hubs.get(c)) is not None and w.sensor is not None}
    held = [
        g for g in car.memory if (g == fitted if car.corner_aware else Counter(g.values()) == Counter(fitted.values()))
    ]
    if not held:
        return f"the list of {car.name} does not hold what is on it: {fitted}, and not {car.memory}"
    if len(car.memory) > car.slots:
        return f"the list of {car.name} holds {len(car.memory)} sets, and has room for {car.slots}"
    return ""


def sold_alike(world: World) -> Iterator[str]:
    """Wheels that carry an ID with which a sensor left that still sends."""
    left = {s.key: s.name for s in world.sold if s.alive}
    for wheel in world.wheels.values():
        if wheel.sensor is not None and wheel.sensor.key in left:
            yield f"{wheel.name} carries {wheel.sensor.hex}, and so does {left[wheel.sensor.key]}, which was sold"


WRITING, CHANGING = 3.0, 70.0
TEACHING = {"locked": 75.0, "port": 3.75, "step by step": 3.75, "driving": 0.25}
"""What is paid for each, EUR, the hour at 15: docs/deciding.md, Cost."""


@dataclass
class Cost:
    """What is counted of a plan, and of what was done: sensors written and changed, and what teaching costs, EUR."""

    written: int
    changed: int
    teaching: float

    def __add__(self, more: Cost) -> Cost:
        return Cost(self.written + more.written, self.changed + more.changed, self.teaching + more.teaching)

    def no_dearer(self, foretold: Cost) -> bool:
        """Whether it cost no more: one may have been done in place of another that is dearer."""
        paid, then = (WRITING * c.written + CHANGING * c.changed + c.teaching for c in (self, foretold))
        return paid <= then


# --- living it


@dataclass
class _Change:
    """A change of the season line, and the day on which it is really made."""

    car: str
    day: date
    coming: str
    made: date


class YearsLife(Life):
    """A household that is lived to the end of its horizon."""

    def drawn(self) -> Household:
        self.years = draw_years(self.random)
        assert isinstance(self.day, Years)
        self.lived, self.lived.theme = self.day, self.years.theme
        return self.years.home

    def first_day(self) -> date:
        return self.years.begins

    def live(self) -> None:
        try:
            self._live()
        finally:
            self.desk.close()

    def _live(self) -> None:
        plan = self.desk.plan()
        if not plan.possible:
            raise LeftOut("no plan is possible")
        self.foretold = self.foretold_by(plan)
        self.end, self.promised, self.waiting = plan.end, dict[str, tuple[date, int]](), set[str]()
        self.total = self.foretold
        self.gets_writer = any(w.writer == "" for w in plan.wheels)
        self.changes = self._changes(plan)
        self.sales, self.moves = list(self.years.sales), list(self.years.moves)
        day: date | None = self.years.begins
        while day is not None and day < self.end:
            self._wake_up(day)
            self._one_day()
            day = self._next_day()
        self._count_up()

    def foretold_by(self, plan: IdentityPlan) -> Cost:
        """What a plan counts for all of its horizon."""
        taught = sum(TEACHING[self.world.cars[t.car].taught_by] for t in plan.teachings if t.needed)
        return Cost(sum(w.writes for w in plan.wheels), sum(w.action is Action.REFIT for w in plan.wheels), taught)

    def _changes(self, plan: IdentityPlan) -> list[_Change]:
        """The changes of the line, some of them made a week late; none so late that another one or a sale comes first."""
        out = []
        turns = [t for t in self.home.turns if t[1] < plan.end]
        others = [t[1] for t in turns] + [day for day, _ in self.years.sales]
        for car, day, coming in turns:
            room = all(not day <= other <= day + LATE + A_DAY for other in others if other != day)
            late = room and day + LATE < plan.end and self.random.random() < 0.3
            out.append(_Change(car, day, coming, day + LATE if late else day))
        return out

    def _wake_up(self, day: date) -> None:
        if self.clock.now.day < day:
            morning = datetime.combine(day, time(9), ZONE)
            self.clock.wait(morning - self.clock.now.local)
            self.world.cool_down()
        self.lived.log.append(f"{self.clock.now.short()} a day")

    @property
    def today(self) -> date:
        return self.clock.now.day

    def _next_day(self) -> date | None:
        """The next day on which something is to be done."""
        days = [c.made for c in self.changes]
        days += [d for sale, _ in self.sales for d in (sale - A_DAY, sale)]
        days += [day for day, _ in self.promised.values()]
        days += [day for day, _, _ in self.moves]
        return min((max(d, self.today + A_DAY) for d in days), default=None)

    # --- a day

    def _one_day(self) -> None:
        before = {w.id: w.sensor.number for w in self.world.wheels.values() if w.sensor}
        self._sell()
        self._change()
        self._move()
        self.work()
        self.keep_promises(before)
        plan = self.desk.plan()
        self.look_ahead(plan)
        self.look_round()

    def _sell(self) -> None:
        for sale in [s for s in self.sales if s[0] <= self.today]:
            self.sales.remove(sale)
            stay = set(self.home.set_names) - {name for day, name in self.years.sales if day <= self.today}
            kept = {w for name in stay for w in self.years.members[name]}
            self.world.sell([self.world.wheels[w] for w in self.years.members[sale[1]] if w not in kept])
            self.lived.log.append(f"{self.clock.now.short()} {sale[1]} is sold")
            self.lived.sales += 1

    def _move(self) -> None:
        """Brings sets nearer on the days that the line has for it."""
        for move in [m for m in self.moves if m[0] <= self.today]:
            self.moves.remove(move)
            wheels = [self.world.wheels[w] for w in self.years.members[move[1]] if w in self.world.wheels]
            lying = [w for w in wheels if w.car is None]
            for wheel in lying:
                self.world.put(wheel, move[2])
            self.moved_unsaid |= {w.id for w in lying}
            if lying == wheels and self.random.random() < 0.5:
                say_at(self.desk, move[1], move[2], person="Ada")
                self.moved_unsaid -= {w.id for w in lying}
            self.lived.log.append(f"{self.clock.now.short()} {move[1]} is brought to {move[2]}")

    def _change(self) -> None:
        for change in [c for c in self.changes if c.made <= self.today]:
            self.changes.remove(change)
            on = {w.set for w in self.world.wheels.values() if w.car == change.car and w.corner != "spare"}
            if on == {change.coming}:
                continue
            self.carry_out({"car": change.car, "wheel_set": change.coming})

    def work(self) -> None:
        """Does what the plan wants done by now, set after set, as far as there is a sheet for it that changes no wheels today."""
        done: set[str] = set()
        while True:
            found = next(
                ((s, asked) for s in self._to_do() if s not in done and (asked := self._sheet_for(s)) is not None), None
            )
            if found is None:
                return
            done.add(found[0])
            self.carry_out(found[1])

    def _to_do(self) -> list[str]:
        plan = self.desk.plan()
        return list(dict.fromkeys(s for w in plan.wheels if due(w, self.today) for s, _ in w.serves))

    def _sheet_for(self, name: str) -> dict[str, str] | None:
        """What to ask for so that a set's sensors are seen to: the set on its car; else the next job, if that is about it."""
        now = self.desk.present()
        if name in now.car_of:
            return {"car": now.car_of[name], "wheel_set": name}
        if any(c.coming == name for c in now.open):
            return None
        try:
            mine = change_due(now.garage, self.desk.plan(), None, None).coming == name
        except BadRequest:
            return None
        return {} if mine else None

    def carry_out(self, asked: dict[str, str]) -> None:
        """One job from its sheet to its end."""
        self.person.tags, self.person.noted = set(), {}
        self.world.awaiting = {w.wheel for w in self.desk.plan().wheels if due(w, self.today + A_DAY)}
        job = self._begin(asked)
        start = doing(self.desk, job).start
        self.lived.jobs += 1
        if start.car and start.day > self.today:
            self._only_sensors(job)
            return
        ahead = self._next_day()
        hurry = ahead is not None and ahead - self.today <= WALK_TAKES
        self.person.walk(job, leave=AFTERWARDS if hurry else ())
        finish(self.desk, job, leave_open=hurry, person="Ada")
        self.world.put_back()
        self.moved_unsaid -= {w.id for w in self.world.wheels.values() if w.car}
        self.look(start)

    def _only_sensors(self, job: str) -> None:
        """Of the sheet for a change that is still ahead only what comes before any wheel is moved; the change gets a sheet of its own."""
        steps = [s.step for s in doing(self.desk, job).states]
        first = next(n for n, step in enumerate(steps) if step.moves or step.does is Does.BRING)
        self.person.walk(job, most=first)
        finish(self.desk, job, leave_open=True, person="Ada")
        self.world.put_back()
        self.hold_book_against_world()

    def _leave_out(self, start: JobStart) -> None:
        """Nothing is left out here: pairs are kept apart by the sheet."""

    # --- what has to be so

    def look(self, start: JobStart) -> None:
        self._as_planned(start)
        self.hold_book_against_world(start)
        car = self.world.cars.get(start.car)
        if car is not None and car.direct and (wrong := listed(car)):
            raise Faulty(wrong)

    def look_ahead(self, plan: IdentityPlan) -> None:
        """What the plan promises for later days stands in the calendar; what it wants now and no sheet of today has waits for a change."""
        if not plan.possible:
            raise Faulty(f"{self.today}: no plan is possible any more: {[c.text for c in plan.conflict]}")
        days = {(d.about[0], d.day) for d in agenda(self.desk) if d.matter is Matter.WRITE}
        for w in plan.wheels:
            if w.when is not None and (w.set, w.when) not in days:
                raise Faulty(f"{self.today}: {w.wheel} is to be written on {w.when}, and the calendar does not have it")
        self.promised = {w.wheel: (w.when, w.id.number if w.id else 0) for w in plan.wheels if w.when is not None}
        self.total = self.done + self.foretold_by(plan)
        self.waiting = {w.wheel for w in plan.wheels if due(w, self.today)}
        self.lived.waited += bool(self.waiting)

    def keep_promises(self, before: dict[str, int]) -> None:
        """What was promised for today is done today, or tomorrow where wheels were changed today; what is put off or dropped costs no more."""
        plan = self.desk.plan()
        no_dearer = self.years.goes_on or (self.done + self.foretold_by(plan)).no_dearer(self.total)
        late = {c.coming for c in plan.open}
        by_wheel = {w.wheel: w for w in plan.wheels}
        for wheel, (day, number) in self.promised.items():
            real = self.world.wheels.get(wheel)
            if real is not None and real.sensor is not None and real.sensor.number not in (before.get(wheel), None):
                self.lived.later += real.sensor.number == number and day <= self.today + A_DAY
                continue
            if day > self.today or real is None:
                continue
            w = by_wheel.get(wheel)
            if w is None or any(name in late for name, _ in w.serves) or w.when == self.today + A_DAY:
                continue
            if no_dearer and not due(w, self.today):
                self.lived.put_off += 1
                continue
            said = f"on {w.when}" if w.when else "now" if due(w, self.today) else "never"
            raise Faulty(
                f"{wheel} was to be written on {day} to {number:X}; it was not, and the plan of {self.today} says {said}"
            )

    def look_round(self) -> None:
        for wrong in (*hearing(self.world, self.waiting), *sold_alike(self.world), *self.world.breaches):
            raise Faulty(f"{self.today}: {wrong}")

    def _count_up(self) -> None:
        self.lived.not_counted = self._why_not_counted()
        if not self.lived.not_counted and not self.done.no_dearer(self.foretold):
            raise Faulty(f"the first plan foretold {self.foretold}, and it came to {self.done}")

    @property
    def done(self) -> Cost:
        """What was really done so far."""
        taught = sum(c.lessons * TEACHING[c.taught_by] for c in self.world.cars.values())
        return Cost(self.world.written, self.world.changed, taught)

    def _why_not_counted(self) -> str:
        if self.years.open_facts:
            return self.years.open_facts[0]
        if self.gets_writer:
            return "a writer is got, and the file does not get it"
        return "the line goes on after the first plan's end" if self.years.goes_on else ""


def due(w: WheelPlan, day: date) -> bool:
    """Whether a wheel's sensor is to be written or changed by a day."""
    by_now = w.as_on(day)
    return by_now.writes or by_now.action is Action.REFIT
