"""How many garages a long proof draws: a seeded sample in the suite, all of them by benchmarks/long.py."""

from __future__ import annotations

import os


def sampled(few: int, every: int) -> int:
    """`few` in the suite, `every` in a long run."""
    return every if os.environ.get("WHEELSIDE_LONG") == "1" else few
