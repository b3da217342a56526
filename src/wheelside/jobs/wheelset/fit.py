"""Judging wheel sets for cars, whether they are noted or only read off an advertisement."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from difflib import get_close_matches
from typing import Any

from wheelside.declared.kinds import Kind, ListOf, Shape, typed
from wheelside.declared.row import Row
from wheelside.errors import BadRequest
from wheelside.fit.compare import Ranking, compare
from wheelside.fit.report import Fit, fit
from wheelside.garage.file import complaints_of
from wheelside.garage.model import Car, Garage, Rim, Sensor, Tyre, WheelSet
from wheelside.garage.offers import MARK, OWN, Offer, ids_of, offers, rows_of_offer, with_rows
from wheelside.garage.present import present
from wheelside.jobs.garagedesk import Where, at_desk
from wheelside.jobs.source import today

ASKED = "asked about"
"""The id of a set that is only asked about, and nowhere noted."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What was judged: a comparison for each car, and the reports of those pairs that were asked about."""

    garage: Garage
    day: date
    rankings: tuple[Ranking, ...]
    reports: tuple[Fit, ...]


def present_sets(garage: Garage, day: date) -> dict[str, str]:
    """For each car the set that is on it on a day, as far as that is known or taken."""
    return {car: on for on, car in present(garage, day).car_of.items()}


def judge(
    where: Where,
    *,
    day: date | None = None,
    car: str | None = None,
    wheel_set: str | None = None,
    offer: Offer | None = None,
) -> Judged:
    """Judges the sets on offer for each car, or what is asked for. `offer`: one that the file does not have. Raises Mendable, Outside."""
    there = at_desk(where, lambda desk: desk.load())
    garage = there.garage if offer is None else garage_with(there.table, offer)
    return judged(garage, day or today(), car, wheel_set if offer is None else offer.name)


def judged(garage: Garage, day: date, car: str | None, wheel_set: str | None) -> Judged:
    """The same for a garage that is read. Reports are made for a named set, or where one set is compared for one car."""
    cars, sets = _cars(garage, car), _sets(garage, wheel_set)
    present = present_sets(garage, day)
    named = wheel_set is not None or (len(cars) == 1 and len(sets) == 1)
    reports = tuple(fit(garage, one, each, day, present) for one in cars for each in sets) if named else ()
    return Judged(garage, day, compare(garage, cars, sets, day, present), reports)


def _cars(garage: Garage, name: str | None) -> tuple[Car, ...]:
    if name is None:
        if not garage.car:
            raise BadRequest("no car is noted: add a [[car]] with what you know of it", expected="a [[car]]")
        return garage.car
    if name not in garage.cars:
        known = ", ".join(garage.cars) or "none"
        raise BadRequest(f"no car '{name}' in the file: it has {known}", found=name, expected=known)
    return (garage.cars[name],)


def _sets(garage: Garage, name: str | None) -> tuple[WheelSet, ...]:
    if name is not None:
        if name not in garage.sets:
            known = ", ".join(garage.sets) or "none"
            raise BadRequest(f"no set '{name}' in the file: it has {known}", found=name, expected=known)
        return (garage.sets[name],)
    found = offers(garage)
    if not found:
        raise BadRequest(
            "no set is on offer: name one with --set, say with --rim and --tyre what an advertisement says, or note a [[set]] with "
            "on_offer = true",
            expected="a set",
        )
    return found


def garage_with(table: dict[str, Any], offer: Offer) -> Garage:
    """A garage with an offer besides. Raises BadRequest that names the first thing wrong with it."""
    garage, found = complaints_of(with_rows(table, rows_of_offer(offer, ids_of(table))))
    if found:
        first = found[0]
        way = f"; {first.suggestion}" if first.suggestion else ""
        key = str(first.path[-1])
        raise BadRequest(
            f"{key}: found {first.found}, expected {first.expected}{way}", found=first.found, expected=first.expected
        )
    return garage


def offer_said(rim: Iterable[str], tyre: Iterable[str], sensor: Iterable[str], price: str | None) -> Offer:
    """An offer as options say it: keys of the garage file with their values, 'inset=46 mm'. Raises BadRequest."""
    sensors = list(sensor)
    none = [one.strip().lower() for one in sensors] == ["none"]
    return Offer(
        ASKED,
        {"label": "The set asked about", **({"price": price} if price else {})},
        _row("rim", Rim, rim),
        _row("tyre", Tyre, tyre),
        None if none else _row("sensor", Sensor, sensors),
    )


def _row(name: str, cls: type[Row], said: Iterable[str]) -> dict[str, Any]:
    """What options say of one table, by the kinds that the table declares."""
    kinds = {f.name: f.metadata["kind"] for f in fields(cls) if "kind" in f.metadata}
    row: dict[str, Any] = {}
    for one in said:
        key, mark, value = (part.strip() for part in one.partition("="))
        if not mark or not key or not value:
            raise BadRequest(
                f"--{name} {one}: write key=value, as in --rim 'inset=46 mm' or --tyre tread=6mm",
                found=one,
                expected="key=value",
            )
        if key not in kinds or key in OWN:
            near = get_close_matches(key, kinds, 1, 0.5)
            meant = (
                f": did you mean '{near[0]}'?" if near else f": it has {', '.join(k for k in kinds if k not in OWN)}"
            )
            raise BadRequest(
                f"--{name} {one}: '{key}' is no key of a {name}{meant}", found=key, expected=f"a key of [[{name}]]"
            )
        if key in row:
            raise BadRequest(
                f"--{name} {one}: '{key}' is said twice; several values go with ';' between",
                found=one,
                expected="each key once",
            )
        row[key] = _value(kinds[key], value)
    return row


def _value(kind: Shape, text: str) -> Any:
    if isinstance(kind, Kind):
        parts = [typed(kind, part.strip()) for part in text.split(MARK)]
        return parts[0] if len(parts) == 1 else text
    if isinstance(kind, ListOf):
        return [part.strip() for part in text.split(",")]
    return text
