"""The evidence ladders: what shows each level, what it still can't exclude, and which level a job is after."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Ground
from wheelside.garage.words import Monitor
from wheelside.said import Coded, Joined, Said, listed, say

NONE = "none"
"""The level of a job that shows nothing about a lamp."""


class Leaves(Coded):
    """What a level still can't exclude."""

    EVERYTHING = "everything"
    TO_GAUGING = "to-gauging", "everything between two gaugings"
    SHORT_DRIVE = "short-drive", "too short a drive"
    NOT_MISSED = "not-missed", "a sensor whose silence has not been missed yet"
    CLONE = "clone-answers", "a clone answering"
    OTHER_SET = "other-set", "a clone or another set answering"
    CORNERS = "wrong-corners", "wrong corners"
    SOME_CORNERS = "wrong-corners-on-some", "wrong corners on some cars"
    CODE_BACK = "code-back", "a cleared code that comes back after some starts"
    LIMIT = "wrong-limit", "a wrong limit"
    LAMP_PATH = "lamp-path", "the lamp's path"
    NOTHING = "nothing", "nothing that this ladder knows of"
    BADLY_STORED = "badly-stored", "that nothing was stored, or stored with a tyre low"
    UNEQUAL = "unequal", "unequal tyres"
    STANDING = "standing", "a loss while it stands, until it rolls"
    ALL_ALIKE = "all-alike", "a loss in all four alike, which it hardly sees"


@dataclass(frozen=True, slots=True)
class Rung:
    """One level of a ladder: what shows it, and what it leaves open where nothing more is shown."""

    level: str
    shown_by: Said
    leaves: tuple[Leaves, ...]

    @property
    def leaves_open(self) -> Said:
        """What it leaves open, in one line."""
        return said_leaves(self.leaves)


def said_leaves(leaves: tuple[Leaves, ...]) -> Said:
    """What is left open, in one line."""
    return say("{leaves}", leaves=listed(leaves, Joined.COMMA))


DIRECT = (
    Rung("E0", say("the lamp is off now"), (Leaves.EVERYTHING,)),
    Rung(
        "E1",
        say("the lamp lights at ignition-on, then goes out"),
        (Leaves.SHORT_DRIVE, Leaves.NOT_MISSED, Leaves.CLONE),
    ),
    Rung(
        "E2",
        say("E1 after a full drive cycle and two ignition cycles, with no sensor silent when last asked"),
        (Leaves.NOT_MISSED, Leaves.OTHER_SET, Leaves.CORNERS),
    ),
    Rung(
        "E3",
        say("E2, no stored or pending codes, and the car's list is just the fitted IDs"),
        (Leaves.NOT_MISSED, Leaves.SOME_CORNERS, Leaves.LIMIT),
    ),
    Rung(
        "E4",
        say("E3, and each corner's own figure on the dash followed a change of pressure there, with the wheel gauged"),
        (Leaves.LIMIT, Leaves.LAMP_PATH),
    ),
    Rung("E5", say("one wheel taken below the limit lights the lamp, and it goes out after inflating"), (Leaves.NOTHING,)),
)  # fmt: skip
"""Of a car with wheel sensors.

E2 and E3 leave a silent sensor open until each corner was seen live, or the lamp was off after six starts or a week: 49 CFR 571.138,
S4.4, has the malfunction shown within 20 minutes of driving at 50 to 100 km/h, and cars may take longer.
"""
INDIRECT = (
    Rung("E0", say("the lamp is off now"), (Leaves.EVERYTHING,)),
    Rung("E1", say("the lamp lights at ignition-on, then goes out"), (Leaves.BADLY_STORED,)),
    Rung(
        "E2",
        say(
            "E1, the reference stored after gauging all four cold, and the learning drive done over two ignition cycles"
        ),
        (Leaves.UNEQUAL, Leaves.LIMIT),
    ),
    Rung("E3", say("E2, and no stored or pending codes"), (Leaves.LIMIT, Leaves.LAMP_PATH)),
    Rung(
        "E5",
        say(
            "one wheel taken below the limit lights the lamp on a drive, for this car can warn only while it rolls, "
            "and it goes out once inflated and stored again"
        ),
        (Leaves.STANDING, Leaves.ALL_ALIKE),
    ),
)  # fmt: skip
"""Of a car that watches by wheel speed: it knows no IDs, and E4 has no meaning for it. It compares the wheels while they roll."""


def ladder_of(monitor: str | None) -> tuple[Rung, ...]:
    """The ladder of a car, by how it watches its tyres; () where it does not, or nobody knows."""
    return {Monitor.DIRECT.value: DIRECT, Monitor.INDIRECT.value: INDIRECT}.get(monitor or "", ())


def rung_of(monitor: str | None, level: str) -> Rung:
    """One rung. Raises KeyError where the ladder has none of that level."""
    return {one.level: one for one in ladder_of(monitor)}[level]


def leaves_of(monitor: str | None, level: str) -> tuple[Leaves, ...]:
    """What a level leaves open on a car, NONE included."""
    if not ladder_of(monitor):
        return (Leaves.TO_GAUGING,)
    return (Leaves.EVERYTHING,) if level == NONE else rung_of(monitor, level).leaves


class Reason(Coded):
    """Why a job is after its level."""

    NO_CAR = "no-car", "the set goes on no car"
    NOT_KNOWN = "monitor-not-known", "how this car watches its tyres is not known"
    NOT_WATCHED = "not-watched", "this car does not watch its tyres"
    PRESSURES_ONLY = "pressures-only", "only pressures are set"
    TEACH_ONLY = "teach-only", "the car is taught, and proven another time"
    FLAT = "flat", "a flat tyre on the road shows nothing about the lamp"
    ONE_WHEEL = "one-wheel", "its own sensor went back into the wheel; a proof of what is on shows the rest"
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
    Reason.FLAT: (say("each answer of yours"), say("everything about the lamp")),
    Reason.ONE_WHEEL: (
        say("the wheel's own ID at collection, its pressure, and the lamp on a drive"),
        say("whose IDs the car holds: prove what is on for that"),
    ),
    Reason.NOT_WATCHED: (say("a gauge, now and in four weeks"), said_leaves((Leaves.TO_GAUGING,))),
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
    def at_hand(self) -> Said | None:
        """What can be shown with what is there, what that leaves open, and what would buy more; None where nothing is missing."""
        if not self.missing:
            return None
        wants = listed(self.missing, Joined.SEMICOLON)
        if self.reachable == NONE:
            return say("Find out first: {wants}.", wants=wants)
        pattern = "With what is at hand, {level} can be shown; it leaves open: {leaves}. For more it wants {wants}."
        leaves = rung_of(self.monitor, self.reachable).leaves_open
        return say(pattern, level=self.reachable, leaves=leaves, wants=wants)

    @property
    def basis(self) -> Basis:
        """What the ladder rests on."""
        return Basis(Ground.JUDGEMENT, "evidence ladder of this program")
