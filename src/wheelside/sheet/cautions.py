"""The cautions, each shown on the step where a person could get hurt. They defer to handbook, law and workshop."""

from __future__ import annotations

HANDBOOK = "The handbook, local rules and a licensed workshop go before this sheet."

LIFT = (
    "Level firm ground, in gear or park, handbrake on (electric brake as the handbook says), chocks. Lift at the maker's "
    "points only, set it on a stand, and never reach under a car that is held by a jack. " + HANDBOOK
)
FASTEN = (
    "Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a "
    "torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. " + HANDBOOK
)
CARRY = "A wheel weighs 15 to 30 kg: straight back, both hands, or roll it; never let it roll off down a slope."
LOAD = (
    "Wheels in a car are a load: low, against the backs of the seats, strapped so that none moves in a hard stop, within what the "
    "car may carry. Each weighs 15 to 30 kg: straight back, both hands."
)
INFLATE = (
    "Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre's or the rim's marked maximum. "
    "A tyre with a bulge, showing cord, or driven flat is not inflated 'to see': it goes to a workshop."
)
LET_DOWN = (
    "Only on a wheel that is off the car and carries no load. A wheel let down must not be put on the car or driven on until "
    "it is inflated and gauged. If a bead comes off its seat, the wheel goes to a tyre shop."
)
SENSOR_BATTERY = "Sensors hold a potted lithium cell: do not drill, cut or heat them; hand them in as batteries."
WRITE = (
    "Writing changes what the car takes this wheel for. Never write an ID that another live wheel carries, except the clone "
    "this plan names."
)
DRIVE = "The driver does not look at screens. A passenger watches the lamp, or you look when parked."
PORT = (
    "Read and save first. Clear nothing in a brake, airbag or steering unit; ignition on, engine off, steady supply. "
    + HANDBOOK
)
CHALLENGE = (
    "Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); "
    "inflate again at once and gauge it before any other drive."
)
LAMP = (
    "If the lamp comes on while driving: slow down, stop where it is safe, look and gauge before anything electronic."
)
WRITING = (
    "Stand on level ground, parking brake on, engine off, nobody in front of the car; the supply must hold and the plug stay in. Writing to a "
    "control unit can leave it without its list: the handbook, local rules and a licensed workshop come first."
)
