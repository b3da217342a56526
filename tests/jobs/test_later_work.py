"""Work in its own time, in a book: the calendar has its day, that day's job has the work; and a spare of two sets is moved by none of them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import tomli_w

from books import NOON, later
from claiming import do_all
from garages import Table, bare_table, row, seeded
from spoken import words
from wheelside.garage.words import Corner
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.calendar import calendar_text
from wheelside.jobs.work.doing import begin, doing
from wheelside.jobs.work.finish import finish
from wheelside.sheet.step import Does


def desk_with(table: Table, folder: Path) -> Desk:
    """A book with a garage, at a noon in November 2026."""
    desk = new_desk(str(folder / "b.book"))
    desk.clock, desk.bits = lambda: NOON, seeded()
    take_in_text(desk, tomli_w.dumps(table), "g.toml")
    return desk


def pair_until_a_sale() -> Table:
    """B carries A's IDs and is sold in the summer of 2027; A's sensors can't be written, and teaching is paid for."""
    table = bare_table()
    table["car"][0]["taught_by"] = "locked"
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["writing"] = "fixed"
        row(table, "sensor", f"s B{n}")["printed"] = row(table, "sensor", f"s A{n}")["printed"]
    row(table, "set", "B")["sold"] = date(2027, 7, 1)
    return table


def test_the_calendar_has_the_day_of_a_later_writing(tmp_path: Path) -> None:
    desk = desk_with(pair_until_a_sale(), tmp_path)
    (due,) = [d for d in agenda(desk) if d.matter is Matter.WRITE]
    assert (due.day, words(due.title)) == (date(2027, 4, 1), "Write sensors of B")
    assert words(due.text) == "B1, B2, B3 and B4, when B comes off car."
    assert "Write sensors of B" in calendar_text(agenda(desk), "book", NOON).decode()
    desk.close()


def test_a_set_that_goes_on_no_car_is_worked_on_where_it_stands(tmp_path: Path) -> None:
    """B goes on no car any more, and is to be sold with IDs that A carries on."""
    table = pair_until_a_sale()
    table["stay"] = [s for s in table["stay"] if s["set"] == "A" and "on" in s]
    table["stay"][0] |= {"since": date(2026, 4, 1), "yearly": False}
    del table["stay"][0]["until"]
    table["stay"].append({"set": "B", "at": "away", "since": date(2026, 4, 1)})
    row(table, "set", "B")["sold"] = date(2026, 11, 26)
    desk = desk_with(table, tmp_path)
    made = begin(desk, wheel_set="B")
    assert made.job is not None
    started = doing(desk, made.job).start
    assert (started.car, started.coming) == ("", "B")
    assert [w.wheel for w in started.wheels if w.writes] == ["B1", "B2", "B3", "B4"]
    desk.close()


def test_a_spare_of_two_sets_stays_in_the_car_while_they_are_changed(tmp_path: Path) -> None:
    table = bare_table()
    common = {"family": "f", "answers": True, "at_rest": "transmits", "writing": "fixed", "printed": "C3000021"}
    table["sensor"].append({"id": "s S", **common})
    table["tyre"].append({"id": "t S", "designation": "205/55 R16 91V", "max_pressure": "3.5 bar"})
    table["wheel"].append({"id": "S", "joined": [{"sensor": "s S", "tyre": "t S"}]})
    for name in "AB":
        row(table, "set", name)["wheels"]["spare"] = "S"
    table["car"][0] |= {"spare_counted": True, "placard": [{**table["car"][0]["placard"][0], "spare": "2.4 bar"}]}
    desk = desk_with(table, tmp_path)
    made = begin(desk, car="car", wheel_set="B")
    assert made.job is not None, made.forbidden
    steps = [s.step for s in doing(desk, made.job).states]
    assert not [s for s in steps if s.wheel == "S" and s.does in (Does.FIT, Does.TAKE_OFF, Does.STOW_SPARE)]
    assert "S" in [s.wheel for s in steps if s.does is Does.TRIGGER]
    plain, desk.clock = desk.clock, lambda: later(600)
    do_all(desk, made.job, skip=("written-wrongly",), other={"store": {"place": "away"}})
    desk.clock = plain
    finish(desk, made.job, leave_open=True)
    desk.clock = lambda: later(1500)
    at = desk.present().wheel_at("car")
    assert [at[c] for c in (Corner.FRONT_LEFT, Corner.REAR_RIGHT, Corner.SPARE)] == ["B1", "B4", "S"]
    assert desk.present().open == ()
    assert not any(t.needed for t in desk.plan().teachings if t.set == "B" and t.day == date(2026, 11, 26))
    desk.close()
