"""What is known of the sensors of each set: how old, how used, and which are over."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from garages import DAY, Table, bare_table, garage_of, row
from wheelside.errors import BadFile
from wheelside.garage.lasting import SetLives, comes_off, set_lives
from wheelside.garage.present import Present
from wheelside.sensor.outlook import Departed, use_of

SIX = date(2020, 11, 25)


def table_of(**sensor: object) -> Table:
    """The bare table with sensors of six years in set A, and none known in B."""
    table = bare_table()
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}").update({"first_used": SIX, **sensor})
    return table


def now_of(table: Table) -> Present:
    return Present(garage_of(table), DAY, DAY + timedelta(days=500))


def lives_of(table: Table, name: str = "A") -> SetLives:
    return set_lives(now_of(table))[name]


def test_sensors_that_serve_are_those_in_the_sets_wheels_whose_first_use_is_known() -> None:
    table = table_of()
    del row(table, "sensor", "s A4")["first_used"]
    row(table, "sensor", "s A3")["answers"] = False
    lives = lives_of(table)
    assert lives.wheels == ("A1", "A2")
    assert [s.least_years for s in lives.batch.serving] == pytest.approx([6, 6], abs=0.01)
    assert "B" not in set_lives(now_of(table))


def test_of_a_year_alone_the_age_is_open_by_a_year() -> None:
    table = table_of()
    del row(table, "sensor", "s A1")["first_used"]
    row(table, "sensor", "s A1")["first_used_year"] = 2020
    first, *_ = lives_of(table).batch.serving
    assert (first.least_years, first.most_years) == pytest.approx((5.9, 6.9), abs=0.01)


def test_what_the_file_notes_of_a_sensor_counts() -> None:
    calm = lives_of(table_of()).within(0.5)
    cold = table_of()
    row(cold, "sensor", "s A1")["cold_silent"] = [date(2026, 11, 20), date(2026, 11, 22)]
    low = table_of()
    row(low, "sensor", "s A1")["battery_low"] = True
    assert lives_of(cold).batch.serving[0].silences == 2
    assert lives_of(cold).within(0.5).each[0] > 2 * calm.each[0]
    assert lives_of(low).within(0.25).each[0] == pytest.approx(0.5, abs=1e-6)


def test_a_set_ages_by_how_much_of_the_year_it_is_on_and_by_where_the_car_stands() -> None:
    table = table_of()
    home = row(table, "place", table["car"][0]["stands_at"])
    table["stay"] = [{"set": "A", "on": "car", "since": date(2020, 1, 1)}]
    table["car"][0]["id"] = "car"

    def use() -> float:
        return lives_of(table).batch.serving[0].use

    home["open_air"] = True
    assert use() == use_of()
    home.update(open_air=False, hot=True)
    assert use() == use_of(hot=True, garage_kept=True)
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2020, 11, 1), "until": date(2021, 4, 1), "yearly": True},
        {"set": "B", "on": "car", "since": date(2021, 4, 1), "until": date(2021, 11, 1), "yearly": True},
    ]
    assert use() == use_of(half_year=True, hot=True, garage_kept=True)
    assert comes_off(now_of(table), "A") == date(2027, 4, 1)
    assert comes_off(now_of(table), "B") == date(2027, 11, 1)


def test_a_change_within_a_fortnight_is_being_made() -> None:
    table = table_of()
    table["car"][0]["id"] = "car"
    table["stay"] = [{"set": "A", "on": "car", "since": date(2020, 1, 1), "until": date(2026, 12, 9)}]
    assert comes_off(now_of(table), "A") is None
    table["stay"][0]["until"] = date(2026, 12, 10)
    assert comes_off(now_of(table), "A") == date(2026, 12, 10)


def test_those_that_are_over_count_with_the_set_that_they_were_in() -> None:
    """One failed at five years, one was sold with its set, a loose one was lost."""
    table = table_of()
    table["sensor"] += [
        {
            "id": "old",
            "printed": "11223344",
            "first_used": date(2018, 6, 1),
            "gone": date(2023, 6, 1),
            "answers": False,
        },
        {"id": "lost", "printed": "11223377", "first_used": date(2018, 6, 1), "gone": date(2022, 6, 1)},
    ]
    wheel = row(table, "wheel", "A1")
    wheel["joined"] = [
        {"sensor": "old", "tyre": "t A1", "until": date(2023, 6, 1)},
        {**wheel["joined"][0], "since": date(2023, 6, 1)},
    ]
    row(table, "set", "B")["sold"] = date(2026, 5, 1)
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["first_used"] = date(2016, 5, 1)
    lives = set_lives(now_of(table))
    assert list(lives) == ["A"]
    (failed,) = lives["A"].batch.ended
    assert failed == Departed(failed.least_years, failed.least_years, failed=True, use=failed.use)
    assert failed.least_years == pytest.approx(5, abs=0.01)
    calm = lives_of(table_of()).within(1).any
    assert lives["A"].within(1).any != pytest.approx(calm, abs=0.003)
    row(table, "set", "B")["sold"] = date(2016, 6, 1)
    assert set_lives(now_of(table))["A"].within(1).any > lives["A"].within(1).any, "ten years of four sensors counted"


def test_a_tread_that_was_measured_has_a_depth() -> None:
    table = table_of()
    row(table, "tyre", "t A1")["measured"] = [{"on": DAY, "middle": "6 mm", "outer": "5.5 mm"}, {"on": DAY}]
    with pytest.raises(BadFile, match="a depth"):
        garage_of(table)
    row(table, "tyre", "t A1")["measured"].pop()
    assert garage_of(table).tyres["t A1"].measured[0].least_mm == 5.5
