"""Looking for the unit that watches the tyres, by questions that change nothing, over the addresses that the owner allows.

No session is changed, nothing is unlocked. A unit that says of itself that it is brake, airbag or steering is named as such, and left.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum

from wheelside.car.address import ANSWER_OFFSET, FUNCTIONAL_11, UnitAddress, normal_fixed
from wheelside.car.frames import NoAnswer
from wheelside.car.link import Link
from wheelside.car.negative import Refused
from wheelside.car.talk import Talk
from wheelside.car.vin import without_vins
from wheelside.errors import BadRequest

WHO = bytes.fromhex("22F197")
"""System name, ISO 14229-1: asked first; a unit that refuses it answers, too."""
FAST_S = 0.15
FIRST_ASKED = 0x600
"""Common practice, no source: the 11-bit identifiers that diagnosis uses lie from here on."""
MOST = 512
_OTHERS = re.compile(
    r"BRAKE|BREMS|FREIN|FREN[OI]|AIRBAG|RESTRAINT|RETENUE|STEER|LENK|STERZ"
    r"|(?<![A-Z])(?:ABS|ASC|ASR|DSC|EBS|EHPS|EPB|EPS|ESC|ESP|SRS|VDC|VSA|VSC)(?![A-Z])"
)
"""Words for brakes, airbags and steering in some languages, and their usual letters. A unit that says none of them is not known to be harmless."""
_MONITORS = re.compile(r"(?<![A-Z])(?:TYRE|TIRE|REIFEN|PNEU|NEUM[AÁ]TICO|(?:TPMS?|RDK)(?![A-Z]))")
"""Words for tyres in some languages, and the usual letters of a monitor."""


@dataclass(frozen=True, slots=True)
class Found:
    """A unit that answered: where, and what it called itself; '' where it did not say."""

    unit: UnitAddress
    name: str

    @property
    def hands_off(self) -> bool:
        """Whether it says that it is for something that must not be touched."""
        return hands_off(self.name)


def hands_off(name: str) -> bool:
    """Whether a unit that calls itself so is for brakes, airbags or steering."""
    return bool(_OTHERS.search(name.upper()))


def watches_tyres(name: str) -> bool | None:
    """Whether a unit that calls itself so is the one that watches tyres, and nothing else as far as its name says; None where it says neither."""
    if hands_off(name):
        return False
    return True if _MONITORS.search(name.upper()) else None


class RangeKind(StrEnum):
    """What the numbers of a range are."""

    NARROW = "CAN identifiers of requests, 11 bits"
    WIDE = "unit numbers within 29-bit identifiers"
    LOGICAL = "logical addresses of ISO 13400"


def addresses(first: int, last: int, kind: RangeKind, offset: int = ANSWER_OFFSET) -> tuple[UnitAddress, ...]:
    """The units of a range, both ends within; `offset`: how far above its request a unit of 11 bits answers. Raises BadRequest.

    CAN identifiers of 11 bits below 600 are not searched: what drives the car talks there, and a question could be taken for it.
    """
    end = {RangeKind.NARROW: 0x7FF - offset, RangeKind.WIDE: 0xFF, RangeKind.LOGICAL: 0xFFFF}[kind]
    if not 0 <= first <= last <= end or last - first >= MOST or offset < 1:
        raise BadRequest(
            f"the range {first:X} to {last:X} can't be searched: name at most {MOST} addresses, the lower one first",
            expected="720 to 77F",
        )
    if kind is RangeKind.NARROW and first < FIRST_ASKED:
        raise BadRequest(
            f"identifiers below {FIRST_ASKED:X} carry what brakes, engine and steering tell each other; none of them is asked",
            found=f"{first:X}",
            expected=f"{FIRST_ASKED:X} to 7FF",
        )
    if kind is RangeKind.WIDE:
        return tuple(normal_fixed(unit) for unit in range(first, last + 1))
    if kind is RangeKind.LOGICAL:
        return tuple(UnitAddress(0, 0, logical=unit) for unit in range(first, last + 1))
    return tuple(UnitAddress(r, r + offset) for r in range(first, last + 1) if r != FUNCTIONAL_11)


def find(
    link: Link, units: Iterable[UnitAddress], told: Callable[[UnitAddress], None] | None = None
) -> tuple[Found, ...]:
    """The units that answer, in the order of their addresses. Raises LinkLost."""
    found = []
    for unit in units:
        if told is not None:
            told(unit)
        talk = Talk(link, unit, p2_s=FAST_S, p2_star_s=1.0)
        with talk:
            name = name_of(talk)
        if name is not None:
            found.append(Found(unit, name))
    return tuple(found)


def name_of(talk: Talk, *, asked_again: bool = False) -> str | None:
    """What a unit calls itself, without a VIN: '' where it answers and does not say, None where it does not answer. Raises LinkLost."""
    try:
        answer = talk.ask(WHO) if asked_again else talk.once(WHO)
    except Refused:
        return ""
    except NoAnswer:
        return None
    raw = answer[3:].decode("latin-1")
    other, said = _OTHERS.search(raw.upper()), without_vins(raw)
    if other and not hands_off(said):  # what must not be touched stays known as that
        said += f" {other[0]}"
    return "".join(sign for sign in said if " " <= sign <= "~").strip()
