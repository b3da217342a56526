"""Is there room for the wheel: inward, outward and upward of where the present one lies."""

from __future__ import annotations

import math

from wheelside.finding import Basis, Ground
from wheelside.fit.facts import N
from wheelside.fit.match import Match, once
from wheelside.fit.number import Grade, choose, grade, higher, no, unknown
from wheelside.fit.rule import NOT_KNOWN, Rule, ToldLine, View
from wheelside.fit.verdict import MEASURE, NOT, Question
from wheelside.rim.lie import ISO_3911, lie, moved
from wheelside.said import Said, say
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


@once
def wider_by(m: Match[N]) -> N:
    """By how much each side reaches further from the rim's centre, in mm: tyre or rim, whatever is widest; the rims alone without both tyres."""
    c, w = m.car, m.wheel
    widest = higher(w.section, w.width) - higher(c.present_section, c.present_width)
    wider: N = choose(unknown(w.section, c.present_section), w.width - c.present_width, widest) / 2
    return wider


def inward(m: Match[N]) -> N:
    """How much nearer the inner side comes to what lies inward, in mm; negative where it moves away."""
    c, w = m.car, m.wheel
    return wider_by(m) + (w.inset - c.present_inset)


def outward(m: Match[N]) -> N:
    """How much further the outer side comes out, in mm."""
    c, w = m.car, m.wheel
    return wider_by(m) - (w.inset - c.present_inset)


def _by_room(m: Match[N], moves: N, room: N) -> Grade:
    c, w = m.car, m.wheel
    lacks = unknown(moves, w.section, c.present_section, w.width, c.present_width)
    tight = (moves > 0.05) & no(moves <= room - SAFE_MM)
    return grade(no=moves > room, measure=(lacks | tight) & no(moves > room))


def _inside(m: Match[N]) -> Grade:
    return _by_room(m, inward(m), m.car.room_inside)


def _outside(m: Match[N]) -> Grade:
    return _by_room(m, outward(m), m.car.room_outside)


def _measure_room(v: View) -> Said:
    return say(
        "with the present wheels on, turn the steering to both locks and measure the least room to strut, brake line and arch; "
        "note it as {room_inside} and {room_outside} of the car",
        room_inside=v.key("car", "room_inside"), room_outside=v.key("car", "room_outside"),
    )  # fmt: skip


def _rim_moves(v: View) -> Said | str:
    """Where both edges of the rim come to lie, and what the track does; '' where that is not known."""
    numbers = (v.numbers.present_width, v.numbers.present_inset, v.wheel.width, v.wheel.inset)
    if any(math.isnan(n) for n in numbers):
        return ""
    by = moved(lie(numbers[0], numbers[1]), lie(numbers[2], numbers[3]))
    return say(
        "Against the present rim the inner edge lies {way}, the outer one {way_2}; the track {way_3}.",
        way=_way(v, -by.inner_mm, say("further in"), say("further out")),
        way_2=_way(v, by.outer_mm, say("further out"), say("further in")),
        way_3=_way(v, by.track_mm, say("wider"), say("narrower")),
    )


def _way(v: View, mm: float, plus: Said, minus: Said) -> Said:
    if abs(mm) < 0.05:
        return say("as before")
    return say("{mm} {plus}", mm=v.mm(abs(mm)), plus=plus if mm > 0 else minus)


def _tell_side(v: View, g: int, moves: float, key: str, towards: Said) -> ToldLine:
    room: Length | None = getattr(v.car, key)
    rests = (*v.rests((v.rim, "inset"), (v.rim, "width_in")), ISO_3911)
    moved_by = _rim_moves(v)
    edges = say(" {moved}", moved=moved_by) if moved_by else ""
    if math.isnan(moves):
        what = say("Not known: width or inset of the rim, or of the present one.")
        way = say("read both off the rim (behind a spoke or inside: 6.5J, ET46), and off the present one")
        return ToldLine(what, (*v.rests((v.rim, "inset"), (v.rim, "width_in")), NOT_KNOWN), way)
    said = say(
        "The wheel comes {far} {nearer} {towards}, tyre included.{edges}",
        far=v.mm(abs(moves)), nearer=say("nearer to") if moves > 0 else say("away from"), towards=towards, edges=edges,
    )  # fmt: skip
    if math.isnan(v.wheel.width) or math.isnan(v.numbers.present_width):
        return ToldLine(
            say("Not known: how wide the rim is, or the one that is on now."),
            (*rests, NOT_KNOWN),
            say("read both off the rims, as in 6.5J"),
        )
    if math.isnan(v.wheel.section) or math.isnan(v.numbers.present_section):
        text = say("Not known: how wide the tyre is, or the one that is on now.{edges}", edges=edges)
        return ToldLine(
            text, (*rests, NOT_KNOWN), say("note the designations of both; a tyre reaches further than its rim")
        )
    if abs(moves) < 0.05:
        said = say("Its side lies where the present one does.{edges}", edges=edges)
    if moves <= 0.05:
        return ToldLine(said, rests)
    if room is None:
        return ToldLine(
            say("{said} Whether there is room at full lock is not known.", said=said),
            (*rests, NOT_KNOWN),
            _measure_room(v),
        )
    rests = (*rests, v.car.basis(key))
    if g == NOT:
        return ToldLine(say("{said} There are only {room}.", said=said, room=v.mm(room.mm)), rests, say("leave it"))
    if g == MEASURE:
        return ToldLine(
            say("{said} Of {room} too little is left.", said=said, room=v.mm(room.mm)),
            (*rests, _JUDGED),
            _measure_room(v),
        )
    return ToldLine(
        say("{said} {room} of {room_2} are left.", said=said, room=v.mm(room.mm - moves), room_2=v.mm(room.mm)), rests
    )


def _tell_inside(v: View, g: int) -> ToldLine:
    return _tell_side(v, g, inward(v.match), "room_inside", say("strut and brake"))


def _tell_outside(v: View, g: int) -> ToldLine:
    told = _tell_side(v, g, outward(v.match), "room_outside", say("the edge of the wing"))
    if outward(v.match) > 0.05:
        return ToldLine(
            say("{text} What may stand out of the body is a local rule.", text=told.text), told.basis, told.way_out
        )
    return told


def _height(m: Match[N]) -> Grade:
    taller = m.wheel.diameter / m.car.meant_diameter - 1
    return grade(measure=unknown(taller) | ((abs(taller) > TALLER) & no(m.both.named == 1)))


def _tell_height(v: View, g: int) -> ToldLine:
    mine, meant = v.wheel.diameter, v.numbers.meant_diameter
    rests = (R30, _TALL)
    if math.isnan(mine) or math.isnan(meant):
        return ToldLine(
            say("Not known: how tall the tyre is, or the one that is meant."),
            (*rests, NOT_KNOWN),
            say("note the designations of both"),
        )
    change = (mine - meant) / 2
    if abs(change) < 0.05:
        return ToldLine(say("It is as tall as the tyre that is meant."), rests)
    text = say(
        "It reaches {change} {value} up and down than the tyre that is meant.",
        change=v.mm(abs(change)),
        value=say("further") if change > 0 else say("less far"),
    )
    if g == MEASURE:
        way = say(
            "with the springs pressed and at both locks, measure the room above and in front of the present tyre; ask the handbook for the size"
        )
        return ToldLine(text, (*rests, NOT_KNOWN), way)
    return ToldLine(text, rests)


_R = Question.RIM
RULES = (
    Rule(_R, "inside", "Room inward", _inside, _tell_inside),
    Rule(_R, "outside", "Room outward", _outside, _tell_outside),
    Rule(_R, "height", "Height under the arch", _height, _tell_height),
)
"""Rules of room, in the order in which they are told."""
