"""Answers that are codes, with the words they are shown in."""

from __future__ import annotations

from wheelside.said import Coded


class Lamp(Coded):
    """What a tyre lamp does, at ignition-on or while driving."""

    LIGHTS_GOES_OUT = "lights-goes-out", "lights, then goes out"
    LIGHTS_STAYS = "lights-stays", "lights and stays on"
    FLASHES_STAYS = "flashes-stays", "flashes, then stays on"
    GOES_OUT_LATE = "goes-out-late", "goes out only after some minutes"
    COMES_AND_GOES = "comes-and-goes", "comes and goes"
    NEVER_LIGHTS = "never-lights", "never lights"
    STAYS_OFF = "stays-off", "stays off"
    WAS_LIT_GOES_OUT = "was-lit-goes-out", "was lit before the drive, then goes out"
    FLASHES_GOES_OUT = "flashes-goes-out", "flashes for a while, then goes out"
    COMES_ON_GOES_OUT = "comes-on-goes-out", "comes on, then goes out by itself"
    COMES_ON_STAYS = "comes-on-stays", "comes on and stays"
    WAS_LIT_STAYS = "was-lit-stays", "was lit before the drive, and stays on"


LAMP = (
    Lamp.LIGHTS_GOES_OUT, Lamp.LIGHTS_STAYS, Lamp.FLASHES_STAYS, Lamp.GOES_OUT_LATE, Lamp.COMES_AND_GOES, Lamp.NEVER_LIGHTS,
)  # fmt: skip
"""The lamp at ignition-on."""
LAMP_DRIVING = (
    Lamp.STAYS_OFF, Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT, Lamp.COMES_ON_GOES_OUT, Lamp.COMES_AND_GOES,
    Lamp.COMES_ON_STAYS, Lamp.FLASHES_STAYS, Lamp.WAS_LIT_STAYS,
)  # fmt: skip
LAMP_IS_OFF = frozenset(
    {Lamp.LIGHTS_GOES_OUT, Lamp.GOES_OUT_LATE, Lamp.STAYS_OFF, Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT,
     Lamp.COMES_ON_GOES_OUT}
)  # fmt: skip
"""After any of these the lamp is off."""


class LampTold(Coded):
    """The lamp as a car's control unit tells it, once it is parked."""

    OFF = "lamp-off", "off"
    STEADY = "lamp-steady", "steady"
    FLASHING = "lamp-flashing", "flashing"
    NOT_TOLD = "lamp-not-told", "not told"


class Codes(Coded):
    """Stored and pending trouble codes."""

    NONE = "no-codes", "none"
    SOME = "codes", "some"
    NOT_READ = "codes-not-read", "not read"


class Listed(Coded):
    """What a car's list holds, or a receiver heard, against the IDs that are fitted."""

    JUST_THESE = "just-these", "just these, each at its corner"
    NO_CORNERS = "just-these-no-corners", "just these, corners not shown"
    HEARD = "just-these-heard", "just these, heard by a receiver"
    SWAPPED = "just-these-swapped", "just these, some at another corner"
    OTHERS = "others-or-missing", "others too, or some missing"
    NOT_READ = "list-not-read", "can't be read"


class YesNo(Coded):
    """Whether it is so."""

    YES = "yes", "yes"
    NO = "no", "no"


class Battery(Coded):
    """The battery flag that a sensor sends."""

    GOOD = "battery-good", "good"
    LOW = "battery-low", "low"
    NOT_SHOWN = "battery-not-shown", "not shown"


class Fasteners(Coded):
    """Whether a fastener moved when it was torqued again."""

    NONE_MOVED = "none-moved", "none moved"
    SOME_MOVED = "some-moved", "some moved"


class Bubbles(Coded):
    """What soap showed at valve and beads."""

    NONE = "no-bubbles", "no bubbles"
    SOME = "bubbles", "bubbles"


class Shown(Coded):
    """Which set a car shows once one is chosen."""

    THIS = "this-set", "this set"
    NOTHING_YET = "nothing-shown-yet", "nothing yet"
    ANOTHER = "another-set", "another set"


class Taken(Coded):
    """Which of a car's lists the next teaching goes into."""

    OWN = "own-list", "the list that this set has already"
    EMPTY = "empty-list", "an empty list"
    GIVEN_UP = "list-given-up", "the list that is given up"
    NO_MENU = "no-menu", "the car has no such menu"
    TO_KEEP = "list-to-keep", "a list that is to be kept"


class Cause(Coded):
    """What became of a wheel that had lost its air."""

    MENDED = "cause-mended", "found and mended"
    WORKSHOP = "to-a-workshop", "not found: a workshop has it"
    DRIVEN_FLAT = "driven-flat", "it was driven flat: a workshop has it"


class OnFlat(Coded):
    """How one goes on from a flat tyre."""

    SPARE = "way-spare", "the spare goes on"
    SEALANT = "way-sealant", "sealant: a small hole in the tread, not driven flat"
    AIR = "way-air", "air alone: the same, and it holds"
    HELP = "way-help", "none of these: help is called"


class Became(Coded):
    """What a workshop made of a tyre that had been flat."""

    MENDED = "tyre-mended", "mended from inside"
    NEW_TYRE = "tyre-new", "a new tyre"
    NOT_YET = "tyre-not-yet", "nothing yet"


class Renewed(Coded):
    """What was changed at one wheel."""

    TYRE = "changed-tyre", "the tyre"
    VALVE = "changed-valve", "the valve"
    BOTH = "changed-both", "tyre and valve"


class Clearing(Coded):
    """Whether codes were cleared."""

    CLEARED = "codes-cleared", "all of this is so: cleared"
    LEFT = "codes-left", "something is not so: nothing cleared"


class LampLater(Coded):
    """The lamp, some days after the work."""

    STILL_OFF = "lamp-still-off", "still off, after six starts or a week"
    TOO_EARLY = "lamp-off-so-far", "off, but not that long yet"
    ON = "lamp-came-on", "it came on"


LATER_IS_OFF = frozenset({LampLater.STILL_OFF, LampLater.TOO_EARLY})
"""At a look some days later the lamp was off."""


class Instead(Coded):
    """What may be said in place of a figure, an ID, a corner or a place."""

    AS_SHOWN = "as-shown", "as shown here"
    NO_ANSWER = "no-answer", "no answer within two minutes"
    NOT_PARKED = "not-while-parked", "not shown while parked"
    NO_FIGURE = "no-figure", "none"
    ELSEWHERE = "elsewhere", "elsewhere"


_KINDS: tuple[type[Coded], ...] = (
    Lamp, LampTold, Codes, Listed, YesNo, Battery, Fasteners, Bubbles, Shown, Taken, Cause, OnFlat, Became, Renewed, Clearing, LampLater, Instead,
)  # fmt: skip
_BY_CODE: dict[str, Coded] = {one.value: one for kind in _KINDS for one in kind}


def option_of(code: str) -> Coded | None:
    """The answer that a code stands for; None for a text that is no such code. No two kinds of answer share a code."""
    return _BY_CODE.get(code)
