"""What must not be contradicted where sets are judged: offers, comparisons of speed, rim widths."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.declared.lines import PathKey
from wheelside.declared.read import Complaint
from wheelside.garage.model import Garage
from wheelside.garage.rates import currency_of

Complaints = Iterator[Complaint]


_MINE = "a set that is yours"
_BOUGHT = "take 'on_offer' out once the set is yours"


def _offers(garage: Garage) -> Complaints:
    """A set on offer is nowhere and in no car's list: it is not the owner's."""
    offered = {row.id for row in garage.set if row.on_offer}
    for i, row in enumerate(garage.set):
        if row.on_offer and row.leaves:
            yield Complaint(
                ("set", i, "on_offer"), "true", "a set that is yours before it is sold or scrapped", _BOUGHT
            )
    for path, name in _uses(garage):
        if name in offered:
            yield Complaint(path, f"'{name}', which is on offer", _MINE, _BOUGHT)


def _uses(garage: Garage) -> Iterator[tuple[PathKey, str | None]]:
    """Where sets are named as the owner's."""
    yield from ((("stay", i, "set"), stay.set) for i, stay in enumerate(garage.stay))
    for i, car in enumerate(garage.car):
        yield from ((("car", i, "holds", k, "set"), held.set) for k, held in enumerate(car.holds or ()))
    for i, path in enumerate(garage.path):
        yield from ((("path", i, "listened", k, "set"), one.set) for k, one in enumerate(path.listened))


def _prices(garage: Garage) -> Complaints:
    currency = currency_of(garage)
    for i, row in enumerate(garage.set):
        if row.price and row.price.currency != currency:
            yield Complaint(("set", i, "price"), row.price.currency, currency, "write all prices in one currency")


def _comparisons(garage: Garage) -> Complaints:
    for i, car in enumerate(garage.car):
        shown, true = car.speedometer_shows, car.speedometer_true
        if (shown is None) != (true is None):
            lacking = "speedometer_true" if true is None else "speedometer_shows"
            yield Complaint(
                ("car", i, lacking),
                "nothing",
                "both speeds of one comparison",
                f"add {lacking!r}, or take the other out",
            )
        if shown and true and not (30 <= true.km_h <= 250 and 0.7 <= shown.km_h / true.km_h <= 1.4):
            found = f"{shown.km_h:.0f} km/h shown at a true {true.km_h:.0f}"
            yield Complaint(
                ("car", i, "speedometer_shows"), found, "two speeds of one moment, from 30 km/h on", "compare again"
            )


def _rim_widths(garage: Garage) -> Complaints:
    for i, tyre in enumerate(garage.tyre):
        widths = [size.width_in for size in tyre.rim_widths]
        if widths and (len(widths) != 2 or widths[0] > widths[1]):
            found = ", ".join(f"{width:g}" for width in widths)
            yield Complaint(
                ("tyre", i, "rim_widths"), found, "two widths, the narrowest first", 'write them as in ["5.5J", "7.5J"]'
            )


_PLAUSIBLE = (
    ("rim", "centre_bore", 40, 130), ("rim", "inset", -100, 150), ("rim", "seat_depth", 1, 60), ("rim", "valve_hole", 5, 25),
    ("car", "centre_bore", 40, 130), ("car", "inset", -100, 150), ("car", "fastener_length", 10, 90), ("car", "room_inside", 0, 300),
    ("car", "room_outside", 0, 300), ("tyre", "tread", 0, 20), ("sensor", "valve_hole", 5, 25),
)  # fmt: skip
"""Table, key, and between which millimetres a figure can lie; judgement."""


def _plausible(garage: Garage) -> Complaints:
    for kind, key, least, most in _PLAUSIBLE:
        for i, row in enumerate(getattr(garage, kind)):
            value = getattr(row, key)
            if value is not None and not least <= value.mm <= most:
                yield Complaint(
                    (kind, i, key), f"{value.mm:g} mm", f"{least} to {most} mm", "read it again, and look at its unit"
                )
    for i, rim in enumerate(garage.rim):
        if rim.max_load is not None and rim.max_load.kg < LEAST_RIM_KG:
            yield Complaint(
                ("rim", i, "max_load"),
                f"{rim.max_load.kg:g} kg",
                f"at least {LEAST_RIM_KG} kg",
                "read it again, and its unit",
            )


LEAST_RIM_KG = 200
OFFER_CHECKS = (_offers, _prices, _comparisons, _rim_widths, _plausible)
