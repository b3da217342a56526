"""What a command does where the disk takes no writes, and where the clock was put back."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from books import NOON
from commands import ON, run
from garages import seeded
from wheelside.book import book
from wheelside.book.tables import metadata
from wheelside.errors import Outside
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.kept import clock_of
from wheelside.jobs.source import CLOCK
from wheelside.units.moment import US_PER_S, Moment


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library that makes a folder take no writes."""
    made = tmp_path_factory.mktemp("library") / "read_only.so"
    subprocess.run(["cc", "-shared", "-fPIC", "-o", made, Path(__file__).with_name("read_only.c"), "-ldl"], check=True)
    return made


def read_only(library: Path, folder: Path, *args: object) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "LD_PRELOAD": str(library), "WHEELSIDE_READ_ONLY": str(folder)}
    command = [sys.executable, "-m", "wheelside", *map(str, args)]
    return subprocess.run(command, capture_output=True, text=True, check=False, env=env)


def names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


@pytest.mark.parametrize("kind", ["book", "file"])
def test_where_nothing_can_be_written_a_plan_sets_nothing_aside_and_says_so_first(
    library: Path, book_file: Path, file: Path, kind: str
) -> None:
    where, before = book_file if kind == "book" else file, names(file.parent)
    done = read_only(library, file.parent, "plan", where, *ON)
    assert done.returncode == 1, done.stderr
    assert done.stdout.startswith("The fresh IDs of this plan must NOT be written, as they are not set aside.")
    assert "Two wheels need work" in done.stdout
    assert "planning again draws others" in done.stdout
    assert names(file.parent) == before
    told = read_only(library, file.parent, "plan", where, *ON, "--json")
    assert (told.returncode, json.loads(told.stdout)["saved_in"]) == (1, None)
    assert "must NOT be written" in told.stderr
    assert read_only(library, file.parent, "plan", where, *ON, "--no-save").returncode == 0
    assert read_only(library, file.parent, "plan", where, *ON, "--release", "w1").returncode in (2, 3)


def test_what_is_set_aside_already_is_planned_with_where_nothing_can_be_written(
    library: Path, book_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = json.loads(run(capsys, "plan", book_file, *ON, "--json")[1])["plan"]
    done = read_only(library, book_file.parent, "plan", book_file, *ON, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert [w["id"] for w in json.loads(done.stdout)["plan"]["wheels"]] == [w["id"] for w in before["wheels"]]


def test_a_book_that_cannot_be_written_to_is_read_and_says_why_it_keeps_nothing(
    library: Path, book_file: Path, file: Path
) -> None:
    assert read_only(library, file.parent, "book", "show", book_file).returncode == 0
    done = read_only(library, file.parent, "hand-over", book_file, "summer", "--keep")
    assert done.returncode in (2, 3)
    assert "bug" not in done.stderr


def test_a_log_that_was_left_is_not_passed_over(library: Path, book_file: Path) -> None:
    book_file.with_name(f"{book_file.name}-wal").write_bytes(b"what was written last")
    assert read_only(library, book_file.parent, "plan", book_file, *ON).returncode == 3


def test_a_book_that_cannot_be_made_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: object) -> None:
        raise Outside("the disk is full")

    monkeypatch.setattr(book, "bring_to", full)
    with pytest.raises(Outside):
        new_desk(str(tmp_path / "new.book"))
    assert names(tmp_path) == []
    assert metadata.tables


def test_a_clock_that_was_put_back_is_said_and_refuses_nothing(
    book_file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "clock" not in run(capsys, "plan", book_file, *ON)[2]
    monkeypatch.setenv(CLOCK, "2026-11-20T09:00:00+01:00")
    for command in (("plan", *ON), ("air",), ("sheet", *ON), ("check",)):
        code, out, err = run(capsys, command[0], book_file, *command[1:])
        assert code in (0, 1)
        assert out
        assert err.count("The clock shows 2026-11-20 09:00, and the book was written to at 2026-11-25") == 1
    monkeypatch.setenv(CLOCK, Moment(NOON.us - 300 * US_PER_S, NOON.offset_min).iso())
    assert run(capsys, "plan", book_file, *ON)[2] == ""


def test_now_knows_a_clock_that_was_put_back(home: Desk) -> None:
    assert clock_of(home) is None
    home.clock = lambda: Moment(NOON.us - 86_400 * US_PER_S, NOON.offset_min)
    home.bits = seeded()
    assert clock_of(home) is not None
