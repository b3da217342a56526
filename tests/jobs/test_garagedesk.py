"""Work at a book is one transaction that nobody waits for; where somebody writes meanwhile, it is done again, and nothing is lost."""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path

import pytest

from wheelside.book.journal import newest
from wheelside.demo import DEMO_DAY
from wheelside.errors import BadFile
from wheelside.identity.reserve import Reservation
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import new_book_from, take_in
from wheelside.jobs.garagedesk import GarageDesk, at_desk, load_garage
from wheelside.jobs.work.plan import plan_garage
from wheelside.sensor.ident import SensorId

OLDER = Path(__file__).parent.parent / "older"


def one_more(number: int) -> Reservation:
    return Reservation("", SensorId("kestrel", 32, number), 3, date(2026, 11, 25))


def entries(desk: Desk) -> list[str]:
    with desk.book.reading() as conn:
        return [w.what for w in newest(conn, 100)]


def test_what_somebody_writes_meanwhile_is_seen_by_doing_the_work_again(household_desk: Desk, place: str) -> None:
    seen: list[tuple[Reservation, ...]] = []

    def work(desk: GarageDesk) -> str | None:
        there = desk.reserved()
        seen.append(there)
        if len(seen) == 1:
            assert at_desk(place, lambda other: other.keep((*other.reserved(), one_more(1))), keeps=True)
        return desk.keep((*there, one_more(2)))

    at_desk(place, work, keeps=True)
    assert seen == [(), (one_more(1),)]
    assert at_desk(place, lambda desk: desk.reserved()) == (one_more(1), one_more(2))


def test_a_person_who_writes_does_not_wait_for_work_that_goes_on(household_desk: Desk, place: str) -> None:
    def work(desk: GarageDesk) -> None:
        desk.load()
        with household_desk.writing("while others plan"):
            pass

    at_desk(place, work, keeps=True)
    assert entries(household_desk)[0] == "while others plan"


def test_what_the_work_reads_is_one_moment_of_the_book(household_desk: Desk, place: str, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    other.write_text("wheelside = 1\n")

    def work(desk: GarageDesk) -> tuple[int, int]:
        before = len(desk.load().garage.car)
        take_in(household_desk, other)
        return before, len(desk.load().garage.car)

    assert at_desk(place, work) == (2, 2)
    assert load_garage(place).car == ()


def test_planning_again_writes_nothing_into_a_book(household_desk: Desk, place: str) -> None:
    first = plan_garage(place, day=DEMO_DAY)
    before = entries(household_desk)
    second = plan_garage(place, day=DEMO_DAY)
    assert second.plan.reserved == first.plan.reserved != ()
    assert entries(household_desk) == before
    assert before.count("fresh IDs set aside") == 1


def test_work_that_fails_keeps_nothing(household_desk: Desk, place: str) -> None:
    def work(desk: GarageDesk) -> None:
        desk.keep((one_more(1),))
        raise BadFile("x", ())

    with pytest.raises(BadFile):
        at_desk(place, work, keeps=True)
    assert at_desk(place, lambda desk: desk.reserved()) == ()


def test_a_book_of_an_older_wheelside_is_brought_up_to_date_and_backed_up_first(tmp_path: Path) -> None:
    book = tmp_path / "old.book"
    with sqlite3.connect(book) as old:
        old.executescript((OLDER / "first.sql").read_text())
    old.close()
    assert len(load_garage(book).car) == 2
    assert list(tmp_path.glob("*.before-*.zip"))
    assert len(load_garage(book).car) == 2
    assert len(list(tmp_path.glob("*.before-*.zip"))) == 1


def test_a_book_is_made_from_another_with_its_reserved_ids(household_desk: Desk, place: str, tmp_path: Path) -> None:
    plan_garage(place, day=DEMO_DAY)
    made, taken = new_book_from(place, str(tmp_path / "second.book"), tmp_path / "second.photos")
    made.close()
    there, copied = (at_desk(w, lambda desk: (desk.load(), desk.reserved())) for w in (place, tmp_path / "second.book"))
    assert taken.reserved == len(copied[1]) == 2
    assert (copied[0].garage, copied[0].text, copied[1]) == (there[0].garage, there[0].text, there[1])


def test_no_book_is_left_where_the_other_cannot_be_read(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.toml"
    wrong.write_text("wheelside = 1\n[[car]]\n")
    with pytest.raises(BadFile):
        new_book_from(wrong, str(tmp_path / "second.book"))
    assert not (tmp_path / "second.book").exists()
