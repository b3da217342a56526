"""Does the tyre suit the car, its load and speed, the rim it is on, and the ones beside it; and is it still good."""

from __future__ import annotations

import math
from functools import reduce

from wheelside.finding import Basis, Ground
from wheelside.fit.facts import N, number
from wheelside.fit.match import Four, Match
from wheelside.fit.named import meant_tyre, named_sizes
from wheelside.fit.number import Grade, choose, grade, higher, known, lower, no, unknown
from wheelside.fit.rule import NOT_KNOWN, Rule, SetRule, ToldLine, View
from wheelside.fit.verdict import FITS, MEASURE, NOT, Question
from wheelside.garage.words import ROAD_CORNERS
from wheelside.said import Figure, Said, say
from wheelside.tyre.designation import MM_PER_INCH
from wheelside.tyre.geometry import ETRTO_CIRCUMFERENCE, MEASURING_RIM, circumference_mm, turns_per_km
from wheelside.tyre.speedometer import R39, must_show_now
from wheelside.units import Speed

NEAR_MM, FAR_MM = 0.5 * MM_PER_INCH, 2.0 * MM_PER_INCH
"""A rim so near the measuring one is taken to be allowed, one so far beside it not to be; judgement."""
ROUND_EVEN = 0.01
"""Front and rear circumference of a car whose wheels turn together, or are compared, may differ by so much."""
AWD_TREAD_MM = 3.0

_RATIO = Basis(Ground.JUDGEMENT, "half an inch beside the measuring rim; the tyre maker's own range goes before")
_EVEN = Basis(Ground.PRACTICE, "front and rear within 1 %; no source")


def _listed(m: Match[N]) -> Grade:
    return grade(measure=no(m.both.named == 1))


def _tell_listed(v: View, g: int) -> ToldLine:
    rests = v.rests((v.tyre, "designation"), (v.car, "placard"))
    if v.tyre is None or v.tyre.designation is None:
        return ToldLine(
            say("Not known: the tyre's designation."),
            (NOT_KNOWN,),
            say("read all of it off the sidewall, such as 205/55 R16 91V"),
        )
    size = v.tyre.designation.size
    if g == MEASURE:
        named = sorted({one.size for one in named_sizes(v.car, v.corner)})
        every = {one.size for corner in ROAD_CORNERS for one in named_sizes(v.car, corner)}
        where = "" if every == set(named) else say(" for the {axle}", axle=v.corner.axle)
        text = say(
            "{size} is not among the sizes that are noted{where} ({named}).",
            size=size,
            where=where,
            named=", ".join(named) or "none",
        )
        return ToldLine(
            text,
            rests,
            say(
                "look in handbook and papers; what else is allowed, and by whom, is a local rule. Note it as {approved}",
                approved=v.key("car", "approved"),
            ),
        )
    return ToldLine(say("{size} is named for the car.", size=size), rests)


def _widths(m: Match[N]) -> Grade:
    w = m.wheel
    far = abs(w.width - w.measuring)
    stated = known(w.narrowest)
    outside = (w.width < w.narrowest - 0.1) | (w.width > w.widest + 0.1)
    refused = choose(stated, outside, far > FAR_MM + 0.1)
    lacks = unknown(w.width) | (no(stated) & unknown(w.measuring))
    return grade(no=refused & no(lacks), measure=lacks | (no(stated) & no(far <= NEAR_MM + 0.1)))


def _tell_widths(v: View, g: int) -> ToldLine:
    width, tyre = v.wheel.width, v.tyre
    if tyre is None or tyre.designation is None or math.isnan(width):
        return ToldLine(
            say("Not known: the rim's width or the tyre's size."),
            (NOT_KNOWN,),
            say("read 6.5J or the like off the rim, the size off the tyre"),
        )
    inches = Figure(width / MM_PER_INCH)
    if tyre.rim_widths:
        low, high = tyre.rim_widths
        rests = v.rests((tyre, "rim_widths"), (v.rim, "width_in"))
        text = say(
            "The tyre is made for rims from {width_in} to {width_in_2} in; this one has {inches}.",
            width_in=Figure(low.width_in),
            width_in_2=Figure(high.width_in),
            inches=inches,
        )
        return ToldLine(text, rests, say("leave it") if g == NOT else None)
    rests = (*v.rests((v.rim, "width_in")), MEASURING_RIM, _RATIO)
    measuring = (
        say("one that its marking does not tell")
        if math.isnan(v.wheel.measuring)
        else say("one of {measuring} in", measuring=Figure(v.wheel.measuring / MM_PER_INCH))
    )
    text = say("The rim has {inches} in, the tyre is measured on {measuring}.", inches=inches, measuring=measuring)
    if g == FITS:
        return ToldLine(text, rests)
    return ToldLine(
        text,
        rests,
        say("leave it")
        if g == NOT
        else say(
            "look up in the tyre maker's table which rims it allows; note it as {rim_widths}",
            rim_widths=v.key("tyre", "rim_widths"),
        ),
    )


def _speedometer(m: Match[N]) -> Grade:
    said = m.both.speedometer
    return grade(no=said == NOT, measure=said == MEASURE)


def _tell_speedometer(v: View, g: int) -> ToldLine:
    tyre, meant = v.tyre.designation if v.tyre else None, meant_tyre(v.car, ROAD_CORNERS[0])
    around, should = v.wheel.around, number(circumference_mm(meant) if meant else None)
    if g == FITS and (math.isnan(around) or math.isnan(should)):
        return ToldLine(say("The size is named for the car."), v.rests((v.car, "placard")))
    if tyre is None or meant is None or math.isnan(around) or math.isnan(should):
        return ToldLine(
            say("Not known: how far a turn of the wheel goes, with this tyre or with the one that is meant."),
            (NOT_KNOWN,),
            say("note both designations"),
        )
    change = around / should - 1
    turns = say("{around} turns a km", around=Figure(turns_per_km(around), 0))
    said = say(
        "A turn goes {around} mm ({turns}), with {size} {should} mm: {signed} %.",
        around=Figure(around, 0),
        turns=turns,
        size=meant.size,
        should=Figure(should, 0),
        signed=_signed(100 * change),
    )
    rests = (ETRTO_CIRCUMFERENCE, R39)
    if abs(change) < 1e-9:
        return ToldLine(
            say("A turn goes as far as with the tyre that is meant: the speedometer shows what it did."), rests
        )
    if g == FITS and v.match.both.named == 1:
        return ToldLine(say("{said} The size is named for the car.", said=said), (*rests, *v.rests((v.car, "placard"))))
    compared = v.rests((v.car, "speedometer_shows"))
    if g == FITS:
        return ToldLine(say("{said} By the comparison that you made it stays allowed.", said=said), (*rests, *compared))
    if g == NOT:
        return ToldLine(
            say("{said} The speedometer would show what UN R39 does not allow.", said=said),
            (*rests, *(compared if v.car.speedometer_shows else ())),
            say("leave it, or ask who may set the speedometer again"),
        )
    now = must_show_now(1 + change, Speed(100.0))
    if now.least > now.most:
        return ToldLine(say("{said} No speedometer that is allowed now stays so.", said=said), rests, say("leave it"))
    least, most = Speed(math.ceil(now.least.km_h)), Speed(math.floor(now.most.km_h))
    range_now = say("{least} to {most} at a true {value}", least=(least), most=(most), value=(Speed(100.0)))
    text = say("{said} It stays allowed if the speedometer now shows {range_now}.", said=said, range_now=range_now)
    way = say(
        "compare once by satellite on a straight level road, read by a passenger; note {speedometer_shows} and {speedometer_true}",
        speedometer_shows=v.key("car", "speedometer_shows"),
        speedometer_true=v.key("car", "speedometer_true"),
    )
    return ToldLine(text, (*rests, NOT_KNOWN), way)


def _signed(percent: float) -> Said | Figure:
    size = Figure(abs(percent), 1)
    if round(abs(percent), 1) == 0:
        return size
    return say("+{size}", size=size) if percent > 0 else say("−{size}", size=size)


def axle_difference(four: Four[N]) -> N:
    """How much further a turn goes at the front than at the rear, beside what the car is meant to have."""
    front, _, rear, _ = four.wheels
    made: N = four.cars[0].meant_around / four.cars[2].meant_around
    share: N = front.around / rear.around / choose(unknown(made), 1.0, made) - 1
    return share


def _round_even(four: Four[N]) -> Grade:
    difference, car = axle_difference(four), four.cars[0]
    differs = abs(difference) > ROUND_EVEN
    together = (car.all_wheel == 1) | (car.indirect == 1)
    apart = (car.all_wheel == 0) & (car.indirect == 0)
    treads = [wheel.tread for wheel in four.wheels]
    worn = (reduce(higher, treads) - reduce(lower, treads)) > AWD_TREAD_MM
    lacks = unknown(difference)
    return grade(
        no=(differs & together) | (worn & (car.all_wheel == 1)),
        measure=(differs & no(apart)) | (worn & unknown(car.all_wheel)) | lacks,
        idle=lacks & apart,
    )


def _apart(share: float) -> Said:
    if abs(share) <= 1e-6:
        return say("Front and rear go equally far in a turn, as they are meant to.")
    percent = Figure(abs(100 * share), 1)
    return say(
        "The front goes {percent} % {value} in a turn than it is meant to beside the rear.",
        percent=percent,
        value=say("further") if share > 0 else say("less far"),
    )


def _tell_round_even(v: View, g: int) -> ToldLine:
    share = axle_difference(v.four)
    told = [(v.car, key) for key in ("all_wheel_drive", "monitor") if getattr(v.car, key) is not None]
    rests = (*v.rests((v.tyre, "designation"), *told), _EVEN)
    if math.isnan(share):
        return ToldLine(
            say("Not known: how far front and rear tyres go in a turn."),
            rests,
            say("note the designations of all four"),
        )
    said = _apart(share)
    if g == NOT and abs(share) <= ROUND_EVEN:
        return ToldLine(
            say("{said} But their treads differ by more than 3 mm, which strains an all-wheel drive.", said=said),
            rests,
            say("leave it, or get four alike"),
        )
    if g == NOT:
        return ToldLine(
            say("{said} All-wheel drive, and monitors that compare wheel speeds, bear no more than 1 %.", said=said),
            rests,
            say("leave it"),
        )
    if g == MEASURE:
        return ToldLine(
            say(
                "{said} Treads differ, or turns do; whether all wheels are driven, or the monitor compares wheel speeds, is not known.",
                said=said,
            ),
            (*rests, NOT_KNOWN),
            say(
                "note {all_wheel_drive} and {monitor}",
                all_wheel_drive=v.key("car", "all_wheel_drive"),
                monitor=v.key("car", "monitor"),
            ),
        )
    return ToldLine(said, rests)


_T = Question.TYRE
RULES = (
    Rule(_T, "size", "Size named for the car", _listed, _tell_listed),
    Rule(_T, "rim-width", "Rim width", _widths, _tell_widths),
    Rule(_T, "speedometer", "Speedometer", _speedometer, _tell_speedometer),
    SetRule(_T, "round-even", "Front against rear", _round_even, _tell_round_even),
)
"""Rules of the tyre, in the order in which they are told."""
