"""wheelside gauge: the answer first, in a line a wheel."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import run
from wheelside.demo import household
from wheelside.jobs.source import CLOCK

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def book(tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "household.toml").write_bytes(household())
    made = tmp_path / "my.book"
    monkeypatch.setenv(CLOCK, "2026-10-30T09:00:00+01:00")
    assert run(capsys, "book", "new", made, "--from", tmp_path / "household.toml")[0] == 0
    return made


def on(monkeypatch: pytest.MonkeyPatch, day: str) -> None:
    monkeypatch.setenv(CLOCK, f"{day}T09:00:00+01:00")


def test_three_weeks_of_a_falling_wheel(capsys: Capture, book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for day, low in (("2026-10-31", "2.35"), ("2026-11-07", "2.24"), ("2026-11-14", "2.12")):
        on(monkeypatch, day)
        run(capsys, "gauge", book, "2.40", "2.39", low, "2.34", "--outside", "8")
    on(monkeypatch, "2026-11-21")
    code, out, err = run(capsys, "gauge", book, "2.38", "2.38", "2.00", "2.33", "--outside", "8")
    assert (code, err) == (1, "")
    first, sure, *lines = out.splitlines()
    assert first.startswith("▲ S3 loses 0.5")
    assert "Lamp: 2026-11-" in sure
    assert [line.split()[-1] for line in lines if line] == ["normal", "normal", "month", "normal"]
    assert max(map(len, out.splitlines())) <= 80
    on(monkeypatch, "2026-11-22")
    assert run(capsys, "gauge", book)[1].startswith("▲ S3 loses 0.5")


def test_nothing_read_yet_and_what_it_takes(capsys: Capture, book: Path) -> None:
    code, out, _ = run(capsys, "gauge", book, "--car", "runabout")
    assert (code, out.splitlines()[0]) == (0, "No pressures noted yet.")


@pytest.mark.parametrize(
    ("figures", "told"),
    [
        (("24", "2.4", "2.3", "2.3"), "24 what?"),
        (("2.4",) * 6, "6 figures for 4 wheels"),
        (("2.4", "x"), "no pressure"),
    ],
)
def test_what_can_not_be_taken_is_told_and_nothing_is_kept(
    capsys: Capture, book: Path, figures: tuple[str, ...], told: str
) -> None:
    code, _, err = run(capsys, "gauge", book, *figures)
    assert code == 2
    assert told in err
    assert run(capsys, "gauge", book)[1].startswith("No pressures noted yet.")


def test_a_corner_may_be_left_out(capsys: Capture, book: Path) -> None:
    out = run(capsys, "gauge", book, "2.4", "-", "2.3", "-")[1]
    assert out.count("not read yet") == 2


def test_without_a_book_it_says_where_to_begin(
    capsys: Capture, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    code, _, err = run(capsys, "gauge", "2.3", "2.3")
    assert code == 2
    assert "wheelside start" in err
