"""What was found where a tyre lost air."""

from __future__ import annotations

from wheelside.said import Coded


class Mended(Coded):
    """What was found, and what was done."""

    VALVE = "valve", "The valve: a new core or cap"
    BEAD = "bead", "Where tyre meets rim: cleaned and seated again"
    TREAD = "tread", "In the tread: repaired by a workshop"
    WORKSHOP = "workshop", "Back from a workshop"
    NOT_FOUND = "not-found", "Nothing found"
