"""Does the tyre bear the car: load index, speed symbol, load at the pressure and speed of use, marked pressure."""

from __future__ import annotations

import math

from wheelside.finding import Basis, Ground
from wheelside.fit.facts import N
from wheelside.fit.match import Match, once
from wheelside.fit.named import greatest_speed, meant_tyre
from wheelside.fit.number import Grade, Mask, between, either, grade, known, no, unknown
from wheelside.fit.rule import NOT_KNOWN, Rule, ToldLine, View
from wheelside.fit.use import ROUNDING_KG, ROUNDING_KPA, pressure_of_use, wanted_pressure
from wheelside.fit.verdict import FITS, MEASURE, NOT, Question
from wheelside.said import Said, say
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

_MARKED = Basis(Ground.STANDARD, "49 CFR 571.110 S4.2.1: load on the tyre not above its rating")
_RATING = Basis(Ground.STANDARD, "load index and speed symbol: UN R30")
_AXLES = Basis(Ground.STANDARD, "UN R30 and local practice: twice the load of the index is to bear the axle")
_SPEED_LOAD = Basis(
    Ground.STANDARD, "less load above 210 (V), 240 (W), 270 km/h (Y), more pressure from 160 km/h on: ETRTO"
)


@once
def needed_index(m: Match[N]) -> N:
    """The load index to be held: the car's; where it states none, that of the tyre named in this size, else of the one that is meant."""
    index: N = either(m.car.load_index, either(m.both.named_index, m.car.meant_index))
    return index


def _load_index(m: Match[N]) -> Grade:
    c, w = m.car, m.wheel
    need, stated = needed_index(m), known(c.load_index)
    by_axle = unknown(need) & (w.load < c.half_axle)
    lacks = unknown(w.load_index) | (unknown(need) & unknown(c.half_axle))
    below = w.load_index < need
    return grade(no=(below & stated) | (by_axle & no(lacks)), measure=lacks | (below & no(stated)))


def _tell_load_index(v: View, g: int) -> ToldLine:
    index = v.tyre.designation.load_index if v.tyre and v.tyre.designation else None
    need = v.car.load_index
    rests = (*v.rests((v.tyre, "designation")), _RATING)
    if index is None:
        return ToldLine(
            say("Not known: the load index.{by_formula}", by_formula=_by_formula(v)),
            (NOT_KNOWN,),
            say("read the figures before the speed symbol, as the 91 in 91V"),
        )
    bears = load_of(index)
    if need is None:
        return _by_named_or_axle(v, g, rests, say("It has {index} ({bears})", index=index, bears=bears))
    text = say(
        "It has {index} ({bears}); the car requires {need} ({need_2}).",
        index=index,
        bears=bears,
        need=need,
        need_2=(load_of(need)),
    )
    rests = (*rests, *v.rests((v.car, "load_index")))
    if g != NOT:
        return ToldLine(text, rests)
    more: Said | str = ""
    if not math.isnan(v.numbers.half_axle) and v.wheel.load >= v.numbers.half_axle:
        more = say(
            " It would bear half of the axle's greatest load, which is enough in some places: ask the local rule."
        )
    return ToldLine(
        say("{text}{more}", text=text, more=more),
        rests,
        say("leave it: no pressure makes up for an index that is too low"),
    )


def _by_named_or_axle(v: View, g: int, rests: tuple[Basis, ...], has: Said) -> ToldLine:
    """The load index where the car's own requirement is not noted."""
    named, half = needed_index(v.match), v.numbers.half_axle
    if not math.isnan(named):
        load = load_of(int(named))
        text = say(
            "{has}; the tyre that is named has {named} ({load}). What the car requires is not noted.",
            has=has,
            named=int(named),
            load=load,
        )
        way = say(
            "leave it, unless handbook or papers allow so low an index; note {load_index}",
            load_index=v.key("car", "load_index"),
        )
        return ToldLine(text, (*rests, *v.rests((v.car, "placard"))), way if g == MEASURE else None)
    if math.isnan(half):
        return ToldLine(
            say("{has}; what the car requires is not known.", has=has),
            (*rests, NOT_KNOWN),
            say("note {load_index}, or the axle loads", load_index=v.key("car", "load_index")),
        )
    text = say("{has}; half of the axle's greatest load is {half}.", has=has, half=v.kg(half))
    return ToldLine(
        text, (*rests, *v.rests((v.car, f"axle_load_{v.corner.axle}")), _AXLES), say("leave it") if g == NOT else None
    )


def _by_formula(v: View) -> Said | str:
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
    return say(
        " By the T&RA formula such a size carries {load} as standard load, which is index {load_2}.",
        load=(load),
        load_2=nearest_index(load),
    )


@once
def needed_speed(m: Match[N]) -> N:
    """The speed to be held: that of the car's symbol, else of the tyre named in this size, of the one that is meant, of the car itself."""
    c = m.car
    speed: N = either(c.needs_speed, either(either(m.both.named_speed, c.meant_speed), c.top_speed))
    return speed


def for_winter(m: Match[N]) -> Mask:
    """Where a tyre is one for winter, for which a slower symbol is a local rule."""
    return (m.wheel.marked == 1) | (m.wheel.winter == 1)


def too_slow(m: Match[N]) -> Mask:
    """Where a symbol is below the one that is stated, or below the car itself."""
    slow = m.wheel.speed < needed_speed(m)
    return slow & (known(m.car.needs_speed) | (m.wheel.speed < m.car.top_speed))


def slow_for_winter(m: Match[N]) -> Mask:
    """Where too slow a tyre is for winter: whether it may be driven is a local rule."""
    return too_slow(m) & for_winter(m)


def perhaps_for_winter(m: Match[N]) -> Mask:
    """Where a tyre is too slow unless it is for winter, which is not known."""
    return too_slow(m) & no(for_winter(m)) & unknown(m.wheel.season)


def _speed_symbol(m: Match[N]) -> Grade:
    need, w = needed_speed(m), m.wheel
    outright = too_slow(m) & no(for_winter(m)) & known(w.season)
    return grade(no=outright, measure=unknown(need, w.speed) | (w.speed < need))


def _tell_speed_symbol(v: View, g: int) -> ToldLine:
    symbol = v.tyre.designation.speed_symbol if v.tyre and v.tyre.designation else None
    stated = v.car.speed_symbol is not None
    rests = (*v.rests((v.tyre, "designation"), (v.car, "speed_symbol" if stated else "placard")), _RATING)
    if symbol is None:
        return ToldLine(say("Not known: the speed symbol."), (NOT_KNOWN,), say("read the letter behind the load index"))
    has = say("{symbol} ({symbol_2})", symbol=symbol, symbol_2=(speed_of(symbol)))
    need = needed_speed(v.match)
    if math.isnan(need):
        return ToldLine(
            say("It has {has}; what the car requires is not known.", has=has),
            (*rests, NOT_KNOWN),
            say(
                "note {speed_symbol}, or {top_speed}",
                speed_symbol=v.key("car", "speed_symbol"),
                top_speed=v.key("car", "top_speed"),
            ),
        )
    asks = (
        say("the car requires {speed_symbol}", speed_symbol=v.car.speed_symbol)
        if stated
        else say("what is named, or the car itself, goes up to")
    )
    text = say(
        "It has {has}; {asks} {stated}{need}{stated_2}.",
        has=has,
        asks=asks,
        stated="(" if stated else "",
        need=(Speed(need)),
        stated_2=")" if stated else "",
    )
    if g == NOT:
        return ToldLine(text, rests, say("leave it"))
    if g == MEASURE and perhaps_for_winter(v.match):
        way = say(
            "look whether it is a tyre for winter, and note {season} and {winter_mark}: another is not allowed; for these it is a local rule",
            season=v.key("tyre", "season"),
            winter_mark=v.key("tyre", "winter_mark"),
        )
        return ToldLine(say("{text} Whether it is for winter is not known.", text=text), (*rests, NOT_KNOWN), way)
    if g == MEASURE:
        way = say(
            "some places allow this for winter tyres with a sticker in the driver's sight: ask the local rule; else leave it"
        )
        return ToldLine(text, (*rests, NOT_KNOWN), way)
    return ToldLine(text, rests)


def carried(m: Match[N]) -> N:
    """What a tyre carries at the placard pressure for its size and the car's greatest speed, in kg."""
    w, both = m.wheel, m.both
    part: N = between((both.placard - both.speed_kpa) / w.reference, 0.0, 1.0)
    load: N = w.load * part**w.exponent * both.speed_share
    return load


def _at_most(m: Match[N]) -> N:
    """What a tyre carries at the car's greatest speed at whatever pressure, in kg."""
    return m.wheel.load * m.both.speed_share


def _capacity(m: Match[N]) -> Grade:
    bears, half, named = carried(m), m.car.half_axle, as_named(m)
    short = (_at_most(m) < half) | (m.wheel.load < half)
    doubt = unknown(bears, half) | (bears < half) | perhaps_extra(m)
    return grade(no=short & no(named), measure=(doubt & no(named)) | contradicts(m))


def contradicts(m: Match[N]) -> Mask:
    """Where the placard's own tyre does not bear half of the axle's greatest load, by its index alone: one of the two is noted wrongly."""
    return as_named(m) & (m.wheel.load < m.car.half_axle)


@once
def as_named(m: Match[N]) -> Mask:
    """Where a tyre is as the one that the placard names in its size, or better: the maker's pressure is made for it."""
    w, both = m.wheel, m.both
    good = (w.load_index >= both.named_index) & (w.speed >= both.named_speed) & (w.reference == both.named_reference)
    return good & known(both.placard) & no(perhaps_extra(m))


@once
def perhaps_extra(m: Match[N]) -> Mask:
    """Where an index is so much above that of the standard-load tyre named in its size that XL may have been left out."""
    w, both = m.wheel, m.both
    standard = both.named_reference == STANDARD_LOAD.reference.kpa
    return (w.extra == 0) & standard & (w.load_index >= both.named_index + XL_STEP)


def _needed_kpa(v: View, half: float) -> float:
    """The pressure at which a tyre carries half of the axle's load at the car's greatest speed."""
    rule = load_rule(v.tyre.designation) if v.tyre and v.tyre.designation else None
    assert rule is not None, "a tyre that carries anything has a rule"
    return rule.pressure(half / _at_most(v.match)).kpa + v.match.both.speed_kpa


def _tell_capacity(v: View, g: int) -> ToldLine:
    tyre = v.tyre.designation if v.tyre else None
    axle = f"axle_load_{v.corner.axle}"
    rule = load_rule(tyre) if tyre else None
    rests = (*v.rests((v.car, axle), (v.car, "placard")), *((rule.basis,) if rule else ()), _SPEED_LOAD)
    bears, pressure = carried(v.match), v.match.both.placard
    speed = greatest_speed(v.car)
    at = say("at {pressure} and up to {speed}", pressure=v.kpa(pressure), speed=(speed))
    half, most = v.numbers.half_axle, _at_most(v.match)
    if g == NOT and v.wheel.load < half:
        text = say(
            "It carries {load} at most; half of the axle's greatest load is {half}.",
            load=v.kg(v.wheel.load),
            half=v.kg(half),
        )
        return ToldLine(
            say("{text} No pressure carries that.", text=text),
            (*rests, _MARKED),
            say("leave it: fit a tyre of a higher load index"),
        )
    if g == NOT:
        text = say(
            "It carries {most} at most up to {speed}; half of the axle's greatest load is {half}.",
            most=v.kg(most),
            speed=(speed),
            half=v.kg(half),
        )
        return ToldLine(say("{text} No pressure carries that.", text=text), rests, say("leave it"))
    if perhaps_extra(v.match):
        text = say(
            "Its index is so much above that of the tyre named in this size that it may be extra load, which carries less at one pressure."
        )
        return ToldLine(
            text, rests, say("read whether XL, EXTRA LOAD or REINFORCED stands on it, and note it with the designation")
        )
    if contradicts(v.match):
        return _contradiction(v, rests, half)
    if g == FITS and not bears >= half:
        low = (
            say(
                " By the rule it carries {bears} there; half of the axle's greatest load is {half}.",
                bears=v.kg(bears),
                half=v.kg(half),
            )
            if not math.isnan(bears + half)
            else ""
        )
        return ToldLine(
            say("It is as the tyre that the placard names in this size, at the pressures made for it.{low}", low=low),
            rests,
        )
    if math.isnan(bears):
        return _not_at_a_pressure(v, rests, half, rule is not None and not math.isnan(most))
    if math.isnan(half):
        return ToldLine(
            say("It carries {bears} {at}; the axle's greatest load is not known.", bears=v.kg(bears), at=at),
            (*rests, NOT_KNOWN),
            say("read it off the plate; note {axle}", axle=v.key("car", axle)),
        )
    text = say(
        "It carries {bears} {at}; half of the axle's greatest load is {half}.{other_kind}",
        bears=v.kg(bears),
        at=at,
        half=v.kg(half),
        other_kind=_other_kind(v, pressure),
    )
    if g == MEASURE:
        way = say("ask the tyre maker's table for the pressure, and compare it with the marks of tyre and rim")
        return ToldLine(
            say("{text} By the rule it wants {needed_kpa}.", text=text, needed_kpa=v.kpa(_needed_kpa(v, half))),
            (*rests, NOT_KNOWN),
            way,
        )
    return ToldLine(text, rests)


def _contradiction(v: View, rests: tuple[Basis, ...], half: float) -> ToldLine:
    """The placard's own tyre against the axle's load: both can't be as they are noted."""
    text = say(
        "It is as the tyre that the placard names in this size, and bears {load} by its index; half of the axle's greatest "
        "load is {half}. The two facts contradict one another: the placard's own tyre is made for the axle.",
        load=v.kg(v.wheel.load),
        half=v.kg(half),
    )
    way = say(
        "read both again: the placard with its load index, and {axle} off the plate, as the load of that axle and not "
        "of a trailer or of both axles; correct the one that is wrong",
        axle=v.key("car", f"axle_load_{v.corner.axle}"),
    )
    return ToldLine(text, (*rests, _MARKED), way)


def _not_at_a_pressure(v: View, rests: tuple[Basis, ...], half: float, ruled: bool) -> ToldLine:
    """What can be said of the load where the pressure of use, or the tyre's rule, is not known."""
    way = say("ask the tyre maker's table for this tyre, at the load and speed of use")
    if ruled and not math.isnan(half):
        wants = say(
            "By the rule it wants {needed_kpa} for half of the axle's greatest load, {half}.",
            needed_kpa=v.kpa(_needed_kpa(v, half)),
            half=v.kg(half),
        )
        text = say("The placard has no pressure for this size. {wants}", wants=wants)
        return ToldLine(
            text, (*rests, NOT_KNOWN), say("{way}, and compare its pressure with the marks of tyre and rim", way=way)
        )
    what = say("the axle's greatest load") if ruled else say("the rule by which it carries")
    return ToldLine(say("Not known: {what}.", what=what), (*rests, NOT_KNOWN), way)


def _other_kind(v: View, pressure: float) -> Said | str:
    """Standard against extra load at one pressure, in both directions."""
    tyre, meant = v.tyre.designation if v.tyre else None, meant_tyre(v.car, v.corner)
    if tyre is None or meant is None or meant.load_index is None or tyre.extra_load == meant.extra_load:
        return ""
    now, then = capacity(tyre, GaugePressure(pressure)), capacity(meant, GaugePressure(pressure))
    if now is None or then is None:
        return ""
    kind = (
        say("extra load where the placard means standard load")
        if tyre.extra_load
        else say("standard load where the placard means extra load")
    )
    return say(
        " It is {kind}: at {pressure} {tyre} carries {now}, {meant} {then}.",
        kind=kind,
        pressure=v.kpa(pressure),
        tyre=tyre.text,
        now=(now),
        meant=meant.text,
        then=(then),
    )


def _other_rule(m: Match[N]) -> Mask:
    """Where the placard's tyres of the size, or this one, carry by another rule than that of ISO 4000-1, or nothing is named."""
    return no(m.wheel.iso == 1) | unknown(m.both.carried_most, m.wheel.load)


def never_carries(m: Match[N]) -> Mask:
    """Where a tyre carries at no pressure what the placard's tyre of its size carries at the placard's lowest load."""
    return m.wheel.load < m.both.carried_least - ROUNDING_KG


def _placard_load(m: Match[N]) -> Grade:
    some_loads = m.wheel.load < m.both.carried_most - ROUNDING_KG
    return grade(no=never_carries(m), measure=some_loads, idle=_other_rule(m))


def _tell_placard_load(v: View, g: int) -> ToldLine:
    rule = load_rule(v.tyre.designation) if v.tyre and v.tyre.designation else None
    rests = (*v.rests((v.tyre, "designation"), (v.car, "placard")), *((rule.basis,) if rule else ()))
    least, most = v.match.both.carried_least, v.match.both.carried_most
    has = say("It carries {load} at most", load=v.kg(v.wheel.load))
    if g == NOT:
        text = say(
            "{has}; the placard's tyre of this size carries {least} and more at the placard's pressures. No pressure makes up for that.",
            has=has,
            least=v.kg(least),
        )
        return ToldLine(text, rests, say("leave it: fit a tyre of at least the placard's load index"))
    if g == MEASURE:
        text = say(
            "{has}; the placard's tyre of this size carries from {least} to {most}, by the load that a row is for.",
            has=has,
            least=v.kg(least),
            most=v.kg(most),
        )
        return ToldLine(
            text,
            rests,
            say(
                "it is not for the loads whose rows want more; ask handbook or papers whether so low an index is allowed"
            ),
        )
    return ToldLine(
        say("{has}, which is what the placard's tyre of this size carries at its pressures, or more.", has=has), rests
    )


def _tyre_pressure(m: Match[N]) -> Grade:
    used = pressure_of_use(m)
    return grade(no=m.wheel.tyre_pressure < used - ROUNDING_KPA, measure=unknown(m.wheel.tyre_pressure, used))


def _tell_tyre_pressure(v: View, g: int) -> ToldLine:
    rests = v.rests((v.tyre, "max_pressure"), (v.car, "placard"))
    used = pressure_of_use(v.match)
    if g == MEASURE:
        lacks = say("the placard's pressure") if math.isnan(used) else say("the tyre's marked maximum")
        return ToldLine(
            say("Not known: {lacks}.", lacks=lacks), rests, say("read MAX PRESS off the sidewall, and the placard")
        )
    text = say(
        "It is marked for {tyre_pressure}; {v}.", tyre_pressure=v.kpa(v.wheel.tyre_pressure), v=wanted_pressure(v)
    )
    return ToldLine(text, rests, say("leave it") if g == NOT else None)


_T = Question.TYRE
RULES = (
    Rule(_T, "load-index", "Load index", _load_index, _tell_load_index),
    Rule(_T, "speed-symbol", "Speed symbol", _speed_symbol, _tell_speed_symbol),
    Rule(_T, "capacity", "Load at pressure and speed", _capacity, _tell_capacity),
    Rule(_T, "load-capacity", "Load of the placard's tyre", _placard_load, _tell_placard_load),
    Rule(_T, "tyre-pressure", "Tyre pressure", _tyre_pressure, _tell_tyre_pressure),
)
"""Rules of what a tyre bears, in the order in which they are told."""
