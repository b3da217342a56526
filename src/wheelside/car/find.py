"""Looking for the unit that watches the tyres, by questions that change nothing, over the addresses that the owner allows.

No session is changed, nothing is unlocked. A unit that says of itself that it is brake, airbag or steering is named as such, and left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from wheelside.car.address import ANSWER_OFFSET, UnitAddress, normal_fixed
from wheelside.car.frames import Frames, LinkLost
from wheelside.car.negative import Refused
from wheelside.car.talk import NoAnswer, Talk
from wheelside.errors import BadRequest

WHO = bytes.fromhex("22F197")
"""System name, ISO 14229-1: asked first; a unit that refuses it answers, too."""
FAST_S = 0.15
MOST = 512
_OTHERS = ("BRAKE", "ABS", "ESC", "ESP", "AIRBAG", "SRS", "RESTRAINT", "STEER", "EPS")


@dataclass(frozen=True, slots=True)
class Found:
    """A unit that answered: where, and what it called itself; '' where it did not say."""

    unit: UnitAddress
    name: str

    @property
    def hands_off(self) -> bool:
        """Whether it says that it is for something that must not be touched."""
        return any(word in self.name.upper() for word in _OTHERS)


def addresses(first: int, last: int, *, wide: bool, offset: int = ANSWER_OFFSET) -> tuple[UnitAddress, ...]:
    """The units of a range: requests from `first` to `last`, answers `offset` above (11 bits); unit numbers for 29 bits. Raises BadRequest."""
    if first > last or last - first >= MOST or last > (0xFF if wide else 0x7FF - offset):
        raise BadRequest(
            f"the range {first:X} to {last:X} can't be searched: name at most {MOST} addresses, the lower one first",
            expected="720 to 77F",
        )
    if wide:
        return tuple(normal_fixed(unit) for unit in range(first, last + 1))
    return tuple(UnitAddress(request, request + offset) for request in range(first, last + 1))


def find(
    frames: Frames, units: Iterable[UnitAddress], told: Callable[[UnitAddress], None] | None = None
) -> tuple[Found, ...]:
    """The units that answer, in the order of their addresses. Raises LinkLost."""
    found = []
    for unit in units:
        if told is not None:
            told(unit)
        talk = Talk(frames, unit, p2_s=FAST_S, p2_star_s=1.0)
        with talk:
            name = _asked(talk)
        if name is not None:
            found.append(Found(unit, name))
    return tuple(found)


def _asked(talk: Talk) -> str | None:
    try:
        answer = talk.once(WHO)
    except Refused:
        return ""
    except NoAnswer:
        return None
    except LinkLost:
        raise
    return "".join(chr(b) for b in answer[3:] if 32 <= b < 127).strip()
