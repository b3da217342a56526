"""What was gauged at a step of a job becomes readings that say what they were for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from books import NOON
from claiming import claim
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import begin, doing
from wheelside.jobs.work.step_readings import step_readings
from wheelside.sheet.answers import read_answer
from wheelside.sheet.ask import Ask, Asked, Tells, outside_temperature
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Channel, Does, Move, Step
from wheelside.units import GaugePressure, PressureSpan, Temperature

GAUGE = Ask("one", Asked.PRESSURE, Channel.GAUGE, "Gauge", Tells.NOTHING, "W1")
DOWN = replace(GAUGE, id="two", pressure=GaugePressure(35.0), within=PressureSpan(35.0))


@pytest.fixture
def start(home: Desk) -> JobStart:
    job = begin(home).job
    assert job is not None
    return doing(home, job).start


def readings(home: Desk, start: JobStart, step: Step, instrument: str = "", **said: str) -> list[Reading]:
    one = replace(claim("j", step, said=said), instrument=instrument)
    given = {a.ask: a for a in one.answers}
    answers = tuple(read_answer(ask, given.get(ask.id), start.units) for ask in step.asks)
    return list(step_readings(start, step, one, answers, home.loaded().garage))


def test_before_a_tyre_is_let_down_it_is_gauged_and_both_figures_are_kept(home: Desk, start: JobStart) -> None:
    step = replace(start.sheet.steps[0], does=Does.LET_DOWN, asks=(GAUGE, DOWN))
    before, after = readings(home, start, step, one="2.40", two="0.35")
    assert (before.pressure, before.purpose, before.at_us) == (GaugePressure(240.0), Purpose.GAUGING, NOON.us)
    assert (after.pressure, after.purpose, after.at_us) == (GaugePressure(35.0), Purpose.LET_DOWN, NOON.us + 1)
    assert (before.place, before.warmth) == (None, Warmth.NOT_KNOWN)


@pytest.mark.parametrize(("does", "purpose", "place"), [
    (Does.GAUGE, Purpose.GAUGING, "carport"), (Does.SET_PRESSURE, Purpose.SET, "carport"), (Does.FIND_PRESSURE, Purpose.SET, "carport"),
    (Does.INFLATE, Purpose.SET, None), (Does.SHOW_CORNER, Purpose.CORNER_TEST, None), (Does.FILL_CORNER, Purpose.CORNER_TEST, None),
    (Does.STORE, Purpose.STORED, "shed"), (Does.CHALLENGE, Purpose.NOT_KNOWN, None),
])  # fmt: skip
def test_a_reading_is_for_what_its_step_is(
    home: Desk, start: JobStart, does: Does, purpose: Purpose, place: str | None
) -> None:
    step = replace(start.sheet.steps[0], does=does, asks=(GAUGE,), moves=(Move("W1", at="shed"),))
    (one,) = readings(home, start, step)
    assert (one.purpose, one.place) == (purpose, place)


def test_the_place_that_is_named_goes_before_the_planned_one(home: Desk, start: JobStart) -> None:
    where = Ask("where", Asked.PICK, Channel.TYPED, "", Tells.PUT_AT, options=("carport", "shed", "elsewhere"))
    step = replace(start.sheet.steps[0], does=Does.STORE, asks=(GAUGE, where), moves=(Move("W1", at="shed"),))
    assert [r.place for r in readings(home, start, step, where="carport")] == ["carport"]
    assert [r.place for r in readings(home, start, step, where="elsewhere")] == [None]
    assert [r.place for r in readings(home, replace(start, place=""), replace(step, does=Does.GAUGE), where="")] == [
        None
    ]


def test_the_instrument_is_named_by_its_id_where_one_is_called_so(home: Desk, start: JobStart) -> None:
    step = replace(start.sheet.steps[0], does=Does.GAUGE, asks=(GAUGE, outside_temperature()))
    (ours,) = readings(home, start, step, temperature="4")
    assert (ours.instrument, ours.instrument_id, ours.tyre, ours.outside) == (
        "Red gauge",
        "gauge",
        None,
        Temperature(277.15),
    )
    (other,) = readings(home, start, step, "Grey adapter")
    assert (other.instrument, other.instrument_id) == ("Grey adapter", "adapter")
    (unknown,) = readings(home, start, step, "Neighbour's gauge")
    assert (unknown.instrument, unknown.instrument_id) == ("Neighbour's gauge", None)
    (older,) = readings(home, replace(start, gauge_id=""), step)
    assert older.instrument_id == "gauge"
