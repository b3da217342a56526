"""Which part of the work a run sheet is of: all of a change of wheels, or one thing on the wheels that are on."""

from __future__ import annotations

from wheelside.said import Coded


class Extent(Coded):
    """What a run sheet is for. All but the first two, which are a change of wheels, are for a set that is on the car."""

    ALL = "all", "all of it"
    SHOP = "shop-swaps", "the shop swaps, the owner checks"
    PRESSURES = "pressures", "pressures only"
    TEACH = "teach", "teaching only"
    PROVE = "prove", "the proof only"
    FLAT = "flat", "a flat tyre on the road"
    WHEEL = "one-wheel", "a new tyre or valve for one wheel"

    @property
    def changes(self) -> bool:
        """Whether it is for a whole change of wheels."""
        return self in (Extent.ALL, Extent.SHOP)

    @property
    def of_one_wheel(self) -> bool:
        """Whether it is about one wheel, which has to be named."""
        return self in (Extent.FLAT, Extent.WHEEL)

    @property
    def by_plan(self) -> bool:
        """Whether it rests on the identity plan, and is not made while none is possible. One wheel is seen to without it."""
        return self not in (Extent.PRESSURES, Extent.FLAT, Extent.WHEEL)
