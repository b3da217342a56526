"""What is told fourteen days before a set goes on: what to try, to order and to book, and what it should read when it is fetched."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
import tomli_w

from books import NOON, later
from commands import run
from garages import DAY, Table, bare_table, garage_of, row, seeded
from spoken import words
from visits import let_in
from visits import words as page_words
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.book.readings import add_readings
from wheelside.garage.present import present
from wheelside.identity.plan import IdentityPlan, identity_plan
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.agenda import Due, Matter, agenda
from wheelside.jobs.work.calendar import calendar_text
from wheelside.jobs.work.season_ahead import SetAhead, Ware, season_ahead, sets_ahead
from wheelside.jobs.work.season_said import ahead_lines, ahead_reasons, stored_said
from wheelside.screens.shopping import season_cards
from wheelside.units import GaugePressure, Temperature

DAY_MIN = 24 * 60.0


def table_of(change: date = date(2026, 12, 5)) -> Table:
    """The bare table; B goes on on a day, ten days after the tests' day, and comes off on the first of April. A is on until then."""
    table = bare_table()
    for stay in table["stay"]:
        for key in ("since", "until"):
            if stay[key] == date(2026, 12, 1):
                stay[key] = change
    return table


def plan_for(table: Table) -> IdentityPlan:
    return identity_plan(garage_of(table), DAY, (), seeded())


def ahead_of(table: Table, name: str = "B") -> SetAhead:
    garage = garage_of(table)
    return next(one for one in sets_ahead(present(garage, DAY), plan_for(table)) if one.set == name)


def lines_of(table: Table, name: str = "B") -> list[str]:
    return [words(line) for line in ahead_lines(garage_of(table), ahead_of(table, name))]


def reasons_of(table: Table, name: str = "B") -> list[str]:
    return [words(line) for line in ahead_reasons(garage_of(table), ahead_of(table, name))]


def on_now(table: Table) -> int:
    """How many cards stand on the first page."""
    garage = garage_of(table)
    found = season_cards(garage, sets_ahead(present(garage, DAY), plan_for(table)), DAY)
    return sum(len(cards) for cards in found.values())


def dead(table: Table, *wheels: str) -> Table:
    for wheel in wheels:
        row(table, "sensor", f"s {wheel}")["answers"] = False
    return table


def test_where_nothing_is_to_be_done_nothing_is_said() -> None:
    assert lines_of(table_of()) == reasons_of(table_of()) == []
    assert not ahead_of(table_of()).anything
    assert on_now(table_of()) == 0


def test_a_sensor_that_gave_no_answer_is_tried_again_ordered_and_a_shop_booked() -> None:
    table = dead(table_of(), "B3")
    assert lines_of(table) == [
        "First trigger the sensor of B3.",
        "Order 1 sensor and 1 valve kit.",
        "Book a tyre shop for B3.",
    ]
    assert reasons_of(table) == ["B3: its sensor gave no answer."]
    assert on_now(table) == 1
    assert lines_of(table, "A") == []


def test_a_sensor_of_which_no_kind_is_known_is_tried_and_not_ordered() -> None:
    table = table_of()
    for n in (1, 2):
        del row(table, "sensor", f"s B{n}")["family"]
    assert "First trigger the sensors of B1 and B2." in lines_of(table)
    assert "B1 and B2: what kind of sensor it has is not known." in reasons_of(table)


def test_a_sensor_is_ordered_once_it_is_likely_to_fail_before_its_set_comes_off() -> None:
    """By a battery that is low more than half of them fail in four months; a young one hardly does."""
    young = table_of()
    for n in range(1, 5):
        row(young, "sensor", f"s B{n}")["first_used"] = date(2022, 12, 1)
    assert lines_of(young) == []
    row(young, "sensor", "s B2")["battery_low"] = True
    assert lines_of(young) == ["Order 1 sensor and 1 valve kit.", "Book a tyre shop for B2."]
    (why,) = reasons_of(young)
    assert why.startswith("B2: its sensor may fail before 2027-04-01: ")
    young["blank"] = [{"family": "f", "count": 1}]
    assert lines_of(young) == ["Order 1 valve kit.", "Book a tyre shop for B2."], "one is in hand"
    del young["blank"]
    young["plan"] = {"buy_sensors": False}
    assert lines_of(young) == []


@pytest.mark.parametrize(
    ("tyre", "why"),
    [
        ({"tread": "2.9 mm"}, "B1: its tyre has 2.9 mm of tread."),
        ({"tread": "3.9 mm", "season": "winter"}, "B1: its tyre has 3.9 mm of tread."),
        ({"damaged": True, "tread": "8 mm"}, "B1: its tyre is damaged."),
        ({"date_code": "0817"}, "B1: its tyre is 10 years old on 2027-02-20."),
        (
            {"measured": [{"on": date(2024, 11, 25), "tread": "5 mm"}, {"on": date(2026, 11, 1), "tread": "3.1 mm"}]},
            "B1: its tyre is at 3.0 mm of tread about",
        ),
    ],
)
def test_a_tyre_that_does_not_last_until_its_set_comes_off_is_ordered(tyre: Table, why: str) -> None:
    table = table_of()
    row(table, "tyre", "t B1").update(tyre)
    row(table, "tyre", "t B2")["tread"] = "7 mm"
    assert lines_of(table) == ["Order 1 tyre.", "Book a tyre shop for B1."]
    (said,) = reasons_of(table)
    assert said.startswith(why)


@pytest.mark.parametrize(
    "tyre",
    [
        {"tread": "3.1 mm"},
        {"date_code": "2017"},
        {"measured": [{"on": date(2024, 11, 25), "tread": "8 mm"}, {"on": date(2026, 11, 1), "tread": "7 mm"}]},
    ],
)
def test_a_tyre_that_lasts_is_not_ordered(tyre: Table) -> None:
    table = table_of()
    row(table, "tyre", "t B1").update(tyre)
    assert lines_of(table) == []


def worn_axle(across: Table) -> Table:
    """Of the front axle's tyres one that is worn, and its other one."""
    table = table_of()
    row(table, "tyre", "t B1")["tread"] = "2.9 mm"
    row(table, "tyre", "t B2").update(across)
    return table


@pytest.mark.parametrize(
    ("across", "why"),
    [
        ({"tread": "4.9 mm"}, "a new one across from it is about 3.1 mm deeper; "),
        ({"tread": "3.1 mm"}, "a new one across from it is about 4.9 mm deeper; "),
        (
            {},
            "tyres of one axle are usually replaced together (common practice; the handbook counts); measure its tread.",
        ),
    ],
)
def test_the_other_tyre_of_an_axle_is_named_and_not_counted(across: Table, why: str) -> None:
    table = worn_axle(across)
    assert lines_of(table) == ["Order 1 tyre. Perhaps a tyre for B2, too.", "Book a tyre shop for B1."]
    assert reasons_of(table)[1].startswith(f"B2: {why}")
    assert [(one.ware, one.count, one.wheels) for one in ahead_of(table).buy] == [(Ware.TYRE, 1, ("B1",))]
    garage = garage_of(table)
    assert words(ahead_lines(garage, ahead_of(table), orders=False)[0]) == "Perhaps a tyre for B2, too."


def test_the_other_tyre_of_an_axle_that_is_as_good_as_new_or_bought_itself_is_not_named() -> None:
    assert lines_of(worn_axle({"tread": "5 mm"}))[0] == "Order 1 tyre."
    assert lines_of(worn_axle({"tread": "2.8 mm"}))[0] == "Order 2 tyres."


def test_it_stands_on_the_first_page_from_fourteen_days_before() -> None:
    for days, there in ((10, 1), (14, 1), (15, 0), (30, 0)):
        assert on_now(dead(table_of(DAY + timedelta(days=days)), "B3")) == there, days
    overdue = dead(table_of(DAY - timedelta(days=3)), "B3")
    overdue["seen"] = [{"set": "A", "on": "car", "as_of": DAY}]
    assert on_now(overdue) == 1


def test_a_set_that_is_about_to_come_off_counts_for_the_next_time_that_it_goes_on() -> None:
    one = ahead_of(dead(table_of(), "A1"), "A")
    assert (one.is_on, one.day, one.until) == (False, date(2027, 4, 1), date(2027, 12, 5))
    stays = ahead_of(dead(table_of(DAY + timedelta(days=30)), "A1"), "A")
    assert (stays.is_on, stays.day, stays.until) == (True, DAY, DAY + timedelta(days=30))


def test_what_one_costs_is_only_what_the_owner_has_noted() -> None:
    table = dead(table_of(), "B3")
    table["costs"] = {"sensor": "38 EUR"}
    sensor, kit = ahead_of(table).buy
    assert (sensor.ware, words(sensor.each), sensor.by) == (Ware.SENSOR, "38 EUR", date(2026, 12, 5))
    assert (kit.ware, kit.each) == (Ware.KIT, None)


def test_a_set_that_was_never_on_the_car_is_looked_at_for_what_its_rims_need() -> None:
    table = table_of()
    table["car"][0]["centre_bore"] = "57.1 mm"
    table["stay"] = [s for s in table["stay"] if s["set"] == "A" and "on" in s]
    table["stay"].append({"set": "B", "on": "car", "since": date(2026, 12, 5), "until": date(2027, 4, 1)})
    for n in range(1, 5):
        table.setdefault("rim", []).append({"id": f"r B{n}", "centre_bore": "66.6 mm"})
        row(table, "wheel", f"B{n}")["joined"][0]["rim"] = f"r B{n}"
    assert any("centring rings" in line for line in lines_of(table))
    table["stay"].append({"set": "B", "on": "car", "since": date(2025, 12, 5), "until": date(2026, 4, 1)})
    assert not any("centring rings" in line for line in lines_of(table))


# --- in a book


def book_of(table: Table, folder: Path) -> Desk:
    made = new_desk(str(folder / "b.book"), clock=lambda: NOON)
    made.bits = seeded()
    take_in_text(made, tomli_w.dumps(table), "g.toml")
    return made


def season_due(desk: Desk) -> list[Due]:
    return [one for one in agenda(desk) if one.matter is Matter.SEASON]


def test_the_calendar_has_it_fourteen_days_before_and_its_name_stays_while_the_day_moves(tmp_path: Path) -> None:
    desk = book_of(dead(table_of(date(2026, 12, 28)), "B3"), tmp_path)
    (first,) = season_due(desk)
    assert (first.day, words(first.title)) == (date(2026, 12, 14), "Get B ready for car")
    assert words(first.text).startswith("It goes on 2026-12-28. First trigger the sensor of B3. Order 1 sensor")
    assert "SUMMARY:Get B ready for car" in calendar_text(agenda(desk), "book", NOON).decode()
    take_in_text(desk, tomli_w.dumps(dead(table_of(date(2027, 1, 9)), "B3", "B4")), "g.toml")
    (moved,) = season_due(desk)
    assert (moved.day, moved.uid) == (date(2026, 12, 26), first.uid)
    take_in_text(desk, tomli_w.dumps(table_of()), "g.toml")
    assert season_due(desk) == []
    desk.close()


def test_a_set_that_was_read_as_it_was_put_by_says_what_it_should_read(tmp_path: Path) -> None:
    desk = book_of(table_of(), tmp_path)
    at = later(-(NOON.day - date(2026, 4, 1)).days * DAY_MIN)
    with desk.writing("noted") as writing:
        add_readings(
            writing,
            [
                Reading(
                    ("wheel", f"B{n}"), at.us, "gauge", GaugePressure(250.0), outside=Temperature.from_celsius(10.0),
                    warmth=Warmth.COLD, purpose=Purpose.STORED,
                )
                for n in range(1, 5)
            ],
        )  # fmt: skip
    one = next(found for found in season_ahead(desk) if found.set == "B")
    assert one.stored is not None
    assert (one.stored.since, one.stored.read_on) == (date(2026, 4, 1), date(2026, 4, 1))
    assert 180.0 < one.stored.least.kpa <= one.stored.most.kpa < 245.0, (
        "eight months take air, and it is known how much"
    )
    assert not one.anything
    garage = desk.loaded().garage
    assert words(stored_said(garage, one)).startswith(
        "B has lain in store since 2026-04-01. Gauge it when you fetch it: cold, it should"
    )
    (card,) = season_cards(garage, season_ahead(desk), DAY)["car"]
    assert (card.lines, len(card.more)) == ((), 1)
    desk.close()


def test_a_reading_from_while_it_was_on_a_car_says_nothing_of_what_lies(tmp_path: Path) -> None:
    desk = book_of(table_of(), tmp_path)
    at = later(-(NOON.day - date(2026, 3, 1)).days * DAY_MIN)
    with desk.writing("noted") as writing:
        add_readings(writing, [Reading(("wheel", "B1"), at.us, "gauge", GaugePressure(250.0))])
    assert next(found for found in season_ahead(desk) if found.set == "B").stored is None
    desk.close()


def test_the_first_page_has_three_short_lines_and_the_list_what_to_buy(tmp_path: Path) -> None:
    desk = book_of(dead(table_of(), "B3"), tmp_path)
    site = let_in(desk)
    now = page_words(site.get("/"))
    assert (
        "Before B goes on First trigger the sensor of B3. Order 1 sensor and 1 valve kit. Book a tyre shop for B3."
        in now
    )
    assert "Get B ready" not in now
    shop = page_words(site.get("/shopping"))
    assert "1 sensor: f, 433.92 MHz, can be written B3 of B 2026-12-05" in shop
    take_in_text(desk, tomli_w.dumps(table_of()), "g.toml")
    assert "Before B goes on" not in page_words(site.get("/"))
    assert "Nothing to buy." in page_words(site.get("/shopping"))
    desk.close()


def test_the_terminal_has_the_same_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "g.toml"
    file.write_text(tomli_w.dumps(dead(table_of(), "B3")))
    code, out, _ = run(capsys, "shopping", file, "--on", DAY)
    assert code == 0
    assert "1 sensor: f, 433.92 MHz, can be written" in out
    assert "Book a tyre shop for B3." in out
    file.write_text(tomli_w.dumps(table_of()))
    assert "Nothing to buy." in run(capsys, "shopping", file, "--on", DAY)[1]


def test_a_reason_for_one_wheel_can_be_asked_for_on_the_plan(tmp_path: Path) -> None:
    desk = book_of(dead(table_of(), "B3"), tmp_path)
    assert "Why, and why nothing else" in page_words(let_in(desk).get("/plan?why=B3"))
    desk.close()
