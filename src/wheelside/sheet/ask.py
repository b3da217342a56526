"""What a step asks for: each figure, word or picture by name, with what would be as planned."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from wheelside.said import Coded
from wheelside.sensor.ident import SensorId
from wheelside.sheet.step_words import Channel, Does
from wheelside.units import GaugePressure, PressureSpan, Temperature


class Asked(StrEnum):
    """The kinds of answer."""

    DONE = "done"
    PICK = "pick"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    MINUTES = "minutes"
    ID = "id"
    TREAD = "tread"
    WORDS = "words"
    PHOTO = "photo"


class Tells(Coded):
    """What an answer is about, for the proof: a code, and the words that stand before the answer there."""

    NOTHING = ""
    LAMP_BEFORE = "lamp before"
    CODES_BEFORE = "codes before"
    SENT_BEFORE = "sent before"
    PRESSURE_BEFORE = "pressure before"
    FETCHED = "pressure as it lay"
    CAUSE = "cause of the loss"
    DASH_BEFORE = "dash before its pressure was set"
    DASH_NOW = "dash after its pressure was set"
    ODOMETER = "odometer"
    WRITTEN = "written"
    READ_BACK = "read back"
    SET_PRESSURE = "set pressure"
    TYRE_TEMPERATURE = "tyre temperature"
    OUTSIDE_TEMPERATURE = "outside temperature"
    AWAKE = "awake at its corner"
    TAUGHT = "taught"
    REFERENCE = "reference stored"
    DRIVEN = "minutes driven"
    LAMP_DRIVING = "lamp while driving"
    LAMP_OUT_AFTER = "minutes until the lamp went out"
    LAMP_AGAIN = "lamp at the second start"
    CODES_NOW = "codes before the drive"
    CODES_CLEARED = "codes cleared", "clearing before the drive"
    CODES_AFTER = "codes after"
    CLEARED_LATER = "codes cleared after the drive", "clearing after the drive"
    LAMP_WEEK = "lamp a week later"
    CODES_WEEK = "codes a week later"
    LAMP_TOLD = "lamp as the car tells it"
    KNOWN_IDS = "IDs in the car's list"
    CORNER = "corner that moved"
    BACK = "pressure after the corner was tried"
    LAMP_LIT = "lamp below the limit", "lamp came on below the limit"
    LAMP_OUT = "lamp after inflating", "lamp went out after inflating"
    TORQUE = "torque"
    PUT_AWAY = "pressure when put away"
    PUT_AT = "place where it was put"
    FLAT_WAY = "how one went on from the flat tyre"
    FILLED = "pressure after sealant or air"
    HELD = "pressure after some minutes' driving"
    BECAME = "what became of the tyre"
    CHANGED = "what was changed"
    TREAD = "tread"
    BATTERY = "battery flag"


Curve = tuple[tuple[Temperature, GaugePressure], ...]
"""Temperatures of a tyre with the pressure at each, coldest first."""
TAIL = 4
"""Of an ID that stands beside it, the last so many digits do."""


@dataclass(frozen=True, slots=True)
class When:
    """What calls for a step or an ask: what was said at `of`, as 'step/ask', is one of these codes, a pressure below one, or not as planned.

    `least`: below which the pressure calls for it no more. `way`: it is one of the ways that a job usually goes.
    `otherwise`: whether anything that is not as planned calls for it.
    """

    of: str
    said: tuple[str, ...] = ()
    below: GaugePressure | None = None
    otherwise: bool = False
    least: GaugePressure | None = None
    way: bool = False


@dataclass(frozen=True, slots=True)
class Ask:
    """One answer that is wanted. `id` is its name within the step, `label` how it is asked for.

    `options`: codes. `expect`: the option, or the minutes at the least, that would be as planned; '' where there is none;
    `also`: other options that are as planned. `words`: whether an
    option may have words beside it. `names`: how options that are ids are shown, in their order; () where they are codes with words.

    `wanted`: the ID that would be as planned; `bits`: the width where that is known and no ID is planned, else 0. `pressure` and
    `within`: the pressure that would be, on the gauge in hand. `by_temperature`: the same by the tyre's temperature, which the
    step asks for: as the thermometer in hand shows it, coldest first, straight between. `least_by_temperature`: the pressure,
    likewise, below which no tolerance reaches. `beside`: the answer that this one is compared with, as 'step/ask'.
    `temperature`: the one that is planned for. `least`: the pressure that does at the least, where no figure is planned.

    `tail`: so many last digits confirm an ID that was read before; 0: it is typed or scanned whole. `only`: it is asked where one of
    these calls for it; () always. `bars`: while its answer is not as planned, no step opens that waits for this one. `moved`: the names of
    the asks for the dash's figure before and after, which a corner's answer has to agree with.
    """

    id: str
    kind: Asked
    channel: Channel
    label: str = ""
    tells: Tells = Tells.NOTHING
    wheel: str = ""
    corner: str = ""
    options: tuple[str, ...] = ()
    expect: str = ""
    wanted: SensorId | None = None
    bits: int = 0
    pressure: GaugePressure | None = None
    within: PressureSpan | None = None
    words: bool = False
    required: bool = True
    names: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    beside: str = ""
    by_temperature: Curve = ()
    least_by_temperature: Curve = ()
    temperature: Temperature | None = None
    least: GaugePressure | None = None
    tail: int = TAIL
    only: tuple[When, ...] = ()
    bars: bool = False
    moved: tuple[str, str] | None = None


def slug(*words: str) -> str:
    """A name from words of ours and, last, the id of a wheel: 'air-w1'. Two wheels never have the same.

    An id of capitals and digits is written small; any other has a few digits behind it that tell it from all that look like it.
    """
    *ours, own = words
    if re.fullmatch(r"[A-Z][A-Z0-9]*", own):
        return "-".join((*ours, own.lower()))
    looks = re.sub(r"[^a-z0-9]+", "-", own.lower()).strip("-")
    return "-".join((*ours, looks, hashlib.sha256(own.encode()).hexdigest()[:8]))


def done(label: str, tells: Tells = Tells.NOTHING) -> Ask:
    """A box to tick."""
    return Ask("done", Asked.DONE, Channel.TYPED, label, tells)


def pick(
    name: str, label: str, options: Iterable[str], expect: str, tells: Tells = Tells.NOTHING,
    channel: Channel = Channel.TYPED, *, words: bool = False, required: bool = True, wheel: str = "",
    also: tuple[str, ...] = (), names: tuple[str, ...] = (),
) -> Ask:  # fmt: skip
    """One of a few options."""
    return Ask(
        name, Asked.PICK, channel, label, tells, wheel, options=tuple(options), expect=expect, words=words, required=required,
        also=also, names=names,
    )  # fmt: skip


def photo(label: str) -> Ask:
    """A photo, which may always be left out."""
    return Ask("photo", Asked.PHOTO, Channel.PHOTO, label, required=False)


def words(name: str, label: str, *, required: bool = False) -> Ask:
    """A few words."""
    return Ask(name, Asked.WORDS, Channel.TYPED, label, required=required)


def tread(name: str, label: str, wheel: str) -> Ask:
    """The tread depth of a wheel, which may be left out."""
    return Ask(name, Asked.TREAD, Channel.TYPED, label, Tells.TREAD, wheel, required=False)


def temperature(label: str, planned: Temperature | None = None) -> Ask:
    """A temperature: optional, unless a figure depends on it and so one is planned for."""
    return Ask(
        "temperature", Asked.TEMPERATURE, Channel.TYPED, label, Tells.TYRE_TEMPERATURE, required=planned is not None,
        temperature=planned,
    )  # fmt: skip


def outside_temperature() -> Ask:
    """The temperature of the air outside, which may be left out."""
    return Ask(
        "temperature",
        Asked.TEMPERATURE,
        Channel.TYPED,
        "Outside temperature",
        Tells.OUTSIDE_TEMPERATURE,
        required=False,
    )


def out_after(does: Does, *late: str) -> Ask:
    """After how many minutes a lamp went out, where what was said of it at a step is one of these."""
    label = "It went out after how many minutes"
    only = (When(f"{does.value}/lamp", late),)
    return Ask("out-after", Asked.MINUTES, Channel.TYPED, label, Tells.LAMP_OUT_AFTER, required=False, only=only)


def odometer() -> Ask:
    """What the odometer shows, which may be left out."""
    return Ask("odometer", Asked.WORDS, Channel.TYPED, "Odometer", Tells.ODOMETER, required=False)
