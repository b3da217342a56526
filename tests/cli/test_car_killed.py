"""A teaching that is killed in its middle, in a process of its own: what the book has then, and both ways to the end."""

from __future__ import annotations

import contextlib
import json
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from cars import HOUSEHOLD_WINTER, suited_household
from commands import run, teaching_set_1
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import Habits, PracticeCar, practice_car, serve_tcp
from wheelside.demo.practice.told import SUMMER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.jobs.book.desk import open_desk
from wheelside.jobs.car.visit import last_teaching, records

LONGEST_S = 60.0


@pytest.fixture
def car() -> PracticeCar:
    """It wants more time before each answer, so that there is a middle to be killed in."""
    return practice_car(Habits(pending=1, pending_s=0.3))


@pytest.fixture
def link(car: PracticeCar) -> Iterator[str]:
    with serve_tcp(car, lasting_s=180) as (host, port):
        yield f"at socket://{host}:{port}"


@pytest.fixture
def book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    (tmp_path / "household.toml").write_text(suited_household(), encoding="utf-8")
    (tmp_path / "practice.toml").write_bytes(port_card())
    (tmp_path / "practice.dbc").write_bytes(dbc())
    assert run(capsys, "book", "new", tmp_path / "household.book", "--from", tmp_path / "household.toml")[0] == 0
    return tmp_path / "household.book"


def stages(book: Path) -> list[str]:
    """The stages that the book has by now, read past the program."""
    with contextlib.closing(sqlite3.connect(book, timeout=10)) as conn:
        rows = conn.execute("select body from car_record where what = 'stage' order by num")
        return [str(json.loads(row[0])["stage"]) for row in rows]


def killed_at(stage: str, book: Path, link: str, by: signal.Signals = signal.SIGKILL) -> int:
    """Teaches in a process of its own, which gets a signal as soon as the book has this stage; its exit status."""
    card = book.parent / "practice.toml"
    command = [
        sys.executable,
        "-m",
        "wheelside",
        "car",
        "teach",
        str(book),
        str(card),
        "--car",
        "estate",
        "--set",
        "winter",
    ]
    process = subprocess.Popen([*command, "--list", "set 1", "--link", link, "--do"], stdout=subprocess.DEVNULL)
    try:
        end = time.monotonic() + LONGEST_S
        while stage not in stages(book):
            assert time.monotonic() < end, stages(book)
            assert process.poll() is None, stages(book)
            time.sleep(0.005)
    finally:
        process.send_signal(by)
        process.wait(30)
    return process.returncode


@pytest.mark.timeout(120)
@pytest.mark.parametrize("way", ["finish", "undo"])
@pytest.mark.parametrize("stage", ["begun", "written", "finished"])
def test_the_old_list_is_in_the_book_and_both_ways_lead_to_an_end(
    stage: str, way: str, book: Path, link: str, car: PracticeCar, capsys: pytest.CaptureFixture[str]
) -> None:
    killed_at(stage, book, link)
    desk, _ = open_desk(str(book))
    last = last_teaching(records(desk, "estate"))
    desk.close()
    assert last is not None
    assert (last.settled, last.old, last.ended) == (False, bytes_of(SUMMER), "")
    card = book.parent / "practice.toml"
    refused = run(
        capsys,
        *teaching_set_1(book, card, link),
        "--do",
    )
    assert refused[0] == 2
    assert "neither finished nor undone" in refused[2]
    args = ["car", way, book, card, "--car", "estate", "--link", link]
    code, out, _ = run(capsys, *args)
    assert code == 0
    assert "broken off after" in out
    code, out, err = run(capsys, *args, "--do")
    assert (code, err) == (0, "")
    assert car.unit.teaching.lists[1] == (HOUSEHOLD_WINTER if way == "finish" else SUMMER)
    assert 1 in car.unit.teaching.counting


def test_one_that_was_killed_before_the_car_was_touched_is_over(
    book: Path, link: str, car: PracticeCar, capsys: pytest.CaptureFixture[str]
) -> None:
    killed_at("saved", book, link)
    assert car.unit.teaching.lists[1] == SUMMER
    args = [
        *teaching_set_1(book, book.parent / "practice.toml", link),
    ]
    assert run(capsys, *args, "--do")[0] == 0
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER


def test_ctrl_c_waits_until_the_list_is_whole(book: Path, link: str, car: PracticeCar) -> None:
    assert killed_at("begun", book, link, signal.SIGINT) == 0
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER
    assert stages(book)[-1] == "ended"


def test_ctrl_c_before_anything_was_begun_leaves_the_car_alone(book: Path, link: str, car: PracticeCar) -> None:
    assert killed_at("saved", book, link, signal.SIGINT) == 1
    assert car.unit.teaching.lists[1] == SUMMER
    assert "begun" not in stages(book)


def test_ctrl_c_twice_says_what_the_car_holds_and_has_the_old_list_put_back(
    book: Path, link: str, car: PracticeCar
) -> None:
    code, said = stopped_twice_at("begun", book, link)
    assert code == 1
    assert "Ctrl-C once more" in said[0]
    assert "may be empty" in said[1] or "was sent" in said[1]
    assert "'wheelside car finish' or 'wheelside car undo' goes on" in said[1]
    assert said[2].startswith("The old list is in the car: ")
    assert car.unit.teaching.lists[1] == SUMMER
    assert 1 in car.unit.teaching.counting


def stopped_twice_at(stage: str, book: Path, link: str) -> tuple[int, list[str]]:
    """Teaches in a process of its own, which gets Ctrl-C twice at a stage; its exit status, and the last lines that it says from then on."""
    card = book.parent / "practice.toml"
    command = [
        sys.executable,
        "-m",
        "wheelside",
        "car",
        "teach",
        str(book),
        str(card),
        "--car",
        "estate",
        "--set",
        "winter",
    ]
    process = subprocess.Popen([*command, "--list", "set 1", "--link", link, "--do"], stdout=subprocess.PIPE, text=True)
    end = time.monotonic() + LONGEST_S
    while stage not in stages(book):
        assert time.monotonic() < end, stages(book)
        time.sleep(0.005)
    process.send_signal(signal.SIGINT)
    time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    out, _ = process.communicate(timeout=60)
    text = " ".join(out.split())
    first, second = text.index("This ends where"), text.rindex("goes on.") + len("goes on.")
    return process.returncode, [text[first:].partition(" now. ")[0], text[first:second], text[second:].strip()]
