"""A word while a command takes long: on a terminal only, and none where it is quick."""

from __future__ import annotations

import sys
from threading import Event

import pytest

from wheelside.cli.waiting import word_while_working


def test_a_word_is_said_on_a_terminal_and_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    said = Event()
    write = sys.stderr.write

    def noted(text: str) -> int:
        said.set()
        return write(text)

    monkeypatch.setattr(sys.stderr, "write", noted)
    with word_while_working(first_s=0.01, each_s=30):
        assert said.wait(30)
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "wheelside: working, 0.01 s so far; Ctrl-C stops it\n"


def test_nothing_is_said_of_quick_work_nor_to_a_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with word_while_working(first_s=30):
        pass
    monkeypatch.setattr(sys.stderr, "isatty", lambda: False)
    with word_while_working(first_s=0.0):
        Event().wait(0.05)
    assert capsys.readouterr() == ("", "")
