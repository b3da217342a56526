"""The parts of a job, and the channels by which evidence comes in."""

from __future__ import annotations

from enum import StrEnum


class Stage(StrEnum):
    """The parts of a job, in their order."""

    BEFORE = "Before anything is touched"
    PARTS = "Parts and tools"
    BENCH = "Write new sensors on the bench"
    OFF = "Take wheels off"
    SHOP = "Tyre shop"
    IN_WHEEL = "Write sensors in their wheels"
    SWAP = "Swap the wheels"
    AIR = "Pressures"
    TEACH = "Wake and teach"
    DRIVE = "Drive and look"
    PROOF = "Prove it"
    AFTER = "Afterwards"
    WRONG = "Only if a sensor was written wrongly"


class Channel(StrEnum):
    """How evidence comes in."""

    TYPED = "typed"
    WRITER = "writer"
    TRIGGER = "trigger"
    PORT = "port"
    GAUGE = "gauge"
    PHOTO = "photo"
