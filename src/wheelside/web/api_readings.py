"""Readings by the HTTP API: kept, asked about where they are odd, marked as mistaken, and given out."""

from __future__ import annotations

from dataclasses import fields
from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field

from wheelside.errors import BadRequest
from wheelside.jobs.book import kept
from wheelside.jobs.book.kept import (
    FIRST_US,
    LAST_US,
    Purpose,
    Reading,
    RestsOn,
    Warmth,
    Why,
    pressure_of,
    temperature_of,
)
from wheelside.jobs.book.mistake import mark_at
from wheelside.jobs.book.reading_row import AskedFigure, asked_of, said_of
from wheelside.units import AbsolutePressure
from wheelside.web.api import ERRORS, Key, PlainRoute, writes
from wheelside.web.frame import desk_of, person_of

router = APIRouter(responses=ERRORS, route_class=PlainRoute)


class ReadingIn(BaseModel):
    """One reading of a wheel or a sensor."""

    model_config = ConfigDict(extra="forbid")
    wheel: str | None = Field(None, max_length=80)
    sensor: str | None = Field(None, max_length=80)
    at_us: int = Field(ge=FIRST_US, le=LAST_US)
    offset_min: int = Field(0, ge=-900, le=900)
    channel: str = Field("typed", min_length=1, max_length=40, pattern=r"^[\x20-\x7e]+$")
    pressure_kpa: float | None = Field(None, ge=-200, le=2000)
    absolute: bool = False
    temperature_k: float | None = Field(
        None, ge=150, le=600, description="A temperature of which it is not known what it is of."
    )
    battery_low: bool | None = None
    instrument: str | None = Field(
        None, max_length=60, pattern=r"^[^\x00]*$", description="What the instrument is called."
    )
    instrument_id: str | None = Field(None, max_length=80, description="Its id in the book.")
    purpose: Purpose = Purpose.NOT_KNOWN
    warmth: Warmth = Warmth.NOT_KNOWN
    tyre_k: float | None = Field(None, ge=150, le=600, description="The temperature of the tyre.")
    outside_k: float | None = Field(None, ge=150, le=600, description="The temperature of the air outside.")
    place: str | None = Field(None, max_length=80, description="The id of the place where it was taken.")
    air_kpa: float | None = Field(
        None, ge=10, le=120, description="The pressure of the air there, not reduced to sea level."
    )


class ReadingsIn(BaseModel):
    """Readings to be kept; the same one is kept once."""

    model_config = ConfigDict(extra="forbid")
    readings: list[ReadingIn] = Field(min_length=1, max_length=20_000)
    as_it_is: bool = Field(
        default=False, description="Keep figures that no wheel in use has, too: they really were so."
    )


class ReadingsTaken(BaseModel):
    """How many readings were new, how many known, how many stand against a known one and were not kept.

    `mistaken`: how many say the same as one that is marked as mistaken, and were not kept again.
    """

    new: int
    known: int
    differing: int
    mistaken: int


@router.post("/readings", dependencies=writes)
def take_readings(request: Request, body: ReadingsIn) -> ReadingsTaken:
    """Keeps readings of wheels and sensors of the book, all or none. 400 with each figure that no wheel in use has."""
    desk = desk_of(request)
    found = [_reading(one) for one in body.readings]
    if not body.as_it_is:
        _refuse_odd([a for n, r in enumerate(found, start=1) for a in asked_of(r, desk.clock(), n)])
    taken = kept.keep_sent(desk, found, as_it_is=body.as_it_is, person=person_of(request))
    return ReadingsTaken(new=taken.new, known=taken.known, differing=len(taken.differing), mistaken=taken.mistaken)


def _refuse_odd(asked: list[AskedFigure]) -> None:
    """Raises BadRequest where figures are asked about, the first twenty with what they would be."""
    if not asked:
        return
    lines = []
    for one in asked[:20]:
        found, expected, meant = said_of(one)
        lines.append(f"reading {one.line}: {found} is not {expected}" + (f"; {meant}?" if meant else ""))
    way = "Send pressures in kPa and temperatures in K; where it really was so, send as_it_is. Nothing was kept."
    raise BadRequest("\n".join([*lines, way]), found=said_of(asked[0])[0], expected=said_of(asked[0])[1])


class MistakenIn(BaseModel):
    """Which reading is mistaken, and why."""

    model_config = ConfigDict(extra="forbid")
    at_us: int = Field(ge=FIRST_US, le=LAST_US)
    channel: str = Field("typed", min_length=1, max_length=40, pattern=r"^[\x20-\x7e]+$")
    why: Why


@router.post("/readings/{kind}/{key}/mistaken", status_code=204, dependencies=writes)
def mistaken_reading(request: Request, kind: Key, key: Key, body: MistakenIn) -> None:
    """Marks a reading as noted by mistake: it stays in the book, and is used no more."""
    mark_at(desk_of(request), (kind, key), body.at_us, body.channel, body.why, person=person_of(request))


def _reading(one: ReadingIn) -> Reading:
    named = [(kind, key) for kind, key in (("wheel", one.wheel), ("sensor", one.sensor)) if key is not None]
    if len(named) != 1:
        raise BadRequest(
            "a reading names one wheel or one sensor of the book", found=str(named)[:80], expected="wheel or sensor"
        )
    return Reading(
        named[0], one.at_us, one.channel, pressure_of(one.pressure_kpa, one.absolute), temperature_of(one.temperature_k), one.battery_low,
        one.instrument, one.offset_min, "", one.purpose, one.warmth, temperature_of(one.tyre_k), temperature_of(one.outside_k), one.place,
        None if one.air_kpa is None else AbsolutePressure(one.air_kpa), one.instrument_id,
    )  # fmt: skip


class ReadingOut(BaseModel):
    """One reading as it is kept. `mistaken` says why it is marked so, '' for one that counts."""

    subject: tuple[str, str]
    at_us: int
    offset_min: int
    channel: str
    pressure_kpa: float | None
    absolute: bool
    temperature_k: float | None
    battery_low: bool | None
    instrument: str | None
    instrument_id: str | None
    purpose: Purpose
    warmth: Warmth
    tyre_k: float | None
    outside_k: float | None
    place: str | None
    air_kpa: float | None
    mistaken: str


def _out(r: Reading) -> ReadingOut:
    return ReadingOut(
        subject=r.subject,
        at_us=r.at_us,
        offset_min=r.offset_min,
        channel=r.channel,
        pressure_kpa=r.pressure.kpa if r.pressure else None,
        absolute=isinstance(r.pressure, AbsolutePressure),
        temperature_k=r.temperature.kelvin if r.temperature else None,
        battery_low=r.battery_low,
        instrument=r.instrument,
        instrument_id=r.instrument_id,
        purpose=r.purpose,
        warmth=r.warmth,
        tyre_k=r.tyre.kelvin if r.tyre else None,
        outside_k=r.outside.kelvin if r.outside else None,
        place=r.place,
        air_kpa=r.air.kpa if r.air else None,
        mistaken=r.mistaken,
    )


class SeriesOut(BaseModel):
    """Pressures of wheels as columns of one length, by wheel and then by time; null where something is not known.

    `absolute_kpa` is against vacuum; `rests_on` says how that is known, `spread_kpa` how far the air around leaves it uncertain (half-width).
    """

    wheel: list[str]
    at_us: list[int]
    channel: list[str]
    absolute_kpa: list[float | None]
    spread_kpa: list[float | None]
    rests_on: list[RestsOn]
    tyre_k: list[float | None]
    outside_k: list[float | None]
    purpose: list[Purpose]
    warmth: list[Warmth]


@router.get("/readings")
def series(
    request: Request,
    wheel: Annotated[list[str], Query(max_length=1000)],
    since_us: Annotated[int, Query(ge=FIRST_US, le=LAST_US)] = FIRST_US,
    until_us: Annotated[int, Query(ge=FIRST_US, le=LAST_US)] = LAST_US,
) -> SeriesOut:
    """The pressures of wheels from one moment until before another as columns, absolute where that can be known."""
    found = kept.series_in(desk_of(request), wheel, since_us, until_us)
    columns = {f.name: [None if one != one else one for one in getattr(found, f.name).tolist()] for f in fields(found)}  # noqa: PLR0124  NaN
    return SeriesOut.model_validate(columns)


@router.get("/readings/{kind}/{key}")
def readings(
    request: Request, kind: Key, key: Key, most: Annotated[int, Query(ge=1, le=100_000)] = 10_000
) -> list[ReadingOut]:
    """The readings of one wheel or sensor, oldest first, at most so many."""
    return [_out(r) for r in kept.readings_of(desk_of(request), kind, key, most)]
