"""Since when a battery is low, by readings, and that the set's page, the calendar and the shopping list reckon with the same."""

from __future__ import annotations

from datetime import date, timedelta

import tomli_w

from books import later
from garages import DAY, Table, bare_table, row
from spoken import words
from visits import let_in
from visits import words as page_words
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.low_batteries import low_days
from wheelside.jobs.work.season_ahead import season_ahead

DAY_MIN = 24 * 60.0


def table_of() -> Table:
    """Sensors of B that are four years old; the battery of B2's is noted as low."""
    table = bare_table()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["first_used"] = date(2022, 12, 1)
    row(table, "sensor", "s B2")["battery_low"] = True
    return table


def told(desk: Desk, *rows: tuple[str, str, int, bool]) -> None:
    """Keeps readings: kind and id of what was read, how many days ago, and whether the battery was low."""
    with desk.writing("read") as writing:
        add_readings(
            writing,
            [
                Reading((kind, key), later(-days * DAY_MIN).us, "trigger", battery_low=low)
                for kind, key, days, low in rows
            ],
        )


def test_it_counts_from_the_first_reading_of_all_that_have_said_so_since(desk: Desk) -> None:
    take_in_text(desk, tomli_w.dumps(table_of()), "g.toml")
    assert low_days(desk) == {}
    told(desk, ("sensor", "s B2", 300, True), ("sensor", "s B2", 250, False))
    assert low_days(desk) == {}
    told(desk, ("sensor", "s B2", 90, True), ("sensor", "s B2", 20, True), ("sensor", "s B1", 100, True))
    assert low_days(desk) == {"s B2": DAY - timedelta(days=90)}
    told(desk, ("wheel", "B2", 120, True))
    assert low_days(desk) == {"s B2": DAY - timedelta(days=120)}


def test_what_a_wheel_said_before_its_sensor_came_into_it_is_of_another_one(desk: Desk) -> None:
    table = table_of()
    row(table, "wheel", "B2")["joined"][0]["since"] = DAY - timedelta(days=60)
    take_in_text(desk, tomli_w.dumps(table), "g.toml")
    told(desk, ("wheel", "B2", 120, True))
    assert low_days(desk) == {}


def test_one_that_has_lasted_long_with_a_low_battery_may_last_on_everywhere(desk: Desk) -> None:
    """The calendar, a set's page and the shopping list have one chance."""
    take_in_text(desk, tomli_w.dumps(table_of()), "g.toml")

    def chances() -> tuple[str, str]:
        said = next(words(d.text) for d in agenda(desk) if d.matter is Matter.SENSORS and d.about[0] == "B")
        share = said.partition("fails before ")[2].partition(" %")[0]
        why = next(words(why) for one in season_ahead(desk) if one.set == "B" for _, why in one.why)
        return share, why.partition(": ")[2].rstrip(" %")

    before, before_list = chances()
    told(desk, ("sensor", "s B2", 60, True))
    after, after_list = chances()
    assert after[:10] == before[:10]
    assert float(after[11:].strip(": ")) < float(before[11:].strip(": "))
    assert float(after_list) < float(before_list)
    assert f"fails before {after} %" in page_words(let_in(desk).get("/things/set/B"))
