"""A garage without the facts for which neither a plan of IDs nor what is said of air asks."""

from __future__ import annotations

from dataclasses import replace

from wheelside.garage.model import Garage


def without_treads(garage: Garage) -> Garage:
    """The garage with no tyre's tread in it: so that what is made of it can't hang on treads, which are measured often."""
    return replace(garage, tyre=tuple(replace(tyre, tread=None, measured=()) for tyre in garage.tyre))
