"""What a person says in answer to what is asked: what is seen on the household as it really is."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import roadside
from acts import the
from things import ROAD, Car

from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.judge import FOLLOWS
from wheelside.sheet.option import Clearing, Codes, Instead, LampLater, Listed
from wheelside.sheet.step import Does, Step

if TYPE_CHECKING:
    from person import Person

Say = Callable[["Person", Step, Ask, "Car | None"], str]


def _yes(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    """It is done; but for a wheel that a workshop has, which nobody pumps up."""
    return "" if one.wheel and me.world.wheels[one.wheel].unfit else "yes"


def _pressure(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    wheel = me.world.wheels[one.wheel]
    if one.tells in (Tells.DASH_BEFORE, Tells.DASH_NOW):
        shown = (me.dash if one.tells is Tells.DASH_BEFORE else me.then).get(wheel.corner or "")
        return "" if shown is None else f"{shown / 100:.1f} bar"
    if step.does is Does.SHOW_CORNER:
        return f"{me.noted[wheel.id] / 100:.3f} bar"
    if step.does is Does.FETCH:
        return f"{me.noted[f'as it lay {wheel.id}'] / 100:.3f} bar"
    if step.does is Does.LET_DOWN and one.pressure is None:
        return f"{me.noted[wheel.id] / 100:.3f} bar"
    true = wheel.gauge if step.does is Does.LET_DOWN else me.world.gauge(wheel)
    return f"{(true + me.gauge_bias) / 100:.3f} bar"


def _temperature(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return f"{me.world.kelvin - 273.15:.0f} °C"


def _read_id(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    """The ID that answers the trigger: whole, or by as many last digits as do, or by a tap where it is shown."""
    wheel = me.world.wheels[one.wheel]
    if step.does is Does.TEACH_WHEEL and wheel.id in me.taken:
        wheel = me.taken[wheel.id]
    sensor = me.world.trigger(wheel) if wheel.id not in me.world.bench else me.world.bench[wheel.id][0]
    if sensor is None:
        return Instead.NO_ANSWER
    as_planned = one.wanted is not None and sensor.hex == one.wanted.hex and one.tail > 0
    if as_planned and (how := me.random.random()) < 0.6:
        return Instead.AS_SHOWN if how < 0.3 else sensor.hex[-one.tail :]
    return f"0x{sensor.hex}"


def _lamp(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    good = one.expect or one.options[0]
    return good if the(car).lamp_off else next(o for o in one.options if o != good)


def _codes(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    its = the(car)
    after = one.tells in (Tells.CODES_AFTER, Tells.CODES_WEEK) and not its.lamp_off
    return Codes.SOME if its.codes or after else Codes.NONE


def _cleared(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return Clearing.CLEARED if the(car).only_ours else Clearing.LEFT


def _week(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return LampLater.STILL_OFF if the(car).lamp_off else LampLater.ON


def _list(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    its = the(car)
    if not its.readable:
        return Listed.NOT_READ
    fitted = its.fitted()
    if len(fitted) < len(its.corners) or not any(sorted(g.values()) == sorted(fitted.values()) for g in its.memory):
        return Listed.OTHERS
    return Listed.JUST_THESE if fitted in its.memory else Listed.NO_CORNERS


def _moved_corner(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    """The corner whose figure on the dash followed; none, where none did."""
    seen = [(c, me.dash.get(c), me.then.get(c)) for c in ROAD]
    moved = [c for c, a, b in seen if a is not None and b is not None and abs(a - b) >= FOLLOWS.kpa]
    return moved[0] if moved else Instead.NOT_PARKED if Instead.NOT_PARKED in one.options else Instead.NO_FIGURE


def _put_at(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return me.put_at


def _cause(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return me.world.wheels[one.wheel].lost or one.expect


_PICKS: dict[Tells, Say] = {
    Tells.LAMP_BEFORE: _lamp, Tells.LAMP_AGAIN: _lamp, Tells.LAMP_DRIVING: _lamp, Tells.LAMP_TOLD: _lamp, Tells.LAMP_WEEK: _week,
    Tells.CODES_BEFORE: _codes, Tells.CODES_NOW: _codes, Tells.CODES_AFTER: _codes, Tells.CODES_WEEK: _codes,
    Tells.CODES_CLEARED: _cleared, Tells.CLEARED_LATER: _cleared, Tells.KNOWN_IDS: _list, Tells.PUT_AT: _put_at, Tells.CORNER: _moved_corner,
    Tells.CAUSE: _cause, Tells.FLAT_WAY: roadside.way, Tells.CHANGED: roadside.changed,
    Tells.BECAME: roadside.any_of,
}  # fmt: skip


def _pick(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    if step.does is Does.CHOOSE_LIST and me.list_taken:
        return me.list_taken
    say = _PICKS.get(one.tells)
    return say(me, step, one, car) if say is not None else one.expect or one.options[0]


def _minutes(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return one.expect or "20"


def _tread(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return "5"


def _words(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return "noted"


def _no_photo(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return ""


BY_KIND: dict[Asked, Say] = {
    Asked.DONE: _yes, Asked.PICK: _pick, Asked.PRESSURE: _pressure, Asked.TEMPERATURE: _temperature, Asked.MINUTES: _minutes,
    Asked.ID: _read_id, Asked.TREAD: _tread, Asked.WORDS: _words, Asked.PHOTO: _no_photo,
}  # fmt: skip
