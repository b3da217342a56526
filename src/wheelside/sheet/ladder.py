"""The evidence ladders: what shows each level, what it still can't exclude, and which level a job is after."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Ground
from wheelside.garage.words import Monitor
from wheelside.said import Coded, Said, say

NONE = "none"
"""The level of a job that shows nothing about a lamp."""


@dataclass(frozen=True, slots=True)
class Rung:
    """One level of a ladder."""

    level: str
    shown_by: Said
    leaves_open: Said


DIRECT = (
    Rung("E0", say("the lamp is off now"), say("everything")),
    Rung("E1", say("the lamp lights at ignition-on, then goes out"), say("too short a drive, a clone answering")),
    Rung(
        "E2", say("E1 after a full drive cycle and two ignition cycles"), say("a clone or another set answering, wrong corners")
    ),
    Rung(
        "E3",
        say("E2, no stored or pending codes, and the car's list, or what a receiver heard, is just the fitted IDs"),
        say("wrong corners on some cars, wrong limits"),
    ),
    Rung(
        "E4",
        say("E3, and each corner's figure follows a change of 30 to 50 kPa (0.3 to 0.5 bar, 4 to 7 psi) at that corner"),
        say("a wrong limit, the lamp's path"),
    ),
    Rung(
        "E5",
        say("one wheel taken below the limit lights the lamp, and it goes out after inflating"),
        say("nothing that this ladder knows of"),
    ),
)  # fmt: skip
"""Of a car with wheel sensors."""
INDIRECT = (
    Rung("E0", say("the lamp is off now"), say("everything")),
    Rung(
        "E1",
        say("the lamp lights at ignition-on, then goes out"),
        say("that nothing was stored, or stored with a tyre low"),
    ),
    Rung(
        "E2",
        say(
            "E1, the reference stored after gauging all four cold, and the learning drive done over two ignition cycles"
        ),
        say("unequal tyres, a wrong limit"),
    ),
    Rung("E3", say("E2, and no stored or pending codes"), say("a wrong limit, the lamp's path")),
    Rung(
        "E5",
        say(
            "one wheel taken below the limit lights the lamp after a drive, and it goes out once inflated and stored anew"
        ),
        say("slow loss in all four at once"),
    ),
)
"""Of a car that watches by wheel speed: it knows no IDs, and E4 has no meaning for it."""
LEAVES_ALL = say("everything")
LEAVES_TO_GAUGING = say("everything between two gaugings")
"""Of a car that does not watch its tyres."""


def ladder_of(monitor: str | None) -> tuple[Rung, ...]:
    """The ladder of a car, by how it watches its tyres; () where it does not, or nobody knows."""
    return {Monitor.DIRECT.value: DIRECT, Monitor.INDIRECT.value: INDIRECT}.get(monitor or "", ())


def rung_of(monitor: str | None, level: str) -> Rung:
    """One rung. Raises KeyError where the ladder has none of that level."""
    return {one.level: one for one in ladder_of(monitor)}[level]


class Reason(Coded):
    """Why a job is after its level."""

    NO_CAR = "no-car", "the set goes on no car"
    NOT_KNOWN = "monitor-not-known", "how this car watches its tyres is not known"
    NOT_WATCHED = "not-watched", "this car does not watch its tyres"
    PRESSURES_ONLY = "pressures-only", "only pressures are set"
    TEACH_ONLY = "teach-only", "the car is taught, and proven another time"
    LEAST = "least", "the least that shows whose wheels the car hears"
    LEARNT_ANEW = "learnt-anew", "this car watches by wheel speed and has learnt these tyres anew"
    CLONE = "clone", "the set carries a clone"
    CARRIED_ON = "carried-on", "new sensors carry old IDs on"
    BY_CORNER = "by-corner", "the car was taught by corner"
    STAGGERED = "staggered", "front and rear tyres differ"


class Wants(Coded):
    """What has to be there for a higher level."""

    MONITOR = "monitor", "how the car watches its tyres"
    ADAPTER = "adapter", "a diagnostic adapter, to read codes and the car's list"
    DASH = "dash", "a dash that shows each wheel's pressure, or a receiver"


_NOTHING_TO_SHOW = {
    Reason.NO_CAR: (say("each sensor read back"), say("everything: no car is asked")),
    Reason.NOT_KNOWN: (say("nothing yet"), say("everything: find that out first")),
    Reason.PRESSURES_ONLY: (say("each tyre gauged"), say("everything about the lamp")),
    Reason.TEACH_ONLY: (
        say("the car's own confirmation"),
        say("whether the lamp is off for the right reason: prove it next"),
    ),
    Reason.NOT_WATCHED: (say("a gauge, now and in four weeks"), LEAVES_TO_GAUGING),
}


@dataclass(frozen=True, slots=True)
class EvidenceAim:
    """The evidence level that a job needs, and why. `monitor`: how the car watches its tyres, which says whose ladder it is.

    `reachable`: the level that the instruments in the file allow, and `missing` what a higher one wants.
    """

    level: str
    reasons: tuple[Reason, ...]
    monitor: Monitor | None = None
    reachable: str = NONE
    missing: tuple[Wants, ...] = ()

    @property
    def shown_by(self) -> Said:
        """What shows the level."""
        return (
            _NOTHING_TO_SHOW[self.reasons[0]][0] if self.level == NONE else rung_of(self.monitor, self.level).shown_by
        )

    @property
    def leaves_open(self) -> Said:
        """What it still can't exclude."""
        return (
            _NOTHING_TO_SHOW[self.reasons[0]][1]
            if self.level == NONE
            else rung_of(self.monitor, self.level).leaves_open
        )

    @property
    def basis(self) -> Basis:
        """What the ladder rests on."""
        return Basis(Ground.JUDGEMENT, "evidence ladder of this program")
