"""Does the tyre suit the car, its load and speed, the rim it is on, and the ones beside it; and is it still good."""

from __future__ import annotations

import numpy as np

from wheelside.finding import Basis, Ground
from wheelside.fit.facts import UNKNOWN, Array, Grades, Scene, spread
from wheelside.fit.rims import at_corner, own_pressure, pressure_of_use
from wheelside.fit.rule import NOT_KNOWN, Rule, Told, View, grade, unknown
from wheelside.fit.tables import ORDINARY, meant_tyre
from wheelside.fit.verdict import FITS, MEASURE, NOT, Question
from wheelside.tyre.designation import MM_PER_INCH
from wheelside.tyre.geometry import ETRTO_CIRCUMFERENCE, MEASURING_RIM, turns_per_km
from wheelside.tyre.load import LEAST_ASPECT, P_STANDARD, capacity, load_of, load_rule, nearest_index, p_metric_load
from wheelside.tyre.speed import speed_of
from wheelside.tyre.speedometer import R39, must_show_now
from wheelside.units import GaugePressure, Speed

NEAR_MM, FAR_MM = 0.5 * MM_PER_INCH, 2.0 * MM_PER_INCH
"""A rim so near the measuring one is taken to be allowed, one so far beside it not to be; judgement."""
ROUND_EVEN = 0.01
"""Front and rear circumference of a car whose wheels turn together, or are compared, may differ by so much."""
AWD_TREAD_MM = 3.0

_RATING = Basis(Ground.STANDARD, "load index and speed symbol: UN R30")
_AXLES = Basis(Ground.STANDARD, "UN R30 and local practice: twice the load of the index is to bear the axle")
_RATIO = Basis(Ground.JUDGEMENT, "half an inch beside the measuring rim; the tyre maker's own range goes before")
_EVEN = Basis(Ground.PRACTICE, "front and rear within 1 %; no source")
_SPEED_LOAD = Basis(
    Ground.STANDARD, "less load above 210 (V), 240 (W), 270 km/h (Y), more pressure from 160 km/h on: ETRTO"
)


def _listed(s: Scene) -> Grades:
    listed = spread(s.tables.listed, s.wheels.size, np.False_)
    return grade(measure=~listed)


def _tell_listed(v: View, g: int) -> Told:
    rests = v.rests((v.tyre, "designation"), (v.car, "placard"))
    if v.tyre is None or v.tyre.designation is None:
        return Told(
            "Not known: the tyre's designation.",
            (NOT_KNOWN,),
            "read all of it off the sidewall, such as 205/55 R16 91V",
        )
    size = v.tyre.designation.size
    if g == MEASURE:
        named = sorted({row.tyre.size for row in v.car.placard} | {d.size for d in v.car.approved})
        text = f"{size} is not among the sizes that are noted ({', '.join(named) or 'none'})."
        return Told(
            text,
            rests,
            "look in handbook and papers; what else is allowed, and by whom, is a local rule. Note it as 'approved'",
        )
    return Told(f"{size} is named for the car.", rests)


def _widths(s: Scene) -> Grades:
    w = s.wheels
    far = np.abs(w.width - w.measuring)
    stated = ~np.isnan(w.narrowest)
    outside = (w.width < w.narrowest - 0.1) | (w.width > w.widest + 0.1)
    no = np.where(stated, outside, far > FAR_MM + 0.1)
    lacks = np.isnan(w.width) | np.isnan(w.section)
    return grade(no=no & ~lacks, measure=lacks | (~stated & ~(far <= NEAR_MM + 0.1)))


def _tell_widths(v: View, g: int) -> Told:
    width, tyre = v.wheel.width, v.tyre
    if tyre is None or tyre.designation is None or np.isnan(width):
        return Told(
            "Not known: the rim's width or the tyre's size.",
            (NOT_KNOWN,),
            "read 6.5J or the like off the rim, the size off the tyre",
        )
    inches = f"{width / MM_PER_INCH:g}"
    if tyre.rim_widths:
        low, high = tyre.rim_widths
        rests = v.rests((tyre, "rim_widths"), (v.rim, "width_in"))
        text = f"The tyre is made for rims from {low.width_in:g} to {high.width_in:g} in; this one has {inches}."
        return Told(text, rests, "leave it" if g == NOT else "")
    rests = (*v.rests((v.rim, "width_in")), MEASURING_RIM, _RATIO)
    measuring = (
        "one that its marking does not tell"
        if np.isnan(v.wheel.measuring)
        else f"one of {v.wheel.measuring / MM_PER_INCH:g} in"
    )
    text = f"The rim has {inches} in, the tyre is measured on {measuring}."
    if g == FITS:
        return Told(text, rests)
    return Told(
        text,
        rests,
        "leave it" if g == NOT else "look up in the tyre maker's table which rims it allows; note it as 'rim_widths'",
    )


def _speedometer(s: Scene) -> Grades:
    return spread(s.tables.speedometer, s.wheels.size, np.uint8(MEASURE))


def _tell_speedometer(v: View, g: int) -> Told:
    tyre, meant = v.tyre.designation if v.tyre else None, meant_tyre(v.car)
    around, should = v.wheel.around, v.numbers.meant_around
    if tyre is None or meant is None or np.isnan(around) or np.isnan(should):
        return Told(
            "Not known: how far a turn of the wheel goes, with this tyre or with the one that is meant.",
            (NOT_KNOWN,),
            "note both designations",
        )
    change = around / should - 1
    turns = f"{v.units.number(turns_per_km(around), 0)} turns a km"
    said = f"A turn goes {v.units.number(around, 0)} mm ({turns}), with {meant.size} {v.units.number(should, 0)} mm: {_signed(v, 100 * change)} %."
    rests = (ETRTO_CIRCUMFERENCE, R39)
    if tyre.size == meant.size:
        return Told("The same size as the one that is meant: the speedometer shows what it did.", rests)
    if g == FITS:
        why = (
            "The size is named for the car."
            if v.car.speedometer_shows is None
            else "By the comparison that you made it stays allowed."
        )
        return Told(f"{said} {why}", (*rests, *v.rests((v.car, "placard"))))
    if g == NOT:
        return Told(
            f"{said} The speedometer would show what UN R39 does not allow.",
            rests,
            "leave it, or ask who may set the speedometer anew",
        )
    now = must_show_now(1 + change, Speed(100.0))
    units = v.units
    if now.least > now.most:
        return Told(f"{said} No speedometer that is allowed now stays so.", rests, "leave it")
    range_now = (
        f"{units.show_speed(now.least)} to {units.show_speed(now.most)} at a true {units.show_speed(Speed(100.0))}"
    )
    text = f"{said} It stays allowed if the speedometer now shows {range_now}."
    way = "compare once by satellite on a straight level road, read by a passenger; note 'speedometer_shows' and 'speedometer_true'"
    return Told(text, (*rests, NOT_KNOWN), way)


def _signed(v: View, value: float) -> str:
    text = v.units.number(abs(value), 1)
    return f"{'+' if value > 0 else '−'}{text}" if float(text.replace(v.units.decimal_mark, ".")) else text


def axle_difference(s: Scene) -> Array:
    """How much further a turn goes at the front than at the rear, as a share; shape (1, sets, 1)."""
    around = s.wheels.around
    return around[:, :, :1] / around[:, :, 2:3] - 1


def _round_even(s: Scene) -> Grades:
    differs = np.abs(axle_difference(s)) > ROUND_EVEN
    together = (s.cars.all_wheel[..., :1] == 1) | (s.cars.indirect[..., :1] == 1)
    apart = (s.cars.all_wheel[..., :1] == 0) & (s.cars.indirect[..., :1] == 0)
    tread = s.wheels.tread
    worn = (
        np.nanmax(np.nan_to_num(tread, nan=-np.inf), axis=-1, keepdims=True)
        - np.nanmin(np.nan_to_num(tread, nan=np.inf), axis=-1, keepdims=True)
    ) > AWD_TREAD_MM
    uneven = worn & (s.cars.all_wheel[..., :1] == 1)
    lacks = np.isnan(axle_difference(s))
    return grade(no=(differs & together) | uneven, measure=(differs & ~apart) | lacks)


def _tell_round_even(v: View, g: int) -> Told:
    share = float(axle_difference(v.scene)[0, 0, 0])
    rests = (*v.rests((v.car, "all_wheel_drive"), (v.car, "monitor")), _EVEN)
    if np.isnan(share):
        return Told("Not known: how far front and rear tyres go in a turn.", rests, "note the designations of all four")
    said = (
        f"Front and rear go {_signed(v, 100 * share)} % apart in a turn."
        if abs(share) > 1e-6
        else "Front and rear go equally far in a turn."
    )
    if g == NOT and abs(share) <= ROUND_EVEN:
        return Told(
            f"{said} But their treads differ by more than 3 mm, which strains an all-wheel drive.",
            rests,
            "leave it, or get four alike",
        )
    if g == NOT:
        return Told(
            f"{said} All-wheel drive, and monitors that compare wheel speeds, bear no more than 1 %.", rests, "leave it"
        )
    if g == MEASURE:
        return Told(
            f"{said} Whether all wheels are driven, or the monitor compares wheel speeds, is not known.",
            rests,
            "note 'all_wheel_drive' and 'monitor'",
        )
    return Told(said, rests)


def _load_index(s: Scene) -> Grades:
    c, w = s.cars, s.wheels
    stated = ~np.isnan(c.load_index)
    below = np.where(stated, w.load_index < c.load_index, w.load < c.half_axle)
    return grade(no=below & ~np.isnan(w.load_index), measure=np.isnan(w.load_index) | (~stated & np.isnan(c.half_axle)))


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
        half = v.numbers.half_axle
        if np.isnan(half):
            return Told(
                f"It has {index} ({bears}); what the car requires is not known.",
                (*rests, NOT_KNOWN),
                "note 'load_index', or the axle loads",
            )
        text = f"It has {index} ({bears}); half of the axle's greatest load is {v.kg(half)}."
        return Told(
            text, (*rests, *v.rests((v.car, f"axle_load_{v.corner.axle}")), _AXLES), "leave it" if g == NOT else ""
        )
    text = f"It has {index} ({bears}); the car requires {need} ({v.units.show_mass(load_of(need))})."
    rests = (*rests, *v.rests((v.car, "load_index")))
    if g != NOT:
        return Told(text, rests)
    more = ""
    if not np.isnan(v.numbers.half_axle) and v.wheel.load >= v.numbers.half_axle:
        more = " It would bear half of the axle's greatest load, which is enough in some places: ask the local rule."
    return Told(f"{text}{more}", rests, "leave it: no pressure makes up for an index that is too low")


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


def _speed_symbol(s: Scene) -> Grades:
    need = np.where(np.isnan(s.cars.needs_speed), s.cars.top_speed, s.cars.needs_speed)
    slow = s.wheels.speed < need
    return grade(
        no=slow & ~(s.wheels.winter == 1), measure=unknown(need, s.wheels.speed) | (slow & (s.wheels.winter == 1))
    )


def _tell_speed_symbol(v: View, g: int) -> Told:
    symbol = v.tyre.designation.speed_symbol if v.tyre and v.tyre.designation else None
    stated = v.car.speed_symbol is not None
    rests = (*v.rests((v.tyre, "designation"), (v.car, "speed_symbol" if stated else "top_speed")), _RATING)
    if symbol is None:
        return Told("Not known: the speed symbol.", (NOT_KNOWN,), "read the letter behind the load index")
    has = f"{symbol} ({v.units.show_speed(speed_of(symbol))})"
    need = v.numbers.needs_speed if stated else v.numbers.top_speed
    if np.isnan(need):
        return Told(
            f"It has {has}; what the car requires is not known.",
            (*rests, NOT_KNOWN),
            "note 'speed_symbol', or 'top_speed'",
        )
    text = f"It has {has}; the car {'requires ' + str(v.car.speed_symbol) if stated else 'reaches'} ({v.units.show_speed(Speed(need))})."
    if g == NOT:
        return Told(text, rests, "leave it")
    if g == MEASURE:
        return Told(
            text,
            (*rests, NOT_KNOWN),
            "some places allow this for winter tyres with a sticker in the driver's sight: ask the local rule",
        )
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
    return grade(no=_at_most(s) < half, measure=unknown(bears, half) | (bears < half))


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
    speed = v.car.top_speed or ORDINARY
    at = f"at {v.kpa(pressure)} and up to {v.units.show_speed(speed)}"
    half, most = v.numbers.half_axle, at_corner(_at_most(v.scene), v)
    if g == NOT:
        text = f"It carries {v.kg(most)} at most up to {v.units.show_speed(speed)}; half of the axle's greatest load is {v.kg(half)}."
        return Told(f"{text} No pressure carries that.", rests, "leave it")
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
    tyre, meant = v.tyre.designation if v.tyre else None, meant_tyre(v.car)
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
    text = f"It is marked for {v.kpa(v.wheel.tyre_pressure)}; the placard wants up to {v.kpa(used)}."
    return Told(text, rests, "leave it" if g == NOT else "")


_T = Question.TYRE
RULES = (
    Rule(_T, "size", "Size named for the car", _listed, _tell_listed),
    Rule(_T, "rim-width", "Rim width", _widths, _tell_widths),
    Rule(_T, "speedometer", "Speedometer", _speedometer, _tell_speedometer),
    Rule(_T, "round-even", "Front against rear", _round_even, _tell_round_even, whole=True),
    Rule(_T, "load-index", "Load index", _load_index, _tell_load_index),
    Rule(_T, "speed-symbol", "Speed symbol", _speed_symbol, _tell_speed_symbol),
    Rule(_T, "capacity", "Load at pressure and speed", _capacity, _tell_capacity),
    Rule(_T, "tyre-pressure", "Tyre pressure", _tyre_pressure, _tell_tyre_pressure),
)
"""Rules of the tyre, in the order in which they are told."""
