"""Sheets about one wheel: a tyre that is flat on the road, and a tyre or a valve that a shop changes."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import tomli_w

from books import later
from claiming import claim
from garages import Table, demo_table, garage_of, seeded
from spoken import lines, words
from wheelside.errors import BadRequest
from wheelside.identity.plan import identity_plan
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import finish
from wheelside.jobs.work.sheet import make_sheet
from wheelside.jobs.work.shop import note_in
from wheelside.sheet.cautions import Caution
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import OnFlat, Renewed
from wheelside.sheet.progress import Standing
from wheelside.sheet.step import Does, OnCard, RunSheet, Sitting, Step
from wheelside.sheet.title import called, short_title

DAY = date(2026, 11, 28)
WAYS = {
    OnFlat.SPARE: {Does.SPARE_ON, Does.DRIVE_ON, Does.TORQUE, Does.TORQUE_AGAIN},
    OnFlat.SEALANT: {Does.FILL, Does.DRIVE_ON},
    OnFlat.AIR: {Does.FILL, Does.DRIVE_ON},
    OnFlat.HELP: set(),
}
"""What each way on takes beside the look at the tyre and the word to the next fitter: common practice, no source."""


def on_summer(*, spare: bool = False, **car: Any) -> Table:
    """The estate on its summer wheels, with a spare of its set or without."""
    table = demo_table()
    table["car"][0] |= car
    table["seen"] = [{"set": "summer", "on": "estate", "as_of": DAY}]
    if spare:
        table["wheel"].append({"id": "S5"})
        next(s for s in table["set"] if s["id"] == "summer")["wheels"]["spare"] = "S5"
    return table


def made(table: Table, extent: Extent, about: str) -> RunSheet:
    garage = garage_of(table)
    _, sheet, forbidden = make_sheet(garage, identity_plan(garage, DAY, (), seeded()), extent=extent, about=about)
    assert forbidden == ()
    assert sheet is not None
    return sheet


def step(sheet: RunSheet, does: Does) -> Step:
    return next(s for s in sheet.steps if s.does is does)


@pytest.fixture
def road(desk: Desk) -> Desk:
    """A book with the estate on its summer wheels and a spare in it."""
    take_in_text(desk, tomli_w.dumps(on_summer(spare=True)), "household.toml")
    return desk


def say(desk: Desk, job: str, does: Does, at: int, **said: str) -> None:
    one = step(doing(desk, job).start.sheet, does)
    take_claims(desk, job, [claim(job, one, at=later(at), said=said)])


@pytest.mark.parametrize("way", list(OnFlat))
def test_each_way_on_from_a_flat_tyre_opens_what_it_takes_and_nothing_else(road: Desk, way: OnFlat) -> None:
    job = begin(road, car="estate", extent=Extent.FLAT, about="rear left").job
    assert job is not None
    say(road, job, Does.STOP, 1, way=way)
    opened = {s.step.does for s in doing(road, job).states if s.to_do}
    assert opened == WAYS[way] | {Does.TELL_FITTER}


def test_a_tyre_that_does_not_hold_is_not_driven_on(road: Desk) -> None:
    job = begin(road, extent=Extent.FLAT, about="S3").job
    assert job is not None
    say(road, job, Does.STOP, 1, way=OnFlat.SEALANT)
    say(road, job, Does.FILL, 20, pressure_s3="1.2")
    drive = next(s for s in doing(road, job).states if s.step.does is Does.DRIVE_ON)
    assert drive.waits == (step(doing(road, job).start.sheet, Does.FILL).id,)
    say(road, job, Does.FILL, 30, pressure_s3="2.3")
    drive = next(s for s in doing(road, job).states if s.step.does is Does.DRIVE_ON)
    assert drive.waits == ()
    say(road, job, Does.DRIVE_ON, 45, again_s3="1.0")
    held = next(s for s in doing(road, job).states if s.step.does is Does.DRIVE_ON)
    assert not held.as_planned, "under 1.3 bar after ten minutes: no farther"
    assert held.standing is Standing.DONE


def test_the_spare_is_on_and_a_job_for_its_set_puts_the_wheel_back(road: Desk) -> None:
    job = begin(road, car="estate", extent=Extent.FLAT, about="rear left").job
    assert job is not None
    say(road, job, Does.STOP, 1, way=OnFlat.SPARE)
    say(road, job, Does.SPARE_ON, 30)
    now = road.present()
    assert {c.value: w for c, w in now.wheel_at("estate").items()}["rear left"] == "S5"
    say(road, job, Does.DRIVE_ON, 60)
    say(road, job, Does.TELL_FITTER, 70, became="tyre-mended")
    finish(road, job, leave_open=True)
    back = begin(road, car="estate", wheel_set="summer").job
    assert back is not None
    moves = [s for s in doing(road, back).start.sheet.steps if s.does in (Does.TAKE_OFF, Does.FIT, Does.STOW_SPARE)]
    assert [(s.does, s.wheel) for s in moves] == [(Does.TAKE_OFF, "S5"), (Does.FIT, "S3"), (Does.STOW_SPARE, "S5")]


def test_a_flat_tyre_waits_for_no_other_job(road: Desk) -> None:
    other = begin(road, car="estate", wheel_set="winter").job
    assert other is not None
    assert begin(road, car="estate", extent=Extent.FLAT, about="rear left").job is not None


@pytest.mark.parametrize("monitor", ["direct", "indirect", "none", None])
def test_a_flat_tyre_has_its_sheet_on_every_car_and_on_a_tyre_that_may_not_be_driven(monitor: str | None) -> None:
    table = on_summer()
    car = {k: v for k, v in table["car"][0].items() if monitor == "direct" or k not in _ONLY_DIRECT}
    table["car"][0] = {**car, **({"monitor": monitor} if monitor else {})}
    if monitor is None:
        del table["car"][0]["monitor"]
    for tyre in table["tyre"]:
        tyre["tread"] = "1.0 mm"
    sheet = made(table, Extent.FLAT, "S3")
    assert ("A sensor sits" in " ".join(lines(step(sheet, Does.TELL_FITTER)))) is (monitor == "direct")
    assert made(table, Extent.WHEEL, "S3").steps


_ONLY_DIRECT = {"holds", "dash_shows", "corner_aware", "taught_by", "slots", "when_full", "remembers_sets", "abort_erases",
                "teach_order", "teach_wheel_limit", "teach_total_limit", "rest_before", "dash_offset", "spare_counted"}  # fmt: skip


def test_its_cards_are_of_the_roadside_the_shop_and_after() -> None:
    sheet = made(on_summer(), Extent.FLAT, "S3")
    assert [(c.of, c.sitting) for c in sheet.cards] == [
        (OnCard.STOP, Sitting.ROADSIDE), (OnCard.SPARE, Sitting.ROADSIDE), (OnCard.FILL, Sitting.ROADSIDE),
        (OnCard.DRIVE_ON, Sitting.ROADSIDE), (OnCard.FITTER, Sitting.SHOP), (OnCard.TORQUE, Sitting.AFTER), (OnCard.AGAIN, Sitting.AFTER),
    ]  # fmt: skip
    assert sheet.cards[0].cautions == (Caution.ROADSIDE,)
    text = " ".join(lines(step(sheet, Does.DRIVE_ON)))
    assert "80 km/h" in text
    assert "The lamp may stay on or flash" in text
    fitter = " ".join(lines(step(sheet, Does.TELL_FITTER)))
    assert "sealant" in fitter
    assert "2C41 A1E6" in fitter
    assert words(short_title(called(garage_of(on_summer()), sheet))) == "S3 of Estate is flat"


def test_a_new_tyre_keeps_its_sensor_and_is_asked_for_its_id_its_pressure_and_the_lamp() -> None:
    sheet = made(on_summer(), Extent.WHEEL, "S3")
    shop = step(sheet, Does.CHANGE_TYRE)
    assert "The sensor stays" in " ".join(lines(shop))
    assert [a.wanted.hex for a in shop.asks if a.wanted] == ["2C41A1E6"]
    assert [s.wheel for s in sheet.steps if s.does is Does.SET_PRESSURE] == ["S3"]
    assert {Does.LOOK, Does.DRIVE, Does.START_AGAIN, Does.TORQUE_AGAIN} < {s.does for s in sheet.steps}
    assert not {Does.FIT, Does.TEACH_BEGIN, Does.WRITE} & {s.does for s in sheet.steps}
    assert not any(Caution.LIFT in c.cautions for c in sheet.cards), "the shop lifts"
    stores = made(on_summer(stores_reference=True), Extent.WHEEL, "S3")
    assert [s.wheel for s in stores.steps if s.does is Does.SET_PRESSURE] == ["S1", "S2", "S4", "S3"]


def test_a_new_tyre_is_noted_and_a_new_valve_is_not(road: Desk) -> None:
    for changed, noted in ((Renewed.VALVE, False), (Renewed.TYRE, True)):
        job = begin(road, extent=Extent.WHEEL, about="S3").job
        assert job is not None
        say(road, job, Does.LOOK, 1)
        say(road, job, Does.CHANGE_TYRE, 60, changed=changed, id_s3="A1E6")
        assert any(s.step.does is Does.NOTE_TYRE and s.to_do for s in doing(road, job).states) is noted
        assert note_in(doing(road, job)).please == "change the tyre or the valve of S3"
        finish(road, job, leave_open=True)


@pytest.mark.parametrize("about", ["", "W1", "spare", "S5"])
def test_a_wheel_that_is_not_on_a_car_has_no_such_sheet(about: str) -> None:
    with pytest.raises(BadRequest, match="No wheel"):
        made(on_summer(spare=True), Extent.FLAT, about)


def test_a_wheel_whose_sensor_is_changed_by_the_plan_has_the_whole_job() -> None:
    table = on_summer()
    next(s for s in table["sensor"] if s["id"] == "sensor S3")["answers"] = False
    with pytest.raises(BadRequest, match="Begin the whole job"):
        made(table, Extent.WHEEL, "S3")
