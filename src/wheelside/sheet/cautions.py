"""The cautions: for each act at which a person could get hurt, what is said before it, clause by clause.

Sources: handbooks' usual wording, common practice, no source; the cap on pressure while seating a bead is the tyre's own marking. They defer
to handbook, law and workshop. `OF_ACT` is the one list of which act has which caution.
"""

from __future__ import annotations

from wheelside.said import Coded
from wheelside.sheet.step_words import Does, OnCard


class Clause(Coded):
    """One thing that a caution says."""

    LEVEL = "level-firm", "Level, firm ground."
    IN_GEAR = "in-gear", "In gear or park, handbrake on; an electric brake as the handbook says."
    CHOCKS = "chocks", "Chocks at the wheels that stay down."
    POINTS = "lifting-points", "Lift at the maker's points only; an electric car never under its battery."
    JACK_MODE = "jack-mode", "Air suspension: its jack mode first."
    STAND = "on-a-stand", "Set it on a stand."
    NEVER_UNDER = "never-under-a-jack", "Never reach under a car that is held by a jack."
    HOT = "hot-brakes", "Brakes and rims hot from driving burn: let them cool."
    DEFERS = "handbook-first", "The handbook, local rules and a licensed workshop go before this sheet."
    SEAT = "right-fasteners", "Right seat shape, thread and length."
    BY_HAND = "by-hand", "Count the turns by hand first."
    CLEAN = "clean-dry", "Clean, dry, bare faces, no grease."
    WRENCH = "torque-wrench", "The last turn with a torque wrench, on the ground."
    NO_IMPACT = "no-impact-gun", "Never an impact gun."
    STRETCHED = "stretched-out", "Stretched or rusty fasteners are not used again."
    STUCK = (
        "stuck-wheel",
        "A stuck wheel: the bolts stay in, the car goes down; then the handbook or a workshop. Never kick a wheel on a raised car.",
    )
    HEAVY = "heavy", "A wheel weighs 15 to 30 kg: straight back, both hands, or roll it."
    SLOPE = "slope", "Never let it roll off down a slope."
    LOW = "load-low", "In the car they are a load: low, against the backs of the seats."
    STRAPPED = "load-strapped", "Strapped, so that none moves in a hard stop."
    PAYLOAD = "payload", "Within what the car may carry."
    ASIDE = "stand-aside", "Stand aside of the sidewall."
    CLIP_ON = "clip-on-chuck", "Use a clip-on chuck, and a gauge you trust."
    MAXIMUM = "marked-maximum", "Never pass the maximum marked on tyre or rim."
    DAMAGED = (
        "damaged-tyre",
        "A tyre with a bulge, a cut deeper than three millimetres, showing cord, or driven flat is not inflated 'to see': it goes to a workshop.",
    )
    HOT_TYRE = "hot-tyre", "A hot tyre is never let down to a cold figure."
    OFF_THE_CAR = "off-the-car", "Only on a wheel that is off the car and carries no load."
    CORE = "valve-core", "Eyes away from the valve. Press its core, or screw it out slowly: it flies if let go."
    NOT_ON = "not-on-the-car", "A wheel let down is not put on the car or driven on until it is inflated and gauged."
    BEAD_OFF = "bead-off", "If a bead comes off its seat, the wheel goes to a tyre shop."
    CELL = (
        "sensor-cell",
        "Sensors hold a potted lithium cell: do not drill, cut or heat them; hand them in as batteries.",
    )
    TAKES_FOR = "taken-for", "Writing changes what the car takes this wheel for."
    NEVER_TWICE = "never-twice", "Never write an ID that another live wheel carries, except the clone this plan names."
    NO_SCREENS = (
        "no-screens",
        "The driver does not look at screens: a passenger watches the lamp, or you look when parked.",
    )
    SLOW_DOWN = (
        "slow-down",
        "If the lamp comes on while driving: slow down, stop where it is safe, look and gauge before anything electronic.",
    )
    NO_IDLING = "no-idling", "Never let the engine run in a closed garage."
    SHAKES = "shakes-or-pulls", "If it shakes or pulls: slow down, stop where it is safe, and look at the wheels."
    SAVE_FIRST = "save-first", "Read and save first."
    ONE_UNIT = "one-unit", "Clear nothing in a brake, airbag or steering unit."
    SUPPLY = "supply", "Ignition on, engine off, steady supply."
    PARKED = "parked-to-clear", "Parked, never while the car moves."
    QUIET_ROAD = "quiet-road", "Standing, or unladen under 50 km/h on a quiet road; never faster for the test."
    NOT_BELOW = "not-below-150", "Never below 1.5 bar (22 psi, 150 kPa)."
    AT_ONCE = "inflate-at-once", "Inflate again at once, and gauge it before any other drive."
    STANDS_STILL = "stands-still", "Level ground, parking brake on, engine off, nobody in front of the car."
    PLUG = "plug-stays", "The supply must hold and the plug stay in."
    MAY_BE_LOST = "list-may-be-lost", "Writing to a control unit can leave it without its list."
    FINISH = "finish-or-empty", "A broken-off teaching can empty the list: begin only if you can finish."
    OFF_ROAD = "off-the-road", "Off the road as far as you can, hazard lights on, a vest on before you get out."
    PEOPLE_OUT = "away-from-traffic", "Everybody out on the side away from the traffic, behind the barrier."
    TRIANGLE = "warning-triangle", "The warning triangle as local rules say."
    NOT_HERE = (
        "nothing-lifted-here",
        "On a motorway, in a bend, on a slope or soft ground nothing is lifted: call for help.",
    )
    SMALL_HOLE = "small-hole", "Sealant only for a small hole in the tread, never after the tyre was driven flat."
    AS_LABELLED = "sealant-label", "As its label says; off skin and eyes, no flame near."
    NO_REPAIR = "no-repair", "It is no repair: slowly, to a workshop."
    AS_SLOW = "spare-speed", "Never faster than the spare's side or the kit's label says."
    SEATING = "seating-a-bead", "Seating a bead is a trained person's work, at no more than the tyre's marked limit."


class Caution(Coded):
    """A caution: its code, and the few words that stand for it once it was read in full."""

    LIFT = "caution-lift", "Level, firm, chocked; on a stand"
    FASTEN = "caution-fasten", "By hand first; clean; torque on the ground"
    CARRY = "caution-carry", "Straight back, both hands"
    LOAD = "caution-load", "Low, strapped, within the payload"
    INFLATE = "caution-inflate", "Stand aside; clip-on chuck; marked maximum"
    LET_DOWN = "caution-let-down", "Off the car; eyes away from the valve"
    SENSOR_BATTERY = "caution-sensor-battery", "Don't drill, cut or heat sensors"
    WRITE = "caution-write", "Never an ID that another live wheel carries"
    DRIVE = "caution-drive", "The driver does not look at screens"
    PORT = "caution-port", "Read and save first; steady supply"
    CLEAR = "caution-clear", "Parked; one unit; nothing of brakes, airbags, steering"
    CHALLENGE = "caution-challenge", "Never below 1.5 bar; inflate at once"
    LAMP = "caution-lamp", "Lamp on: slow down, stop, look, gauge"
    WRITING = "caution-writing", "Standing still; supply holds; plug stays in"
    ROADSIDE = "caution-roadside", "Off the road; hazard lights; away from the traffic"
    SEALANT = "caution-sealant", "A small hole in the tread only; it is no repair"
    SLOWLY = "caution-slowly", "Never faster than the spare or the kit says"
    ERASES = "caution-erases", "Begin only if you can finish"
    BEAD = "caution-bead", "Beads are seated by trained people"

    @property
    def clauses(self) -> tuple[Clause, ...]:
        """All that it says."""
        return CLAUSES[self]

    @property
    def each_time(self) -> bool:
        """Whether it stands in full each time, on its own card; the others once in a sitting."""
        return self in EACH_TIME


_C = Clause
CLAUSES: dict[Caution, tuple[Clause, ...]] = {
    Caution.LIFT: (
        _C.LEVEL, _C.IN_GEAR, _C.CHOCKS, _C.POINTS, _C.JACK_MODE, _C.STAND, _C.NEVER_UNDER, _C.STUCK, _C.HOT, _C.DEFERS,
    ),
    Caution.FASTEN: (_C.SEAT, _C.BY_HAND, _C.CLEAN, _C.WRENCH, _C.NO_IMPACT, _C.STRETCHED, _C.DEFERS),
    Caution.CARRY: (_C.HEAVY, _C.SLOPE),
    Caution.LOAD: (_C.LOW, _C.STRAPPED, _C.PAYLOAD, _C.HEAVY),
    Caution.INFLATE: (_C.ASIDE, _C.CLIP_ON, _C.MAXIMUM, _C.DAMAGED, _C.HOT_TYRE),
    Caution.LET_DOWN: (_C.OFF_THE_CAR, _C.CORE, _C.NOT_ON, _C.BEAD_OFF),
    Caution.SENSOR_BATTERY: (_C.CELL,),
    Caution.WRITE: (_C.TAKES_FOR, _C.NEVER_TWICE),
    Caution.DRIVE: (_C.NO_SCREENS, _C.SHAKES, _C.NO_IDLING),
    Caution.PORT: (_C.SAVE_FIRST, _C.ONE_UNIT, _C.SUPPLY, _C.DEFERS),
    Caution.CLEAR: (_C.SAVE_FIRST, _C.PARKED, _C.ONE_UNIT, _C.SUPPLY, _C.DEFERS),
    Caution.CHALLENGE: (_C.QUIET_ROAD, _C.NOT_BELOW, _C.AT_ONCE),
    Caution.LAMP: (_C.SLOW_DOWN,),
    Caution.WRITING: (_C.STANDS_STILL, _C.PLUG, _C.MAY_BE_LOST, _C.DEFERS),
    Caution.ERASES: (_C.FINISH,),
    Caution.BEAD: (_C.SEATING, _C.DEFERS),
    Caution.ROADSIDE: (_C.OFF_ROAD, _C.PEOPLE_OUT, _C.TRIANGLE, _C.NOT_HERE, _C.DEFERS),
    Caution.SEALANT: (_C.SMALL_HOLE, _C.AS_LABELLED, _C.NO_REPAIR),
    Caution.SLOWLY: (_C.AS_SLOW,),
}  # fmt: skip
EACH_TIME = frozenset({Caution.LET_DOWN, Caution.CLEAR, Caution.WRITING, Caution.CHALLENGE})
"""Letting down, clearing, writing to the car and lighting the lamp; writing in a wheel stands with letting down, on its own card."""
OF_ACT: dict[Does, tuple[Caution, ...]] = {
    Does.STOP: (Caution.ROADSIDE,),
    Does.SPARE_ON: (Caution.LIFT, Caution.FASTEN, Caution.CARRY, Caution.INFLATE),
    Does.FILL: (Caution.INFLATE, Caution.SEALANT),
    Does.DRIVE_ON: (Caution.SLOWLY, Caution.DRIVE, Caution.LAMP, Caution.LOAD),
    Does.TELL_FITTER: (Caution.BEAD,),
    Does.CHANGE_TYRE: (Caution.BEAD, Caution.SENSOR_BATTERY),
    Does.CODES_BEFORE: (Caution.PORT,),
    Does.FETCH: (Caution.INFLATE, Caution.CARRY),
    Does.WRITE: (Caution.WRITE, Caution.SENSOR_BATTERY),
    Does.TAKE_OFF: (Caution.LIFT,),
    Does.CHANGE_SENSORS: (Caution.LOAD, Caution.SENSOR_BATTERY, Caution.BEAD),
    Does.SHOP_SWAPS: (Caution.LOAD, Caution.LAMP),
    Does.LET_DOWN: (Caution.LET_DOWN, Caution.WRITE),
    Does.INFLATE: (Caution.INFLATE,),
    Does.FIT: (Caution.LIFT, Caution.FASTEN, Caution.CARRY),
    Does.STOW_SPARE: (Caution.CARRY,),
    Does.TORQUE: (Caution.FASTEN,),
    Does.STORE: (Caution.CARRY,),
    Does.SET_PRESSURE: (Caution.INFLATE,),
    Does.FIND_PRESSURE: (Caution.INFLATE,),
    Does.TEACH_PORT: (Caution.PORT, Caution.WRITING),
    Does.CODES_NOW: (Caution.PORT,),
    Does.CLEAR_CODES: (Caution.CLEAR,),
    Does.DRIVE: (Caution.DRIVE, Caution.LAMP),
    Does.CODES_AFTER: (Caution.PORT,),
    Does.CLEAR_LATER: (Caution.CLEAR,),
    Does.SHOW_CORNER: (Caution.CHALLENGE,),
    Does.FILL_CORNER: (Caution.INFLATE,),
    Does.CHALLENGE: (Caution.CHALLENGE, Caution.INFLATE),
    Does.TORQUE_AGAIN: (Caution.FASTEN,),
    Does.TAKEN_OUT: (Caution.SENSOR_BATTERY,),
    Does.WRITTEN_WRONGLY: (Caution.WRITE, Caution.SENSOR_BATTERY),
}
"""Which cautions stand before which act. Bringing and carrying away: on foot `CARRY`, by car `LOAD` and `LAMP`; teaching `ERASES`, where it may."""
_BY_CODE = {one.value: one for one in Caution}


def of_act(does: Does) -> tuple[str, ...]:
    """The codes of the cautions before an act."""
    return tuple(one.value for one in OF_ACT.get(does, ()))


def caution_of(code: str) -> Caution | None:
    """The caution that a code stands for; None for a text, which is what sheets of earlier jobs have."""
    return _BY_CODE.get(code)


def stands_each_time(one: Caution, card: OnCard) -> bool:
    """Whether it stands in full before each such act, not once in a sitting: writing, too, where the sensor is in a wheel."""
    return one.each_time or (one is Caution.WRITE and card is OnCard.IN_WHEEL)


def in_full(code: str) -> str:
    """A caution with all its clauses, as one text; a text of an earlier job as it is.

    >>> in_full("caution-lamp").startswith("If the lamp comes on while driving")
    True
    """
    one = caution_of(code)
    return code if one is None else " ".join(clause.words for clause in one.clauses)


HANDBOOK = Clause.DEFERS.words
LEAK_CLAUSES = (_C.LEVEL, _C.IN_GEAR, _C.NEVER_UNDER, _C.DAMAGED, _C.DEFERS)
"""Before a leak is looked for on a wheel that may be on the car."""
LEAK = " ".join(one.words for one in LEAK_CLAUSES)
"""The same as one text."""
WRITING = in_full(Caution.WRITING)
PORT = in_full(Caution.PORT)
