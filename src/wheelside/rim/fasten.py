"""Threads, how far they engage, and the force that a torque gives: why threads are kept clean and dry.

Nothing here gives a torque: that is the car maker's, from the handbook.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.errors import BadText
from wheelside.finding import Basis, Ground
from wheelside.units import Length, Torque

FRICTION = (("clean and dry", 0.20, 0.25), ("oiled", 0.15, 0.20), ("with anti-seize paste", 0.12, 0.16))
"""K in T = K D F, least and most for each state of the thread: Shigley, seen."""
SCATTER = 0.25
"""Preload by torque scatters by a quarter either way: seen."""
LEAST_DIAMETERS = 1.0
"""A thread is to engage by at least its own diameter: from memory."""
MOST_DIAMETERS = 1.6
"""A bolt that reaches further may touch what turns behind the hub; judgement."""

PRELOAD = Basis(
    Ground.STANDARD, "T = K D F with K by the state of the thread; the torque method scatters by 25 % (Shigley)"
)
ENGAGED = Basis(Ground.PRACTICE, "at least one thread diameter; from memory")
RETORQUE_KM = (50, 100)
"""From which to which distance wheels are torqued again; common practice."""
RETORQUE_DAYS = 3
"""When so far is thought to have been driven; judgement."""
MOVED_DEG = 15
"""A fastener that moves by more when it is torqued again is looked at; judgement."""
RETORQUE = Basis(
    Ground.STANDARD,
    "BS AU 50-2-7a:1995 has 40 to 80 km; the distance is common practice, by how much one moves and after how many days judgement",
)
_THREAD = re.compile(r"\s*[mM]\s*(?P<d>\d{1,2})\s*(?:[xX×]\s*(?P<p>\d(?:[.,]\d{1,2})?))?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread: diameter and pitch in mm; None where the pitch is not said."""

    diameter_mm: float
    pitch_mm: float | None = None

    @property
    def text(self) -> str:
        return f"M{self.diameter_mm:g}" + ("" if self.pitch_mm is None else f"x{self.pitch_mm:g}")


@dataclass(frozen=True, slots=True)
class Engaged:
    """How far a thread engages, in mm and in turns (None without a pitch), and what it is to have at least."""

    mm: float
    turns: float | None
    least_mm: float

    @property
    def enough(self) -> bool:
        return self.mm >= self.least_mm


@dataclass(frozen=True, slots=True)
class Preload:
    """The clamping force of one bolt in kN for one state of the thread, from the least to the most, scatter included."""

    state: str
    least_kn: float
    most_kn: float


def read_thread(text: str) -> Thread:
    """The thread that a text says. Raises BadText.

    >>> read_thread("M14 x 1,5").text
    'M14x1.5'
    """
    found = _THREAD.fullmatch(text)
    if not found or not 8 <= int(found["d"]) <= 24:
        raise BadText(
            f"{text!r} is no thread of a wheel fastener: write diameter and pitch, as in 'M14x1.5'",
            found=text,
            expected="a thread such as M14x1.5",
        )
    pitch = float(found["p"].replace(",", ".")) if found["p"] else None
    if pitch is not None and not 0.5 <= pitch <= 3:
        raise BadText(f"{text!r}: a pitch is 0.5 to 3 mm, as in 'M14x1.5'", found=text, expected="M14x1.5")
    return Thread(float(found["d"]), pitch)


def engaged(thread: Thread, shank: Length, seat_depth: Length) -> Engaged:
    """How far a bolt's shank (or a stud beyond the hub) reaches past the rim: shank less what lies between seat and mounting face."""
    reach = shank.mm - seat_depth.mm
    turns = reach / thread.pitch_mm if thread.pitch_mm else None
    return Engaged(reach, turns, LEAST_DIAMETERS * thread.diameter_mm)


def preload_kn(torque: Torque, friction: float, diameter_mm: float) -> float:
    """F = T / (K D), in kN.

    >>> round(preload_kn(Torque(120), 0.2, 12), 1)
    50.0
    """
    return torque.nm / (friction * diameter_mm)


def preloads(torque: Torque, thread: Thread) -> tuple[Preload, ...]:
    """The clamping force at a torque for each state of the thread, with its scatter."""
    return tuple(
        Preload(
            state,
            preload_kn(torque, most, thread.diameter_mm) * (1 - SCATTER),
            preload_kn(torque, least, thread.diameter_mm) * (1 + SCATTER),
        )
        for state, least, most in FRICTION
    )


def retorque_after() -> str:
    """After which distance wheels are torqued again, in words."""
    return f"after {RETORQUE_KM[0]} to {RETORQUE_KM[1]} km"


def retorque_on(torqued: date) -> date:
    """The day on which wheels that were torqued on a day are thought to have gone so far."""
    return torqued + timedelta(days=RETORQUE_DAYS)
