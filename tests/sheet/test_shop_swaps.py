"""The shop changes the wheels, and the owner checks: no wheel is lifted, and all that the car has to learn stays the owner's work."""

from __future__ import annotations

from datetime import date

from garages import demo_table, garage_of, seeded
from spoken import lines, words
from wheelside.garage import acts
from wheelside.identity.plan import identity_plan
from wheelside.jobs.work.sheet import make_sheet
from wheelside.sheet.cautions import Caution
from wheelside.sheet.extent import Extent
from wheelside.sheet.step import Does, OnCard, RunSheet, Sitting
from wheelside.sheet.title import called, said_title

DAY = date(2026, 11, 28)


def sheet() -> RunSheet:
    garage = garage_of(demo_table())
    plan = identity_plan(garage, DAY, (), seeded())
    _, made, forbidden = make_sheet(garage, plan, car="estate", wheel_set="winter", extent=Extent.SHOP)
    assert made is not None, forbidden
    return made


def test_the_shop_lifts_and_the_owner_teaches_sets_and_proves() -> None:
    does = {s.does for s in sheet().steps}
    assert not does & {Does.FIT, Does.TORQUE, Does.TAKE_OFF, Does.BRING}
    assert {
        Does.FETCH,
        Does.SHOP_SWAPS,
        Does.STORE,
        Does.TEACH_WHEEL,
        Does.SET_PRESSURE,
        Does.DRIVE,
        Does.TORQUE_AGAIN,
    } <= does
    assert not any(Caution.LIFT in c.cautions for c in sheet().cards)


def test_the_note_says_where_each_wheel_goes_and_each_is_looked_at() -> None:
    (swaps,) = (s for s in sheet().steps if s.does is Does.SHOP_SWAPS)
    note = next(c for c in sheet().cards if c.of is OnCard.NOTE)
    assert note.sitting is Sitting.SHOP
    assert swaps.id in note.steps
    text = " ".join(lines(swaps))
    for wheel, corner in (("W1", "front left"), ("W2", "front right"), ("W3", "rear left"), ("W4", "rear right")):
        assert f"{wheel} {corner}" in text
        assert any(a.wheel == wheel and corner in a.label and a.required for a in swaps.asks)
    assert "120 Nm" in text


def test_its_moves_are_those_of_the_whole_change() -> None:
    (swaps,) = (s for s in sheet().steps if s.does is Does.SHOP_SWAPS)
    on = {(m.wheel, m.corner) for m in swaps.moves if m.on}
    off = {m.wheel for m in swaps.moves if not m.on}
    assert on == {("W1", "front left"), ("W2", "front right"), ("W3", "rear left"), ("W4", "rear right")}
    assert off == {"S1", "S2", "S3", "S4"}


def test_nothing_leaves_for_the_shop_before_it_was_gauged_and_its_sensor_read_back() -> None:
    (swaps,) = (s for s in sheet().steps if s.does is Does.SHOP_SWAPS)
    assert {"fetch-w1", "fetch-w2", "fetch-w3", "fetch-w4", "shop"} <= set(swaps.waits_for)


def test_one_visit_to_the_shop_takes_one_visits_time() -> None:
    at_the_shop = sum(s.minutes for s in sheet().steps if s.does in (Does.CHANGE_SENSORS, Does.SHOP_SWAPS))
    assert at_the_shop == acts.SHOP_VISIT + acts.SHOP_FITS


def test_its_name_says_so() -> None:
    assert "the shop swaps" in words(said_title(called(garage_of(demo_table()), sheet())))
