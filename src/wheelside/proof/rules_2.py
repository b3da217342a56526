"""The ladders as rules 2 worded them: a proof of those rules is shown as it said then.

Under them a receiver's answer that somebody typed counted as the car's list, and no level named a sensor that was not missed yet.
"""

from __future__ import annotations

from wheelside.garage.words import Monitor
from wheelside.said import Said, say

_DIRECT = {
    "E0": (say("the lamp is off now"), say("everything")),
    "E1": (say("the lamp lights at ignition-on, then goes out"), say("too short a drive, a clone answering")),
    "E2": (
        say("E1 after a full drive cycle and two ignition cycles"),
        say("a clone or another set answering, wrong corners"),
    ),
    "E3": (
        say("E2, no stored or pending codes, and the car's list, or what a receiver heard, is just the fitted IDs"),
        say("wrong corners on some cars, wrong limits"),
    ),
    "E4": (
        say("E3, and each corner's figure follows a change of 30 to 50 kPa (0.3 to 0.5 bar, 4 to 7 psi) at that corner"),
        say("a wrong limit, the lamp's path"),
    ),
    "E5": (
        say("one wheel taken below the limit lights the lamp, and it goes out after inflating"),
        say("nothing that this ladder knows of"),
    ),
}  # fmt: skip
_INDIRECT = {
    "E0": _DIRECT["E0"],
    "E1": (_DIRECT["E1"][0], say("that nothing was stored, or stored with a tyre low")),
    "E2": (
        say("E1, the reference stored after gauging all four cold, and the learning drive done over two ignition cycles"),
        say("unequal tyres, a wrong limit"),
    ),
    "E3": (say("E2, and no stored or pending codes"), say("a wrong limit, the lamp's path")),
    "E5": (
        say("one wheel taken below the limit lights the lamp after a drive, and it goes out once inflated and stored anew"),
        say("slow loss in all four at once"),
    ),
}  # fmt: skip
_LADDERS = {Monitor.DIRECT.value: _DIRECT, Monitor.INDIRECT.value: _INDIRECT}


def shown_by_then(monitor: str | None, level: str) -> Said:
    """What showed a level under rules 2. Raises KeyError where its ladder has none of that level."""
    return _LADDERS[monitor or ""][level][0]


def leaves_open_then(monitor: str | None, level: str) -> Said:
    """What a level left open under rules 2, NONE included."""
    ladder = _LADDERS.get(monitor or "")
    if ladder is None:
        return say("everything between two gaugings")
    return ladder[level][1] if level in ladder else say("everything")
