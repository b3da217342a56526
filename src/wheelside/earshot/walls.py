"""What walls take off a signal, by the word that the owner gives for each."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Ground

_MEMORY = Basis(Ground.JUDGEMENT, "usual losses at 300 to 450 MHz, from memory")


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall: its loss in dB and the standard deviation of that loss."""

    word: str
    loss_db: float
    spread_db: float
    basis: Basis


_LOSSES = {
    "wood": (3.0, 2.0),
    "plasterboard": (3.0, 2.0),
    "glass": (3.0, 3.0),
    "brick": (6.0, 3.0),
    "stone": (10.0, 4.0),
    "concrete": (13.0, 5.0),
    "earth": (20.0, 8.0),
    "steel": (25.0, 8.0),
}
_SAME = {
    "timber": "wood",
    "plaster": "plasterboard",
    "window": "glass",
    "block": "brick",
    "metal": "steel",
    "iron": "steel",
}
KNOWN = tuple(_LOSSES)
"""The words that have a loss."""


def wall(word: str) -> Wall:
    """The wall that a word stands for; one that is not known takes nothing off, so that nothing is hoped for."""
    plain = word.strip().casefold()
    plain = _SAME.get(plain, plain)
    if plain not in _LOSSES:
        return Wall(word, 0.0, 0.0, Basis(Ground.UNKNOWN, "no loss is known for this word"))
    loss, spread = _LOSSES[plain]
    return Wall(plain, loss, spread, _MEMORY)
