"""What a job is called: kept as names and days, put into words where it is read."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from pydantic import TypeAdapter
from pydantic.dataclasses import dataclass

from wheelside.garage.model import Garage
from wheelside.said import Said, say
from wheelside.sheet.extent import Extent
from wheelside.sheet.step import RunSheet


@dataclass(frozen=True, slots=True)
class Called:
    """Names of the set that a job is about, of the car, '' for none, and of the set that comes off; `due`: the season line's day.
    `extent`: of which part of the work the job is; `wheel`: the one that it is about, by its name."""

    coming: str
    day: date
    car: str = ""
    going: str = ""
    stays_on: bool = False
    due: date | None = None
    extent: Extent = Extent.ALL
    wheel: str = ""


_CALLED = TypeAdapter(Called)


def called(garage: Garage, sheet: RunSheet) -> Called:
    """What the job of a run sheet is called."""
    return called_by(
        sheet, garage.sets[sheet.coming].name, garage.cars[sheet.car].name if sheet.car else "",
        garage.sets[sheet.going].name if sheet.going else "", garage.wheels[sheet.about].name if sheet.about else "",
    )  # fmt: skip


def called_by(sheet: RunSheet, coming: str, car: str, going: str, wheel: str = "") -> Called:
    """The same, by the names that the job began with."""
    return Called(
        coming,
        sheet.day,
        car,
        going,
        sheet.stays_on,
        sheet.due if sheet.due != sheet.day else None,
        sheet.extent,
        wheel,
    )


def kept_title(one: Called) -> str:
    """As a book keeps it."""
    return _CALLED.dump_json(one).decode()


@lru_cache(maxsize=256)
def called_in(kept: str) -> Called:
    """What a book keeps. Raises ValueError."""
    return _CALLED.validate_json(kept)


_ONLY = {
    Extent.PRESSURES: "Pressures of {coming} on {car}, {day}",
    Extent.TEACH: "Teach {car} the IDs of {coming}, {day}",
    Extent.PROVE: "Proof of {coming} on {car}, {day}",
    Extent.FLAT: "{wheel} of {car} is flat, {day}",
    Extent.WHEEL: "{wheel} of {car}: new tyre or valve, {day}",
}


def said_title(one: Called) -> Said:
    """'Winter set goes on Estate, 2026-11-28; Summer set comes off'."""
    if not one.car:
        return say("Sensors of {coming}, {day}", coming=one.coming, day=one.day)
    if one.extent in _ONLY:
        return say(_ONLY[one.extent], coming=one.coming, car=one.car, day=one.day, wheel=one.wheel)
    if one.stays_on:
        return say("{coming} stays on {car}, {day}", coming=one.coming, car=one.car, day=one.day)
    due = say(" (due {day})", day=one.due) if one.due else ""
    off = say("; {going} comes off", going=one.going) if one.going else ""
    if one.extent is Extent.SHOP:
        off = say("{off}; the shop swaps", off=off)
    return say("{coming} goes on {car}, {day}{due}{off}", coming=one.coming, car=one.car, day=one.day, due=due, off=off)


_SHORT_ONLY = {
    Extent.PRESSURES: "Pressures of {coming} on {car}",
    Extent.TEACH: "Teach {car} the IDs of {coming}",
    Extent.PROVE: "Proof of {coming} on {car}",
    Extent.FLAT: "{wheel} of {car} is flat",
    Extent.WHEEL: "{wheel} of {car}: new tyre or valve",
}


def short_title(one: Called) -> Said:
    """The same without its day: 'Winter set goes on Estate, Summer set off'."""
    if not one.car:
        return say("Sensors of {coming}", coming=one.coming)
    if one.extent in _SHORT_ONLY:
        return say(_SHORT_ONLY[one.extent], coming=one.coming, car=one.car, wheel=one.wheel)
    if one.stays_on:
        return say("{coming} stays on {car}", coming=one.coming, car=one.car)
    off = say(", {going} off", going=one.going) if one.going else ""
    if one.extent is Extent.SHOP:
        off = say("{off}, the shop swaps", off=off)
    return say("{coming} goes on {car}{off}", coming=one.coming, car=one.car, off=off)
