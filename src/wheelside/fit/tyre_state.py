"""Is the tyre still good, and does it go with the others: age, tread, likeness, direction of rotation, marks, damage."""

from __future__ import annotations

import math
from functools import reduce
from itertools import combinations

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.fit.facts import LEFT, RIGHT, N, WheelFacts
from wheelside.fit.match import Four, Match
from wheelside.fit.number import Grade, Mask, choose, count, grade, higher, known, lower, no, some, unknown
from wheelside.fit.rule import NOT_KNOWN, Rule, SetRule, ToldLine, View
from wheelside.fit.verdict import MEASURE, NOT, WITH_PART, Part, Question
from wheelside.said import Figure, Joined, listed, say
from wheelside.tyre.age import AGE, AgeStage, last_season_from, stage_of
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.wear import LEGAL_MM, TREAD_ADVICE, TREAD_LAW

MIXED_YEARS, UNLIKE_MM = 3.0, 2.0
"""Ages and treads further apart than this on one axle are asked about; judgement."""


def _age(m: Match[N]) -> Grade:
    w = m.wheel
    last = last_season_from()
    return grade(no=w.age_least > last, measure=unknown(w.age_least) | (w.age_most > last) | (w.made_later == 1))


def _tell_age(v: View, g: int) -> ToldLine:
    if v.tyre is None or v.tyre.date_code is None:
        return ToldLine(
            say("Not known: when it was made."),
            (NOT_KNOWN,),
            say("read the last four digits after DOT, on one side only; ask for a photo of each tyre"),
        )
    code, weeks = v.tyre.date_code, read_date_code(v.tyre.date_code)
    rests = (
        *v.rests((v.tyre, "date_code")),
        Basis(Ground.STANDARD, "49 CFR 574.5: weeks from Sunday to Saturday"),
        AGE,
    )
    if len(weeks) > 1 or len(code) == 3:
        text = say(
            "{code} has three digits: made before July 2000, in {value}.",
            code=code,
            value=listed((w.first.year for w in weeks), Joined.OR),
        )
        return ToldLine(text, rests, say("leave it"))
    if v.wheel.made_later == 1:
        text = say("{code}: the week from {first} is yet to come.", code=code, first=weeks[0].first)
        return ToldLine(
            text,
            rests,
            say("read the code again, week first, on the side that has all of it; leave a tyre whose code is made up"),
        )
    years = Figure(v.wheel.age_most, 1)
    text = say(
        "{code}: made in the week from {first}, {years} years ago.", code=code, first=weeks[0].first, years=years
    )
    if g == NOT:
        return ToldLine(
            say("{text} Less than a season is left until ten years, the usual ceiling.", text=text),
            rests,
            say("leave it, or allow for new tyres"),
        )
    stage = stage_of(v.wheel.age_most)
    if stage in (AgeStage.OLD, AgeStage.TOO_OLD):
        return ToldLine(
            say("{text} Some makers replace at six years.", text=text),
            rests,
            say("have the insides looked at when a tyre comes off"),
        )
    if stage is AgeStage.YEARLY:
        return ToldLine(text, rests, say("look for cracks every year"))
    return ToldLine(text, rests)


def used_up_at(w: WheelFacts[N]) -> N:
    """The depth at which a tyre is counted as used up, in mm: the owner's, never below the law's."""
    depth: N = choose(w.worn_at < LEGAL_MM, LEGAL_MM, w.worn_at)
    return depth


def below_law(m: Match[N]) -> Mask:
    """Where a tread is below what the law asks for in most places."""
    return m.wheel.tread < LEGAL_MM


def _tread(m: Match[N]) -> Grade:
    w = m.wheel
    return grade(no=w.tread <= used_up_at(w), measure=unknown(w.tread))


def _tell_tread(v: View, g: int) -> ToldLine:
    rests = (*v.rests((v.tyre, "tread")), TREAD_LAW, TREAD_ADVICE)
    if g == MEASURE:
        return ToldLine(
            say("Not known: the tread."), rests, say("measure in three grooves at three places; note the least")
        )
    text = say(
        "{tread} are left; counted as used up at {worn_at}.",
        tread=v.tread(v.wheel.tread),
        worn_at=v.tread(v.wheel.worn_at),
    )
    return ToldLine(text, rests, say("leave it, or allow for new tyres") if g == NOT else None)


def _tread_law(m: Match[N]) -> Grade:
    return grade(no=below_law(m), idle=no(below_law(m)))


def _tell_tread_law(v: View, _: int) -> ToldLine:
    text = say(
        "{tread} of tread are below the {legal_mm} that the law asks for in most places.",
        tread=v.tread(v.wheel.tread),
        legal_mm=v.tread(LEGAL_MM),
    )
    return ToldLine(text, (*v.rests((v.tyre, "tread")), TREAD_LAW), say("do not drive on it"))


def _apart(one: N, other: N, by: float) -> Mask:
    return abs(one - other) > by


def _differ(one: N, other: N) -> Mask:
    return (one != other) & known(one, other)


def _mixed(four: Four[N]) -> Grade:
    uneven = some(
        *(
            _differ(left.pattern, right.pattern) | _differ(left.size, right.size)
            | _differ(left.load_index, right.load_index) | _differ(left.speed, right.speed)
            for left, right in four.axles()
        )
    )  # fmt: skip
    seasons = some(*(_differ(one.season, other.season) for one, other in combinations(four.wheels, 2)))
    lacks = some(*(unknown(w.size, w.pattern, w.load_index, w.speed, w.season) for w in four.wheels))
    return grade(no=uneven | seasons, measure=lacks | _worn_apart(four) | _aged_apart(four))


def _worn_apart(four: Four[N]) -> Mask:
    """Where the two tyres of an axle are worn unlike."""
    return some(*(_apart(left.tread, right.tread, UNLIKE_MM) for left, right in four.axles()))


def _aged_apart(four: Four[N]) -> Mask:
    """Where the two tyres of an axle are years apart."""
    return some(*(_apart(left.age_most, right.age_most, MIXED_YEARS) for left, right in four.axles()))


def _tell_mixed(v: View, g: int) -> ToldLine:
    rests = (COMMON_PRACTICE,)
    wheels = v.four.wheels
    least, most = (reduce(edge, [w.age_most for w in wheels]) for edge in (lower, higher))
    ages = (
        say(" Their ages lie {most} years apart.", most=Figure(most - least, 1)) if most - least >= MIXED_YEARS else ""
    )
    front, rear = wheels[0].pattern, wheels[2].pattern
    unlike = say(" Front and rear have another pattern each.") if _differ(front, rear) else ""
    if g == NOT:
        way = say("leave it, or get tyres alike for each axle")
        return ToldLine(
            say(
                "Tyres of one axle are unlike in pattern, size, load index or speed symbol, or seasons are mixed.{ages}",
                ages=ages,
            ),
            rests,
            way,
        )
    if g == MEASURE and (_worn_apart(v.four) or _aged_apart(v.four)):
        what = say("worn unlike") if _worn_apart(v.four) else say("years apart")
        way = say("ask why, and look at the inner shoulders; unlike ones on one axle pull when braking")
        return ToldLine(say("Two tyres of one axle are {what}.{ages}", what=what, ages=ages), rests, way)
    if g == MEASURE:
        return ToldLine(
            say("Not known: whether they are alike.{ages}", ages=ages),
            (NOT_KNOWN,),
            say(
                "ask for a photo of each sidewall; note {pattern} and {designation} of each",
                pattern=v.key("tyre", "pattern"),
                designation=v.key("tyre", "designation"),
            ),
        )
    return ToldLine(
        say("The tyres of each axle are alike.{unlike}{ages}", unlike=unlike, ages=ages),
        rests,
        say("put the deeper ones where the handbook says") if unlike else None,
    )


def running(four: Four[N]) -> tuple[tuple[N, N], tuple[N, N]]:
    """How many tyres run for the left and for the right: front, then rear."""

    def of(axle: tuple[WheelFacts[N], WheelFacts[N]]) -> tuple[N, N]:
        one, other = axle
        return count(one.direction == LEFT, other.direction == LEFT), count(
            one.direction == RIGHT, other.direction == RIGHT
        )

    front, rear = four.axles()
    return of(front), of(rear)


def wrong_side(four: Four[N]) -> N:
    """How many tyres have to be turned so that each side has what runs on it. Wheels of one size can change axles."""
    (front_left, front_right), (rear_left, rear_right) = running(four)
    by_axle = _over(higher(front_left, front_right), 1) + _over(higher(rear_left, rear_right), 1)
    both = _over(higher(front_left + rear_left, front_right + rear_right), 2)
    turned: N = choose(four.wheels[0].size == four.wheels[2].size, both, by_axle)
    return turned


def _over(many: N, room: float) -> N:
    more: N = choose(many > room, many - room, 0.0)
    return more


def _direction(four: Four[N]) -> Grade:
    return grade(part=wrong_side(four) > 0, measure=some(*(unknown(w.direction) for w in four.wheels)))


def _tell_direction(v: View, g: int) -> ToldLine:
    rests = v.rests((v.tyre, "direction"))
    if g == MEASURE:
        return ToldLine(
            say("Not known: whether each tyre has a direction of rotation, and for which side it is mounted."),
            rests,
            say("look for an arrow on each sidewall; note {direction}", direction=v.key("tyre", "direction")),
        )
    front, rear = running(v.four)
    left, right = int(front[0] + rear[0]), int(front[1] + rear[1])
    if g == WITH_PART:
        turned = int(wrong_side(v.four))
        text = say(
            "{left} run for the left and {right} for the right: {turned} {value} on the wrong side.",
            left=left,
            right=right,
            turned=turned,
            value=say("is") if turned == 1 else say("are"),
        )
        return ToldLine(text, rests, say("have the tyre turned on its rim"))
    if left or right:
        return ToldLine(
            say(
                "{left} run for the left, {right} for the right. Put each on its own side, by the arrow.",
                left=left,
                right=right,
            ),
            rests,
        )
    return ToldLine(say("None has a direction of rotation."), rests)


def _winter_mark(m: Match[N]) -> Grade:
    w = m.wheel
    return grade(measure=no(w.marked == 1), idle=known(w.season) & no(w.winter == 1))


def _tell_winter_mark(v: View, g: int) -> ToldLine:
    rests = (*v.rests((v.tyre, "winter_mark")), Basis(Ground.STANDARD, "mountain with snowflake: UN R117"))
    if math.isnan(v.wheel.season):
        way = say(
            "look at the sidewall: mountain with snowflake, M+S, or neither; note {season} and {winter_mark}",
            season=v.key("tyre", "season"),
            winter_mark=v.key("tyre", "winter_mark"),
        )
        return ToldLine(say("Not known: for which season it is made."), (NOT_KNOWN,), way)
    if g == MEASURE:
        return ToldLine(
            say("No mark with mountain and snowflake is noted; many places ask for it in winter."),
            rests,
            say("look for it on the sidewall; which mark is asked for is a local rule"),
        )
    return ToldLine(say("It carries the mountain with the snowflake."), rests)


def _tyre_damage(m: Match[N]) -> Grade:
    return grade(no=m.wheel.tyre_damaged == 1, measure=unknown(m.wheel.tyre_damaged))


def _tell_tyre_damage(v: View, g: int) -> ToldLine:
    rests = v.rests((v.tyre, "damaged"))
    if g == NOT:
        return ToldLine(say("It is damaged."), rests, say("leave it; don't inflate it to see"))
    if g == MEASURE:
        way = say(
            "look at both sides and all round: bulges, cuts, cracks, plugs near the shoulder, an inner shoulder worn bare; stacks hide them"
        )
        return ToldLine(say("Not known: whether it has bulges, cuts, cracks, or was run flat."), rests, way)
    return ToldLine(say("No bulge, cut or crack was seen."), rests)


_T = Question.TYRE
RULES = (
    Rule(_T, "age", "Age", _age, _tell_age, advice=True),
    Rule(_T, "tread", "Tread", _tread, _tell_tread, advice=True),
    Rule(_T, "tread-law", "Tread by law", _tread_law, _tell_tread_law),
    SetRule(_T, "mixed", "Tyres alike", _mixed, _tell_mixed),
    SetRule(_T, "direction", "Direction of rotation", _direction, _tell_direction, Part.TURNING),
    Rule(_T, "winter-mark", "Season and mark", _winter_mark, _tell_winter_mark),
    Rule(_T, "tyre-damage", "Damage to the tyre", _tyre_damage, _tell_tyre_damage),
)
"""Rules of the tyre's state, in the order in which they are told."""
