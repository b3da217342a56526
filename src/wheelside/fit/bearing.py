"""Does the tyre bear the car: load index, speed symbol, load at the pressure and speed of use, marked pressure."""

from __future__ import annotations

import numpy as np

from wheelside.finding import Basis, Ground
from wheelside.fit.facts import UNKNOWN, Array, Flags, Grades, Scene, spread
from wheelside.fit.rule import NOT_KNOWN, Rule, Told, View, grade, unknown
from wheelside.fit.tables import greatest_speed, meant_tyre
from wheelside.fit.use import at_corner, own_named, own_pressure, pressure_of_use, wanted_pressure
from wheelside.fit.verdict import FITS, MEASURE, NOT, Question
from wheelside.garage.words import ROAD_CORNERS
from wheelside.tyre.load import (
    LEAST_ASPECT,
    P_STANDARD,
    STANDARD_LOAD,
    capacity,
    load_of,
    load_rule,
    nearest_index,
    p_metric_load,
)
from wheelside.tyre.speed import speed_of
from wheelside.units import GaugePressure, Speed

XL_STEP = 3
"""Extra load is mostly three or four steps of the load index above; judgement."""

_RATING = Basis(Ground.STANDARD, "load index and speed symbol: UN R30")
_AXLES = Basis(Ground.STANDARD, "UN R30 and local practice: twice the load of the index is to bear the axle")
_SPEED_LOAD = Basis(
    Ground.STANDARD, "less load above 210 (V), 240 (W), 270 km/h (Y), more pressure from 160 km/h on: ETRTO"
)


def needed_index(s: Scene) -> Array:
    """The load index to be held: the car's; where it states none, that of the tyre named in this size, else of the one that is meant."""
    named = own_named(s).load_index
    return np.where(
        np.isnan(s.cars.load_index), np.where(np.isnan(named), s.cars.meant_index, named), s.cars.load_index
    )


def _load_index(s: Scene) -> Grades:
    c, w = s.cars, s.wheels
    need, stated = needed_index(s), ~np.isnan(c.load_index)
    by_axle = np.isnan(need) & (w.load < c.half_axle)
    lacks = np.isnan(w.load_index) | (np.isnan(need) & np.isnan(c.half_axle))
    below = w.load_index < need
    return grade(no=(below & stated) | (by_axle & ~lacks), measure=lacks | (below & ~stated))


def _tell_load_index(v: View, g: int) -> Told:
    index = v.tyre.designation.load_index if v.tyre and v.tyre.designation else None
    need = v.car.load_index
    rests = (*v.rests((v.tyre, "designation")), _RATING)
    if index is None:
        return Told(
            f"Not known: the load index.{_by_formula(v)}",
            (NOT_KNOWN,),
            "read the figures before the speed symbol, as the 91 in 91V",
        )
    bears = v.units.show_mass(load_of(index))
    if need is None:
        return _by_named_or_axle(v, g, rests, f"It has {index} ({bears})")
    text = f"It has {index} ({bears}); the car requires {need} ({v.units.show_mass(load_of(need))})."
    rests = (*rests, *v.rests((v.car, "load_index")))
    if g != NOT:
        return Told(text, rests)
    more = ""
    if not np.isnan(v.numbers.half_axle) and v.wheel.load >= v.numbers.half_axle:
        more = " It would bear half of the axle's greatest load, which is enough in some places: ask the local rule."
    return Told(f"{text}{more}", rests, "leave it: no pressure makes up for an index that is too low")


def _by_named_or_axle(v: View, g: int, rests: tuple[Basis, ...], has: str) -> Told:
    """The load index where the car's own requirement is not noted."""
    named, half = at_corner(needed_index(v.scene), v), v.numbers.half_axle
    if not np.isnan(named):
        load = v.units.show_mass(load_of(int(named)))
        text = f"{has}; the tyre that is named has {int(named)} ({load}). What the car requires is not noted."
        way = "leave it, unless handbook or papers allow so low an index; note 'load_index'"
        return Told(text, (*rests, *v.rests((v.car, "placard"))), way if g == MEASURE else "")
    if np.isnan(half):
        return Told(
            f"{has}; what the car requires is not known.", (*rests, NOT_KNOWN), "note 'load_index', or the axle loads"
        )
    text = f"{has}; half of the axle's greatest load is {v.kg(half)}."
    return Told(text, (*rests, *v.rests((v.car, f"axle_load_{v.corner.axle}")), _AXLES), "leave it" if g == NOT else "")


def _by_formula(v: View) -> str:
    """What the T&RA formula gives for a P-metric size that names no index."""
    tyre = v.tyre.designation if v.tyre else None
    if (
        tyre is None
        or not tyre.p_metric
        or tyre.width_mm is None
        or tyre.aspect_pct is None
        or tyre.aspect_pct < LEAST_ASPECT
    ):
        return ""
    load = p_metric_load(tyre.width_mm, tyre.aspect_pct, tyre.rim_mm, P_STANDARD.reference)
    return f" By the T&RA formula such a size carries {v.units.show_mass(load)} as standard load, which is index {nearest_index(load)}."


def needed_speed(s: Scene) -> Array:
    """The speed to be held: that of the car's symbol, else of the tyre named in this size, of the one that is meant, of the car itself."""
    c, named = s.cars, own_named(s).speed
    meant = np.where(np.isnan(named), c.meant_speed, named)
    return np.where(np.isnan(c.needs_speed), np.where(np.isnan(meant), c.top_speed, meant), c.needs_speed)


def _speed_symbol(s: Scene) -> Grades:
    need, w = needed_speed(s), s.wheels
    slow, stated = w.speed < need, ~np.isnan(s.cars.needs_speed)
    excepted = (w.marked == 1) | (w.winter == 1) | np.isnan(w.season)
    outright = slow & ~excepted & (stated | (w.speed < s.cars.top_speed))
    return grade(no=outright, measure=unknown(need, w.speed) | slow)


def _tell_speed_symbol(v: View, g: int) -> Told:
    symbol = v.tyre.designation.speed_symbol if v.tyre and v.tyre.designation else None
    stated = v.car.speed_symbol is not None
    rests = (*v.rests((v.tyre, "designation"), (v.car, "speed_symbol" if stated else "placard")), _RATING)
    if symbol is None:
        return Told("Not known: the speed symbol.", (NOT_KNOWN,), "read the letter behind the load index")
    has = f"{symbol} ({v.units.show_speed(speed_of(symbol))})"
    need = at_corner(needed_speed(v.scene), v)
    if np.isnan(need):
        return Told(
            f"It has {has}; what the car requires is not known.",
            (*rests, NOT_KNOWN),
            "note 'speed_symbol', or 'top_speed'",
        )
    asks = f"the car requires {v.car.speed_symbol}" if stated else "what is named, or the car itself, goes up to"
    text = f"It has {has}; {asks} {'(' if stated else ''}{v.units.show_speed(Speed(need))}{')' if stated else ''}."
    if g == NOT:
        return Told(text, rests, "leave it")
    if g == MEASURE:
        way = "some places allow this for winter tyres with a sticker in the driver's sight: ask the local rule; else leave it"
        return Told(text, (*rests, NOT_KNOWN), way)
    return Told(text, rests)


def carried(s: Scene) -> Array:
    """What each tyre carries at the placard pressure for its size and the car's greatest speed, in kg."""
    w = s.wheels
    more = spread(s.tables.fast_more, w.symbol, np.float64(UNKNOWN))
    share = spread(s.tables.fast_share, w.symbol, np.float64(UNKNOWN))
    part = np.clip((own_pressure(s) - more) / w.reference, 0.0, 1.0)
    return np.asarray(w.load * part**w.exponent * share)


def _at_most(s: Scene) -> Array:
    """What each tyre carries at the car's greatest speed at whatever pressure, in kg."""
    return np.asarray(s.wheels.load * spread(s.tables.fast_share, s.wheels.symbol, np.float64(UNKNOWN)))


def _capacity(s: Scene) -> Grades:
    bears, half = carried(s), s.cars.half_axle
    doubt = unknown(bears, half) | (bears < half) | perhaps_extra(s)
    return grade(no=(_at_most(s) < half) & ~as_named(s), measure=doubt & ~as_named(s))


def as_named(s: Scene) -> Flags:
    """Where a tyre is as the one that the placard names in its size, or better: the maker's pressure is made for it."""
    named, w = own_named(s), s.wheels
    good = (w.load_index >= named.load_index) & (w.speed >= named.speed) & np.equal(w.reference, named.reference)
    return good & ~np.isnan(own_pressure(s)) & ~perhaps_extra(s)


def perhaps_extra(s: Scene) -> Flags:
    """Where an index is so much above that of the standard-load tyre named in its size that XL may have been left out."""
    named, w = own_named(s), s.wheels
    return (
        np.equal(w.extra, 0)
        & np.equal(named.reference, STANDARD_LOAD.reference.kpa)
        & (w.load_index >= named.load_index + XL_STEP)
    )


def _needed_kpa(v: View, half: float) -> float:
    """The pressure at which a tyre carries half of the axle's load at the car's greatest speed."""
    rule = load_rule(v.tyre.designation) if v.tyre and v.tyre.designation else None
    assert rule is not None, "a tyre that carries anything has a rule"
    more = spread(v.scene.tables.fast_more, v.scene.wheels.symbol, np.float64(UNKNOWN))
    return rule.pressure(half / at_corner(_at_most(v.scene), v)).kpa + at_corner(more, v)


def _tell_capacity(v: View, g: int) -> Told:
    tyre = v.tyre.designation if v.tyre else None
    axle = f"axle_load_{v.corner.axle}"
    rule = load_rule(tyre) if tyre else None
    rests = (*v.rests((v.car, axle), (v.car, "placard")), *((rule.basis,) if rule else ()), _SPEED_LOAD)
    bears, pressure = at_corner(carried(v.scene), v), at_corner(own_pressure(v.scene), v)
    speed = greatest_speed(v.car)
    at = f"at {v.kpa(pressure)} and up to {v.units.show_speed(speed)}"
    half, most = v.numbers.half_axle, at_corner(_at_most(v.scene), v)
    if g == NOT:
        text = f"It carries {v.kg(most)} at most up to {v.units.show_speed(speed)}; half of the axle's greatest load is {v.kg(half)}."
        return Told(f"{text} No pressure carries that.", rests, "leave it")
    if perhaps_extra(v.scene)[0, 0, ROAD_CORNERS.index(v.corner)]:
        text = "Its index is so much above that of the tyre named in this size that it may be extra load, which carries less at one pressure."
        return Told(
            text, rests, "read whether XL, EXTRA LOAD or REINFORCED stands on it, and note it with the designation"
        )
    if g == FITS and not bears >= half:
        low = (
            f" By the rule it carries {v.kg(bears)} there; half of the axle's greatest load is {v.kg(half)}."
            if not np.isnan(bears + half)
            else ""
        )
        return Told(f"It is as the tyre that the placard names in this size, at the pressures made for it.{low}", rests)
    if np.isnan(bears):
        return _not_at_a_pressure(v, rests, half, rule is not None and not np.isnan(most))
    if np.isnan(half):
        return Told(
            f"It carries {v.kg(bears)} {at}; the axle's greatest load is not known.",
            (*rests, NOT_KNOWN),
            f"read it off the plate; note '{axle}'",
        )
    text = f"It carries {v.kg(bears)} {at}; half of the axle's greatest load is {v.kg(half)}.{_other_kind(v, pressure)}"
    if g == MEASURE:
        way = "ask the tyre maker's table for the pressure, and hold it against the marks of tyre and rim"
        return Told(f"{text} By the rule it wants {v.kpa(_needed_kpa(v, half))}.", (*rests, NOT_KNOWN), way)
    return Told(text, rests)


def _not_at_a_pressure(v: View, rests: tuple[Basis, ...], half: float, ruled: bool) -> Told:
    """What can be said of the load where the pressure of use, or the tyre's rule, is not known."""
    way = "ask the tyre maker's table for this tyre, at the load and speed of use"
    if ruled and not np.isnan(half):
        wants = (
            f"By the rule it wants {v.kpa(_needed_kpa(v, half))} for half of the axle's greatest load, {v.kg(half)}."
        )
        text = f"The placard has no pressure for this size. {wants}"
        return Told(text, (*rests, NOT_KNOWN), f"{way}, and hold its pressure against the marks of tyre and rim")
    what = "the axle's greatest load" if ruled else "the rule by which it carries"
    return Told(f"Not known: {what}.", (*rests, NOT_KNOWN), way)


def _other_kind(v: View, pressure: float) -> str:
    """Standard against extra load at one pressure, in both directions."""
    tyre, meant = v.tyre.designation if v.tyre else None, meant_tyre(v.car, v.corner)
    if tyre is None or meant is None or meant.load_index is None or tyre.extra_load == meant.extra_load:
        return ""
    now, then = capacity(tyre, GaugePressure(pressure)), capacity(meant, GaugePressure(pressure))
    if now is None or then is None:
        return ""
    kind = (
        "extra load where the placard means standard load"
        if tyre.extra_load
        else "standard load where the placard means extra load"
    )
    return f" It is {kind}: at {v.kpa(pressure)} {tyre.text} carries {v.units.show_mass(now)}, {meant.text} {v.units.show_mass(then)}."


def _tyre_pressure(s: Scene) -> Grades:
    used = pressure_of_use(s)
    return grade(no=s.wheels.tyre_pressure < used, measure=unknown(s.wheels.tyre_pressure, used))


def _tell_tyre_pressure(v: View, g: int) -> Told:
    rests = v.rests((v.tyre, "max_pressure"), (v.car, "placard"))
    used = at_corner(pressure_of_use(v.scene), v)
    if g == MEASURE:
        lacks = "the placard's pressure" if np.isnan(used) else "the tyre's marked maximum"
        return Told(f"Not known: {lacks}.", rests, "read MAX PRESS off the sidewall, and the placard")
    text = f"It is marked for {v.kpa(v.wheel.tyre_pressure)}; {wanted_pressure(v)}."
    return Told(text, rests, "leave it" if g == NOT else "")


_T = Question.TYRE
RULES = (
    Rule(_T, "load-index", "Load index", _load_index, _tell_load_index),
    Rule(_T, "speed-symbol", "Speed symbol", _speed_symbol, _tell_speed_symbol),
    Rule(_T, "capacity", "Load at pressure and speed", _capacity, _tell_capacity),
    Rule(_T, "tyre-pressure", "Tyre pressure", _tyre_pressure, _tell_tyre_pressure),
)
"""Rules of what a tyre bears, in the order in which they are told."""
