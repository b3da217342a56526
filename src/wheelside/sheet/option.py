"""Answers that are kept as codes, and the words they are shown in.

Jobs that began before there were codes keep their sentences; those are read as the codes they stand for.
"""

from __future__ import annotations

from enum import StrEnum


class Lamp(StrEnum):
    """What a tyre lamp does, at ignition-on or while driving."""

    LIGHTS_GOES_OUT = "lights-goes-out"
    LIGHTS_STAYS = "lights-stays"
    FLASHES_STAYS = "flashes-stays"
    GOES_OUT_LATE = "goes-out-late"
    COMES_AND_GOES = "comes-and-goes"
    NEVER_LIGHTS = "never-lights"
    STAYS_OFF = "stays-off"
    WAS_LIT_GOES_OUT = "was-lit-goes-out"
    FLASHES_GOES_OUT = "flashes-goes-out"
    COMES_ON_GOES_OUT = "comes-on-goes-out"
    COMES_ON_STAYS = "comes-on-stays"
    WAS_LIT_STAYS = "was-lit-stays"


class Shown(StrEnum):
    """Which set a car shows once one is chosen."""

    THIS = "this-set"
    NOTHING_YET = "nothing-shown-yet"
    ANOTHER = "another-set"


class Taken(StrEnum):
    """Which of a car's lists the next teaching goes into."""

    OWN = "own-list"
    EMPTY = "empty-list"
    GIVEN_UP = "list-given-up"
    NO_MENU = "no-menu"
    TO_KEEP = "list-to-keep"


_WORDS: dict[str, str] = {
    Lamp.LIGHTS_GOES_OUT: "lights, then goes out",
    Lamp.LIGHTS_STAYS: "lights and stays on",
    Lamp.FLASHES_STAYS: "flashes, then stays on",
    Lamp.GOES_OUT_LATE: "goes out only after some minutes",
    Lamp.COMES_AND_GOES: "comes and goes",
    Lamp.NEVER_LIGHTS: "never lights",
    Lamp.STAYS_OFF: "stays off",
    Lamp.WAS_LIT_GOES_OUT: "was lit before the drive, then goes out",
    Lamp.FLASHES_GOES_OUT: "flashes for a while, then goes out",
    Lamp.COMES_ON_GOES_OUT: "comes on, then goes out by itself",
    Lamp.COMES_ON_STAYS: "comes on and stays",
    Lamp.WAS_LIT_STAYS: "was lit before the drive, and stays on",
    Shown.THIS: "this set",
    Shown.NOTHING_YET: "nothing yet",
    Shown.ANOTHER: "another set",
    Taken.OWN: "the list that this set has already",
    Taken.EMPTY: "an empty list",
    Taken.GIVEN_UP: "the list that is given up",
    Taken.NO_MENU: "the car has no such menu",
    Taken.TO_KEEP: "a list that is to be kept",
}
_LAMPS: dict[str, Lamp] = {one.value: one for one in Lamp} | {_WORDS[one]: one for one in Lamp}
LAMP_IS_OFF = frozenset(
    {Lamp.LIGHTS_GOES_OUT, Lamp.GOES_OUT_LATE, Lamp.STAYS_OFF, Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT,
     Lamp.COMES_ON_GOES_OUT}
)  # fmt: skip
"""After any of these the lamp is off."""


def in_words(option: str) -> str:
    """An option as a person reads it: a code's words, a sentence of an older job as it is."""
    return _WORDS.get(option, option)


def lamp_of(said: str) -> Lamp | None:
    """What a lamp was said to do, by its code or by the sentence of an older job; None for anything else."""
    return _LAMPS.get(said)
