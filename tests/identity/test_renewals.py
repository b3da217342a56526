"""Renewing sensors one by one or all at once, by the plan's own figures."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from garages import DAY, Table, bare_table, garage_of, row
from spoken import words
from wheelside.garage.lasting import set_lives
from wheelside.garage.present import Present
from wheelside.identity.costs import tariff
from wheelside.identity.renewals import Renewal, charges_of, even_years, renewal
from wheelside.jobs.work.outlook_said import chance_said, renewal_said


def now_of(years: int, **costs: str) -> Present:
    table: Table = bare_table()
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["first_used"] = date(2026 - years, 11, 25)
    table["car"][0]["taught_by"] = "step by step"
    table["costs"] = {**table.get("costs", {}), **costs}
    return Present(garage_of(table), DAY, DAY + timedelta(days=500))


def renewal_of(years: int, off: date | None = None, **costs: str) -> Renewal:
    now = now_of(years, **costs)
    return renewal(now, set_lives(now)["A"], off)


def test_what_renewing_costs_is_what_the_plan_reckons_with() -> None:
    """Hour 15, sensor 45, kit 5, fitting 20, visit and finding out 60 min each, teaching step by step 15 min."""
    now = now_of(6)
    charges = charges_of(tariff(now.garage), now.garage.car[0])
    assert charges.part == 50
    assert charges.failing == pytest.approx(15 + 15 + 20 + 3.75)
    assert charges.once == pytest.approx(3.75)
    assert charges_of(tariff(now.garage), None).once == 0
    dearer = now_of(6, hour="30 EUR", sensor="60 EUR")
    assert charges_of(tariff(dearer.garage), now.garage.car[0]).part == 65


def test_old_sensors_are_renewed_together_and_young_ones_left() -> None:
    young, old = renewal_of(2), renewal_of(8)
    assert young.singly.amount < young.together.amount
    assert old.singly.amount > old.together.amount
    now = now_of(8)
    even = even_years(now, set_lives(now)["A"])
    assert even is not None
    assert 2 < even < 8
    assert not renewal_of(math.floor(even)).weighed.together_pays
    assert renewal_of(math.ceil(even)).weighed.together_pays
    assert (old.off, old.until) == (DAY, date(2030, 11, 25))


def test_tyres_that_are_due_within_four_years_are_waited_for() -> None:
    due = date(2027, 11, 25)
    waits, far = renewal_of(8, due), renewal_of(8, date(2031, 1, 1))
    assert (waits.off, waits.until) == (due, date(2031, 11, 25))
    assert far.off == DAY
    assert waits.weighed.singly > far.weighed.singly


def test_the_owners_figures_move_the_answer() -> None:
    assert renewal_of(8, sensor="400 EUR").weighed.together_pays is False
    assert renewal_of(8).weighed.together_pays


def test_what_is_said_of_it() -> None:
    now = now_of(8)
    lives = set_lives(now)["A"]
    share = round(100 * lives.within(371 / 365.25).any)  # the set is due to come off in six days, and then in 371
    assert words(chance_said(now, lives)) == f"The chance that one of 4 or more fails before 2027-12-01: {share} %."
    told = words(renewal_said(now, lives, None))
    assert "one by one about" in told
    assert "all at once with the tyres off now about" in told
    assert told.endswith("Change them together with the next tyres, rather than one each winter.")
    young = now_of(2)
    assert words(renewal_said(young, set_lives(young)["A"], None)).endswith("Change each as it fails.")
    assert " on 2027-11-25 about" in words(renewal_said(now, lives, date(2027, 11, 25)))
