"""wheelside gauge: the answer first, in a line a wheel."""

from __future__ import annotations

import io
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
    assert [line.split()[-1] for line in lines[:4]] == ["normal", "normal", "month", "normal"]
    assert max(map(len, out.splitlines())) <= 80
    on(monkeypatch, "2026-11-22")
    assert run(capsys, "gauge", book)[1].startswith("▲ S3 loses 0.5")


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def falling(capsys: Capture, book: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """Three weeks of a wheel that falls; what is said on the last of them."""
    out = ""
    for day, low in (("2026-10-31", "2.60"), ("2026-11-07", "2.54"), ("2026-11-14", "2.48"), ("2026-11-21", "2.42")):
        on(monkeypatch, day)
        out = run(capsys, "gauge", book, "2.40", "2.39", low, "2.34", "--outside", "8")[1]
    return out


def typed(capsys: Capture, book: Path, monkeypatch: pytest.MonkeyPatch, *lines: str) -> str:
    """The check with nothing typed at the wheels, and then these lines."""
    monkeypatch.setattr("sys.stdin", Terminal("\n".join(("", "", "", "", "", *lines)) + "\n"))
    code, out, err = run(capsys, "gauge", book)
    assert (code, err) == (1, "")
    return out


ASKED = "One answer could change the lamp's days"


def lamp(out: str) -> str:
    return out.rpartition("Lamp: ")[2][:24]


def test_how_cold_mornings_are_is_named_without_a_terminal(
    capsys: Capture, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = falling(capsys, book, monkeypatch)
    assert f"{ASKED}; without figures the command asks it: How cold are mornings" in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 80


def test_how_cold_mornings_are_is_asked_once_and_moves_the_lamps_days(
    capsys: Capture, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    falling(capsys, book, monkeypatch)
    left = typed(capsys, book, monkeypatch, "q")
    assert "a usual winter morning in °C, such as -2" in left
    out = typed(capsys, book, monkeypatch, "-15,5", "70", "14")
    assert "no morning is so warm" in out
    assert out.count("▲ S3 loses") == 2
    assert lamp(out) != lamp(left)
    assert ASKED not in typed(capsys, book, monkeypatch)
    run(capsys, "book", "export", book, book.parent / "out.toml")
    assert 'morning = "-15,5 °C"' in (book.parent / "out.toml").read_text(encoding="utf-8")


def test_not_knowing_how_cold_mornings_are_is_asked_no_more(
    capsys: Capture, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    falling(capsys, book, monkeypatch)
    assert typed(capsys, book, monkeypatch, "d").count("▲ S3 loses") == 1
    assert ASKED not in typed(capsys, book, monkeypatch)


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
