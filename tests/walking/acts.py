"""What is done at a step besides looking, noting and answering: by its text, on the household as it really is."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from reading import Moved, SaysOtherwise, corner_in, figure_in, figures_in, id_in, named
from things import ROAD, CantBeDone, Car, Wheel

from spoken import lines
from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.option import Instead, Taken
from wheelside.sheet.step import Does, Step

if TYPE_CHECKING:
    from person import Person

LESS, OVER = re.compile(r"Less than .*"), "above the figure"


def the(car: Car | None) -> Car:
    if car is None:
        raise CantBeDone("no car belongs to this job")
    return car


def text_of(step: Step) -> str:
    return " ".join(lines(step))


def _touch(me: Person, car: Car) -> None:
    """Something is moved on the car, or its ignition is on."""
    car.touched = me.clock.minute


def _roll(me: Person, car: Car) -> None:
    me.world.roll(car)
    _touch(me, car)


def _at_corner(me: Person, step: Step, car: Car | None) -> tuple[Car, str, Wheel]:
    """The wheel that a step names, which must be at the corner that it names."""
    wheel, corner, its = me.wheel_of(step), me.corner_of(step), the(car)
    if its.hubs.get(corner) is not wheel:
        raise CantBeDone(f"{step.id}: {wheel.name} is not on {its.name}, {corner}: it is {wheel.spot}")
    return its, corner, wheel


def _beside(car: Car | None) -> str | None:
    return car.place if car else None


def find(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Goes to a wheel where the step says that it is."""
    wheel, place = me.wheel_of(step), me.place_in(step.where.split(", or beside")[0])
    place = None if ", or beside" in step.where and wheel.place == _beside(car) else place
    on = "on the car" in step.where
    there = the(car).hubs.get(me.corner_of(step)) is wheel if on else wheel.car is None and place in (None, wheel.place)
    if not there or wheel.unfit:
        raise CantBeDone(
            f"{step.id}: {wheel.name} is not {step.where}: it is {'at a workshop' if wheel.unfit else wheel.spot}"
        )


def fetch(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Ties a wheel's name to it, gauges it, sees to one that has lost its air, and pumps it up where that is asked for."""
    find(me, step, car, moved)
    wheel = me.wheel_of(step)
    if "Tie its name to it" not in text_of(step):
        raise SaysOtherwise(f"{step.id}: it does not say that a name is tied to {wheel.name}: '{text_of(step)}'")
    me.tags.add(wheel.id)
    me.noted[f"as it lay {wheel.id}"] = shown = me.shows(wheel)
    by_name = {one.id: one for one in step.asks}
    least, soft = (by_name[name].only[0].below for name in ("cause", "pumped"))
    assert least is not None
    assert soft is not None
    wheel.unfit = shown < least.kpa and wheel.lost not in ("", "cause-mended")
    if shown < soft.kpa and not wheel.unfit:
        up = figure_in(by_name["pumped"].label)
        if up is None:
            raise SaysOtherwise(f"{step.id}: it does not say how far {wheel.name} is pumped up")
        me.fill(wheel, up)


def take_off(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    wheel, corner = me.wheel_of(step), me.corner_of(step)
    me.world.take_off(wheel, the(car), corner)
    me.tags.add(wheel.id)
    _touch(me, the(car))
    moved.append((wheel.id, None, "", None))


def fit(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Has the wheel brought as the step says, takes off what is there, fits it."""
    wheel, corner, its = me.wheel_of(step), me.corner_of(step), the(car)
    if wheel.unfit:
        raise CantBeDone(f"{step.id}: {wheel.name} is at a workshop")
    if wheel.id not in me.tags:
        raise SaysOtherwise(f"{step.id}: nobody tied its name to {wheel.name}")
    for line in lines(step):
        if line.startswith("Carry or roll"):
            _carry(me, step, line, wheel, its)
        elif "beside the car first" in line:
            me.world.fetch(wheel, wheel.place or "", its)
    for other in [w for w in me.wheels_in(text_of(step)) if w is not wheel]:
        if wheel.place != its.place and wheel.car is None:
            raise CantBeDone(f"{step.id}: {wheel.name} is not here: it is {wheel.spot}")
        me.world.take_off(other, its, corner)
        me.tags.add(other.id)
        moved.append((other.id, None, "", None))
    there = its.hubs.get(corner)
    if there is not None and re.search(r"wheel that is there, if any|One that lies there comes out", text_of(step)):
        me.world.take_off(there, its, corner)
    me.world.fit(wheel, its, corner)
    _touch(me, its)
    moved.append((wheel.id, its.id, corner, None))


def shop_swaps(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Takes the wheels to a shop, which fits each where the note has it; looks at each corner, and drives home with what came off."""
    its = the(car)
    _roll(me, its)
    note = re.search(r"Please fit: ([^.]*)\.", text_of(step))
    for part in note[1].split("; ") if note else ():
        ((wheel,), (corner,)) = me.wheels_in(part), corner_in(part)
        if wheel.unfit:
            raise CantBeDone(f"{step.id}: {wheel.name} is at a workshop")
        if wheel.id not in me.tags:
            raise SaysOtherwise(f"{step.id}: nobody tied its name to {wheel.name}")
        off = its.hubs.get(corner)
        if off is not None:
            me.world.take_off(off, its, corner)
            me.tags.add(off.id)
            moved.append((off.id, None, "", None))
        me.world.fetch(wheel, wheel.place or "", its)
        me.world.fit(wheel, its, corner)
        me.world.set_pressure(wheel, 240.0)
        moved.append((wheel.id, its.id, corner, None))
    me.world.torque(its)
    _roll(me, its)


def _carry(me: Person, step: Step, line: str, wheel: Wheel, car: Car) -> None:
    start, _, end = line.removesuffix(".").partition(" from ")[2].partition(" to ")
    place, to = me.place_in(start), me.place_in(end)
    if me.wheels_in(line) != [wheel] or place is None or to != car.place:
        raise SaysOtherwise(
            f"{step.id}: {wheel.name} goes from {place} to {to}, and {car.name} stands at {car.place}: '{line}'"
        )
    if me.world.one_drives(place, to):
        raise CantBeDone(f"{step.id}: {wheel.name} can't be carried from {place} to {to}: one drives")
    me.world.fetch(wheel, place, car)


def torque(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    me.world.torque(the(car))
    _touch(me, the(car))


def torque_again(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    me.world.drive(the(car))
    me.world.torque(the(car))
    me.world.cool_down()


def gauge_all(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    for one in (a for a in step.asks if a.kind is Asked.PRESSURE and a.wheel):
        wheel = me.world.wheels[one.wheel]
        if wheel.car != the(car).id:
            raise CantBeDone(f"{step.id}: {wheel.name} is not fitted: it is {wheel.spot}")


def lay_out(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    me.world.pile = []
    for line in lines(step):
        got = re.match(r"the writer is bought, hired or lent: .*, family (.+)", line)
        if got:
            me.world.writes |= {f for f, name in me.family_names.items() if got[1] in (f, name)}
        found = re.match(r"(\d+) × (?:blank )?sensor, family (.+?), ", line)
        if found:
            family = next((f for f, name in me.family_names.items() if found[2] in (f, name)), None)
            if family is None:
                raise SaysOtherwise(f"{step.id}: no such family: '{line}'")
            if "silent at rest" in line:
                me.world.silent_for |= {w.id for w in me.wheels_in(line)}
            for _ in range(int(found[1])):
                (me.world.take_from_hand if "in hand" in line else me.world.buy)(family)


def write(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    wheel, text = me.wheel_of(step), text_of(step)
    number = me.random.getrandbits(24) if "make up a new ID" in text else id_in(text, step.id)
    if " in wheel " in step.title:
        me.world.write_mounted(wheel, number)
    elif wheel.id in me.world.bench:
        me.world.bench[wheel.id][0].number = number
    else:
        me.world.ready(wheel, number, writable=True, apart="out of earshot" in step.where)


def note_bought(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    me.world.ready(me.wheel_of(step), me.random.getrandbits(24) + 1, writable=False)


def change_sensors(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    note = next(line for line in lines(step) if "please change the sensor" in line)
    for wheel in me.wheels_in(note):
        me.world.change_sensor(wheel)


def let_down(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    wheel = me.wheel_of(step)
    if wheel.unfit:
        raise CantBeDone(f"{step.id}: {wheel.name} is at a workshop")
    me.noted[wheel.id] = me.shows(wheel)
    me.world.let_down(wheel)


def fill(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Inflates to the figure of the step, or to what was noted before."""
    wheel, text = me.wheel_of(step), text_of(step)
    if wheel.unfit:
        raise CantBeDone(f"{step.id}: {wheel.name} is at a workshop")
    back = re.search(r"what (?:you noted|the gauge read)", text)
    one = next(a for a in step.asks if a.kind is Asked.PRESSURE)
    me.fill(wheel, me.noted[wheel.id] if back else me.figure_for(one, text))


def set_pressure(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """To the figure of the table; where the dash is to follow, with a look at it before and after."""
    its, _, wheel = _at_corner(me, step, car)
    if wheel.kelvin != me.world.kelvin:
        if not me.card_says("is not cold: wait"):
            me.world.breaches.append(f"{step.id}: set while the tyre is warm")
        me.get_cold(its)
    one = next(a for a in step.asks if a.tells is Tells.SET_PRESSURE)
    aim = me.figure_for(one, step.title)
    me.dash = {c: its.dash_now(c) for c in ROAD}
    me.then = {}
    less = LESS.search(text_of(step)) if _followed(step) else None
    if less is not None and abs(aim - me.shows(wheel)) < figures_in(less[0])[0]:
        if OVER not in less[0]:
            me.then = me.dash
        else:
            me.fill(wheel, aim + figures_in(less[0])[1])
            if "Dash now" in less[0]:
                me.then = {c: its.dash_now(c) for c in ROAD}
    me.fill(wheel, aim)
    me.then = me.then or {c: its.dash_now(c) for c in ROAD}


def _followed(step: Step) -> bool:
    return any(a.moved for a in step.asks)


def find_pressure(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    its, _, wheel = _at_corner(me, step, car)
    if wheel.kelvin != me.world.kelvin:
        me.get_cold(its)
    me.world.set_pressure(wheel, 240.0)


def wake(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    _at_corner(me, step, car)


def _named_off(me: Person, step: Step, car: Car) -> list[Wheel]:
    """The wheels that came off, which the title must name by their set or one by one."""
    off = list(me.world.beside(car))
    for wheel in off:
        if wheel not in me.wheels_in(step.title) and wheel.set not in me.sets_in(step.title):
            raise SaysOtherwise(f"{step.id}: {wheel.name} came off, and '{step.title}' does not name it")
    return off


def bring(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Fetches what each line names from where it names to where the car stands, by driving."""
    its, beside = the(car), lines(step)[0].startswith("Any that lie beside")
    for line in lines(step):
        if line.startswith("Before the car rolls"):
            me.world.torque(its)
            for wheel in me.wheels_in(line):
                me.world.set_pressure(wheel, 240.0)
        found = re.match(r"Drive .+? to (.+); load (.+), drive back to (.+) and unload", line)
        if found is None:
            continue
        _roll(me, its)
        place, back = me.place_in(found[1]), me.place_in(found[3])
        if place is None or back != its.place:
            raise SaysOtherwise(f"{step.id}: from {place} to {back}, and the car stands at {its.place}: '{line}'")
        for wheel in [w for w in me.wheels_in(found[2]) if not w.unfit]:
            if not (beside and wheel.place == its.place):
                me.world.fetch(wheel, place, its)
            if not beside:
                moved.append((wheel.id, None, "", back))


def carry_away(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    text = text_of(step)
    drives = re.search(r"\bdrive \S.* to\b", text) is not None
    if drives or ("Else drive" in text and me.random.random() < 0.3):
        _roll(me, the(car))
    way = re.search(r"\bdrive .+? to (.+?), unload", text)
    place = None if "well away from" in text else me.place_in(way[1] if way else text)
    if not drives and me.world.one_drives(the(car).place, place):
        raise CantBeDone(f"{step.id}: nobody carries four wheels to {place}: one drives")
    for wheel in _named_off(me, step, the(car)):
        me.world.put(wheel, place)
        moved.append((wheel.id, None, "", place))


def store(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Puts away what the title names, by driving where that is too far to carry."""
    place = me.place_in(step.title)
    names, sets = me.wheels_in(step.title), me.sets_in(step.title)
    wheels = [w for w in me.world.wheels.values() if w in names or w.set in sets]
    asked = next((a for a in step.asks if a.tells is Tells.PUT_AT), None)
    me.put_at = me.random.choice(asked.options) if asked is not None else ""
    there = place or (None if me.put_at in ("", Instead.ELSEWHERE) else me.put_at)
    if any(me.world.one_drives(w.place, there) for w in wheels):
        _roll(me, the(car))
    for wheel in wheels:
        me.world.put(wheel, there)
        moved.append((wheel.id, None, "", place))


def clear_the_air(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Moves away what the step names, for as long as the teaching lasts; nothing else."""
    text = lines(step)[0]
    cars = [c.id for c in me.world.cars.values() if named(c.name, text) >= 0 and c is not car]
    sets = me.sets_in(text)
    near = [w for w in me.world.wheels.values() if w.set in sets or w.car in cars or w in me.wheels_in(text)]
    me.world.cleared |= {w.id for w in near if w.car != the(car).id}


def teach_begin(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Sees that the car has stood, that no wheel lies at hand, and begins."""
    its = the(car)
    stood = re.search(r"It has stood (\d+) minutes", text_of(step))
    if stood and (left := int(stood[1]) - (me.clock.minute - its.touched)) > 0:
        raise SaysOtherwise(
            f"{step.id}: it has stood {stood[1]} minutes but for {left:.0f}, for which the sheet has no time"
        )
    near = [
        w.id for w in me.world.wheels.values() if w.car is None and w.place == its.place and its.understands(w.sensor)
    ]
    me.world.at_hand = set(near)
    if me.card_says("No loose wheel within 5 metres"):
        me.world.at_hand = {me.random.choice(near)} if near and me.careless else set()
    me.world.begin_teaching(its)


def teach_wheel(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    wheel = me.wheel_of(step)
    me.taken[wheel.id] = me.world.teach_wheel(the(car), me.corner_of(step), wheel)


def teach_port(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    its = the(car)
    rows = [line for line in lines(step) if corner_in(line.split(":", maxsplit=1)[0])]
    bits = me.world.kinds[its.family][1]
    group = {line.split(":")[0]: (bits, _listed_id(line, step, its)) for line in rows}
    me.world.teach_by_port(its, group)
    _touch(me, its)


def _listed_id(line: str, step: Step, car: Car) -> int:
    """The ID that a line has for a corner; where it is to be noted, the one that was read there."""
    if "that you note" not in line:
        return id_in(line, step.id)
    wheel = car.hubs[line.split(":", maxsplit=1)[0]]
    if wheel is None or wheel.sensor is None:
        raise CantBeDone(f"{step.id}: nothing answers for '{line}'")
    return wheel.sensor.number


def choose_list(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Chooses the list that the step names: the set's own, an empty one, or that of a set that it names or gives up."""
    its, text = the(car), lines(step)[0]
    _touch(me, its)
    me.list_taken = ""
    own = re.search(r"the list that (.+?) has already", text)
    names = [me.set_names.get(s, "") for s in its.whose]
    if own is not None:
        if own[1] not in names:
            raise CantBeDone(f"{step.id}: {its.name} has no list of {own[1]}")
        return its.choose(names.index(own[1]), own=True)
    if "an empty" in text and len(its.memory) < its.slots:
        return its.choose(len(its.memory))
    if "Choose an empty" in text and (mine := its.place_of(its.fitted())) is not None:
        me.list_taken = Taken.OWN
        return its.choose(mine, own=True)
    last = text.rsplit("Choose ", 1)[-1]
    found = [n for n, name in enumerate(names) if name and named(name, last) >= 0]
    if "the one of a set that you give up" in text or "a set you give up" in text:
        return its.choose(me.random.randrange(len(names)))
    return its.choose(found[0] if found else 0)


def choose_set(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    if not the(car).knows_fitted():
        raise CantBeDone(f"{step.id}: {the(car).name} does not offer this set: its list has lost it")


def store_reference(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    its = the(car)
    left_out = me.skips and me.card_says("all four are cold")
    if left_out or "let the car stand three hours first" in text_of(step):
        me.get_cold(its)
    if any(w is not None and w.kelvin != me.world.kelvin for w in its.hubs.values()):
        me.world.breaches.append(f"{step.id}: stored while the tyres are warm")
    low = [w.name for c in ROAD if (w := its.hubs.get(c)) is not None and (w.ungauged or w.low)]
    if low:
        me.world.breaches.append(f"{step.id}: stored while {', '.join(low)} was not gauged")
    its.reference = True


def clear_codes(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Clears what is stored where all that the step names is so: every code is old, and the tyre monitor's."""
    if "All of it is the tyre monitor's." not in lines(step):
        raise SaysOtherwise(f"{step.id}: it does not say whose codes may be cleared")
    if the(car).only_ours:
        the(car).codes = set()


def drive(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    me.world.drive(the(car))
    _touch(me, the(car))


def show_corner(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Lets some air out, and looks which figure follows."""
    its, _, wheel = _at_corner(me, step, car)
    me.noted[wheel.id] = me.shows(wheel)
    let_out = next((line for line in lines(step) if line.startswith("Let out")), "")
    out, floor = figures_in(let_out)[:2]
    me.dash = {c: its.dash_now(c) for c in ROAD}
    wheel.fill(max(wheel.gauge - out, floor - me.gauge_bias))
    wheel.ungauged = True
    me.then = {c: its.dash_now(c) for c in ROAD}


def taken_out(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    text = text_of(step)
    for sensor in [s for s in me.world.taken_out if s.name not in text]:
        raise SaysOtherwise(f"{step.id}: {sensor.name} came out, and is not named")


Act = Callable[["Person", Step, "Car | None", Moved], None]
Say = Callable[["Person", Step, Ask, "Car | None"], str]
ACTS: dict[Does, Act] = {
    Does.GAUGE: gauge_all, Does.FETCH: fetch, Does.TRIGGER: find, Does.LAY_OUT: lay_out, Does.WRITE: write, Does.NOTE_BOUGHT: note_bought,
    Does.TAKE_OFF: take_off, Does.CHANGE_SENSORS: change_sensors, Does.LET_DOWN: let_down, Does.INFLATE: fill, Does.BRING: bring,
    Does.SHOP_SWAPS: shop_swaps, Does.FIT: fit, Does.STOW_SPARE: fit, Does.TORQUE: torque, Does.CARRY_AWAY: carry_away,
    Does.SET_PRESSURE: set_pressure,
    Does.FIND_PRESSURE: find_pressure, Does.WAKE: wake, Does.CLEAR_AIR: clear_the_air, Does.TEACH_BEGIN: teach_begin,
    Does.TEACH_WHEEL: teach_wheel, Does.TEACH_PORT: teach_port, Does.CHOOSE_LIST: choose_list, Does.CHOOSE_SET: choose_set,
    Does.STORE_REFERENCE: store_reference, Does.CLEAR_CODES: clear_codes, Does.CLEAR_LATER: clear_codes, Does.DRIVE: drive,
    Does.SHOW_CORNER: show_corner, Does.FILL_CORNER: fill, Does.TORQUE_AGAIN: torque_again, Does.STORE: store, Does.TAKEN_OUT: taken_out,
}  # fmt: skip
"""What is done at a step; nothing where one only looks and answers."""
