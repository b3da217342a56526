"""What the owner's listening says: something heard settles it, silence is weighed by what the receiver could have heard."""

from __future__ import annotations

import math

from wheelside.earshot.budget import RECEIVER_HAND, Budget
from wheelside.garage.ids import rest_interval
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, Listening

BURST_MISSED = 0.3
"""The chance that one burst goes unheard though the spot is good; judgement (single frames are lost in 10 to 60 of 100)."""
SPOT_DB = 5.0
"""By how much the level differs from spot to spot of the receiver, standard deviation; judgement."""
_STEPS = 8
"""Grid steps to one standard deviation."""


def bursts(garage: Garage, listening: Listening) -> float | None:
    """How many bursts the set's sensors sent meanwhile; None where how long, or how often they send, is not known."""
    wheels = garage.sets[listening.set].wheels
    sensors = [parts_on(garage, wheel, listening.on).sensor for _, wheel in wheels] if listening.on else []
    intervals = [rest_interval(garage, s) for s in sensors if s is not None]
    if listening.lasted is None or not intervals or any(i is None or i.seconds <= 0 for i in intervals):
        return None
    return sum(listening.lasted.seconds / i.seconds for i in intervals if i is not None)


def weighed(link: Budget, silences: tuple[float, ...]) -> float:
    """The chance that a car hears, after so many silences of a hand-held receiver, each with the bursts sent meanwhile (Bayes).

    What car and receiver share, sensor, wheel, distance and walls, they have in common at every listening, and the
    receiver's own need too; the spot differs each time. So silence can only tell as much as the receiver could have heard.
    """
    if not silences:
        return link.chance
    shared = link.terms[:-1]
    level, spread = sum(t.db for t in shared), math.sqrt(sum(t.spread_db**2 for t in shared))
    car = link.terms[-1]
    heard = total = 0.0
    for x in _grid(4.0):
        at = level + spread * x
        prior = math.exp(-x * x / 2.0)
        silent = sum(math.exp(-y * y / 2.0) * _all_silent(at, y, silences) for y in _grid(3.0))
        total += prior * silent
        heard += prior * silent * _above((at + car.db) / car.spread_db)
    return heard / total if total > 0.0 else link.chance


def _all_silent(level: float, need: float, silences: tuple[float, ...]) -> float:
    """The chance that nothing is heard at any listening; `need`: the receiver's own need, in its standard deviations."""
    reaches = _above((level + RECEIVER_HAND.db + RECEIVER_HAND.spread_db * need) / SPOT_DB)
    out = 1.0
    for sent in silences:
        out *= 1.0 - reaches * (1.0 - math.pow(BURST_MISSED, sent))
    return out


def _grid(reach: float) -> tuple[float, ...]:
    n = int(reach * _STEPS)
    return tuple(i / _STEPS for i in range(-n, n + 1))


def _above(z: float) -> float:
    """The chance that a standard normal is below z."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
