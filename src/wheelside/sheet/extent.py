"""Which part of the work a run sheet is of: all of a change of wheels, or one thing on the wheels that are on."""

from __future__ import annotations

from wheelside.said import Coded


class Extent(Coded):
    """What a run sheet is for. All but the first two, which are a change of wheels, are for a set that is on the car, and lift no wheel."""

    ALL = "all", "all of it"
    SHOP = "shop-swaps", "the shop swaps, the owner checks"
    PRESSURES = "pressures", "pressures only"
    TEACH = "teach", "teaching only"
    PROVE = "prove", "the proof only"

    @property
    def changes(self) -> bool:
        """Whether it is for a whole change of wheels."""
        return self in (Extent.ALL, Extent.SHOP)
