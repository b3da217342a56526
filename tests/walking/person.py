"""A person who carries out a sheet to the letter: what the step's own words say, on a household as it really is.

A step is told apart by `does`. Which wheel, which corner, which figure, which ID: that is read from the step's text, as somebody
does who stands at the car. Where the text names something else than `moves` does, that is a fault (`SaysOtherwise`).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random

from world import ROAD, SPARE, CantBeDone, Car, Key, Wheel, World

from spoken import lines
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import Doing, doing, take_claims
from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.sheet.option import Instead, Listed
from wheelside.sheet.step import Does, Stage, Step
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment

CORNERS = (*ROAD, SPARE)
PER_UNIT = {"bar": 100.0, "psi": 6.894757, "kPa": 1.0}
_FIGURE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(bar|psi|kPa)\b")
_ID = re.compile(r"\b((?:[0-9A-F]{1,4} )?[0-9A-F]{4}(?: [0-9A-F]{4})*) \(decimal")
_GOES = re.compile(r"([^,:]+?) goes (front left|front right|rear left|rear right|spare)")
_RETORQUE_DAYS = 2
LIE_BESIDE = (Stage.OFF, Stage.SHOP, Stage.IN_WHEEL, Stage.SWAP, Stage.AIR, Stage.AWAY)


class SaysOtherwise(Exception):
    """A step's text and what the program takes to be done at it are not the same."""


class Stuck(Exception):
    """A sheet that can't be ended: steps are left that wait for something that will never be done."""


@dataclass
class Clock:
    """The time in the household."""

    now: Moment

    def __call__(self) -> Moment:
        return self.now

    def wait(self, span: timedelta) -> None:
        self.now = Moment(self.now.us + round(span.total_seconds() * 1e6), self.now.offset_min)


@dataclass
class Person:
    """Somebody with a phone at one job. `gauge_bias`: what their gauge reads too much, kPa."""

    world: World
    desk: Desk
    clock: Clock
    random: Random
    gauge_bias: float
    places: dict[str, str]
    set_names: dict[str, str]
    family_names: dict[str, str]
    put_at: str = ""
    tags: dict[str, str] = field(default_factory=dict)
    noted: dict[str, float] = field(default_factory=dict)
    count: int = 0
    log: list[str] = field(default_factory=list)

    # --- the job

    def walk(self, job: str, most: int | None = None, leave: tuple[Does, ...] = ()) -> bool:
        """Does one step after the other; at most so many. Whether all that is not in `leave` is done. Raises Stuck."""
        done = 0
        while True:
            now = doing(self.desk, job)
            step = self._next(now, leave)
            if step is None:
                left = [
                    s.step.id for s in now.states if not s.finished and not s.step.optional and s.step.does not in leave
                ]
                if left:
                    raise Stuck(f"these steps never open: {', '.join(left)}")
                return True
            if most is not None and done >= most:
                return False
            self.do(now, step)
            done += 1

    def _next(self, now: Doing, leave: tuple[Does, ...]) -> Step | None:
        if now.next is None or now.next.step.does not in leave:
            return now.next.step if now.next else None
        ready = (s.step for s in now.states if not s.finished and not s.waits and not s.step.optional)
        return next((s for s in ready if s.does not in leave), None)

    def do(self, now: Doing, step: Step) -> None:
        """Does one step, says so, and looks whether it was taken."""
        self.log.append(f"{self.clock.now.short()} {step.id}: {step.title}")
        if step.does is None:
            raise SaysOtherwise(f"{step.id}: it does not say what is done")
        if step.does is Does.TORQUE_AGAIN:
            self.clock.wait(timedelta(days=_RETORQUE_DAYS))
            self.world.cool_down()
        self.clock.wait(timedelta(minutes=max(1, step.minutes), seconds=step.wait_s or 0))
        car = self.world.cars.get(now.start.car)
        moved: list[tuple[str, str | None, str, str | None]] = []
        act = _ACTS.get(step.does)
        if act is not None:
            act(self, step, car, moved)
        if not (step.stage in LIE_BESIDE and step.does is not Does.CARRY_AWAY and self._shares_ids(now)):
            self.world.look_for_equal_ids(proven=step.stage in (Stage.TEACH, Stage.DRIVE, Stage.PROOF))
        self._hold_against_moves(step, moved)
        self._claim(now, step, car)

    def _shares_ids(self, now: Doing) -> bool:
        """Whether wheels with one ID may lie beside the car while they are changed: what came off is carried away before all else."""
        away = next((s.step for s in now.states if s.step.does is Does.CARRY_AWAY), None)
        return away is not None and away.lock

    def _hold_against_moves(self, step: Step, moved: list[tuple[str, str | None, str, str | None]]) -> None:
        claimed = sorted(f"{m.wheel} {m.on} {m.corner} {m.at}" for m in step.moves)
        really = sorted(f"{w} {on} {corner} {at}" for w, on, corner, at in moved)
        if claimed != really:
            raise SaysOtherwise(
                f"{step.id}: by its text {really or 'nothing moves'}, by its moves {claimed or 'nothing does'}"
            )

    def _claim(self, now: Doing, step: Step, car: Car | None) -> None:
        answers = tuple(self.answer(step, one, car) for one in step.asks)
        self.count += 1
        client = f"{now.row.id}-{step.id}-{self.count}"
        claim = Claim(client, now.row.id, step.id, ClaimKind.DONE, self.clock.now, "Ada", "phone", 10**9, answers)
        take_claims(self.desk, now.row.id, [claim])
        state = next(s for s in doing(self.desk, now.row.id).states if s.step.id == step.id)
        if not state.finished:
            raise Stuck(
                f"{step.id} is done and answered, and stays {state.standing.value}: {'; '.join(map(Speech().text, state.problems))}"
            )

    # --- reading

    def wheels_in(self, text: str) -> list[Wheel]:
        """The wheels that a text names, in the order in which it does."""
        found = []
        for wheel in self.world.wheels.values():
            match = re.search(rf"(?<![\w-]){re.escape(wheel.name)}(?![\w-])", text)
            if match:
                found.append((match.start(), wheel))
        return [w for _, w in sorted(found, key=lambda f: f[0])]

    def wheel_of(self, step: Step) -> Wheel:
        """The one wheel that a step's title names, or its place."""
        found = self.wheels_in(step.title) or self.wheels_in(step.where)
        if len(found) != 1:
            raise SaysOtherwise(f"{step.id}: it names {[w.name for w in found]}: '{step.title}', '{step.where}'")
        return found[0]

    def corner_of(self, step: Step) -> str:
        """The one corner that a step is at: title and place must not name two."""
        text = f"{step.title}; {step.where}".replace("the spare's place", SPARE)
        found = {c for c in CORNERS if re.search(rf"\b{c}\b", text)}
        if len(found) != 1:
            raise SaysOtherwise(f"{step.id}: it is at {sorted(found) or 'no corner'}: '{step.title}', '{step.where}'")
        return found.pop()

    def place_in(self, text: str) -> str | None:
        found = [p for p, name in self.places.items() if re.search(rf"\b{re.escape(name)}\b", text)]
        return found[0] if len(found) == 1 else None

    def figure_in(self, text: str) -> float | None:
        """The first pressure that a text names, kPa."""
        found = _FIGURE.search(text)
        return float(found[1].replace(",", ".")) * PER_UNIT[found[2]] if found else None

    def id_in(self, text: str, where: Step) -> int:
        found = _ID.search(text)
        if not found:
            raise SaysOtherwise(f"{where.id}: it names no ID: '{text}'")
        return int(found[1].replace(" ", ""), 16)

    # --- acting

    def _at_corner(self, step: Step, car: Car | None) -> tuple[Car, str, Wheel]:
        """The wheel that a step names, which must be at the corner that it names."""
        wheel, corner, its = self.wheel_of(step), self.corner_of(step), _the(car)
        if its.hubs.get(corner) is not wheel:
            raise CantBeDone(f"{step.id}: {wheel.name} is not on {its.name}, {corner}: it is {wheel.spot}")
        return its, corner, wheel

    def _find(self, step: Step, car: Car | None, moved: Moved) -> None:
        """Goes to a wheel where the step says that it is."""
        wheel, place = self.wheel_of(step), self.place_in(step.where)
        if "on the car" in step.where and _the(car).hubs.get(self.corner_of(step)) is not wheel:
            raise CantBeDone(f"{step.id}: {wheel.name} is not {step.where}: it is {wheel.spot}")
        if "on the car" not in step.where and wheel.car is not None:
            raise CantBeDone(f"{step.id}: {wheel.name} is not {step.where}: it is {wheel.spot}")
        if place is not None and wheel.place != place:
            raise CantBeDone(f"{step.id}: {wheel.name} is not {step.where}: it is {wheel.spot}")

    def _take_off(self, step: Step, car: Car | None, moved: Moved) -> None:
        wheel, corner = self.wheel_of(step), self.corner_of(step)
        self.world.take_off(wheel, _the(car), corner)
        moved.append((wheel.id, None, "", None))

    def _fit(self, step: Step, car: Car | None, moved: Moved) -> None:
        wheel, corner, its = self.wheel_of(step), self.corner_of(step), _the(car)
        if self.tags.get(wheel.id, corner) != corner:
            raise SaysOtherwise(f"{step.id}: {wheel.name} goes {corner}, and its tag says {self.tags[wheel.id]}")
        text = " ".join(lines(step))
        for other in [w for w in self.wheels_in(text) if w is not wheel]:
            self.world.take_off(other, its, corner)
            moved.append((other.id, None, "", None))
        there = its.hubs.get(corner)
        if there is not None and re.search(r"wheel that is there, if any|One that lies there comes out", text):
            self.world.take_off(there, its, corner)
        self.world.fit(wheel, its, corner)
        moved.append((wheel.id, its.id, corner, None))

    def _label(self, step: Step, car: Car | None, moved: Moved) -> None:
        for line in lines(step):
            if "have " in line and "beside the car first" in line:
                for wheel in self.wheels_in(line):
                    self.world.fetch(wheel, wheel.place or "", _the(car))
        for name, corner in _GOES.findall(lines(step)[0]):
            (wheel,) = self.wheels_in(name)
            self.tags[wheel.id] = corner

    def _torque(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.torque(_the(car))

    def _torque_again(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.drive(_the(car))
        self.world.torque(_the(car))
        self.world.cool_down()

    def _gauge(self, step: Step, car: Car | None, moved: Moved) -> None:
        for one in (a for a in step.asks if a.kind is Asked.PRESSURE and a.wheel):
            wheel = self.world.wheels[one.wheel]
            if wheel.car != _the(car).id:
                raise CantBeDone(f"{step.id}: {wheel.name} is not fitted: it is {wheel.spot}")

    def _lay_out(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.pile = []
        for line in lines(step):
            got = re.match(r"the writer is bought, hired or lent: .*, family (.+)", line)
            if got:
                self.world.writes |= {f for f, name in self.family_names.items() if got[1] in (f, name)}
            found = re.match(r"(\d+) × (?:blank )?sensor, family (.+?), ", line)
            if found:
                family = next((f for f, name in self.family_names.items() if found[2] in (f, name)), None)
                if family is None:
                    raise SaysOtherwise(f"{step.id}: no such family: '{line}'")
                for _ in range(int(found[1])):
                    (self.world.take_from_hand if "in hand" in line else self.world.buy)(family)

    def _write(self, step: Step, car: Car | None, moved: Moved) -> None:
        wheel, text = self.wheel_of(step), " ".join(lines(step))
        made_up = "make up a new ID" in text
        number = self.random.getrandbits(24) if made_up else self.id_in(text, step)
        if " in wheel " in step.title:
            self.world.write_mounted(wheel, number)
        else:
            self.world.ready(wheel, number, writable=True, apart="out of earshot" in step.where)

    def _note_bought(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.ready(self.wheel_of(step), self.random.getrandbits(24) + 1, writable=False)

    def _change_sensors(self, step: Step, car: Car | None, moved: Moved) -> None:
        note = next(line for line in lines(step) if "please change the sensor" in line)
        for wheel in self.wheels_in(note):
            self.world.change_sensor(wheel)

    def _let_down(self, step: Step, car: Car | None, moved: Moved) -> None:
        wheel = self.wheel_of(step)
        self.noted[wheel.id] = wheel.gauge + self.gauge_bias
        self.world.let_down(wheel)

    def _fill(self, step: Step, car: Car | None, moved: Moved) -> None:
        """Inflates to the figure of the step, or to what was noted before."""
        wheel, text = self.wheel_of(step), " ".join(lines(step))
        back = re.search(r"what (?:you noted|the gauge read)", text)
        shows = self.noted.get(wheel.id) if back else self.figure_in(text)
        if shows is None:
            raise SaysOtherwise(f"{step.id}: it says no figure, and none was noted: '{text}'")
        self.world.set_pressure(wheel, shows - self.gauge_bias)

    def _set_pressure(self, step: Step, car: Car | None, moved: Moved) -> None:
        _, _, wheel = self._at_corner(step, car)
        if "If the tyres have been driven" in " ".join(lines(step)):
            self._get_cold(_the(car))
        figure = self.figure_in(step.title) or self.figure_in(" ".join(lines(step)))
        if figure is None:
            raise SaysOtherwise(f"{step.id}: it names no pressure: '{step.title}'")
        self.world.set_pressure(wheel, figure - self.gauge_bias)

    def _find_pressure(self, step: Step, car: Car | None, moved: Moved) -> None:
        _, _, wheel = self._at_corner(step, car)
        self.world.set_pressure(wheel, 240.0)

    def _wake(self, step: Step, car: Car | None, moved: Moved) -> None:
        self._at_corner(step, car)

    def _named_off(self, step: Step, car: Car) -> list[Wheel]:
        """The wheels that came off, which the title must name by their set or one by one."""
        off = list(self.world.beside(car))
        for wheel in off:
            if wheel not in self.wheels_in(step.title) and not _named(self.set_names[wheel.set], step.title):
                raise SaysOtherwise(f"{step.id}: {wheel.name} came off, and '{step.title}' does not name it")
        return off

    def _bring(self, step: Step, car: Car | None, moved: Moved) -> None:
        """Fetches what each line names from where it names to where the car stands; by driving, where it says so."""
        its, beside = _the(car), lines(step)[0].startswith("Any that lie beside")
        for line in lines(step):
            if line.startswith("Before the car rolls"):
                self.world.torque(its)
                for wheel in self.wheels_in(line):
                    self.world.set_pressure(wheel, 240.0)
            found = re.match(r"(?:Drive .+? to |Carry or roll )(.+)", line)
            if found is None:
                continue
            if line.startswith("Drive"):
                self.world.roll(its)
            names = re.split(r"; load | and unload | from ", line)
            place = self.place_in(names[0] if line.startswith("Drive") else names[1].split(" to ")[0])
            back = self.place_in(
                line.rsplit("back to ", 1)[-1] if line.startswith("Drive") else line.rsplit(" to ", 1)[-1]
            )
            if place is None or back != its.place:
                raise SaysOtherwise(f"{step.id}: from {place} to {back}, and the car stands at {its.place}: '{line}'")
            for wheel in self.wheels_in(line):
                if not (beside and wheel.place == its.place):
                    self.world.fetch(wheel, place, its)
                if not beside:
                    moved.append((wheel.id, None, "", back))

    def _get_cold(self, car: Car) -> None:
        """Waits, as a step says, until tyres that were driven are cold again."""
        if any(w is not None and w.kelvin != self.world.kelvin for w in car.hubs.values()):
            self.clock.wait(timedelta(hours=3))
            self.world.cool_down()

    def _carry_away(self, step: Step, car: Car | None, moved: Moved) -> None:
        text = " ".join(lines(step))
        if re.search(r"\bdrive \S.* to\b", text):
            self.world.roll(_the(car))
            text = text.split("drive back")[0]
        place = None if "well away from" in text else self.place_in(text)
        for wheel in self._named_off(step, _the(car)):
            self.world.put(wheel, place)
            moved.append((wheel.id, None, "", place))

    def _store(self, step: Step, car: Car | None, moved: Moved) -> None:
        place = self.place_in(step.title)
        names = self.wheels_in(step.title)
        sets = [s for s, name in self.set_names.items() if _named(name, step.title)]
        wheels = [w for w in self.world.wheels.values() if w in names or w.set in sets]
        asked = next((a for a in step.asks if a.tells is Tells.PUT_AT), None)
        self.put_at = self.random.choice(asked.options) if asked is not None else ""
        for wheel in wheels:
            there = place or (None if self.put_at in ("", Instead.ELSEWHERE) else self.put_at)
            self.world.put(wheel, there)
            moved.append((wheel.id, None, "", place))

    def _clear_the_air(self, step: Step, car: Car | None, moved: Moved) -> None:
        """Moves away what the step names, for as long as the teaching lasts; nothing else."""
        text = lines(step)[0]
        cars = [c.id for c in self.world.cars.values() if _named(c.name, text) and c is not car]
        sets = [s for s, name in self.set_names.items() if _named(name, text)]
        named = [w for w in self.world.wheels.values() if w.set in sets or w.car in cars or w in self.wheels_in(text)]
        self.world.cleared |= {w.id for w in named if w.car != _the(car).id}

    def _teach_begin(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.begin_teaching(_the(car))

    def _teach_wheel(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.teach_wheel(_the(car), self.corner_of(step), self.wheel_of(step))

    def _teach_port(self, step: Step, car: Car | None, moved: Moved) -> None:
        its = _the(car)
        rows = [line for line in lines(step) if line.split(":")[0] in CORNERS]
        bits = self.world.kinds[its.family][1]
        self.world.teach_by_port(its, {line.split(":")[0]: (bits, self._listed_id(line, step, its)) for line in rows})

    def _listed_id(self, line: str, step: Step, car: Car) -> int:
        """The ID that a line has for a corner; where it is to be noted, the one that was read there."""
        if "that you note" not in line:
            return self.id_in(line, step)
        wheel = car.hubs[line.split(":", maxsplit=1)[0]]
        if wheel is None or wheel.sensor is None:
            raise CantBeDone(f"{step.id}: nothing answers for '{line}'")
        return wheel.sensor.number

    def _choose_list(self, step: Step, car: Car | None, moved: Moved) -> None:
        """Chooses the list that the step names: the set's own, an empty one, or that of a set that it names or gives up."""
        its, text = _the(car), lines(step)[0]
        own = re.search(r"the list that (.+?) has already", text)
        names = [self.set_names[s] for s in its.whose]
        if own is not None:
            if own[1] not in names:
                raise CantBeDone(f"{step.id}: {its.name} has no list of {own[1]}")
            return its.choose(names.index(own[1]), own=True)
        if "an empty" in text and ("Choose an empty" in text or len(its.memory) < its.slots):
            return its.choose(len(its.memory))
        last = text.rsplit("Choose ", 1)[-1]
        named = [n for n, name in enumerate(names) if _named(name, last)]
        if "the one of a set that you give up" in text or "a set you give up" in text:
            return its.choose(self.random.randrange(len(names)))
        return its.choose(named[0] if named else 0)

    def _choose_set(self, step: Step, car: Car | None, moved: Moved) -> None:
        if not _the(car).knows_fitted():
            raise CantBeDone(f"{step.id}: {_the(car).name} does not offer this set: its list has lost it")

    def _store_reference(self, step: Step, car: Car | None, moved: Moved) -> None:
        if "let the car stand three hours first" in " ".join(lines(step)):
            self._get_cold(_the(car))
        if any(w is not None and w.kelvin != self.world.kelvin for w in _the(car).hubs.values()):
            self.world.breaches.append(f"{step.id}: stored while the tyres are warm")
        low = [w.name for c in ROAD if (w := _the(car).hubs.get(c)) is not None and (w.ungauged or w.low)]
        if low:
            self.world.breaches.append(f"{step.id}: stored while {', '.join(low)} was not gauged")
        _the(car).reference = True

    def _drive(self, step: Step, car: Car | None, moved: Moved) -> None:
        self.world.drive(_the(car))

    def _show_corner(self, step: Step, car: Car | None, moved: Moved) -> None:
        _, _, wheel = self._at_corner(step, car)
        self.noted[wheel.id] = wheel.gauge + self.gauge_bias
        let_out = next((line for line in lines(step) if line.startswith("Let out")), "")
        wheel.fill(wheel.gauge - (self.figure_in(let_out) or 40.0))
        wheel.ungauged = True

    def _taken_out(self, step: Step, car: Car | None, moved: Moved) -> None:
        text = " ".join(lines(step))
        for sensor in [s for s in self.world.taken_out if s.name not in text]:
            raise SaysOtherwise(f"{step.id}: {sensor.name} came out, and is not named")

    # --- answering

    def answer(self, step: Step, one: Ask, car: Car | None) -> Answer:
        """What this person sees, in answer to one ask, by its kind and by what it is about."""
        return Answer(one.id, _BY_KIND[one.kind](self, step, one, car))

    def _yes(self, step: Step, one: Ask, car: Car | None) -> str:
        return "yes"

    def _pressure(self, step: Step, one: Ask, car: Car | None) -> str:
        wheel = self.world.wheels[one.wheel]
        if step.does is Does.SHOW_CORNER:
            return f"{self.noted[wheel.id] / 100:.3f} bar"
        true = wheel.gauge if step.does is Does.LET_DOWN else self.world.gauge(wheel)
        return f"{(true + self.gauge_bias) / 100:.3f} bar"

    def _temperature(self, step: Step, one: Ask, car: Car | None) -> str:
        return f"{self.world.kelvin - 273.15:.0f} °C"

    def _read_id(self, step: Step, one: Ask, car: Car | None) -> str:
        wheel = self.world.wheels[one.wheel]
        sensor = self.world.trigger(wheel) if wheel.id not in self.world.bench else self.world.bench[wheel.id][0]
        if sensor is None:
            return Instead.NO_ANSWER
        as_planned = one.wanted is not None and sensor.hex == one.wanted.hex and self.random.random() < 0.3
        return sensor.hex[-4:] if as_planned else f"0x{sensor.hex}"

    def _pick(self, step: Step, one: Ask, car: Car | None) -> str:
        if one.tells in (Tells.LAMP_BEFORE, Tells.LAMP_AGAIN, Tells.LAMP_DRIVING, Tells.LAMP_TOLD):
            return self._as_expected(one, _the(car).lamp_off)
        if one.tells is Tells.CODES_AFTER:
            return self._as_expected(one, _the(car).lamp_off)
        if one.tells is Tells.KNOWN_IDS:
            return self._list(one, _the(car))
        if one.tells is Tells.PUT_AT:
            return self.put_at
        if one.tells is Tells.CORNER:
            return self._moved_corner(one, _the(car))
        return one.expect or one.options[0]

    def _as_expected(self, one: Ask, good: bool) -> str:
        return one.expect if good else next(o for o in one.options if o != one.expect)

    def _list(self, one: Ask, car: Car) -> str:
        if not car.readable:
            return Listed.NOT_READ
        fitted = car.fitted()
        if len(fitted) < len(car.corners) or not any(sorted(g.values()) == sorted(fitted.values()) for g in car.memory):
            return Listed.OTHERS
        return Listed.JUST_THESE if fitted in car.memory else Listed.NO_CORNERS

    def _moved_corner(self, one: Ask, car: Car) -> str:
        wheel = self.world.wheels[one.wheel]
        key: Key | None = wheel.sensor.key if wheel.sensor else None
        return next(
            (c for g in reversed(car.memory) for c, k in g.items() if k == key and c in one.options), one.options[-1]
        )

    def _minutes(self, step: Step, one: Ask, car: Car | None) -> str:
        return one.expect or "20"

    def _tread(self, step: Step, one: Ask, car: Car | None) -> str:
        return "5"

    def _words(self, step: Step, one: Ask, car: Car | None) -> str:
        return "noted"

    def _no_photo(self, step: Step, one: Ask, car: Car | None) -> str:
        return ""


Moved = list[tuple[str, str | None, str, str | None]]
_Act = Callable[[Person, Step, Car | None, Moved], None]
_Say = Callable[[Person, Step, Ask, Car | None], str]


def _the(car: Car | None) -> Car:
    if car is None:
        raise CantBeDone("no car belongs to this job")
    return car


def _named(name: str, text: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", text) is not None


_ACTS: dict[Does, _Act] = {
    Does.GAUGE: Person._gauge,
    Does.TRIGGER: Person._find,
    Does.LAY_OUT: Person._lay_out,
    Does.WRITE: Person._write,
    Does.NOTE_BOUGHT: Person._note_bought,
    Does.TAKE_OFF: Person._take_off,
    Does.CHANGE_SENSORS: Person._change_sensors,
    Does.LET_DOWN: Person._let_down,
    Does.INFLATE: Person._fill,
    Does.BRING: Person._bring,
    Does.LABEL: Person._label,
    Does.FIT: Person._fit,
    Does.STOW_SPARE: Person._fit,
    Does.TORQUE: Person._torque,
    Does.CARRY_AWAY: Person._carry_away,
    Does.SET_PRESSURE: Person._set_pressure,
    Does.FIND_PRESSURE: Person._find_pressure,
    Does.WAKE: Person._wake,
    Does.CLEAR_AIR: Person._clear_the_air,
    Does.TEACH_BEGIN: Person._teach_begin,
    Does.TEACH_WHEEL: Person._teach_wheel,
    Does.TEACH_PORT: Person._teach_port,
    Does.CHOOSE_LIST: Person._choose_list,
    Does.CHOOSE_SET: Person._choose_set,
    Does.STORE_REFERENCE: Person._store_reference,
    Does.DRIVE: Person._drive,
    Does.SHOW_CORNER: Person._show_corner,
    Does.FILL_CORNER: Person._fill,
    Does.TORQUE_AGAIN: Person._torque_again,
    Does.STORE: Person._store,
    Does.TAKEN_OUT: Person._taken_out,
}
"""What is done at a step besides looking, noting and answering."""

_BY_KIND: dict[Asked, _Say] = {
    Asked.DONE: Person._yes,
    Asked.PICK: Person._pick,
    Asked.PRESSURE: Person._pressure,
    Asked.TEMPERATURE: Person._temperature,
    Asked.MINUTES: Person._minutes,
    Asked.ID: Person._read_id,
    Asked.TREAD: Person._tread,
    Asked.WORDS: Person._words,
    Asked.PHOTO: Person._no_photo,
}
