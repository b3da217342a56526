"""Does the rim suit the hub, the brakes, the arch and the fasteners."""

from __future__ import annotations

import numpy as np

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.fit.facts import UNKNOWN, Array, Grades, Scene, spread
from wheelside.fit.rule import NOT_KNOWN, Rule, Told, View, grade, unknown
from wheelside.fit.verdict import MEASURE, NOT, WITH_PART, Part, Question
from wheelside.garage.words import ROAD_CORNERS, Fastening
from wheelside.rim.fasten import ENGAGED, LEAST_DIAMETERS, engaged
from wheelside.rim.lie import ISO_3911, lie, moved
from wheelside.units import Length

SAME_CIRCLE_MM = 0.35
"""Circles this near are one: 114.3 is stamped 114, too. 112 and 114.3 are not."""
RING_FROM_MM = 0.2
"""From so much play on, a hub wants a ring."""
SAFE_MM = 5.0
"""Room that is to be left of what was measured: a tyre of usual size may be so much wider on each side, with its inset rounded."""
SAME_HOLE_MM = 0.4
_JUDGED = Basis(
    Ground.JUDGEMENT, "5 mm are to be left: a tyre may be 4 % wider than meant (UN R30), an inset is rounded"
)
_MARKED = Basis(Ground.STANDARD, "49 CFR 571.110: load on the wheel not above its rating")
_MEASURE_ROOM = (
    "with the present wheels on, turn the steering to both locks and measure the least room to strut, brake line and arch; "
    "note it as 'room_inside' and 'room_outside' of the car"
)


def _complete(s: Scene) -> Grades:
    return grade(measure=(s.wheels.there == 0).any(axis=-1, keepdims=True))


def _tell_complete(v: View, g: int) -> Told:
    lacking = ", ".join(corner.value for corner in ROAD_CORNERS if corner not in dict(v.set.wheels))
    if g == MEASURE:
        return Told(
            f"The set names no wheel for: {lacking}.",
            v.rests((v.set, "wheels")),
            "ask whether there are four; name a [[wheel]] for each corner",
        )
    return Told("There are four wheels.", v.rests((v.set, "wheels")))


def _circle(s: Scene) -> Grades:
    c, w = s.cars, s.wheels
    differs = (w.bolt_count != c.bolt_count) | (np.abs(w.bolt_mm - c.bolt_mm) > SAME_CIRCLE_MM)
    lacks = unknown(c.bolt_mm, w.bolt_mm)
    return grade(no=differs & ~lacks, measure=lacks)


def _tell_circle(v: View, g: int) -> Told:
    rim, car = v.rim.bolt_circle if v.rim else None, v.car.bolt_circle
    rests = v.rests((v.rim, "bolt_circle"), (v.car, "bolt_circle"))
    if rim is None or car is None:
        whose = " and ".join(["the rim's"] * (rim is None) + ["the car's"] * (car is None))
        return Told(
            f"Not known: {whose} bolt circle.",
            rests,
            "count the bolts; with an even count measure across two opposite holes, centre to centre; with five, from the back of one hole "
            "to the middle of the second next, and look the circle up from that",
        )
    if g == NOT:
        text = f"The rim has {rim.text}, the car {car.text}. Force may make it go on; it never comes to sit true."
        return Told(text, rests, "leave it; do not fit it with force or with bolts that give")
    return Told(f"Both have {car.text}.", rests)


def _bore(s: Scene) -> Grades:
    c, w = s.cars.bore, s.wheels.bore
    return grade(no=w < c - 0.05, measure=unknown(c, w), part=w - c > RING_FROM_MM)


def _tell_bore(v: View, g: int) -> Told:
    rests = v.rests((v.rim, "centre_bore"), (v.car, "centre_bore"))
    hub, bore = v.numbers.bore, v.wheel.bore
    if g == MEASURE:
        return Told(
            "Not known: the rim's bore or the hub's diameter.",
            rests,
            "measure both with a calliper, to a tenth of a millimetre",
        )
    if g == NOT:
        return Told(
            f"The bore of {v.mm(bore)} does not go over the hub of {v.mm(hub)}.",
            rests,
            "leave it; a bore is not to be turned out at home",
        )
    if g == WITH_PART:
        text = f"The bore of {v.mm(bore)} is wider than the hub of {v.mm(hub)}: it wants rings {v.units.number(bore, 1)}/{v.units.number(hub, 1)}."
        return Told(
            text,
            (*rests, COMMON_PRACTICE),
            "fit rings of that size, or it shakes; look whether old ones stick in the rims",
        )
    return Told(f"The bore fits the hub of {v.mm(hub)}.", rests)


def wider_by(s: Scene) -> Array:
    """By how much each side reaches further from the rim's centre, in mm: tyre or rim, whatever is widest; the rims alone without both tyres."""
    c, w = s.cars, s.wheels
    widest = np.fmax(w.section, w.width) - np.fmax(c.present_section, c.present_width)
    return np.where(unknown(w.section, c.present_section), w.width - c.present_width, widest) / 2


def inward(s: Scene) -> Array:
    """How much nearer the inner side comes to what lies inward, in mm; negative where it moves away."""
    c, w = s.cars, s.wheels
    return wider_by(s) + (w.inset - c.present_inset)


def outward(s: Scene) -> Array:
    """How much further the outer side comes out, in mm."""
    c, w = s.cars, s.wheels
    return wider_by(s) - (w.inset - c.present_inset)


def _by_room(moves: Array, room: Array) -> Grades:
    lacks = unknown(moves)
    tight = (moves > 0.05) & ~(moves <= room - SAFE_MM)
    return grade(no=moves > room, measure=(lacks | tight) & ~(moves > room))


def _inside(s: Scene) -> Grades:
    return _by_room(inward(s), s.cars.room_inside)


def _outside(s: Scene) -> Grades:
    return _by_room(outward(s), s.cars.room_outside)


def _rim_moves(v: View) -> str:
    """Where both edges of the rim come to lie, and what the track does; '' where that is not known."""
    numbers = (v.numbers.present_width, v.numbers.present_inset, v.wheel.width, v.wheel.inset)
    if any(np.isnan(n) for n in numbers):
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
    if np.isnan(moves):
        what = "Not known: width or inset of the rim, or of the present one."
        way = "read both off the rim (behind a spoke or inside: 6.5J, ET46), and off the present one"
        return Told(what, (*v.rests((v.rim, "inset"), (v.rim, "width_in")), NOT_KNOWN), way)
    said = f"The wheel comes {v.mm(abs(moves))} {'nearer to' if moves > 0 else 'away from'} {towards}, tyre included. {edges}".strip()
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
    return _tell_side(v, g, at_corner(inward(v.scene), v), "room_inside", "strut and brake")


def _tell_outside(v: View, g: int) -> Told:
    told = _tell_side(v, g, at_corner(outward(v.scene), v), "room_outside", "the edge of the wing")
    if at_corner(outward(v.scene), v) > 0.05:
        return Told(told.text + " What may stand out of the body is a local rule.", told.basis, told.way_out)
    return told


def at_corner(column: Array, v: View) -> float:
    """One pair's number at one corner."""
    return float(np.broadcast_to(column, (1, 1, len(ROAD_CORNERS)))[0, 0, ROAD_CORNERS.index(v.corner)])


def _brakes(s: Scene) -> Grades:
    rim, least = rim_code(s), s.cars.least_rim
    small = rim < least
    return grade(measure=unknown(rim, least) | small, no=small & (s.cars.least_stated == 1))


def rim_code(s: Scene) -> Array:
    """The rim's diameter in inches: as stamped, else as the tyre on it says."""
    return np.where(np.isnan(s.wheels.rim), s.wheels.tyre_rim, s.wheels.rim)


def _tell_brakes(v: View, g: int) -> Told:
    code = v.wheel.tyre_rim if np.isnan(v.wheel.rim) else v.wheel.rim
    stated = v.car.least_rim is not None
    rests = (
        v.rests((v.car, "least_rim"))
        if stated
        else (Basis(Ground.OWNER, "the smallest rim that placard and papers name"),)
    )
    if np.isnan(code):
        return Told("Not known: the rim's diameter.", (NOT_KNOWN,), "read it off the rim or the tyre")
    if np.isnan(v.numbers.least_rim):
        return Told(
            "Not known: the smallest rim that goes over the brakes.",
            (NOT_KNOWN,),
            "look in the handbook; note it as 'least_rim'",
        )
    if g == NOT:
        return Told(
            f"A rim of {code:g} in does not go over the brakes: {v.numbers.least_rim:g} in is the smallest.",
            rests,
            "leave it",
        )
    if g == MEASURE:
        text = f"A rim of {code:g} in is smaller than {v.numbers.least_rim:g} in: it may foul the brake."
        return Told(text, rests, "ask the handbook, or try one rim on by hand before buying; then turn it round")
    return Told(
        f"{code:g} in is no smaller than the {v.numbers.least_rim:g} in that go over the brakes. Spokes may still foul a calliper.",
        rests,
    )


def _tyre_on_rim(s: Scene) -> Grades:
    rim, tyre = s.wheels.rim, s.wheels.tyre_rim
    return grade(no=np.abs(rim - tyre) > 0.01, idle=unknown(rim, tyre))


def _tell_tyre_on_rim(v: View, g: int) -> Told:
    rests = v.rests((v.rim, "width_in"), (v.tyre, "designation"))
    if g == NOT:
        text = f"The rim is stamped {v.wheel.rim:g} in, the tyre says {v.wheel.tyre_rim:g} in."
        return Told(text, rests, "read both again; a tyre on another rim bursts when it is inflated")
    return Told(f"Rim and tyre are both {v.wheel.rim:g} in.", rests)


def _seat(s: Scene) -> Grades:
    lacks = unknown(s.cars.seat, s.wheels.seat)
    return grade(part=(s.cars.seat != s.wheels.seat) & ~lacks, measure=lacks)


def _tell_seat(v: View, g: int) -> Told:
    rests = v.rests((v.rim, "seat"), (v.car, "seat"))
    if g == MEASURE:
        way = "look into a bolt hole of the rim, and at the car's own bolt or nut: cone, ball or flat; note 'seat' of both"
        return Told("Not known: the seat of the rim or of the car's fasteners. Seats are never mixed.", rests, way)
    assert v.rim is not None
    assert v.rim.seat is not None
    if g == WITH_PART:
        assert v.car.seat is not None
        text = f"The rim's seat is {v.rim.seat.value}, that of the car's own {_fasteners(v)} {v.car.seat.value}. Mixed seats come loose."
        thread = f", thread {v.car.thread.text}" if v.car.thread else ""
        return Told(
            text,
            (*rests, COMMON_PRACTICE),
            f"get {_fasteners(v)} with seat {v.rim.seat.value}{thread}, of the right length",
        )
    return Told(f"Both have {v.rim.seat.value}.", rests)


def _fasteners(v: View) -> str:
    return v.car.fastening.value if v.car.fastening else "bolts or nuts"


def _engagement(s: Scene) -> Grades:
    reach = s.cars.shank - s.wheels.seat_depth
    short = reach < LEAST_DIAMETERS * s.cars.thread_mm
    lacks = unknown(reach, s.cars.thread_mm)
    return grade(
        no=short & (s.cars.nuts == 1), part=short & (s.cars.nuts == 0), measure=lacks | (short & np.isnan(s.cars.nuts))
    )


def _tell_engagement(v: View, g: int) -> Told:
    car, rim = v.car, v.rim
    rests = v.rests((car, "fastener_length"), (rim, "seat_depth"), (car, "thread"))
    if car.thread is None or car.fastener_length is None or rim is None or rim.seat_depth is None:
        least = f"{car.thread.diameter_mm:g} mm" if car.thread else "one thread diameter"
        way = f"with the rim on, count the turns by hand until it seats: turns times pitch is to be at least {least}"
        return Told("Not known: how far the thread will engage.", (*rests, ENGAGED), way)
    reach = engaged(car.thread, car.fastener_length, rim.seat_depth)
    turns = f", {v.units.number(reach.turns, 1)} turns" if reach.turns is not None else ""
    text = f"{v.mm(reach.mm)} of {car.thread.text} engage{turns}; {v.mm(reach.least_mm)} are wanted at least."
    if g in (NOT, WITH_PART):
        more = v.mm(reach.least_mm - reach.mm)
        way = (
            "leave it: the studs are the hub's"
            if car.fastening is Fastening.NUTS
            else f"get bolts at least {more} longer; not so long that they touch behind the hub"
        )
        return Told(text, (*rests, ENGAGED), way)
    return Told(text, (*rests, ENGAGED))


def _rim_load(s: Scene) -> Grades:
    lacks = unknown(s.wheels.rim_load, s.cars.half_axle)
    return grade(no=s.wheels.rim_load < s.cars.half_axle, measure=lacks)


def _tell_rim_load(v: View, g: int) -> Told:
    axle = f"axle_load_{v.corner.axle}"
    rests = (*v.rests((v.rim, "max_load"), (v.car, axle)), _MARKED)
    if g == MEASURE:
        return Told(
            "Not known: the load that the rim is marked for, or the axle's greatest.",
            rests,
            "read MAX LOAD behind a spoke, and the axle load off the plate",
        )
    text = f"The rim bears {v.kg(v.wheel.rim_load)}; half of the axle's greatest load is {v.kg(v.numbers.half_axle)}."
    return Told(text, rests, "leave it" if g == NOT else "")


def own_pressure(s: Scene) -> Array:
    """The highest placard pressure for a wheel's own size, NaN where the placard has no row for it."""
    return spread(s.tables.placard, s.wheels.size, np.float64(UNKNOWN))


def pressure_of_use(s: Scene) -> Array:
    """The placard pressure that a wheel will have at most: for its own size, else the highest of the axle."""
    own = own_pressure(s)
    return np.where(np.isnan(own), s.cars.placard, own)


def _rim_pressure(s: Scene) -> Grades:
    used = pressure_of_use(s)
    return grade(
        no=s.wheels.rim_pressure < used, measure=unknown(used), idle=np.isnan(s.wheels.rim_pressure) & ~np.isnan(used)
    )


def _tell_rim_pressure(v: View, g: int) -> Told:
    rests = v.rests((v.rim, "max_pressure"), (v.car, "placard"))
    if g == MEASURE:
        return Told("Not known: the pressures that the car wants.", rests, "note the placard")
    text = f"The rim is marked for {v.kpa(v.wheel.rim_pressure)}; the placard wants up to {v.kpa(at_corner(pressure_of_use(v.scene), v))}."
    return Told(text, rests, "leave it" if g == NOT else "")


def _valve_hole(s: Scene) -> Grades:
    rim, valve = s.wheels.rim_valve, s.wheels.sensor_valve
    return grade(part=np.abs(rim - valve) > SAME_HOLE_MM, idle=unknown(rim, valve))


def _tell_valve_hole(v: View, g: int) -> Told:
    rests = v.rests((v.rim, "valve_hole"), (v.sensor, "valve_hole"))
    if g == WITH_PART:
        text = (
            f"The valve hole is {v.mm(v.wheel.rim_valve)}, the sensor's valve is made for {v.mm(v.wheel.sensor_valve)}."
        )
        return Told(text, rests, "get a valve for this hole; never bush it")
    return Told(f"The valve suits the hole of {v.mm(v.wheel.rim_valve)}.", rests)


def _rim_damage(s: Scene) -> Grades:
    return grade(no=s.wheels.rim_damaged == 1, measure=np.isnan(s.wheels.rim_damaged))


def _tell_rim_damage(v: View, g: int) -> Told:
    rests = v.rests((v.rim, "damaged"))
    if g == NOT:
        return Told("The rim is cracked, bent or welded.", rests, "leave it")
    if g == MEASURE:
        way = "turn it by hand and sight along both flanges; look for cracks between the spokes and on the inner barrel; ask about kerbs and welding"
        return Told(
            "Not known: whether the rim is cracked, bent or welded. What lies inside the metal can't be seen.",
            rests,
            way,
        )
    return Told("No crack, bend or weld was seen.", rests)


_R = Question.RIM
RULES = (
    Rule(_R, "complete", "Four wheels", _complete, _tell_complete, whole=True),
    Rule(_R, "bolt-circle", "Bolt circle", _circle, _tell_circle),
    Rule(_R, "centre-bore", "Centre bore", _bore, _tell_bore, Part.RINGS),
    Rule(_R, "inside", "Room inward", _inside, _tell_inside),
    Rule(_R, "outside", "Room outward", _outside, _tell_outside),
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
