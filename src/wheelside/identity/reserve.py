"""Fresh IDs for a plan: those reserved earlier are kept, the rest are drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from wheelside.errors import BadRequest
from wheelside.garage.ids import known_ids, proven_different
from wheelside.garage.model import Garage
from wheelside.sensor.fresh import FreshRule, RandomBits, draw
from wheelside.sensor.ident import SensorId


@dataclass(frozen=True, slots=True)
class Reservation:
    """An ID set aside for one wheel. `distance`: by how many printed digits it differed from all others when drawn."""

    wheel: str
    id: SensorId
    distance: int
    since: date
    released: bool = False


def numbers_taken(garage: Garage, rule: FreshRule, reserved: Iterable[Reservation]) -> tuple[int, ...]:
    """The numbers that are or were used, reserved or retired in a family or one not proven different from it."""
    ids = [known.id for known in known_ids(garage)] + [r.id for r in reserved]
    return tuple(sorted({x.number for x in ids if not proven_different(garage, x.family, rule.family)}))


def reserve(
    garage: Garage,
    wanted: Mapping[str, FreshRule],
    earlier: tuple[Reservation, ...],
    random_bits: RandomBits,
    day: date,
) -> tuple[Reservation, ...]:
    """All reservations after this plan: the earlier ones, and new ones for wheels of `wanted` that have none.

    An earlier one is taken up again where family, width and prefix still fit and no sensor has carried
    it in a wheel since. Every ID of a garage counts as in earshot. Raises BadRequest when a family's free digits are used up.
    """
    kept = list(earlier)
    used = used_keys(garage)
    for rule in sorted({*wanted.values()}, key=lambda r: (r.family, r.bits, r.prefix)):
        wheels = sorted(w for w, r in wanted.items() if r == rule and standing(earlier, w, rule, used) is None)
        if not wheels:
            continue
        taken = numbers_taken(garage, rule, kept)
        drawn = draw(len(wheels), rule, taken, taken, random_bits)
        kept += [Reservation(wheel, one.id, one.distance, day) for wheel, one in zip(wheels, drawn, strict=True)]
    return tuple(kept)


def used_keys(garage: Garage) -> frozenset[tuple[int, int]]:
    """Width and number of every ID that a sensor carries or carried in a wheel, or that is retired.

    A loose sensor that never was in a wheel does not count: it may be the one prepared for the reservation.
    """
    joined = {j.sensor for wheel in garage.wheel for j in wheel.joined}
    ids = [one.id for one in known_ids(garage) if one.sensor is None or one.sensor in joined]
    return frozenset(one.key for one in ids)


def standing(
    reserved: Iterable[Reservation], wheel: str, rule: FreshRule, used: frozenset[tuple[int, int]]
) -> Reservation | None:
    """The reservation of a wheel that still fits its rule, is not used yet and has not been released."""
    for r in reserved:
        fits = (
            r.id.bits == rule.bits
            and r.id.family == rule.family
            and r.id.number >> rule.free_bits == rule.number(0) >> rule.free_bits
        )
        if r.wheel == wheel and fits and not r.released and r.id.key not in used:
            return r
    return None


def release(reserved: tuple[Reservation, ...], wheel: str) -> tuple[Reservation, ...]:
    """The reservations with those of a wheel released; a released ID is not given out again. Raises BadRequest."""
    if not any(r.wheel == wheel and not r.released for r in reserved):
        held = ", ".join(sorted({r.wheel for r in reserved if not r.released})) or "none"
        raise BadRequest(
            f"wheel '{wheel}' has no reserved ID (wheels that have one: {held})", found=wheel, expected=held
        )
    return tuple(
        Reservation(r.wheel, r.id, r.distance, r.since, released=True) if r.wheel == wheel else r for r in reserved
    )


def given(reserved: tuple[Reservation, ...], one: SensorId, wheel: str, day: date) -> tuple[Reservation, ...]:
    """The reservations with an ID that was set aside for no wheel given to one; what that wheel had is given up. Raises BadRequest."""
    free = _free(reserved, one)
    now = [replace(r, released=True) if not r.released and (r is free or r.wheel == wheel) else r for r in reserved]
    return (*now, Reservation(wheel, free.id, free.distance, day))


def given_up(reserved: tuple[Reservation, ...], one: SensorId) -> tuple[Reservation, ...]:
    """The reservations with an ID that was set aside for no wheel released. Raises BadRequest."""
    free = _free(reserved, one)
    return tuple(replace(r, released=True) if r is free else r for r in reserved)


def _free(reserved: tuple[Reservation, ...], one: SensorId) -> Reservation:
    """The reservation of an ID for no wheel. Raises BadRequest."""
    free = [r for r in reserved if not r.wheel and not r.released]
    found = next((r for r in free if r.id.key == one.key), None)
    if found is None:
        held = ", ".join(r.id.hex for r in free) or "none"
        raise BadRequest(
            f"{one.hex} does not lie ready: set aside and given to no wheel yet are {held}",
            found=one.hex,
            expected=held,
        )
    return found
