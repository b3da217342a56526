"""Is the tyre still good, and does it go with the others: age, tread, likeness, direction of rotation, marks, damage."""

from __future__ import annotations

import numpy as np

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.fit.facts import Array, Flags, Grades, Scene
from wheelside.fit.rule import NOT_KNOWN, Rule, Told, View, grade, unknown
from wheelside.fit.verdict import MEASURE, NOT, WITH_PART, Part, Question
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.wear import AGE, LEGAL_MM, OLD_YEARS, TOO_OLD_YEARS, TREAD_ADVICE, TREAD_LAW, YEARLY_YEARS

MIXED_YEARS, UNLIKE_MM = 3.0, 2.0
"""Ages and treads further apart than this on one axle are asked about; judgement."""


def _age(s: Scene) -> Grades:
    w = s.wheels
    last = TOO_OLD_YEARS - 1
    return grade(no=w.age_least > last, measure=np.isnan(w.age_least) | (w.age_most > last) | (w.made_later == 1))


def _tell_age(v: View, g: int) -> Told:
    if v.tyre is None or v.tyre.date_code is None:
        return Told(
            "Not known: when it was made.",
            (NOT_KNOWN,),
            "read the last four digits after DOT, on one side only; ask for a photo of each tyre",
        )
    code, weeks = v.tyre.date_code, read_date_code(v.tyre.date_code)
    rests = (
        *v.rests((v.tyre, "date_code")),
        Basis(Ground.STANDARD, "49 CFR 574.5: weeks from Sunday to Saturday"),
        AGE,
    )
    if len(weeks) > 1 or len(code) == 3:
        text = f"{code} has three digits: made before July 2000, in {' or '.join(str(w.first.year) for w in weeks)}."
        return Told(text, rests, "leave it")
    if v.wheel.made_later == 1:
        text = f"{code}: the week from {weeks[0].first} is yet to come."
        return Told(
            text,
            rests,
            "read the code again, week first, on the side that has all of it; leave a tyre whose code is made up",
        )
    years = v.units.number(v.wheel.age_most, 1)
    text = f"{code}: made in the week from {weeks[0].first}, {years} years ago."
    if g == NOT:
        return Told(
            text + " Less than a season is left until ten years, the usual ceiling.",
            rests,
            "leave it, or reckon with new tyres",
        )
    if v.wheel.age_most >= OLD_YEARS:
        return Told(
            text + " Some makers replace at six years.", rests, "have the insides looked at when a tyre comes off"
        )
    if v.wheel.age_most >= YEARLY_YEARS:
        return Told(text, rests, "look for cracks every year")
    return Told(text, rests)


def _tread(s: Scene) -> Grades:
    w = s.wheels
    return grade(no=w.tread <= np.fmax(w.worn_at, LEGAL_MM), measure=np.isnan(w.tread))


def _tell_tread(v: View, g: int) -> Told:
    rests = (*v.rests((v.tyre, "tread")), TREAD_LAW, TREAD_ADVICE)
    if g == MEASURE:
        return Told("Not known: the tread.", rests, "measure in three grooves at three places; note the least")
    text = f"{v.tread(v.wheel.tread)} are left; counted as used up at {v.tread(v.wheel.worn_at)}."
    if v.wheel.tread < LEGAL_MM:
        text = f"{v.tread(v.wheel.tread)} are below the {v.tread(LEGAL_MM)} that the law asks for in most places."
    return Told(text, rests, "leave it, or reckon with new tyres" if g == NOT else "")


def _mates(column: Array) -> tuple[Array, Array]:
    """Left and right of each axle; shapes (1, sets, 2)."""
    return column[:, :, 0::2], column[:, :, 1::2]


def _across(column: Array) -> tuple[Array, Array]:
    """The least and the most of a set; infinite where nothing is known."""
    return np.nan_to_num(column, nan=np.inf).min(axis=-1, keepdims=True), np.nan_to_num(column, nan=-np.inf).max(
        axis=-1, keepdims=True
    )


def _mixed(s: Scene) -> Grades:
    w = s.wheels
    uneven = np.zeros((1, w.there.shape[1], 2), dtype=np.bool_)
    for column in (w.pattern, w.size, w.load_index, w.speed):
        left, right = _mates(column)
        uneven |= (left != right) & ~unknown(left, right)
    least, most = _across(w.season)
    seasons = most > least
    lacks = (
        unknown(w.size, w.pattern, w.load_index, w.speed, w.season).any(axis=-1, keepdims=True)
        | _worn_apart(s)
        | _aged_apart(s)
    )
    return grade(no=uneven.any(axis=-1, keepdims=True) | (seasons & np.isfinite(most)), measure=lacks)


def _worn_apart(s: Scene) -> Flags:
    """Where the two tyres of an axle are worn unlike."""
    left, right = _mates(s.wheels.tread)
    return np.asarray((np.abs(left - right) > UNLIKE_MM).any(axis=-1, keepdims=True))


def _aged_apart(s: Scene) -> Flags:
    """Where the two tyres of an axle are years apart."""
    left, right = _mates(s.wheels.age_most)
    return np.asarray((np.abs(left - right) > MIXED_YEARS).any(axis=-1, keepdims=True))


def _tell_mixed(v: View, g: int) -> Told:
    rests = (COMMON_PRACTICE,)
    w = v.scene.wheels
    least, most = (float(edge[0, 0, 0]) for edge in _across(w.age_most))
    ages = f" Their ages lie {v.units.number(most - least, 1)} years apart." if most - least >= MIXED_YEARS else ""
    front, rear = w.pattern[0, 0, 0], w.pattern[0, 0, 2]
    unlike = " Front and rear have another pattern each." if front != rear and not np.isnan([front, rear]).any() else ""
    if g == NOT:
        way = "leave it, or get tyres alike for each axle"
        return Told(
            f"Tyres of one axle are unlike in pattern, size, load index or speed symbol, or seasons are mixed.{ages}",
            rests,
            way,
        )
    if g == MEASURE and (_worn_apart(v.scene).any() or _aged_apart(v.scene).any()):
        what = "worn unlike" if _worn_apart(v.scene).any() else "years apart"
        way = "ask why, and look at the inner shoulders; unlike ones on one axle pull when braking"
        return Told(f"Two tyres of one axle are {what}.{ages}", rests, way)
    if g == MEASURE:
        return Told(
            f"Not known: whether they are alike.{ages}",
            (NOT_KNOWN,),
            "ask for a photo of each sidewall; note 'pattern' and 'designation' of each",
        )
    return Told(
        f"The tyres of each axle are alike.{unlike}{ages}",
        rests,
        "put the deeper ones where the handbook says" if unlike else "",
    )


def running(s: Scene) -> tuple[Array, Array]:
    """How many tyres run for the left and for the right on each axle; shapes (1, sets, 2)."""
    way = s.wheels.direction.reshape(*s.wheels.direction.shape[:2], 2, 2)
    left, right = ((way == number).sum(axis=-1).astype(np.float64) for number in s.sides)
    return left, right


def wrong_side(s: Scene) -> Array:
    """How many tyres have to be turned so that each side has what runs on it; shape (1, sets, 1). Wheels of one size can change axles."""
    left, right = running(s)
    by_axle = (np.maximum(np.maximum(left, right) - 1, 0)).sum(axis=-1, keepdims=True)
    both = np.maximum(np.maximum(left.sum(axis=-1), right.sum(axis=-1)) - 2, 0)[..., None]
    same = s.wheels.size[:, :, :1] == s.wheels.size[:, :, 2:3]
    return np.asarray(np.where(same, both, by_axle), dtype=np.float64)


def _direction(s: Scene) -> Grades:
    lacks = np.isnan(s.wheels.direction).any(axis=-1, keepdims=True)
    return grade(part=wrong_side(s) > 0, measure=lacks)


def _tell_direction(v: View, g: int) -> Told:
    rests = v.rests((v.tyre, "direction"))
    if g == MEASURE:
        return Told(
            "Not known: whether each tyre has a direction of rotation, and for which side it is mounted.",
            rests,
            "look for an arrow on each sidewall; note 'direction'",
        )
    left, right = (int(one.sum()) for one in running(v.scene))
    if g == WITH_PART:
        turned = int(wrong_side(v.scene)[0, 0, 0])
        text = f"{left} run for the left and {right} for the right: {turned} {'is' if turned == 1 else 'are'} on the wrong side."
        return Told(text, rests, "have the tyre turned on its rim")
    if left or right:
        return Told(f"{left} run for the left, {right} for the right. Put each on its own side, by the arrow.", rests)
    return Told("None has a direction of rotation.", rests)


def _winter_mark(s: Scene) -> Grades:
    w = s.wheels
    return grade(measure=~(w.marked == 1), idle=~np.isnan(w.season) & ~(w.winter == 1))


def _tell_winter_mark(v: View, g: int) -> Told:
    rests = (*v.rests((v.tyre, "winter_mark")), Basis(Ground.STANDARD, "mountain with snowflake: UN R117"))
    if np.isnan(v.wheel.season):
        way = "look at the sidewall: mountain with snowflake, M+S, or neither; note 'season' and 'winter_mark'"
        return Told("Not known: for which season it is made.", (NOT_KNOWN,), way)
    if g == MEASURE:
        return Told(
            "No mark with mountain and snowflake is noted; many places ask for it in winter.",
            rests,
            "look for it on the sidewall; which mark is asked for is a local rule",
        )
    return Told("It carries the mountain with the snowflake.", rests)


def _tyre_damage(s: Scene) -> Grades:
    return grade(no=s.wheels.tyre_damaged == 1, measure=np.isnan(s.wheels.tyre_damaged))


def _tell_tyre_damage(v: View, g: int) -> Told:
    rests = v.rests((v.tyre, "damaged"))
    if g == NOT:
        return Told("It is damaged.", rests, "leave it; don't inflate it to see")
    if g == MEASURE:
        way = "look at both sides and all round: bulges, cuts, cracks, plugs near the shoulder, an inner shoulder worn bare; stacks hide them"
        return Told("Not known: whether it has bulges, cuts, cracks, or was run flat.", rests, way)
    return Told("No bulge, cut or crack was seen.", rests)


_T = Question.TYRE
RULES = (
    Rule(_T, "age", "Age", _age, _tell_age),
    Rule(_T, "tread", "Tread", _tread, _tell_tread),
    Rule(_T, "mixed", "Tyres alike", _mixed, _tell_mixed, whole=True),
    Rule(_T, "direction", "Direction of rotation", _direction, _tell_direction, Part.TURNING, whole=True),
    Rule(_T, "winter-mark", "Season and mark", _winter_mark, _tell_winter_mark),
    Rule(_T, "tyre-damage", "Damage to the tyre", _tyre_damage, _tell_tyre_damage),
)
"""Rules of the tyre's state, in the order in which they are told."""
