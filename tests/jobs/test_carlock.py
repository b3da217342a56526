"""One program at a time writes into a car: in both databases, over programs that end, die or run on other machines."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from sqlalchemy import text

from books import NOON, later
from cars import CARD, MARK, broken_off, last, suited_household, taught, teaching, undone
from wheelside.book import tables
from wheelside.book.carlock import STALE_S
from wheelside.book.checksum import put
from wheelside.car.taught import Outcome
from wheelside.demo.practice import PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.errors import Meanwhile
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.car.port import clear_codes
from wheelside.jobs.car.program import has_ended, this_program
from wheelside.jobs.car.teach import refuse_unsettled
from wheelside.jobs.car.visit import Visit, Work
from wheelside.jobs.car.ways_back import accept, finish_teaching, undo

ANOTHER_MACHINE = "0f0f0f0f-0000-4000-8000-000000000000 pid:[1] 1 1"


@pytest.fixture
def home(desk: Desk) -> Desk:
    take_in_text(desk, suited_household(), "household.toml")
    desk.clock = lambda: NOON
    return desk


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


def held(desk: Desk, program: str = "", seconds_ago: float = 0.0) -> None:
    """Has a program hold the car that is not this visit's."""
    with desk.book.quietly() as conn:
        at = NOON.us - round(seconds_ago * 1e6)
        conn.execute(text("delete from car_lock"))
        row = {
            "car": "estate",
            "visit": "v",
            "person": "Ada",
            "program": program,
            "doing": "teach",
            "since": at,
            "offset_min": 60,
            "seen": at,
        }
        put(conn, tables.car_lock, row)


def test_a_second_program_is_told_who_has_the_car_and_since_when(home: Desk, car: PracticeCar) -> None:
    with Visit(home, "estate", "Ada").alone(Work.TEACH):
        with pytest.raises(Meanwhile, match=r"a list is being taught in this car by Ada, since 2026-11-25 12:00:00"):
            taught(home, car)
        with pytest.raises(Meanwhile, match="by Ada"):
            refuse_unsettled(Visit(home, "estate"))
    assert car.unit.teaching.lists[1] == SUMMER
    assert taught(home, car).outcome is Outcome.DONE


@pytest.mark.parametrize("way", [undo, finish_teaching, accept], ids=["undo", "finish", "accept"])
def test_no_way_to_the_end_is_gone_while_another_program_teaches(home: Desk, car: PracticeCar, way: object) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "written"), mark=MARK)
    held(home)
    with teaching(car) as talk, pytest.raises(Meanwhile, match="by Ada"):
        way(Visit(home, "estate"), talk, CARD, last(home), owner_says=True)  # type: ignore[operator]
    assert not last(home).settled


def test_codes_are_not_cleared_while_another_program_teaches(home: Desk, car: PracticeCar) -> None:
    held(home)
    with teaching(car) as talk, pytest.raises(Meanwhile, match="by Ada"):
        clear_codes(Visit(home, "estate"), talk, CARD, (), owner_says=True)


def test_other_cars_are_free(home: Desk) -> None:
    held(home)
    with Visit(home, "runabout").alone(Work.TEACH), Visit(home, "cabrio").alone(Work.TEACH):
        pass
    with pytest.raises(Meanwhile), Visit(home, "estate").alone(Work.CLEAR):
        pass


def test_the_car_is_free_again_after_an_end_and_after_an_error(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    with suppress(ZeroDivisionError), Visit(home, "estate").alone(Work.UNDO):
        raise ZeroDivisionError
    assert undone(home, car).outcome is Outcome.AS_BEFORE
    with home.book.reading() as conn:
        assert conn.execute(text("select count(*) from car_lock")).scalar_one() == 0


@pytest.mark.parametrize("clocks", [1, -1], ids=["later", "earlier"])
def test_a_program_that_was_not_heard_of_for_long_holds_nothing(home: Desk, car: PracticeCar, clocks: int) -> None:
    """Also where its machine's clock is ahead."""
    held(home, ANOTHER_MACHINE, clocks * (STALE_S - 1))
    with pytest.raises(Meanwhile):
        refuse_unsettled(Visit(home, "estate"))
    held(home, ANOTHER_MACHINE, clocks * (STALE_S + 1))
    refuse_unsettled(Visit(home, "estate"))
    assert taught(home, car).outcome is Outcome.DONE


def test_what_is_kept_shows_that_the_program_is_still_there(home: Desk) -> None:
    visit = Visit(home, "estate")
    with visit.alone(Work.TEACH):
        home.clock = lambda: later(STALE_S / 60 * 0.9)
        visit.keep("stage", of=1, stage="saved", data="")
        home.clock = lambda: later(STALE_S / 60 * 1.8)
        with pytest.raises(Meanwhile, match="since 2026-11-25 12:00:00"):
            refuse_unsettled(Visit(home, "estate"))


@pytest.fixture
def child() -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        [sys.executable, "-c", "from wheelside.jobs.car.program import this_program as t; print(t(), flush=True); input()"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE,
    )  # fmt: skip
    yield process
    process.kill()
    process.communicate()


def test_a_program_that_died_on_this_machine_holds_nothing_from_then_on(
    home: Desk, car: PracticeCar, child: subprocess.Popen[bytes]
) -> None:
    assert child.stdout is not None
    mark = child.stdout.readline().decode().strip()
    held(home, mark)
    with pytest.raises(Meanwhile):
        refuse_unsettled(Visit(home, "estate"))
    child.kill()
    child.wait()
    refuse_unsettled(Visit(home, "estate"))
    assert taught(home, car).outcome is Outcome.DONE


def test_a_program_is_taken_for_ended_only_where_that_is_certain() -> None:
    mine = this_program()
    assert not has_ended(mine)
    assert not has_ended("")
    assert not has_ended("what ever this may be")
    assert not has_ended(ANOTHER_MACHINE)
    if mine:
        *machine, number, began = mine.split()
        assert has_ended(" ".join((*machine, number, f"{int(began) - 1}")))
        assert int(number) == os.getpid()


def test_where_the_system_does_not_tell_nothing_is_taken_for_ended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from wheelside.jobs.car import program

    mine = this_program()
    monkeypatch.setattr(program, "_PROC", tmp_path)
    program._machine.cache_clear()
    assert this_program() == ""
    assert not has_ended(mine)
    monkeypatch.undo()
    program._machine.cache_clear()
