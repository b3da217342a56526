"""Readings of wheels as columns, held against figures worked out by hand."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import Any

import pytest

from books import NOON, later
from wheelside.book.events import Event, Happened, add_events
from wheelside.book.mistaken import Why, mark_mistaken
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import add_readings
from wheelside.book.series import RestsOn, Series, series_of, stamp_of
from wheelside.jobs.book.desk import Desk
from wheelside.units import AbsolutePressure, GaugePressure, Length, Temperature

HEIGHTS = {"pass": Length(1_457_000.0), "coast": Length(0.0)}
GAUGE = Reading(("wheel", "S1"), NOON.us, "gauge", GaugePressure(240.0))


def of(desk: Desk, readings: list[Reading], *wheels: str, **span: Any) -> Series:
    with desk.writing("readings") as writing:
        add_readings(writing, readings, as_it_is=True)
    with desk.book.reading() as conn:
        return series_of(conn, wheels or ("S1",), HEIGHTS, **span)


@pytest.mark.published
def test_each_pressure_is_absolute_where_that_can_be_known(household_desk: Desk) -> None:
    """Gauge and absolute differ by the air around (ISO 80000-4). The International Standard Atmosphere has 850 hPa at 1457 m
    (published inverse table, whole metres) and 1013.25 hPa at sea level: 240 + 85.0 = 325.0, 240 + 101.325 = 341.325."""
    rows = [
        GAUGE._replace(place="pass"),
        GAUGE._replace(at_us=later(1).us, place="coast"),
        GAUGE._replace(at_us=later(2).us, place="pass", air=AbsolutePressure(84.2)),
        GAUGE._replace(at_us=later(3).us, pressure=AbsolutePressure(333.3), place="pass"),
        GAUGE._replace(at_us=later(4).us, place="shed"),
        GAUGE._replace(at_us=later(5).us),
    ]
    found = of(household_desk, rows)
    assert found.absolute_kpa[:4] == pytest.approx([325.0, 341.325, 324.2, 333.3], abs=0.007)
    assert [math.isnan(one) for one in found.absolute_kpa[4:]] == [True, True]
    assert list(found.rests_on) == [
        RestsOn.HEIGHT, RestsOn.HEIGHT, RestsOn.AIR, RestsOn.ABSOLUTE, RestsOn.NOTHING, RestsOn.NOTHING,
    ]  # fmt: skip
    assert list(found.spread_kpa[:4]) == [2.0, 2.0, 0.5, 0.0]
    assert [math.isnan(one) for one in found.spread_kpa[4:]] == [True, True]


def test_the_columns_are_of_the_wheels_and_the_time_that_were_asked_for(household_desk: Desk) -> None:
    full = GAUGE._replace(
        place="coast", tyre=Temperature(290.0), outside=Temperature(275.0), purpose=Purpose.STORED, warmth=Warmth.COLD
    )
    rows = [
        full,
        full._replace(subject=("wheel", "S2"), at_us=later(-5).us, tyre=None, purpose=Purpose.SET),
        full._replace(subject=("wheel", "S3")),
        full._replace(at_us=later(60).us),
        full._replace(at_us=later(-60).us),
        full._replace(at_us=later(1).us, pressure=None),
    ]
    found = of(household_desk, rows, "S2", "S1", since_us=later(-59).us, until_us=later(60).us)
    assert (list(found.wheel), list(found.at_us)) == (["S1", "S2"], [NOON.us, later(-5).us])
    assert (list(found.channel), list(found.purpose), list(found.warmth)) == (
        ["gauge"] * 2,
        ["stored", "set"],
        ["cold"] * 2,
    )
    assert found.tyre_k[0] == 290.0
    assert math.isnan(found.tyre_k[1])
    assert list(found.outside_k) == [275.0, 275.0]
    assert found.absolute_kpa.dtype == "float64"
    assert found.at_us.dtype == "int64"
    nothing = of(household_desk, [], "S4")
    assert [len(getattr(nothing, name)) for name in Series.__slots__] == [0] * len(Series.__slots__)


def test_a_sensor_counts_while_it_was_in_the_wheel_and_a_mistaken_reading_not_at_all(household_desk: Desk) -> None:
    with household_desk.writing("joined") as writing:
        add_events(
            writing,
            [
                Event(Happened.JOINED, later(0), wheel="S9", sensor="x1"),
                Event(Happened.PARTED, later(10), wheel="S9", sensor="x1"),
            ],
        )
    heard = Reading(("sensor", "x1"), NOON.us, "radio", AbsolutePressure(331.0))
    rows = [heard._replace(at_us=later(n).us) for n in (-1, 5, 6, 10)]
    assert list(of(household_desk, rows, "S9").at_us) == [later(5).us, later(6).us]
    with household_desk.writing("marked") as writing:
        mark_mistaken(writing, heard.subject, later(6).us, "radio", Why.FIGURE)
    assert list(of(household_desk, [], "S9").at_us) == [later(5).us]


def test_nothing_but_the_call_loads_the_columns_library() -> None:
    code = "import sys, wheelside.book.series; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_of_what_a_wheel_sends_by_itself_the_first_and_the_last_of_an_hour_count(household_desk: Desk) -> None:
    at = later(0, NOON)
    every = [
        Reading(("wheel", "S1"), later(n, at).us, "port", GaugePressure(240.0 + n / 10), purpose=Purpose.BY_ITSELF)
        for n in range(120)
    ]
    gauged = Reading(("wheel", "S1"), later(30.5, at).us, "port", GaugePressure(239.0), purpose=Purpose.GAUGING)
    found = of(household_desk, [*every, gauged], thin=True)
    assert len(found.wheel) == 5
    assert sorted(found.gauge_kpa.tolist()) == [239.0, 240.0, 245.9, 246.0, 251.9]


def test_a_stamp_changes_with_readings_marks_and_events_and_with_nothing_else(household_desk: Desk) -> None:
    def stamp() -> object:
        with household_desk.book.reading() as conn:
            return stamp_of(conn, ("S1",))

    seen = [stamp()]
    of(household_desk, [GAUGE])
    seen.append(stamp())
    of(household_desk, [GAUGE._replace(subject=("wheel", "S2"))])
    assert stamp() == seen[-1]
    of(household_desk, [GAUGE._replace(subject=("sensor", "sensor S1"), at_us=later(1).us)])
    seen.append(stamp())
    with household_desk.writing("marked") as writing:
        mark_mistaken(writing, GAUGE.subject, GAUGE.at_us, GAUGE.channel, Why.WHEEL)
    seen.append(stamp())
    with household_desk.writing("mended") as writing:
        add_events(writing, [Event(Happened.MENDED, NOON, wheel="S1")])
    seen.append(stamp())
    assert len(set(map(str, seen))) == len(seen)
