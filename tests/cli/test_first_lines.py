"""The answer first: what each command says in its first lines, and in how many lines it says what is needed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import tomli_w

from commands import ON, run
from garages import Table, demo_table, row
from wheelside.demo import purchases

MOST = {"plan": 30, "air": 20, "gate": 15, "earshot": 15, "demo": 70, "fit": 30}
"""So many lines for the demo's household and its sets on offer."""


@pytest.fixture
def offers(tmp_path: Path) -> Path:
    (tmp_path / "purchases.toml").write_bytes(purchases())
    return tmp_path / "purchases.toml"


def said(capsys: pytest.CaptureFixture[str], *args: object) -> list[str]:
    _, out, _ = run(capsys, *args)
    return [line.strip() for line in out.splitlines()]


def asked(command: str, file: Path, offers: Path) -> tuple[object, ...]:
    if command == "demo":
        return ("demo",)
    return ("fit", offers, *ON, "--set", "third", "--car", "estate") if command == "fit" else (
        (command, file, "winter", *ON) if command == "gate" else (command, file, *ON)
    )  # fmt: skip


@pytest.mark.parametrize("width", [80, 140])
@pytest.mark.parametrize("command", MOST)
def test_a_command_says_what_is_needed_in_so_many_lines_and_how_to_see_more(
    command: str,
    width: int,
    file: Path,
    offers: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    lines = said(capsys, *asked(command, file, offers))
    assert len(lines) <= MOST[command]
    assert max(map(len, lines)) <= width
    if command != "gate":
        assert any(line.startswith(("More: ", "Next: ")) for line in lines)


FIRST = {
    "plan": ("Two wheels need work before Winter set goes on Estate on 2026-11-28:", "W3 and W4 each get a new sensor with a new ID."),
    "air": ("Winter set on Estate: front 2.67 bar, rear 2.56 bar.", "load ‘normal’, cold tyres at 17 °C, by Red gauge"),
    "earshot": ("Estate surely hears All-year set (on Runabout), Winter set and Summer set (Shed, 6.0 m away behind wood).",),
    "fit": ("All-year wheels, 17 inch on Estate: not known: measure.", "723 EUR all in all, 217 EUR to 612 EUR a season."),
}  # fmt: skip


@pytest.mark.parametrize("command", FIRST)
def test_the_first_lines_are_the_answer(
    command: str, file: Path, offers: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    lines = said(capsys, *asked(command, file, offers))
    assert tuple(lines[: len(FIRST[command])]) == FIRST[command]


def test_what_must_not_be_stands_before_all_else(file: Path, offers: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = said(capsys, "fit", offers, *ON, "--set", "second")
    assert lines[0] == "Leave it"
    assert lines[1].startswith("✕ Load index")
    table = demo_table()
    for tyre in table["tyre"]:
        if "tyre W1" in (tyre.get("id"), *tyre.get("ids", ())):
            tyre["tread"] = "1.0 mm"
    file.write_text(tomli_w.dumps(table), encoding="utf-8")
    lines = said(capsys, "air", file, *ON)
    assert lines[0].startswith("✕")


def rewritten(file: Path, table: Table) -> Path:
    file.write_text(tomli_w.dumps(table), encoding="utf-8")
    return file


def test_a_plan_without_work_says_so(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = demo_table()
    row(table, "sensor", "sensor W3").update(family="kestrel", printed="1893079001")
    row(table, "sensor", "sensor W4").update(answers=True)
    lines = said(capsys, "plan", rewritten(file, table), *ON)
    assert lines[0] in ("No sensor needs work.", "No sensor needs work, and no car has to be taught.")
    table = demo_table()
    row(table, "car", "estate")["remembers_sets"] = 1
    lines = said(capsys, "plan", rewritten(file, table), *ON)
    assert any("times more" in line for line in lines), "each set that is taught stands once"


def test_all_of_it_is_there_for_who_asks(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    everything = " ".join(said(capsys, "plan", file, *ON, "--all"))
    for part in ("REFIT", "2C41 A7F3", "together, sure", "To know"):
        assert part in everything
    costs = " ".join(said(capsys, "plan", file, *ON, "--costs"))
    assert "together, sure" in costs
    assert "REFIT" not in costs
    assert "What each car is taught" in " ".join(said(capsys, "plan", file, *ON, "--why"))
    demo = " ".join(said(capsys, "demo", "--all"))
    for part in ("REFIT", "Air card", "EVENING BEFORE", "Try it yourself: wheelside car practise"):
        assert part in demo
    assert "1 in 100 to" in " ".join(said(capsys, "earshot", file, *ON, "--full"))


def test_alone_it_says_what_it_is_and_where_to_begin(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys)
    assert (code, err) == (0, "")
    assert out.startswith("Wheelside says which sensor needs which ID")
    assert "wheelside demo" in out


@pytest.mark.parametrize(("typed", "meant"), [("plna", "plan"), ("shet", "sheet"), ("eir", "air")])
def test_a_command_that_is_none_is_guessed(typed: str, meant: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, typed)
    assert code == 2
    assert f"Did you mean '{meant}'?" in err


@pytest.mark.parametrize(
    ("asked_for", "status", "said_of_it"),
    [
        (("plan", "none.toml"), 2, "none.toml"),
        (("sheet", "none.toml", "--flat", "W1"), 2, "none.toml"),
        (("plan", "--on"), 2, "json"),
    ],
)
def test_an_error_is_json_where_json_is_asked_for(
    asked_for: tuple[str, ...], status: int, said_of_it: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, out, err = run(capsys, *asked_for, "--json")
    told = json.loads(out)
    assert (code, told["wheelside"], told["status"], err) == (status, "error", status, "")
    assert said_of_it in told["message"]


def test_every_problem_of_a_file_is_in_its_json(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(file.read_text(encoding="utf-8").replace("[[car]]", "[[car]]\nwings = 2", 1), encoding="utf-8")
    code, out, _ = run(capsys, "plan", file, *ON, "--json")
    (problem,) = json.loads(out)["problems"]
    assert code == 2
    assert problem["key"].endswith("wings")
    assert problem["line"] > 0
    assert problem["suggestion"]
