"""What a book has kept, looked up for a screen, and what a program sends it; the types of these are given from here as well."""

from __future__ import annotations

from collections.abc import Collection
from itertools import islice

from wheelside.book.events import Line, last_pressures, wheel_history
from wheelside.book.facts import FactRow, Row
from wheelside.book.jobs import JobRow, jobs_of
from wheelside.book.journal import Written, newest
from wheelside.book.mistaken import WORDS, Why
from wheelside.book.photos import checked_name, read_photo
from wheelside.book.reading import FIRST_US, LAST_US, Purpose, Reading, Warmth, pressure_of, temperature_of
from wheelside.book.readings import Taken, add_readings, all_readings
from wheelside.book.series import RestsOn, Series, series_of
from wheelside.book.visitors import Visitor
from wheelside.errors import BadRequest, NotThere
from wheelside.garage.model import Garage
from wheelside.jobs.book.clock_back import clock_back
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.reading_row import names_of
from wheelside.jobs.work.doing import Doing, doing_in
from wheelside.said import Said
from wheelside.units import GaugePressure

__all__ = [
    "FIRST_US",
    "LAST_US",
    "WORDS",
    "FactRow",
    "JobRow",
    "Line",
    "Purpose",
    "Reading",
    "RestsOn",
    "Row",
    "Taken",
    "Visitor",
    "Warmth",
    "Why",
    "Written",
    "pressure_of",
    "temperature_of",
]


def history(desk: Desk, wheel: str, most: int = 1000) -> tuple[Line, ...]:
    """Everything about one wheel, newest first; of one that the garage has no more, too. Raises Outside."""
    with desk.book.reading() as conn:
        return wheel_history(conn, wheel, most)


def journal(desk: Desk, most: int) -> tuple[Written, ...]:
    """The newest writes. Raises Outside."""
    with desk.book.reading() as conn:
        return newest(conn, most)


def clock_of(desk: Desk) -> Said | None:
    """What is said where the clock was put back; None where it was not. Raises Outside."""
    with desk.book.reading() as conn:
        return clock_back(conn, desk.clock())


def all_jobs(desk: Desk) -> tuple[JobRow, ...]:
    """Every job, newest first. Raises Outside."""
    with desk.book.reading() as conn:
        return jobs_of(conn)


def jobs_under_way(desk: Desk) -> tuple[Doing, ...]:
    """Every job that has not ended, newest first, as it stands. Raises Outside."""
    with desk.book.reading() as conn:
        return tuple(doing_in(conn, row.id) for row in jobs_of(conn) if row.outcome is None)


def job_beside_garage(desk: Desk, job: str) -> tuple[Doing, Garage]:
    """How a job stands, and the garage at the same moment. Raises NotThere, Outside."""
    with desk.book.reading() as conn:
        return doing_in(conn, job), desk.loaded_in(conn).garage


def pressures_read(desk: Desk) -> dict[str, tuple[int, GaugePressure]]:
    """For each wheel that was ever gauged, the moment and the gauge pressure of its newest reading. Raises Outside."""
    with desk.book.reading() as conn:
        return last_pressures(conn)


def readings_of(desk: Desk, kind: str, key: str, most: int) -> tuple[Reading, ...]:
    """The readings of one wheel or sensor, oldest first, at most so many. Raises Outside."""
    with desk.book.reading() as conn:
        return tuple(islice(all_readings(conn, kind, key), most))


def keep_sent(
    desk: Desk, readings: Collection[Reading], *, as_it_is: bool, person: str = "", via: str = "api"
) -> Taken:
    """Keeps readings that a program sent, all or none. Raises BadRequest for one of a thing that the book does not have, Outside."""
    with desk.writing("readings", person=person, via=via) as writing:
        garage = desk.loaded_in(writing.conn).garage
        known = names_of(garage).ids
        for r in readings:
            if r.subject not in known:
                text = "a reading names one wheel or one sensor of the book"
                raise BadRequest(text, found=str(r.subject)[:80], expected="wheel or sensor")
            for kind, key in (("place", r.place), ("instrument", r.instrument_id)):
                if key is not None and (kind, key) not in known:
                    text = f"a reading names no {kind} of the book"
                    raise BadRequest(text, found=key, expected=f"the id of one {kind}")
        return add_readings(writing, readings, as_it_is=as_it_is)


def series_in(desk: Desk, wheels: Collection[str], since_us: int, until_us: int) -> Series:
    """The pressures of wheels from one moment until before another, as columns. Raises NotThere for a wheel that there is not, Outside."""
    with desk.book.reading() as conn:
        garage = desk.loaded_in(conn).garage
        missing = next((one for one in wheels if one not in garage.wheels), None)
        if missing is not None:
            raise NotThere("there is no such wheel in this book", found=missing[:60])
        heights = {p.id: p.height for p in garage.place if p.height is not None}
        return series_of(conn, list(wheels), heights, since_us, until_us)


def photo_of(desk: Desk, name: str) -> bytes:
    """One photo. Raises NotThere where there is none, or where it is not any more what its name says."""
    try:
        data = read_photo(desk.photos, checked_name(name))
    except BadRequest as error:
        raise NotThere("there is no such photo", found=name[:80]) from error
    if data is None:
        raise NotThere("there is no such photo, or it is not any more what it was", found=name[:80])
    return data
