"""Does the rim suit the hub, the brakes, the arch and the fasteners."""

from __future__ import annotations

import math

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.fit.facts import N
from wheelside.fit.match import Four, Match
from wheelside.fit.number import Grade, Mask, either, grade, known, no, some, unknown
from wheelside.fit.rule import NOT_KNOWN, Rule, SetRule, ToldLine, View
from wheelside.fit.use import ROUNDING_KPA, pressure_of_use, wanted_pressure
from wheelside.fit.verdict import MEASURE, NOT, WITH_PART, Part, Question
from wheelside.garage.words import ROAD_CORNERS
from wheelside.rim.fasten import ENGAGED, LEAST_DIAMETERS, MOST_DIAMETERS, engaged
from wheelside.said import Figure, Key, Said, say

SAME_CIRCLE_MM = 0.35
"""Circles this near are one: 114.3 is stamped 114, too. 112 and 114.3 are not."""
RING_FROM_MM, TIGHT_MM = 0.4, 0.2
"""From so much play on a hub wants a ring; a bore smaller by less than the other may be a matter of measuring."""
READ_MM = 0.01
"""Finer than this nothing is read."""
SAME_HOLE_MM = 0.4
_MARKED = Basis(Ground.STANDARD, "49 CFR 571.110: load on the wheel not above its rating")


def _complete(four: Four[N]) -> Grade:
    return grade(measure=some(*(wheel.there == 0 for wheel in four.wheels)))


def _tell_complete(v: View, g: int) -> ToldLine:
    lacking = ", ".join(corner.value for corner in ROAD_CORNERS if corner not in dict(v.set.wheels))
    if g == MEASURE:
        return ToldLine(
            say("The set names no wheel for: {lacking}.", lacking=lacking),
            v.rests((v.set, "wheels")),
            say(
                "ask whether there are four; name a wheel for each corner in {wheels}",
                wheels=Key("set", "wheels", v.set.id),
            ),
        )
    return ToldLine(say("There are four wheels."), v.rests((v.set, "wheels")))


def _circle(m: Match[N]) -> Grade:
    c, w = m.car, m.wheel
    differs = (w.bolt_count != c.bolt_count) | (abs(w.bolt_mm - c.bolt_mm) > SAME_CIRCLE_MM)
    lacks = unknown(c.bolt_mm, w.bolt_mm)
    return grade(no=differs & no(lacks), measure=lacks)


def _tell_circle(v: View, g: int) -> ToldLine:
    rim, car = v.rim.bolt_circle if v.rim else None, v.car.bolt_circle
    rests = v.rests((v.rim, "bolt_circle"), (v.car, "bolt_circle"))
    if rim is None or car is None:
        whose = " and ".join(["the rim's"] * (rim is None) + ["the car's"] * (car is None))
        return ToldLine(
            say("Not known: {whose} bolt circle.", whose=whose),
            rests,
            say(
                "count the bolts; with an even count measure across two opposite holes, centre to centre; with five, from the back of one hole "
                "to the middle of the second next, and look the circle up from that"
            ),
        )
    if g == NOT:
        text = say(
            "The rim has {rim}, the car {car}. Force may make it go on; it never comes to sit true.",
            rim=rim.text,
            car=car.text,
        )
        return ToldLine(text, rests, say("leave it; do not fit it with force or with bolts that give"))
    return ToldLine(say("Both have {car}.", car=car.text), rests)


def _bore(m: Match[N]) -> Grade:
    tight = m.car.bore - m.wheel.bore
    return grade(
        no=tight > TIGHT_MM + READ_MM, measure=unknown(tight) | a_shade_tight(m), part=-tight > RING_FROM_MM + READ_MM
    )


def a_shade_tight(m: Match[N]) -> Mask:
    """Where a bore is smaller than the hub by so little that it may be a matter of measuring."""
    tight = m.car.bore - m.wheel.bore
    return (tight > READ_MM) & (tight <= TIGHT_MM + READ_MM)


def _tell_bore(v: View, g: int) -> ToldLine:
    rests = v.rests((v.rim, "centre_bore"), (v.car, "centre_bore"))
    hub, bore = v.numbers.bore, v.wheel.bore
    measure = say("measure both with a calliper, to a tenth of a millimetre")
    if g == MEASURE and hub > bore:
        return ToldLine(
            say("The bore of {bore} is a shade smaller than the hub of {hub}.", bore=v.mm(bore), hub=v.mm(hub)),
            rests,
            say("{measure}, or try one on by hand", measure=measure),
        )
    if g == MEASURE:
        return ToldLine(say("Not known: the rim's bore or the hub's diameter."), rests, measure)
    if g == NOT:
        return ToldLine(
            say("The bore of {bore} does not go over the hub of {hub}.", bore=v.mm(bore), hub=v.mm(hub)),
            rests,
            say("leave it; a bore is not to be turned out at home"),
        )
    if g == WITH_PART:
        text = say(
            "The bore of {bore} is wider than the hub of {hub}: it wants rings {bore_2}/{hub_2}.",
            bore=v.mm(bore),
            hub=v.mm(hub),
            bore_2=Figure(bore, 1),
            hub_2=Figure(hub, 1),
        )
        return ToldLine(
            text,
            (*rests, COMMON_PRACTICE),
            say("fit rings of that size, or it shakes; look whether old ones stick in the rims"),
        )
    return ToldLine(say("The bore fits the hub of {hub}.", hub=v.mm(hub)), rests)


def _brakes(m: Match[N]) -> Grade:
    rim, least = rim_code(m), m.car.least_rim
    small = rim < least
    return grade(measure=unknown(rim, least) | small, no=small & (m.car.least_stated == 1))


def rim_code(m: Match[N]) -> N:
    """The rim's diameter in inches: as stamped, else as the tyre on it says."""
    code: N = either(m.wheel.rim, m.wheel.tyre_rim)
    return code


def _tell_brakes(v: View, g: int) -> ToldLine:
    code = v.wheel.tyre_rim if math.isnan(v.wheel.rim) else v.wheel.rim
    stated = v.car.least_rim is not None
    rests = (
        v.rests((v.car, "least_rim"))
        if stated
        else (Basis(Ground.OWNER, "the smallest rim that placard and papers name"),)
    )
    if math.isnan(code):
        return ToldLine(say("Not known: the rim's diameter."), (NOT_KNOWN,), say("read it off the rim or the tyre"))
    if math.isnan(v.numbers.least_rim):
        return ToldLine(
            say("Not known: the smallest rim that goes over the brakes."),
            (NOT_KNOWN,),
            say("look in the handbook; note it as {least_rim}", least_rim=v.key("car", "least_rim")),
        )
    if g == NOT:
        return ToldLine(
            say(
                "A rim of {code} in does not go over the brakes: {least_rim} in is the smallest.",
                code=Figure(code),
                least_rim=Figure(v.numbers.least_rim),
            ),
            rests,
            say("leave it"),
        )
    if g == MEASURE:
        text = say(
            "A rim of {code} in is smaller than {least_rim} in: it may foul the brake.",
            code=Figure(code),
            least_rim=Figure(v.numbers.least_rim),
        )
        return ToldLine(
            text, rests, say("ask the handbook, or try one rim on by hand before buying; then turn it round")
        )
    return ToldLine(
        say(
            "{code} in is no smaller than the {least_rim} in that go over the brakes. Spokes may still foul a calliper.",
            code=Figure(code),
            least_rim=Figure(v.numbers.least_rim),
        ),
        rests,
    )


def _tyre_on_rim(m: Match[N]) -> Grade:
    rim, tyre = m.wheel.rim, m.wheel.tyre_rim
    return grade(no=abs(rim - tyre) > 0.01, idle=unknown(rim, tyre))


def _tell_tyre_on_rim(v: View, g: int) -> ToldLine:
    rests = v.rests((v.rim, "width_in"), (v.tyre, "designation"))
    if g == NOT:
        text = say(
            "The rim is stamped {rim} in, the tyre says {tyre_rim} in.",
            rim=Figure(v.wheel.rim),
            tyre_rim=Figure(v.wheel.tyre_rim),
        )
        return ToldLine(text, rests, say("read both again; a tyre on another rim bursts when it is inflated"))
    return ToldLine(say("Rim and tyre are both {rim} in.", rim=Figure(v.wheel.rim)), rests)


def _other_seat(m: Match[N]) -> Mask:
    return (m.car.seat != m.wheel.seat) & known(m.car.seat, m.wheel.seat)


def _seat(m: Match[N]) -> Grade:
    return grade(part=_other_seat(m), measure=unknown(m.car.seat, m.wheel.seat))


def _tell_seat(v: View, g: int) -> ToldLine:
    rests = v.rests((v.rim, "seat"), (v.car, "seat"))
    if g == MEASURE:
        way = say(
            "look into a bolt hole of the rim, and at the car's own bolt or nut: cone, ball or flat; note {seat} of both",
            seat=v.key("rim", "seat"),
        )
        return ToldLine(
            say("Not known: the seat of the rim or of the car's fasteners. Seats are never mixed."), rests, way
        )
    assert v.rim is not None
    assert v.rim.seat is not None
    if g == WITH_PART:
        assert v.car.seat is not None
        text = say(
            "The rim's seat is {seat}, that of the car's own {fasteners} {seat_2}. Mixed seats come loose.",
            seat=v.rim.seat.value,
            fasteners=_fasteners(v),
            seat_2=v.car.seat.value,
        )
        thread = say(", thread {thread}", thread=v.car.thread.text) if v.car.thread else ""
        return ToldLine(
            text,
            (*rests, COMMON_PRACTICE),
            say(
                "get {fasteners} with seat {seat}{thread}, of the right length",
                fasteners=_fasteners(v),
                seat=v.rim.seat.value,
                thread=thread,
            ),
        )
    return ToldLine(say("Both have {seat}.", seat=v.rim.seat.value), rests)


def _fasteners(v: View) -> Said | str:
    return v.car.fastening.value if v.car.fastening else say("bolts or nuts")


def _engagement(m: Match[N]) -> Grade:
    reach = m.car.shank - m.wheel.seat_depth
    short, long = reach < LEAST_DIAMETERS * m.car.thread_mm, reach > MOST_DIAMETERS * m.car.thread_mm
    bolts, nuts = m.car.nuts == 0, m.car.nuts == 1
    unlike = _other_seat(m)
    others = bolts & unlike
    doubt = unknown(reach, m.car.thread_mm) | ((short | long | unlike) & unknown(m.car.nuts)) | (long & bolts)
    return grade(no=short & nuts, part=(short & bolts) | others, measure=doubt & no(others))


def _tell_engagement(v: View, g: int) -> ToldLine:
    car, rim = v.car, v.rim
    rests = (*v.rests((car, "fastener_length"), (rim, "seat_depth"), (car, "thread")), ENGAGED)
    if car.thread is not None and rim is not None and rim.seat_depth is not None and g == WITH_PART:
        least, most = (rim.seat_depth.mm + n * car.thread.diameter_mm for n in (LEAST_DIAMETERS, MOST_DIAMETERS))
        text = say(
            "The bolts for this rim want a shank of {least} to {most} below their seat; the car's own do not do.",
            least=v.mm(least),
            most=v.mm(most),
        )
        return ToldLine(
            text,
            rests,
            say(
                "get bolts so long; turn the hub by hand before driving: nothing may touch behind it. {turns}",
                turns=_TURNS,
            ),
        )
    if car.thread is None or car.fastener_length is None or rim is None or rim.seat_depth is None:
        return ToldLine(say("Not known: how far the thread will engage."), rests, _TURNS)
    reach = engaged(car.thread, car.fastener_length, rim.seat_depth)
    turns = say(", {turns} turns", turns=Figure(reach.turns, 1)) if reach.turns is not None else ""
    text = say(
        "{reach} of {thread} engage{turns}; {least_mm} are wanted at least.",
        reach=v.mm(reach.mm),
        thread=car.thread.text,
        turns=turns,
        least_mm=v.mm(reach.least_mm),
    )
    if g == NOT:
        return ToldLine(text, rests, say("leave it: the studs are the hub's"))
    if g == MEASURE and reach.enough:
        text = say(
            "{text} That is more than {most_diameters} diameters: a bolt may touch what turns behind the hub.",
            text=text,
            most_diameters=Figure(MOST_DIAMETERS, 1),
        )
        return ToldLine(
            text, rests, say("with the rim on, turn the hub by hand: nothing may touch; else get shorter bolts")
        )
    return ToldLine(
        text,
        rests,
        say("note whether bolts or nuts hold the wheels ({fastening})", fastening=v.key("car", "fastening"))
        if g == MEASURE
        else None,
    )


_TURNS = say(
    "With the rim on, count the turns by hand until it seats: turns times pitch is to be at least one thread diameter"
)


def _rim_load(m: Match[N]) -> Grade:
    lacks = unknown(m.wheel.rim_load, m.car.half_axle)
    return grade(no=m.wheel.rim_load < m.car.half_axle, measure=lacks)


def _tell_rim_load(v: View, g: int) -> ToldLine:
    axle = f"axle_load_{v.corner.axle}"
    rests = (*v.rests((v.rim, "max_load"), (v.car, axle)), _MARKED)
    if g == MEASURE:
        return ToldLine(
            say("Not known: the load that the rim is marked for, or the axle's greatest."),
            rests,
            say("read MAX LOAD behind a spoke, and the axle load off the plate"),
        )
    text = say(
        "The rim bears {rim_load}; half of the axle's greatest load is {half_axle}.",
        rim_load=v.kg(v.wheel.rim_load),
        half_axle=v.kg(v.numbers.half_axle),
    )
    return ToldLine(text, rests, say("leave it") if g == NOT else None)


def _rim_pressure(m: Match[N]) -> Grade:
    used = pressure_of_use(m)
    return grade(
        no=m.wheel.rim_pressure < used - ROUNDING_KPA,
        measure=unknown(used),
        idle=unknown(m.wheel.rim_pressure) & known(used),
    )


def _tell_rim_pressure(v: View, g: int) -> ToldLine:
    rests = v.rests((v.rim, "max_pressure"), (v.car, "placard"))
    if g == MEASURE:
        return ToldLine(say("Not known: the pressures that the car wants."), rests, say("note the placard"))
    text = say(
        "The rim is marked for {rim_pressure}; {v}.", rim_pressure=v.kpa(v.wheel.rim_pressure), v=wanted_pressure(v)
    )
    return ToldLine(text, rests, say("leave it") if g == NOT else None)


def _valve_hole(m: Match[N]) -> Grade:
    rim, valve = m.wheel.rim_valve, m.wheel.sensor_valve
    return grade(part=abs(rim - valve) > SAME_HOLE_MM, idle=unknown(rim, valve))


def _tell_valve_hole(v: View, g: int) -> ToldLine:
    rests = v.rests((v.rim, "valve_hole"), (v.sensor, "valve_hole"))
    if g == WITH_PART:
        text = say(
            "The valve hole is {rim_valve}, the sensor's valve is made for {sensor_valve}.",
            rim_valve=v.mm(v.wheel.rim_valve),
            sensor_valve=v.mm(v.wheel.sensor_valve),
        )
        return ToldLine(text, rests, say("get a valve for this hole; never bush it"))
    return ToldLine(say("The valve suits the hole of {rim_valve}.", rim_valve=v.mm(v.wheel.rim_valve)), rests)


def _rim_damage(m: Match[N]) -> Grade:
    return grade(no=m.wheel.rim_damaged == 1, measure=unknown(m.wheel.rim_damaged))


def _tell_rim_damage(v: View, g: int) -> ToldLine:
    rests = v.rests((v.rim, "damaged"))
    if g == NOT:
        return ToldLine(say("The rim is cracked, bent or welded."), rests, say("leave it"))
    if g == MEASURE:
        way = say(
            "turn it by hand and sight along both flanges; look for cracks between the spokes and on the inner barrel; ask about kerbs and welding"
        )
        return ToldLine(
            say("Not known: whether the rim is cracked, bent or welded. What lies inside the metal can't be seen."),
            rests,
            way,
        )
    return ToldLine(say("No crack, bend or weld was seen."), rests)


_R = Question.RIM
RULES = (
    SetRule(_R, "complete", "Four wheels", _complete, _tell_complete),
    Rule(_R, "bolt-circle", "Bolt circle", _circle, _tell_circle),
    Rule(_R, "centre-bore", "Centre bore", _bore, _tell_bore, Part.RINGS),
    Rule(_R, "brakes", "Over the brakes", _brakes, _tell_brakes),
    Rule(_R, "tyre-on-rim", "Tyre on this rim", _tyre_on_rim, _tell_tyre_on_rim),
    Rule(_R, "seat", "Seat of the fasteners", _seat, _tell_seat, Part.FASTENERS),
    Rule(_R, "engagement", "Thread engaged", _engagement, _tell_engagement, Part.FASTENERS),
    Rule(_R, "rim-load", "Rim load", _rim_load, _tell_rim_load),
    Rule(_R, "rim-pressure", "Rim pressure", _rim_pressure, _tell_rim_pressure),
    Rule(_R, "valve-hole", "Valve hole", _valve_hole, _tell_valve_hole, Part.VALVE),
    Rule(_R, "rim-damage", "Damage to the rim", _rim_damage, _tell_rim_damage),
)
"""Rules of the rim, in the order in which they are told."""
