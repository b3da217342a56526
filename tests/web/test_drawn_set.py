"""The drawings of a set: to scale, with labels that keep apart, told to those who do not see them, and only where there is something to draw."""

from __future__ import annotations

import re
from datetime import date, timedelta
from itertools import pairwise

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from books import later
from garages import DAY, Table, bare_table, demo_table, garage_of, row
from visits import let_in, words
from wheelside.fit.treads import wear_of_set
from wheelside.garage.lasting import set_lives
from wheelside.garage.present import Present
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.tyre.tread import Depths, depth_on, reached, wearing
from wheelside.units import UnitChoice
from wheelside.watch.curve import TyreCurve
from wheelside.web.draw.several import TALL, apart, names_for, thinned_dots
from wheelside.web.drawn_set import air_of, changes_ahead, sensors_of, treads_of

FOUR = {
    "g.front left": "2.40",
    "g.front right": "2.40",
    "g.rear left": "2.35",
    "g.rear right": "2.34",
    "g.outside": "8",
}
DOT = re.compile(r'<path d="M([\d.]+) ([\d.]+)a[^"]*" class="fill"/>')
WAY = re.compile(r'<path d="(M[^"]+)" class="ink" stroke-width="2"/>')


@given(st.lists(st.floats(-20, 120), min_size=1, max_size=6))
def test_labels_keep_apart_in_their_order_and_within_their_frame(wanted: list[float]) -> None:
    found = apart(wanted, 18, 0, 100)
    order = sorted(range(len(wanted)), key=lambda n: wanted[n])
    placed = [found[n] for n in order]
    assert all(b - a >= 18 - 1e-6 for a, b in pairwise(placed))
    assert placed[0] >= -1e-6
    assert placed[-1] <= 100 + 1e-6


def test_labels_that_have_room_stay_where_they_are_wanted() -> None:
    assert apart((10, 50, 90), 18, 0, 100) == (10, 50, 90)
    assert apart((50, 50), 18, 0, 100) == (41, 59)
    assert apart((0, 50, 100, 60), 60, 0, 100) == pytest.approx((0, 100 / 3, 100, 200 / 3))


def test_wheels_with_long_names_are_called_by_their_corners() -> None:
    corners = {"a": "front left", "b": "rear left"}
    assert names_for({"a": "S1", "b": "S3"}, corners, 100) == {"a": "S1", "b": "S3"}
    assert names_for({"a": "S1", "b": "Summer wheel with the scratch"}, corners, 100) == corners


def test_of_dots_that_lie_together_one_is_drawn_and_the_last_always() -> None:
    found = thinned_dots([(n / 10, float(n)) for n in range(1001)])
    assert len(found) < 40
    assert found[-1] == (100.0, 1000.0)


def curve(*kpa: float, ahead: tuple[float, float, float] = (200, 210, 220), limit: float | None = 190) -> TyreCurve:
    """A tyre that was read each week until today, and that ends so in ninety days."""
    read = tuple((-7.0 * n, value, 0) for n, value in zip(range(len(kpa) - 1, -1, -1), kpa, strict=True))
    now = kpa[-1]
    return TyreCurve(DAY, read, ((0, now - 2, now, now + 2), (90, *ahead)), () if limit is None else (limit, limit))


def test_the_air_of_four_tyres_is_on_one_scale() -> None:
    garage, units = garage_of(demo_table()), UnitChoice(pressure="kPa")
    curves = {"S1": curve(240, 238), "S2": curve(240, 238), "S3": curve(240, 208), "S4": curve(240, 238)}
    drawn = str(air_of(garage, garage.sets["summer"], curves, units))
    dots = [(float(x), float(y)) for x, y in DOT.findall(drawn)]
    assert len(dots) == 8
    high, low = 240 + 8, 190 - 8  # a little above the highest reading, and below the lamp's limit
    per_kpa = TALL / (high - low)
    falls = [after[1] - before[1] for before, after in zip(dots[::2], dots[1::2], strict=True)]
    assert falls == pytest.approx([2 * per_kpa, 2 * per_kpa, 32 * per_kpa, 2 * per_kpa], abs=0.11)
    assert drawn.count('class="stop"') == 4
    assert "S3: 2 readings since 2026-11-18, the last 208 kPa, by 2027-02-23 210 kPa, the lamp from 190 kPa" in drawn
    assert "Dashed: the lamp comes on" in drawn
    without = str(air_of(garage, garage.sets["summer"], {"S1": curve(240, 238, limit=None)}, units))
    assert "lamp" not in without
    assert air_of(garage, garage.sets["winter"], curves, units) == ""


def aged(years: int, first: int | None = None) -> Present:
    """Set A with four sensors of so many years, of which the first is as old as it is said."""
    table = bare_table()
    for n in range(1, 5):
        old = first if n == 1 and first is not None else years
        row(table, "sensor", f"s A{n}")["first_used"] = date(2026 - old, 11, 25)
    return Present(garage_of(table), DAY, DAY + timedelta(days=500))


def test_sensors_are_drawn_over_the_years_with_the_next_changes() -> None:
    now = aged(5)
    lives = set_lives(now)["A"]
    drawn = str(sensors_of(now, lives))
    assert f"in a year {100 * (1 - lives.within(1.0).each[0]):.0f} %" in drawn
    assert f"all: in a year {100 * (1 - lives.within(1.0).any):.0f} %" in drawn
    assert ">each</text>" in drawn
    assert [what for _, what in changes_ahead(now, "A")] == ["off", "on"]
    for day, what in changes_ahead(now, "A"):
        assert f">{what} {day:%Y-%m}</text>" in drawn
    unlike = str(sensors_of(aged(5, first=1), set_lives(aged(5, first=1))["A"]))
    assert ">each</text>" not in unlike
    assert all(f">A{n}</text>" in unlike for n in range(1, 5))


def test_the_depth_of_a_tread_on_a_day_is_where_its_limit_is_reached() -> None:
    days = [date(2024, 11, 25), date(2025, 11, 25), date(2026, 11, 20)]
    found = wearing([Depths(day, mm) for day, mm in zip(days, (8.0, 6.4, 4.9), strict=True)], 10_000)
    limit = reached(found, 3.0)
    # at the earliest day 1 in 20 treads is below the limit, at the latest 19 in 20
    assert depth_on(found, limit.earliest, 0.05) == pytest.approx(3.0, abs=0.02)
    assert depth_on(found, limit.day, 0.5) == pytest.approx(3.0, abs=0.02)
    assert depth_on(found, limit.latest, 0.95) == pytest.approx(3.0, abs=0.02)
    assert depth_on(found, limit.latest + timedelta(days=9000), 0.05) == 0.0


def treads(**plan: str) -> Table:
    table = bare_table()
    table["car"][0]["season_distance"] = "10000 km"
    table["plan"] = plan
    for n in range(1, 5):
        rows = [{"on": date(2024 + k, 11, 20), "tread": f"{mm} mm"} for k, mm in enumerate((8, 6.8, 5.5 + 0.2 * n))]
        row(table, "tyre", f"t A{n}").update({"season": "winter", "measured": rows})
    return table


def test_treads_are_drawn_down_to_the_owners_limit() -> None:
    for plan, mm in (({}, "4.0"), ({"worn_at_winter": "5 mm"}, "5.0")):
        garage = garage_of(treads(**plan))
        worn = wear_of_set(garage, garage.sets["A"], garage.car[0], DAY)
        drawn = str(treads_of(garage, garage.sets["A"], worn, DAY))
        assert re.findall(r'text-anchor="end">([\d.]+)</text>', drawn)[:3] == ["1.6", mm, "8.0"]
        assert len(DOT.findall(drawn)) == 12
        assert f"A1: 3 times measured, the last 5.7 mm, {mm} mm about {worn[0].used_up.day}" in drawn
        assert len(WAY.findall(drawn)) == 4
        assert treads_of(garage, garage.sets["A"], (), DAY) == ""


def test_a_page_draws_only_what_is_known(household_desk: Desk) -> None:
    air, sensors, tread = "Air in each tyre", "Sensors, year by year", "Tread of each tyre"
    page = words(let_in(household_desk).get("/things/set/summer"))
    assert (air in page, sensors in page, tread in page) == (False, True, False)
    assert air not in words(let_in(household_desk).get("/air?car=estate&set=summer"))
    site = let_in(household_desk)
    for week in range(2):
        household_desk.clock = lambda w=week: later(w * 7 * 24 * 60.0)  # type: ignore[misc]
        site.post("/gauge", fields={**FOUR, "car": "estate", "tyres": "cold"})
        drawn = week == 1
        assert ("Air in each tyre" in site.get("/things/set/summer")) is drawn
        assert (air in words(site.get("/air?car=estate&set=summer"))) is drawn
    assert air not in words(site.get("/air?car=estate&set=winter"))
    assert sensors not in words(site.get("/things/set/all-year"))


def test_a_page_draws_treads_that_were_measured(desk: Desk) -> None:
    take_in_text(desk, tomli_w.dumps(treads()), "g.toml")
    assert "Tread of each tyre" in words(let_in(desk).get("/things/set/A"))
    assert "Tread of each tyre" not in words(let_in(desk).get("/things/set/B"))
