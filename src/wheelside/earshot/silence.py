"""What the owner's listening says: something heard settles it, silence is weighed by how often the sensors send."""

from __future__ import annotations

import math

from wheelside.garage.ids import rest_interval
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage, Listening

DEAD_SPOT = 0.2
"""The chance that a receiver hears nothing from where it lay although a car would; judgement."""
BURST_MISSED = 0.3
"""The chance that one burst goes unheard though the spot is good; judgement (single frames are lost in 10 to 60 of 100)."""


def bursts(garage: Garage, listening: Listening) -> float | None:
    """How many bursts the set's sensors sent meanwhile; None where how long, or how often they send, is not known."""
    wheels = garage.sets[listening.set].wheels
    sensors = [parts_on(garage, wheel, listening.on).sensor for _, wheel in wheels] if listening.on else []
    intervals = [rest_interval(garage, s) for s in sensors if s is not None]
    if listening.lasted is None or not intervals or any(i is None or i.seconds <= 0 for i in intervals):
        return None
    return sum(listening.lasted.seconds / i.seconds for i in intervals if i is not None)


def silence_weight(garage: Garage, listening: Listening) -> float:
    """How likely the silence would be if the set could be heard, 0.2 to 1; 1 where it proves nothing."""
    sent = bursts(garage, listening)
    if sent is None:
        return 1.0
    return DEAD_SPOT + (1.0 - DEAD_SPOT) * math.pow(BURST_MISSED, sent)


def weighed(garage: Garage, chance: float, listened: tuple[Listening, ...]) -> float:
    """The chance of being heard after listening (Bayes), each time taken as another spot and independent."""
    if any(one.heard for one in listened):
        return 1.0
    audible = chance
    for one in listened:
        audible *= silence_weight(garage, one)
    rest = 1.0 - chance
    return audible / (audible + rest) if audible + rest > 0.0 else chance
