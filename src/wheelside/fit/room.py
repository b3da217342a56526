"""Is there room for the wheel: inward, outward and upward of where the present one lies."""

from __future__ import annotations

import math

from wheelside.finding import Basis, Ground
from wheelside.fit.facts import N
from wheelside.fit.number import Grade, choose, grade, higher, no, unknown
from wheelside.fit.pair import Pair, once
from wheelside.fit.rule import NOT_KNOWN, Rule, Told, View
from wheelside.fit.verdict import MEASURE, NOT, Question
from wheelside.rim.lie import ISO_3911, lie, moved
from wheelside.tyre.geometry import R30
from wheelside.units import Length

SAFE_MM = 5.0
"""Room that is to be left of what was measured: a tyre of usual size may be so much wider on each side, with its inset rounded."""
TALLER = 0.015
"""By so much may a tyre that is not named be taller or lower than the one that is meant."""
_TALL = Basis(Ground.PRACTICE, "within 1.5 % of the diameter; no source")
_JUDGED = Basis(
    Ground.JUDGEMENT, "5 mm are to be left: a tyre may be 4 % wider than meant (UN R30), an inset is rounded"
)
_MEASURE_ROOM = (
    "with the present wheels on, turn the steering to both locks and measure the least room to strut, brake line and arch; "
    "note it as 'room_inside' and 'room_outside' of the car"
)


@once
def wider_by(p: Pair[N]) -> N:
    """By how much each side reaches further from the rim's centre, in mm: tyre or rim, whatever is widest; the rims alone without both tyres."""
    c, w = p.car, p.wheel
    widest = higher(w.section, w.width) - higher(c.present_section, c.present_width)
    wider: N = choose(unknown(w.section, c.present_section), w.width - c.present_width, widest) / 2
    return wider


def inward(p: Pair[N]) -> N:
    """How much nearer the inner side comes to what lies inward, in mm; negative where it moves away."""
    c, w = p.car, p.wheel
    return wider_by(p) + (w.inset - c.present_inset)


def outward(p: Pair[N]) -> N:
    """How much further the outer side comes out, in mm."""
    c, w = p.car, p.wheel
    return wider_by(p) - (w.inset - c.present_inset)


def _by_room(p: Pair[N], moves: N, room: N) -> Grade:
    c, w = p.car, p.wheel
    lacks = unknown(moves, w.section, c.present_section, w.width, c.present_width)
    tight = (moves > 0.05) & no(moves <= room - SAFE_MM)
    return grade(no=moves > room, measure=(lacks | tight) & no(moves > room))


def _inside(p: Pair[N]) -> Grade:
    return _by_room(p, inward(p), p.car.room_inside)


def _outside(p: Pair[N]) -> Grade:
    return _by_room(p, outward(p), p.car.room_outside)


def _rim_moves(v: View) -> str:
    """Where both edges of the rim come to lie, and what the track does; '' where that is not known."""
    numbers = (v.numbers.present_width, v.numbers.present_inset, v.wheel.width, v.wheel.inset)
    if any(math.isnan(n) for n in numbers):
        return ""
    by = moved(lie(numbers[0], numbers[1]), lie(numbers[2], numbers[3]))
    return (
        f"Against the present rim the inner edge lies {_way(v, -by.inner_mm, 'further in', 'further out')}, the outer one "
        f"{_way(v, by.outer_mm, 'further out', 'further in')}; the track {_way(v, by.track_mm, 'wider', 'narrower')}."
    )


def _way(v: View, mm: float, plus: str, minus: str) -> str:
    if abs(mm) < 0.05:
        return "as before"
    return f"{v.mm(abs(mm))} {plus if mm > 0 else minus}"


def _tell_side(v: View, g: int, moves: float, key: str, towards: str) -> Told:
    room: Length | None = getattr(v.car, key)
    rests = (*v.rests((v.rim, "inset"), (v.rim, "width_in")), ISO_3911)
    edges = _rim_moves(v)
    if math.isnan(moves):
        what = "Not known: width or inset of the rim, or of the present one."
        way = "read both off the rim (behind a spoke or inside: 6.5J, ET46), and off the present one"
        return Told(what, (*v.rests((v.rim, "inset"), (v.rim, "width_in")), NOT_KNOWN), way)
    said = f"The wheel comes {v.mm(abs(moves))} {'nearer to' if moves > 0 else 'away from'} {towards}, tyre included. {edges}".strip()
    if math.isnan(v.wheel.width) or math.isnan(v.numbers.present_width):
        return Told(
            "Not known: how wide the rim is, or the one that is on now.",
            (*rests, NOT_KNOWN),
            "read both off the rims, as in 6.5J",
        )
    if math.isnan(v.wheel.section) or math.isnan(v.numbers.present_section):
        text = f"Not known: how wide the tyre is, or the one that is on now. {edges}".strip()
        return Told(text, (*rests, NOT_KNOWN), "note the designations of both; a tyre reaches further than its rim")
    if abs(moves) < 0.05:
        said = f"Its side lies where the present one does. {edges}".strip()
    if moves <= 0.05:
        return Told(said, rests)
    if room is None:
        return Told(f"{said} Whether there is room at full lock is not known.", (*rests, NOT_KNOWN), _MEASURE_ROOM)
    rests = (*rests, v.car.basis(key))
    if g == NOT:
        return Told(f"{said} There are only {v.mm(room.mm)}.", rests, "leave it")
    if g == MEASURE:
        return Told(f"{said} Of {v.mm(room.mm)} too little is left.", (*rests, _JUDGED), _MEASURE_ROOM)
    return Told(f"{said} {v.mm(room.mm - moves)} of {v.mm(room.mm)} are left.", rests)


def _tell_inside(v: View, g: int) -> Told:
    return _tell_side(v, g, inward(v.pair), "room_inside", "strut and brake")


def _tell_outside(v: View, g: int) -> Told:
    told = _tell_side(v, g, outward(v.pair), "room_outside", "the edge of the wing")
    if outward(v.pair) > 0.05:
        return Told(told.text + " What may stand out of the body is a local rule.", told.basis, told.way_out)
    return told


def _height(p: Pair[N]) -> Grade:
    taller = p.wheel.diameter / p.car.meant_diameter - 1
    return grade(measure=unknown(taller) | ((abs(taller) > TALLER) & no(p.both.named == 1)))


def _tell_height(v: View, g: int) -> Told:
    mine, meant = v.wheel.diameter, v.numbers.meant_diameter
    rests = (R30, _TALL)
    if math.isnan(mine) or math.isnan(meant):
        return Told(
            "Not known: how tall the tyre is, or the one that is meant.",
            (*rests, NOT_KNOWN),
            "note the designations of both",
        )
    change = (mine - meant) / 2
    if abs(change) < 0.05:
        return Told("It is as tall as the tyre that is meant.", rests)
    text = f"It reaches {v.mm(abs(change))} {'further' if change > 0 else 'less far'} up and down than the tyre that is meant."
    if g == MEASURE:
        way = "with the springs pressed and at both locks, measure the room above and in front of the present tyre; ask the handbook for the size"
        return Told(text, (*rests, NOT_KNOWN), way)
    return Told(text, rests)


_R = Question.RIM
RULES = (
    Rule(_R, "inside", "Room inward", _inside, _tell_inside),
    Rule(_R, "outside", "Room outward", _outside, _tell_outside),
    Rule(_R, "height", "Height under the arch", _height, _tell_height),
)
"""Rules of room, in the order in which they are told."""
