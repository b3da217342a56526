"""The commands as a person runs them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import tomli_w

from commands import ON, json_of, run
from garages import Table, demo_table, row
from wheelside.demo import DEMO_DAY, household
from wheelside.jobs.source import CLOCK


def write(file: Path, table: Table) -> None:
    file.write_text(tomli_w.dumps(table), encoding="utf-8")


def test_the_demo_runs_the_main_job(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "demo")
    assert (code, err) == (0, "")
    for part in (
        "Winter set",
        "Two wheels need work",
        "2.67 bar",
        "14 cards",
        "Evening before",
        "wheelside demo --all",
    ):
        assert part in out


def test_the_demo_shows_its_change_on_every_machine_date(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It has its own day and reads no clock at all: without a given one, reading fails here."""
    monkeypatch.delenv(CLOCK)
    code, out, err = run(capsys, "demo")
    assert (code, err) == (0, "")
    assert "as of 2026-11-25" in out
    assert "Winter set goes on Estate, Summer set off: 14 cards" in " ".join(out.split())


def test_the_demo_can_be_told_for_another_day(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "demo", "--on", "2027-04-05")
    assert (code, err) == (0, "")
    assert "as of 2027-04-05" in out
    assert [json_of(capsys, "demo", *on)["plan"]["day"] for on in ((), ("--on", "2027-04-05"))] == [
        "2026-11-25",
        "2027-04-05",
    ]
    assert run(capsys, "demo", "--on", "yesterday")[0] == 2


def test_the_demo_taken_home_says_how_to_see_its_day(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(CLOCK, "2027-07-15T09:00:00+02:00")
    _, said, _ = run(capsys, "demo", "--write", tmp_path)
    monkeypatch.setenv(CLOCK, said.split(f"export {CLOCK}=")[1].split()[0])
    book, file = str(tmp_path / "household.book"), str(tmp_path / "household.toml")
    assert f"book new {book} --from {file}" in said
    assert run(capsys, "book", "new", book, "--from", file)[0] == 0
    shown = " ".join(run(capsys, "sheet", book)[1].split())
    assert "Winter set goes on Estate, Summer set off: 14 cards, about 3 h and the shop. For 2026-11-28." in shown
    assert " 2026-11-25 09:00" in run(capsys, "book", "show", book)[1]


def test_the_demo_can_be_taken_home(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert run(capsys, "demo", "--write", tmp_path)[0] == 0
    assert (tmp_path / "household.toml").read_bytes() == household()
    code, _, err = run(capsys, "demo", "--write", tmp_path)
    assert code == 2
    assert "there already" in err
    assert run(capsys, "demo", "--write", tmp_path / "absent")[0] == 2


def test_plan_prints_and_saves(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    code, out, _ = run(capsys, "plan", file, *ON)
    assert code == 0
    assert "planning again gives the same ones" in " ".join(out.split())
    assert file.with_suffix(".plan.json").exists()
    assert run(capsys, "plan", file, *ON)[1] == out


def test_plan_reasons_answer_every_wheel(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    _, out, _ = run(capsys, "plan", file, *ON, "--reasons", "--no-save")
    assert out.count("not taken") == 12
    assert "draws others" in out
    assert not file.with_suffix(".plan.json").exists()


def test_json_documents_are_versioned_and_say_what_they_rest_on(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    plan = json_of(capsys, "plan", file, *ON)
    assert (plan["wheelside"], plan["version"]) == ("plan", 1)
    wheel = next(w for w in plan["plan"]["wheels"] if w["wheel"] == "W3")
    assert wheel["id"]["hex"]
    assert all(n["basis"]["ground"] for n in wheel["not_taken"])
    assert plan["plan"]["weight"] == plan["plan"]["bound"]
    air = json_of(capsys, "air", file, *ON)
    assert air["card"]["wheels"][0]["set_to"]["kpa_gauge"] == pytest.approx(262, abs=0.5)
    assert air["card"]["wheels"][0]["lamp"][0]["basis"]["source"].startswith("49 CFR")
    sheet = json_of(capsys, "sheet", file, *ON)
    assert all(s["basis"]["ground"] for s in sheet["sheet"]["steps"])
    assert json_of(capsys, "demo")["wheelside"] == "demo"
    assert json_of(capsys, "check", file)["problems"] == []


def test_the_ids_of_the_sheet_are_those_of_the_plan(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    sheet = run(capsys, "sheet", file, *ON)[1]
    plan = json_of(capsys, "plan", file, *ON)
    fresh = [
        w["id"]["hex"] for w in plan["plan"]["wheels"] if w["id_choice" if "id_choice" in w else "choice"] == "fresh"
    ]
    assert len(fresh) == 2
    assert all(f"{h[:4]} {h[4:]}" in sheet for h in fresh)


def test_air_takes_the_word_of_now(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    args = [
        "air",
        file,
        *ON,
        "--car",
        "estate",
        "--set",
        "winter",
        "--tyre",
        "20C",
        "--use",
        "-12 °C",
        "--load",
        "full",
    ]
    air = json_of(capsys, *args)
    assert air["card"]["wheels"][0]["target"]["placard"] == {"kpa_gauge": 260.0}
    assert air["card"]["situation"]["now"] == {"kelvin": 293.15}


def test_a_hot_tyre_ends_with_1_and_no_figure(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    code, out, _ = run(capsys, "air", file, *ON, "--hot")
    assert code == 1
    assert "never let down" in out
    assert "±" not in out


def test_what_must_not_be_fitted_gets_no_sheet(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    table = demo_table()
    row(table, "tyre", "tyre W1")["tread"] = "1 mm"
    write(file, table)
    code, out, _ = run(capsys, "sheet", file, *ON)
    assert code == 1
    assert "No run sheet" in out
    assert "below the 1.6 mm" in out


def test_a_sheet_can_be_had_as_markdown(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    _, out, _ = run(capsys, "sheet", file, *ON, "--markdown")
    assert out.startswith("# Winter set goes on Estate, 2026-11-28; Summer set comes off")
    assert "- [ ] " in out


def test_german_numbers(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    text = household().decode().replace('pressure = "bar"', 'pressure = "bar"\ndecimal_mark = ","', 1)
    file.write_text(text.replace('"2.3 bar"', '"2,3 bar"'), encoding="utf-8")
    _, out, _ = run(capsys, "air", file, *ON, "--full")
    assert "2,62 bar ± 0,08" in out
    assert "2.62" not in out
    _, out, _ = run(capsys, "plan", file, *ON, "--reasons")
    assert "67,00 EUR" in out
    assert "67.00" not in out


@pytest.mark.parametrize(
    ("args", "code", "part"),
    [
        (["id", "read", "0742500339", "--bits", "32"], 0, "2C41 A7F3"),
        (["id", "read", "11259375", "--bits", "32"], 1, "hex or decimal"),
        (["id", "read", "11259375", "--bits", "32", "--form", "decimal"], 0, "00AB CDEF"),
        (["id", "read", "ZZ"], 2, "stands for no digit"),
        (["id", "read", "2C41A7F3", "--family", "kestrel"], 2, "--file"),
        (["id", "fresh", "--bits", "32", "--count", "2"], 0, "set aside nowhere"),
        (["id", "fresh"], 2, "--bits"),
        (["schema"], 0, "json-schema.org"),
        (["--version"], 0, "wheelside"),
        (["--help"], 0, "demo"),
        (["plan", "--help"], 0, "--release"),
        (["nope"], 2, "No such command"),
        (["plan"], 2, "Missing argument"),
        (["plan", "absent.toml"], 2, "there is no file"),
        (["plan", "absent.toml", "--on", "yesterday"], 2, "year-month-day"),
        (["plan", "absent.toml", "--on", "0001-01-01"], 2, "1980"),
        (["air", "absent.toml", "--tyre", "20"], 2, "°C or 20 °F"),
    ],
)
def test_other_commands_and_their_exit_status(
    capsys: pytest.CaptureFixture[str], args: list[str], code: int, part: str
) -> None:
    got, out, err = run(capsys, *args)
    assert (got, part in out + err) == (code, True), out + err


def test_an_id_is_compared_with_those_of_the_garage(
    capsys: pytest.CaptureFixture[str], file: Path, tmp_path: Path
) -> None:
    _, out, _ = run(capsys, "id", "read", "F3A7412C", "--bits", "32", "--file", file)
    assert "the reversed form of 2C41A7F3" in out
    _, out, _ = run(
        capsys, "id", "read", "0742500339", "--file", file, "--family", "kestrel", "--qr", "--svg", tmp_path / "q.svg"
    )
    assert "the same as 2C41A7F3" in out
    assert "█" in out
    assert (tmp_path / "q.svg").read_text().startswith("<svg")
    assert run(capsys, "id", "read", "1", "--file", file, "--family", "nope")[0] == 2


def test_problems_go_to_standard_error_with_their_lines(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    file.write_text(household().decode().replace('monitor = "direct"', 'monitor = "dierct"', 1), encoding="utf-8")
    code, out, err = run(capsys, "plan", file)
    assert (code, out) == (2, "")
    assert "write 'direct'" in err
    assert json_of(capsys, "check", file)["problems"][0]["key"] == "car[1].monitor"


def test_a_bug_is_one_line_and_a_report(
    capsys: pytest.CaptureFixture[str], file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a slip\nover two lines")

    monkeypatch.setattr("wheelside.cli.check_command.load_garage", broken)
    code, _, err = run(capsys, "check", file)
    assert code == 4
    assert err.count("\n") == 1
    report = Path(err.split("the report is in ")[1].strip())
    assert "ZeroDivisionError" in report.read_text()
    report.unlink()


def test_a_full_disk_is_the_worlds_fault(
    capsys: pytest.CaptureFixture[str], file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, _, err = run(capsys, "plan", file, *ON)
    assert code == 3
    assert "free some room" in err


def test_a_pipe_gets_plain_text_and_a_closed_one_no_bug(file: Path) -> None:
    command = [sys.executable, "-m", "wheelside", "plan", str(file), *ON]
    plain = subprocess.run(command, capture_output=True, check=True, env={**os.environ, "TERM": "xterm-256color"})
    assert b"\x1b[" not in plain.stdout
    closed = subprocess.run(["sh", "-c", f"{' '.join(command)} | head -1"], capture_output=True, check=True)
    assert closed.stderr == b""


def test_help_imports_neither_the_solver_nor_the_terminal_library() -> None:
    heavy = "('ortools', 'rich', 'numpy', 'tree_sitter')"
    look = f"print([m for m in {heavy} if m in sys.modules])"
    code = f"import sys; from wheelside.cli.main import status; status(['--help']); {look}"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip().endswith("[]")


def test_the_air_card_needs_no_solver(file: Path) -> None:
    code = f"import sys; from wheelside.cli.main import status; status(['air', {str(file)!r}]); print('ortools' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip().endswith("False")


def test_parallel_plans_give_the_same_ids(file: Path) -> None:
    command = [sys.executable, "-m", "wheelside", "plan", str(file), *ON, "--json"]
    runs = [subprocess.Popen(command, stdout=subprocess.PIPE) for _ in range(3)]
    plans = [json.loads(r.communicate(timeout=120)[0]) for r in runs]
    ids = [[w["id"]["hex"] for w in p["plan"]["wheels"]] for p in plans]
    assert ids[0] == ids[1] == ids[2]


@pytest.mark.parametrize(
    ("shell", "code"), [("{} > /dev/full", 3), ("{} >&-", 0), ("PYTHONIOENCODING=latin-1 {} > /dev/null", 0)]
)
def test_trouble_with_the_output_is_no_bug(file: Path, shell: str, code: int) -> None:
    command = f"{sys.executable} -m wheelside air {file} --on {DEMO_DAY}"
    done = subprocess.run(["sh", "-c", shell.format(command)], capture_output=True, text=True, check=False)
    assert done.returncode == code, done.stderr
    assert "bug" not in done.stderr


@pytest.mark.parametrize("path", ["/dev/zero", "/dev/null", "/"])
def test_what_is_no_ordinary_file_is_refused(capsys: pytest.CaptureFixture[str], path: str) -> None:
    code, _, err = run(capsys, "check", path)
    assert code == 2
    assert "ordinary file" in err or "a folder" in err


def test_the_air_card_is_short_and_the_rest_is_asked_for(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    code, short, _ = run(capsys, "air", file, *ON)
    assert code == 0
    assert "0.55 bar above the lamp at -9 °C" in short
    assert "must not" not in short
    last = short.strip().splitlines()[-1]
    assert last.startswith("More: --full")
    assert "when the lamp must be lit" in last
    assert "49 CFR 571.138" not in short
    _, full, _ = run(capsys, "air", file, *ON, "--full")
    for part in ("49 CFR 571.138, the car's own rule", "faster than its fellows", "coverage factor 2", "dash there"):
        assert part in full
        assert part not in short
    assert "More:" not in full


def test_the_air_card_for_programs_has_what_is_nearest_to_the_lamp(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    near = json_of(capsys, "air", file, *ON)["nearest"]
    assert (near["wheels"], near["above"]) == (["W3", "W4"], {"kpa": 55.0})


def test_a_card_is_for_the_set_that_is_on_unless_a_change_is_near(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    for day, expected in (
        ("2026-11-20", "winter"),
        ("2026-09-01", "summer"),
        ("2026-12-05", "winter"),
        ("2027-04-01", "summer"),
    ):
        _, out, _ = run(capsys, "air", file, "--on", day, "--json")
        assert json.loads(out)["change"]["coming"] == expected, day


def test_a_sheet_is_for_the_set_that_is_on_while_it_has_work_to_do(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    _, out, _ = run(capsys, "sheet", file, "--on", "2026-12-05", "--wears", "estate=winter")
    assert out.startswith("Winter set stays on Estate: ")
    assert "For 2026-12-05." in out
    assert "Wheels off." in out


@pytest.mark.parametrize(
    ("args", "part"),
    [
        (["--load", "heavy"], "'full', 'normal'"), (["--tyre", "200C"], "can't be a tyre temperature"), (["--use", "-400F"], "can't be"),
        (["--coldest", "20C", "--warmest", "0C"], "no more than"), (["--height-there", "30000m"], "at most 6000 m"),
    ],
)  # fmt: skip
def test_options_are_held_to_what_the_file_is(
    capsys: pytest.CaptureFixture[str], file: Path, args: list[str], part: str
) -> None:
    code, _, err = run(capsys, "air", file, *ON, *args)
    assert code == 2
    assert part in err


def test_a_card_without_a_figure_ends_with_1(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    table = demo_table()
    del table["conditions"]["temperature_of_use"]
    write(file, table)
    code, out, _ = run(capsys, "air", file, *ON)
    assert code == 1
    assert "No pressure can be given yet" in out


@pytest.mark.parametrize(
    ("args", "part"),
    [
        (["--bits", "28"], "has 32 in the file"),
        (["--family", "nope"], "no family 'nope'"),
        (["--prefix", "ZZ"], "hex digits"),
    ],
)
def test_fresh_ids_agree_with_their_family(
    capsys: pytest.CaptureFixture[str], file: Path, args: list[str], part: str
) -> None:
    code, _, err = run(capsys, "id", "fresh", file, "--family", "kestrel", *args)
    assert code == 2
    assert part in err
