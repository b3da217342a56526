"""How the tyres of a set wear, by what the file has of their treads, and what the agenda says of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
import tomli_w

from garages import DAY, Table, bare_table, garage_of, row
from spoken import words
from wheelside.corner import Corner
from wheelside.fit.treads import TyreWear, exchange_of, wear_of_set
from wheelside.garage.model import Car
from wheelside.garage.present import Present
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.outlook_said import over_placard, set_lasts, tread_said
from wheelside.jobs.work.tyres import TyresNow
from wheelside.tyre.uneven import Across
from wheelside.watch.curve import TyreCurve

FIRST, THEN, LAST = date(2024, 11, 25), date(2025, 11, 25), date(2026, 11, 20)


def table_of(front: tuple[float, ...] = (8, 6.4, 4.9), rear: tuple[float, ...] = (8, 7.3, 6.6), **tyre: Any) -> Table:
    """The bare table; the treads of set A were measured on three days, a year apart."""
    table = bare_table()
    table["car"][0]["season_distance"] = "10000 km"
    for n in range(1, 5):
        depths = front if n < 3 else rear
        measured = [{"on": day, "tread": f"{mm} mm"} for day, mm in zip((FIRST, THEN, LAST), depths, strict=False)]
        row(table, "tyre", f"t A{n}").update({"season": "winter", "direction": "none", "measured": measured, **tyre})
    return table


def worn_of(table: Table) -> tuple[tuple[TyreWear, ...], Car]:
    garage = garage_of(table)
    return wear_of_set(garage, garage.sets["A"], garage.car[0], DAY), garage.car[0]


def test_the_tyre_that_is_used_up_first_stands_first_at_the_owners_depth() -> None:
    worn, _ = worn_of(table_of())
    assert [one.corner for one in worn[:2]] == [Corner.FRONT_LEFT, Corner.FRONT_RIGHT]
    assert worn[0].used_up.mm == 4.0
    assert date(2027, 3, 1) < worn[0].used_up.day < date(2027, 10, 1)  # 0.9 mm at 1.55 a year are seven months
    summer, _ = worn_of(table_of(season="summer"))
    assert summer[0].used_up.mm == 3.0
    own = table_of()
    own["plan"] = {"worn_at_winter": "5 mm"}
    assert worn_of(own)[0][0].used_up.mm == 5.0


def test_a_tyre_that_was_measured_on_one_day_says_nothing() -> None:
    assert worn_of(table_of(front=(8,), rear=(8,)))[0] == ()
    later = table_of(front=(8,), rear=(8,))
    row(later, "tyre", "t A1")["measured"].append({"on": DAY + timedelta(days=1), "tread": "7 mm"})
    assert worn_of(later)[0] == ()
    garage = garage_of(table_of())
    assert wear_of_set(garage, garage.sets["A"], None, DAY) == ()


def test_the_newest_row_across_the_tread_counts() -> None:
    table = table_of()
    row(table, "tyre", "t A1")["measured"] += [
        {"on": LAST, "inner": "6 mm", "middle": "4.8 mm", "outer": "6 mm"},
        {"on": THEN, "inner": "6.4 mm", "middle": "8 mm", "outer": "6.4 mm"},
    ]
    worn, car = worn_of(table)
    assert {one.corner: one.across for one in worn}[Corner.FRONT_LEFT] is Across.CENTRE
    assert "The front left one is worn most in the middle: a sign of too much air." in words(tread_said(worn, car))


@pytest.mark.parametrize(
    ("kpa", "said"),
    [(262.0, "Its pressures bear that out."), (241.0, "Its pressures don't bear that out."), (None, "")],
)
def test_what_was_read_of_a_tyre_bears_its_wear_out_or_does_not(kpa: float | None, said: str) -> None:
    """The placard has 2.4 bar for all loads: 15 kPa more is too much air."""
    table = table_of()
    row(table, "tyre", "t A1")["measured"].append({"on": LAST, "inner": "6 mm", "middle": "4.8 mm", "outer": "6 mm"})
    worn, car = worn_of(table)
    curves = {} if kpa is None else {"A1": TyreCurve(DAY, ((-30.0, kpa + 2, 0), (-1.0, kpa - 2, 0)), (), ())}
    over = over_placard(worn, car, TyresNow((), (), curves))
    assert over == ({} if kpa is None else {Corner.FRONT_LEFT: pytest.approx(kpa - 240.0)})
    told = words(tread_said(worn, car, over))
    sign = "The front left one is worn most in the middle: a sign of too much air. "
    assert sign + (said or "Exchange wheels") in told


def test_pressures_between_those_of_the_placard_are_neither_above_nor_below() -> None:
    table = table_of()
    table["car"][0]["placard"].append({**table["car"][0]["placard"][0], "load": "full", "front": "2.8 bar"})
    worn, car = worn_of(table)
    for kpa, over in ((260.0, 0.0), (300.0, 20.0), (230.0, -10.0)):
        curve = TyreCurve(DAY, ((-30.0, kpa, 0), (-1.0, kpa, 0)), (), ())
        assert over_placard(worn, car, TyresNow((), (), {"A1": curve})) == {Corner.FRONT_LEFT: over}


def test_an_exchange_needs_four_tyres_and_what_is_not_known_binds_them() -> None:
    worn, car = worn_of(table_of())
    found = exchange_of(worn, car)
    assert found is not None
    assert {a.axle for a, b in found.moves if b.axle == "rear"} == {"front"}
    assert exchange_of(worn[:3], car) is None
    both = table_of()
    for n in range(1, 5):
        del row(both, "tyre", f"t A{n}")["direction"]
        row(both, "tyre", f"t A{n}").pop("designation")
    assert exchange_of(*worn_of(both)) is None


def test_tyres_of_which_no_direction_is_known_stay_on_their_side() -> None:
    """The left ones wear twice as fast: only an exchange across the car evens that."""
    table = table_of()
    for n in range(1, 5):
        rear = row(table, "tyre", f"t A{4 if n % 2 == 0 else 1}")["measured"]
        row(table, "tyre", f"t A{n}")["measured"] = [dict(one) for one in rear]
    found = exchange_of(*worn_of(table))
    assert found is not None
    assert all(a.value.split()[1] != b.value.split()[1] for a, b in found.moves)
    for n in range(1, 5):
        del row(table, "tyre", f"t A{n}")["direction"]
    assert exchange_of(*worn_of(table)) is None


def test_the_agenda_says_when_the_first_tyre_of_a_set_is_used_up(desk: Desk) -> None:
    take_in_text(desk, tomli_w.dumps(table_of()), "g.toml")
    due = [one for one in agenda(desk) if one.matter is Matter.TREAD]
    assert [words(one.title) for one in due] == ["Tyres of A reach 4.0 mm of tread"]
    worn, _ = worn_of(table_of())
    assert due[0].day == worn[0].used_up.day
    said = words(due[0].text)
    assert said.startswith("The front left one first: 9 of 10 between 2027-")
    assert "Exchange wheels: front left to rear" in said
    assert said.endswith("The car has to learn its corners then.")
    unaware = table_of()
    unaware["car"][0]["corner_aware"] = False
    assert "learn its corners" not in words(tread_said(*worn_of(unaware)))
    take_in_text(desk, tomli_w.dumps(table_of(front=(8,), rear=(8,))), "g.toml")
    assert [one for one in agenda(desk) if one.matter is Matter.TREAD] == []


def test_a_set_says_how_long_it_lasts_while_it_is_the_owners() -> None:
    table = table_of()
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["first_used"] = date(2018, 11, 25)

    def said(name: str = "A") -> list[str]:
        found = set_lasts(Present(garage_of(table), DAY, DAY + timedelta(days=500)), name)
        return [words(one) for one in (found.sensors, found.even, found.treads) if one is not None]

    sensors, even, treads = said()
    assert even.startswith("With the tyres off anyway, all at once pays from an age of ")
    assert sensors.startswith("The chance that one of 4 or more fails before 2027-12-01: ")
    assert treads.startswith(
        f"Tyres reach 4.0 mm of tread about {worn_of(table)[0][0].used_up.day}. The front left one first"
    )
    assert said("B") == said("nobody") == []
    row(table, "set", "A")["sold"] = DAY
    assert said() == []


@pytest.mark.parametrize("days", [0, 400])
def test_tyres_that_are_due_decide_when_sensors_are_renewed(desk: Desk, days: int) -> None:
    """Once their tread is used up tyres come off, and new sensors with them."""
    table = table_of()
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["first_used"] = date(2018, 11, 25)
        if days == 0:
            row(table, "tyre", f"t A{n}")["measured"] = []
    take_in_text(desk, tomli_w.dumps(table), "g.toml")
    said = next(words(one.text) for one in agenda(desk) if one.matter is Matter.SENSORS)
    off = worn_of(table)[0][0].used_up.day if days else None
    assert (f"with the tyres off on {off} about" if off else "with the tyres off now about") in said
