"""The conversation in a terminal: from an empty home to a plan and pressures, stopped, taken up, erred in and taken back."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest

from commands import run
from wheelside.cli import serve_command
from wheelside.jobs.book.desk import open_desk, usual_book

IDS = ("0742500339", "0742500417", "2C41A1E6", "2C41AB2A")
FIRST_PLAN = ("2", "1", "", "2", "205/60R16 92V", *IDS, "1", "1", "", "d", "1", "2.3", "2.2", "2", "1", "12", "0")
"""Every answer to the first plan and pressures."""
MOST_ANSWERS = 25


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    monkeypatch.setenv("WHEELSIDE_CLOCK", "2026-11-25T09:00:00+01:00")
    monkeypatch.setenv("COLUMNS", "80")


def typed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *lines: str, options: tuple[Any, ...] = ()
) -> str:
    """What is said when these lines are typed and then no more."""
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    code, out, err = run(capsys, "start", *options)
    assert code == 0, err
    return out


def test_a_plan_and_pressures_come_out_of_few_answers(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert len(FIRST_PLAN) <= MOST_ANSWERS
    out = typed(monkeypatch, capsys, *FIRST_PLAN)
    assert "no sensor needs work: first read the IDs of W1, W2, W3 and W4" in " ".join(out.split())
    assert "front  2.45 bar  2.45 bar  W1, W2" in out
    assert "could still change this" in out
    assert "Kept. Go on any time: wheelside start" in out
    assert usual_book() == tmp_path / ".local" / "share" / "wheelside" / "garage.book"
    desk, _ = open_desk(str(usual_book()))
    assert [s.id for s in desk.loaded().garage.set] == ["Summer", "Winter"]
    desk.close()


def test_it_is_taken_up_where_it_was_left(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    typed(monkeypatch, capsys, *FIRST_PLAN[:5], "q")
    out = typed(monkeypatch, capsys, "2")
    assert "What is printed on the four sensors of Summer?" in out
    assert "What does your car show" not in out


def test_what_is_mistyped_is_said_and_asked_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = typed(
        monkeypatch,
        capsys,
        "9",
        "2",
        "x",
        "?",
        "1",
        "",
        "2",
        "205/60R16",
        "92V",
        "",
        "07425003391234",
        "",
        "",
        "0742500339",
    )
    assert "Type a number from 1 to 4" in out
    assert "Type a number from 1 to 4, d for don't know" in out
    assert "Switch the ignition on" in out
    assert "■ tyre size: 205/60R16: what stands behind it?" in out
    assert out.count("What is on My car now?") == 1
    assert "■ Front right, S2: " in out
    assert "With Summer on, is the tyre lamp off while you drive?" in out


def test_the_last_answer_is_taken_back(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    out = typed(monkeypatch, capsys, "2", "b", "4", "", "b", "1")
    assert "There is nothing to take back." in out
    assert out.count("What does your car show of its tyres?") == 3


def test_the_lamp_is_answered_in_four(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    out = typed(monkeypatch, capsys, "1", "2", "2", "1")
    assert "Teach the car the wheels that are on it." in out
    out = typed(monkeypatch, capsys, "1", "1")
    assert "Do not drive on it." in out


def test_a_used_set_gets_a_verdict(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    rims = ("6.5J", "46", "5x112", "66.6")
    answers = ("3", "1", "", "2", "205/60 R16 92V", "1", "205/60 R16 92H", "250", *rims, *rims)
    out = typed(monkeypatch, capsys, *answers)
    assert "Used set on My car: not known: measure." in out
    assert "250 EUR all in all" in out


def test_no_phone_is_let_in_unless_somebody_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    served: list[bool] = []
    monkeypatch.setattr("wheelside.cli.start_command.serve", lambda _desk, wanted, *_: served.append(wanted.lan))
    typed(monkeypatch, capsys, "q")
    assert served == []
    typed(monkeypatch, capsys, options=("--lan",))
    typed(monkeypatch, capsys, options=("--pages",))
    assert served == [True, False]
    monkeypatch.setattr("sys.stdin", Terminal("7\n2\n"))
    assert run(capsys, "start")[0] == 0
    assert served == [True, False, True]
    assert run(capsys, "start", "--lan", "--here")[0] == 2


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_clock_that_was_put_back_is_said_before_anything_is_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    typed(monkeypatch, capsys, *FIRST_PLAN[:2], "q")
    monkeypatch.setenv("WHEELSIDE_CLOCK", "2026-11-20T09:00:00+01:00")
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    code, _, err = run(capsys, "start")
    assert code == 0
    assert err.count("The clock shows 2026-11-20 09:00, and the book was written to at 2026-11-25") == 1
    monkeypatch.setattr(serve_command, "serve", lambda *_: None)
    code, _, err = run(capsys, "serve")
    assert code == 0
    assert err.count("The clock shows 2026-11-20 09:00, and the book was written to at 2026-11-25") == 1
