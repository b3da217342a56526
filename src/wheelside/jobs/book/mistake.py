"""Saying that a reading was noted by mistake, and what is right."""

from __future__ import annotations

from wheelside.air.plausible import odd_pressure
from wheelside.book.entry import View
from wheelside.book.mistaken import Why, mark_mistaken
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings, all_readings
from wheelside.book.things import ThingKey
from wheelside.errors import BadQuantity, BadRequest, NotThere
from wheelside.garage.model import Garage
from wheelside.jobs.book.desk import Desk
from wheelside.units import GaugePressure, UnitChoice, read_gauge_pressure
from wheelside.units.moment import Moment


def mark(
    desk: Desk, thing: str, at: str, channel: str, why: Why, *, kind: str = "", right: str = "", person: str = "", via: str = "command",
) -> Reading:  # fmt: skip
    """Marks a reading of a wheel or a sensor as mistaken, and keeps the right pressure in its place where one is given.

    `at`: its moment, as far as it is written; `kind`: what the thing is, '' for a wheel, else a sensor. Raises NotThere,
    BadRequest where several readings are meant or the right pressure can't be kept, Outside.
    """
    pressure = right_pressure(right) if right.strip() else None
    with desk.writing(f"reading of {thing} marked as mistaken", person=person, via=via) as writing:
        was = _meant_in(writing.conn, desk.loaded_in(writing.conn).garage, thing, at, channel, kind)
        mark_mistaken(writing, was.subject, was.at_us, was.channel, why)
        if pressure is not None:
            add_readings(writing, [was._replace(pressure=pressure)], as_it_is=True)
    return was


def right_pressure(text: str) -> GaugePressure:
    """The gauge pressure that is right. Raises BadRequest for a text that can't be read, or a pressure that no wheel in use has."""
    try:
        pressure = read_gauge_pressure(text)
    except BadQuantity as error:
        raise BadRequest(f"the right pressure: {error.message}", found=error.found, expected=error.expected) from error
    if odd_pressure(pressure.kpa, "kPa", absolute=False):
        raise BadRequest(
            f"{text} is not a pressure of a wheel in use: look at its unit. One that really was so is noted by itself, as it is",
            found=text[:40],
            expected="a pressure such as 2.4 bar",
        )
    return pressure


def meant(desk: Desk, thing: str, at: str, channel: str, kind: str = "") -> Reading:
    """The reading that is meant, as `mark` finds it. Raises NotThere, BadRequest, Outside."""
    with desk.book.reading() as conn:
        return _meant_in(conn, desk.loaded_in(conn).garage, thing, at, channel, kind)


def _meant_in(conn: View, garage: Garage, thing: str, at: str, channel: str, kind: str) -> Reading:
    subject = _thing(garage, thing, kind)
    found = [r for r in all_readings(conn, *subject) if not r.mistaken and _is_of(r, at, channel)]
    return _only(found, thing, at)


def mark_at(
    desk: Desk, subject: ThingKey, at_us: int, channel: str, why: Why, *, person: str = "", via: str = "api"
) -> None:
    """Marks the reading of just that moment and channel as mistaken. Raises NotThere, Outside."""
    with desk.writing(f"reading of {subject[1]} marked as mistaken", person=person, via=via) as writing:
        mark_mistaken(writing, subject, at_us, channel, why)


def _thing(garage: Garage, name: str, kind: str) -> ThingKey:
    if name in garage.wheels and kind != "sensor":
        return "wheel", name
    if name in garage.sensors:
        return "sensor", name
    called = [w.id for w in garage.wheel if w.name == name]
    if len(called) == 1:
        return "wheel", called[0]
    known = ", ".join(sorted(garage.wheels)[:40]) or "none"
    raise NotThere(f"no wheel or sensor '{name}' in the book: its wheels are {known}", found=name[:60], expected=known)


def _is_of(r: Reading, at: str, channel: str) -> bool:
    moment = Moment(r.at_us, r.offset_min).iso()
    return (not channel or r.channel == channel) and moment.startswith(at.strip().replace(" ", "T"))


def _only(found: list[Reading], thing: str, at: str) -> Reading:
    if len(found) == 1:
        return found[0]
    if not found:
        raise NotThere(
            f"no reading of {thing} at {at} that counts: 'wheelside book history' shows its readings",
            found=at[:40],
            expected="its moment",
        )
    told = "; ".join(f"{Moment(r.at_us, r.offset_min).iso()} {r.channel} {_pressure(r)}" for r in found[:10])
    raise BadRequest(
        f"{len(found)} readings of {thing} are of {at}: write the whole moment, or --channel. There are {told}",
        found=at[:40],
        expected=told,
    )


def _pressure(r: Reading) -> str:
    units = UnitChoice(pressure="kPa")
    return "" if r.pressure is None else f"{units.plain(r.pressure.kpa)} kPa"
