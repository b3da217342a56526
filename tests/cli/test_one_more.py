"""Which one more fact would change a plan or the pressures, asked for on the command line."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomli_w

from commands import ON, run
from garages import demo_table, row
from wheelside.demo import purchases

MORE = "One more answer could change this: "


def asked(capsys: pytest.CaptureFixture[str], *args: object) -> list[str]:
    code, out, err = run(capsys, *args, "--ask", *ON)
    assert code == 0, err
    lines = [line.strip() for line in out.splitlines()]
    at = next(n for n, line in enumerate(lines) if line.startswith((MORE, "No single fact")))
    return lines[at:]


def forget_sets_remembered(file: Path) -> None:
    """The demo's file, in which it is not known how many sets the estate remembers, and no shop is asked about."""
    table = demo_table()
    table.setdefault("plan", {})["not_known"] = ["shop"]
    del row(table, "car", "estate")["remembers_sets"]
    file.write_text(tomli_w.dumps(table), encoding="utf-8")


def test_the_question_stands_with_where_it_is_found_and_where_it_goes(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    forget_sets_remembered(file)
    first, where, goes = asked(capsys, "plan", file, "--no-save")
    assert first == f"{MORE}How many sets of wheels can Estate remember?"
    assert where.startswith("In the car's handbook")
    assert goes == "In the file: 'remembers_sets' in [[car]] of estate"


def test_where_nothing_would_change_that_is_said(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(capsys, "air", file) == ["No single fact more would change this."]


def test_at_a_book_it_is_answered_in_a_conversation(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "300")
    book = tmp_path / "my.book"
    assert run(capsys, "book", "new", book, "--from", file)[0] == 0
    assert asked(capsys, "plan", book)[-1] == f"Answer it: wheelside start {book}"


def test_before_a_used_set_is_bought_it_is_what_would_change_its_verdict(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    table = tomllib.loads(purchases().decode())
    for one in table["tyre"]:
        if "tyre F1" in one.get("ids", [one.get("id")]):
            one.pop("tread", None)
    file.write_text(tomli_w.dumps(table), encoding="utf-8")
    first, where, goes = asked(capsys, "fit", file, "--car", "estate", "--set", "first")
    assert first == f"{MORE}How deep is the least tread of Winter wheels, silver?"
    assert where
    assert goes == "In the file: 'tread' in [[tyre]] of first"
    refused = run(capsys, "fit", file, "--tyre", "designation=205/55 R16 91V", "--ask", *ON)
    assert refused[0] == 2


def test_the_sheet_has_the_plan_s(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    forget_sets_remembered(file)
    assert asked(capsys, "sheet", file, "--no-save")[0] == f"{MORE}How many sets of wheels can Estate remember?"
