"""Spreadsheets, and CSV with other columns: told what they are, matched by the owner, read as they are meant."""

from __future__ import annotations

import random
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from commands import run
from sheetfiles import Value, ods, xlsx, xlsx_of
from wheelside.book.reading import Reading
from wheelside.book.readings import all_readings
from wheelside.errors import BadFile, BadRequest
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.edit import try_save
from wheelside.jobs.book.reading_cell import DayOrder, UnfitCell, figure, moment, zone_of
from wheelside.jobs.book.reading_columns import LEFT_OUT, TARGETS, match_columns, proposed, split_columns
from wheelside.jobs.book.reading_row import How
from wheelside.jobs.book.readings_in import take_in_readings
from wheelside.units import GaugePressure
from wheelside.units.moment import Moment

DAY = datetime.fromisoformat("2026-11-25T12:00:00")
ROWS: list[list[Value]] = [
    ["Reifen", "Datum", "Druck (bar)", "Notiz"],
    ["S1", DAY, 2.4, "kalt"],
    ["S2", DAY, 2.5, None],
]
COLUMNS = {"reifen": "wheel", "datum": "at", "druck (bar)": "pressure_bar_gauge", "notiz": LEFT_OUT}


def kept(desk: Desk) -> list[tuple[str, str, float | None]]:
    with desk.book.reading() as conn:
        return [
            (r.subject[1], Moment(r.at_us, r.offset_min).short(), r.pressure.kpa if r.pressure else None)
            for r in all_readings(conn)
        ]


def written(rows: list[list[Value]], suffix: str) -> bytes:
    if suffix == ".csv":
        lines = [
            ";".join("" if c is None else str(c).replace(".", ",") if isinstance(c, float) else str(c) for c in row)
            for row in rows
        ]
        return ("\n".join(lines) + "\n").encode()
    return {".xlsx": xlsx, ".ods": ods}[suffix]({"Werte": rows})


@pytest.mark.parametrize("suffix", [".xlsx", ".ods", ".csv"])
def test_columns_of_other_names_are_matched_by_the_owner(home: Desk, tmp_path: Path, suffix: str) -> None:
    file = tmp_path / f"r{suffix}"
    file.write_bytes(written(ROWS, suffix))
    with pytest.raises(BadFile) as caught:
        take_in_readings(home, file)
    said = str(caught.value)
    for word in (
        '--column "Reifen=wheel"',
        '--column "Datum=at"',
        '--column "Druck (bar)=pressure_bar_gauge"',
        '--column "Notiz=-"',
    ):
        assert word in said
    assert take_in_readings(home, file, columns=COLUMNS).new == 2
    assert kept(home) == [("S1", "2026-11-25 12:00", 240.0), ("S2", "2026-11-25 12:00", 250.0)]


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_a_spreadsheet_says_the_same_as_the_csv_of_its_cells(
    home: Desk, tmp_path: Path, seed: int, suffix: str
) -> None:
    source = random.Random(seed)
    order = source.sample(range(4), 4)
    body = [
        [
            f"S{source.randint(1, 4)}",
            DAY - timedelta(minutes=i + 1),
            round(source.uniform(1.6, 3.4), 2),
            source.choice(("kalt", None)),
        ]
        for i in range(source.randint(1, 30))
    ]
    rows: list[list[Value]] = [[row[i] for i in order] for row in [ROWS[0], *body]]
    for ending in (suffix, ".csv"):
        (tmp_path / f"r{ending}").write_bytes(written(rows, ending))
    taken = take_in_readings(home, tmp_path / f"r{suffix}", columns=COLUMNS)
    again = take_in_readings(home, tmp_path / "r.csv", columns=COLUMNS)
    assert (taken.new, again.new, again.known) == (len(body), 0, len(body))


def test_two_columns_for_one_thing_are_refused(home: Desk, tmp_path: Path) -> None:
    rows: list[list[Value]] = [["wheel", "at", "Druck 1", "Druck 2"], ["S1", DAY, 2.4, 2.5]]
    (tmp_path / "r.ods").write_bytes(ods({"a": rows}))
    both = {"druck 1": "pressure_bar_gauge", "druck 2": "pressure_bar_gauge"}
    with pytest.raises(BadFile, match="a second column for what 'Druck 1' says"):
        take_in_readings(home, tmp_path / "r.ods", columns=both)
    assert take_in_readings(home, tmp_path / "r.ods", columns={**both, "druck 2": LEFT_OUT}).new == 1


def test_what_a_formula_came_to_is_read(home: Desk, tmp_path: Path) -> None:
    rows: list[list[Value]] = [["wheel", "at", "pressure_bar_gauge"], ["S1", DAY, 2.4]]
    (tmp_path / "r.xlsx").write_bytes(xlsx({"a": rows}, formulas=[(1, 0), (1, 2)]))
    assert take_in_readings(home, tmp_path / "r.xlsx").new == 1
    assert kept(home)[0][2] == 240.0


def test_a_row_of_a_spreadsheet_is_named_by_its_number(home: Desk, tmp_path: Path) -> None:
    rows: list[list[Value]] = [
        ["wheel", "at", "pressure_kpa_gauge"],
        ["S1", DAY, 240.0],
        [None],
        ["S9", DAY, 240.0],
        ["S2", DAY, 2.4],
    ]
    (tmp_path / "r.xlsx").write_bytes(xlsx({"a": rows}, first_row=5))
    with pytest.raises(BadFile) as caught:
        take_in_readings(home, tmp_path / "r.xlsx")
    assert [p.line for p in caught.value.problems] == [8, 9]
    assert kept(home) == []


def test_the_first_sheet_with_anything_on_it_is_read_or_the_one_asked_for(home: Desk, tmp_path: Path) -> None:
    head: list[Value] = ["wheel", "at", "pressure_bar_gauge"]
    sheets: dict[str, Any] = {"leer": [], "eins": [head, ["S1", DAY, 2.4]], "zwei": [head, ["S2", DAY, 2.5]]}
    (tmp_path / "r.xlsx").write_bytes(xlsx(sheets))
    take_in_readings(home, tmp_path / "r.xlsx")
    take_in_readings(home, tmp_path / "r.xlsx", sheet="zwei")
    assert [one for one, _, _ in kept(home)] == ["S1", "S2"]
    for sheet, says in (("drei", "no sheet 'drei': its sheets are leer, eins, zwei"), ("leer", "is empty")):
        with pytest.raises(BadRequest, match=says):
            take_in_readings(home, tmp_path / "r.xlsx", sheet=sheet)


BOMB = '<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>2</v></c></row>'
BROKEN = {
    "too many cells": xlsx_of({"a": BOMB}),
    "many cells": xlsx_of({"a": BOMB.replace("1048576", "9000").replace("XFD", "ZZ")}),
    "cut": xlsx({"a": ROWS})[:-200],
    "no sheets": b"PK\x05\x06" + bytes(18),
    "words": b"wheel,at\n",
    "a long cell": xlsx_of({"a": '<row r="1"><c r="A1" t="inlineStr"><is><t>' + "x" * 40_000 + "</t></is></c></row>"}),
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_spreadsheet_that_cannot_be_read_harms_nobody(home: Desk, tmp_path: Path, what: str) -> None:
    (tmp_path / "r.xlsx").write_bytes(BROKEN[what])
    with pytest.raises(BadRequest, match=r"r\.xlsx"):
        take_in_readings(home, tmp_path / "r.xlsx")


@pytest.mark.parametrize(("name", "data", "says"), [
    ("r.csv", xlsx({"a": ROWS}), r"r\.csv is a spreadsheet \(\.xlsx\), not CSV: name it \.xlsx, or save it as CSV"),
    ("r.csv", ods({"a": ROWS}), r"r\.csv is a spreadsheet \(\.ods\), not CSV"),
    ("r.csv", bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600), r"r\.csv is a spreadsheet \(\.xls\), not CSV: take the readings out as \.xlsx"),
    ("r.tsv", b"PK\x03\x04 a zip file of another kind", r"r\.tsv is a zip file, not CSV"),
    ("r.xlsx", bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600), r"r\.xlsx is a spreadsheet \(\.xls\): save it as \.xlsx"),
])  # fmt: skip
def test_a_spreadsheet_is_named_as_one(home: Desk, tmp_path: Path, name: str, data: bytes, says: str) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(BadRequest, match=says):
        take_in_readings(home, tmp_path / name)


@pytest.mark.parametrize("command", [("check",), ("plan",), ("book", "new", "x.book", "--from")])
def test_a_spreadsheet_in_place_of_a_garage_file_is_named_as_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    for made in (xlsx, ods):
        (tmp_path / "g.toml").write_bytes(made({"a": ROWS}))
        code, out, err = run(capsys, *command, "g.toml")
        assert code == 2
        assert "a spreadsheet" in out + err
        assert "wheelside book import" in out + err


def test_a_wheel_is_named_by_what_it_is_called_too(home: Desk, tmp_path: Path) -> None:
    assert home.loaded().garage.wheels["S1"].name == "S1"
    for one, label in (("S1", "Summer front left"), ("S2", "Twin"), ("S3", "Twin"), ("S4", "S1")):
        (wheel,) = [r for r in home.loaded().table["wheel"] if r["id"] == one]
        with home.book.reading() as conn:
            from wheelside.book.facts import facts_now

            since = next(f.since for f in facts_now(conn) if (f.kind, f.key) == ("wheel", one))
        assert not try_save(home, "wheel", one, {**wheel, "label": label}, since).complaints
    (tmp_path / "r.csv").write_text(
        "wheel,at,pressure_bar_gauge\nsummer FRONT  left,2026-11-25,2.4\nS1,2026-11-24,2.5\n"
    )
    take_in_readings(home, tmp_path / "r.csv")
    assert {one for one, _, _ in kept(home)} == {"S1"}
    (tmp_path / "t.csv").write_text("wheel,at,pressure_bar_gauge\nTwin,2026-11-25,2.4\n")
    with pytest.raises(BadFile, match="write one of S2, S3"):
        take_in_readings(home, tmp_path / "t.csv")


DAYS = [
    ("03/04/2026", None, None), ("03/04/2026", DayOrder.DAY, "2026-04-03"), ("03/04/2026", DayOrder.MONTH, "2026-03-04"),
    ("3-4-2026 14:05", DayOrder.DAY, "2026-04-03"), ("25/11/2026", None, "2026-11-25"), ("11/25/2026", None, "2026-11-25"),
    ("04/04/2026", None, "2026-04-04"), ("03.04.2026", None, "2026-04-03"), ("25.11.2026, 14:05", None, "2026-11-25"),
    ("2026/11/25 14:05", None, "2026-11-25"), ("25/11/2026", DayOrder.MONTH, None), ("03.04.26", None, None), ("31.02.2026", None, None),
    ("2026-11-25T14:05:00+01:00", None, "2026-11-25"), ("13/13/2026", None, None), ("yesterday", None, None),
]  # fmt: skip


@pytest.mark.parametrize(("written_as", "order", "day"), DAYS)
def test_a_day_that_can_be_read_in_two_ways_is_asked_about(
    written_as: str, order: DayOrder | None, day: str | None
) -> None:
    if day is None:
        with pytest.raises(UnfitCell):
            moment(written_as, None, zone_of("+01:00"), order)
        return
    assert str(moment(written_as, None, zone_of("+01:00"), order).day) == day


def test_the_question_about_a_day_names_both_answers() -> None:
    with pytest.raises(UnfitCell) as caught:
        moment("03/04/2026", None, zone_of("UTC"), None)
    assert caught.value.way == "2026-04-03 with the day first, 2026-03-04 with the month first"


CLOCKS = [
    ("14:05", "14:05"),
    ("14:05:30", "14:05"),
    ("2:05 PM", "14:05"),
    ("12:05 am", "00:05"),
    ("14:05 Uhr", "14:05"),
    ("25:00", None),
    ("13:00 pm", None),
]


@pytest.mark.parametrize(("clock", "read"), CLOCKS)
def test_a_time_of_day_in_a_column_of_its_own(clock: str, read: str | None) -> None:
    if read is None:
        with pytest.raises(UnfitCell):
            moment("2026-11-25", clock, zone_of("+01:00"), None)
        return
    assert moment("2026-11-25", clock, zone_of("+01:00"), None).short() == f"2026-11-25 {read}"


@pytest.mark.published  # the tz database: central European clocks changed on 25 October and 29 March 2026
def test_a_zone_is_that_of_the_day_and_an_hour_that_was_twice_is_asked_about() -> None:
    zone = zone_of("Europe/Berlin")
    assert moment("2026-07-01T12:00", None, zone, None).offset_min == 120
    assert moment("2026-12-01T12:00", None, zone, None).offset_min == 60
    for twice in ("2026-10-25T02:30", "2026-03-29T02:30"):
        with pytest.raises(UnfitCell, match="at") as caught:
            moment(twice, None, zone, None)
        assert "clocks changed" in caught.value.expected
    with pytest.raises(BadRequest, match="not a zone"):
        zone_of("Nowhere/Never")


FIGURES = [
    ("2.4", False, (2.4, "")), ("2,4", False, (2.4, "")), ("2,4", True, (2.4, "")), ("2,4 bar", False, (2.4, "bar")), ("35psi", False, (35.0, "psi")),
    ("1.234,5", True, (1234.5, "")), ("1,234.5", False, (1234.5, "")), ("\u22125", False, (-5.0, "")), ("2.4e2", False, (240.0, "")),
    (2.4, False, (2.4, "")), ("68 \u00b0F", False, (68.0, "°F")), ("1,234", False, None), ("1_0", False, None), ("nan", False, None),
    ("٢", False, None), (True, False, None), ("2.4 furlong", False, None), ("", False, None), ("2.4.5", False, None),
]  # fmt: skip


@pytest.mark.parametrize(("cell", "comma", "read"), FIGURES)
def test_figures_are_read_as_people_write_them(cell: Any, comma: bool, read: tuple[float, str] | None) -> None:
    if read is None:
        with pytest.raises(UnfitCell):
            figure("x", cell, decimal_comma=comma)
        return
    assert figure("x", cell, decimal_comma=comma) == read


def test_a_unit_in_the_cell_counts_where_the_column_names_none(home: Desk, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text('wheel,at,pressure_gauge\nS1,2026-11-24,"2,4 bar"\nS1,2026-11-25,35 psi\n')
    take_in_readings(home, tmp_path / "r.csv")
    assert [p for _, _, p in kept(home)] == [240.0, pytest.approx(241.3, abs=0.1)]
    (tmp_path / "t.csv").write_text("wheel,at,pressure_gauge\nS1,2026-11-25,2.4\n")
    with pytest.raises(BadFile, match="give --unit kPa, --unit bar or --unit psi"):
        take_in_readings(home, tmp_path / "t.csv")
    (tmp_path / "u.csv").write_text("wheel,at,pressure_kpa_gauge\nS1,2026-11-25,2.4 bar\n")
    for how in (How(), How(unit="psi")):
        with pytest.raises(BadFile, match="not both"):
            take_in_readings(home, tmp_path / "u.csv", how=how)


def test_a_cell_under_no_heading_is_not_dropped(home: Desk, tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(
        "wheel,at,pressure_kpa_gauge,\nS1,2026-11-25,240,\nS2,2026-11-25,240,lost?\nS2,2026-11-24,240,,x\n"
    )
    with pytest.raises(BadFile) as caught:
        take_in_readings(home, tmp_path / "r.csv")
    assert [(p.line, p.key) for p in caught.value.problems] == [(3, "column 4"), (4, "column 5")]


@pytest.mark.parametrize(("heading", "target"), [
    ("Reifen", "wheel"), ("Rad", "wheel"), ("Tyre", "wheel"), ("Datum", "at"), ("Date", "at"), ("Uhrzeit", "time"), ("Druck", "pressure_gauge"),
    ("Reifendruck [bar]", "pressure_bar_gauge"), ("Pressure (psi)", "pressure_psi_gauge"), ("kPa abs", "pressure_kpa_absolute"),
    ("Temperatur", "temperature_c"), ("Temp °F", "temperature_f"), ("presure_kpa_gauge", "pressure_kpa_gauge"), ("Farbe", ""), ("", ""),
])  # fmt: skip
def test_a_near_column_is_proposed_and_none_is_taken_by_itself(heading: str, target: str) -> None:
    assert proposed(heading) == target
    assert match_columns([heading], {}).targets == ((LEFT_OUT if not heading else ""),)


def test_headings_that_are_columns_are_taken_whatever_their_case() -> None:
    assert match_columns([t.upper().replace("_", " ") for t in TARGETS], {}).targets == TARGETS


@pytest.mark.parametrize(("words", "says"), [
    (["Reifen"], "HEADING=COLUMN"), (["=wheel"], "HEADING=COLUMN"), (["a=wheel", "A =at"], "two columns"),
    (["Reifen=wheels"], "write 'wheel'"), (["Felge=wheel"], "no column 'felge' in the file"),
])  # fmt: skip
def test_a_match_of_no_column_is_refused(words: list[str], says: str) -> None:
    with pytest.raises(BadRequest, match=says):
        match_columns(["Reifen", "Datum"], split_columns(words))


def test_the_command_matches_columns(home: Desk, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "r.ods").write_bytes(
        ods({"a": [["Reifen", "Tag", "Zeit", "Druck"], ["S1", "03/04/2020", "14:05", "2,4"]]})
    )
    matched = (
        "--column",
        "Reifen=wheel",
        "--column",
        "Tag=at",
        "--column",
        "Zeit=time",
        "--column",
        "Druck=pressure_gauge",
    )
    code, _, err = run(capsys, "book", "import", home.book.where, tmp_path / "r.ods", *matched, "--unit", "bar")
    assert (code, "--day-first" in err) == (2, True)
    code, out, _ = run(
        capsys,
        "book",
        "import",
        home.book.where,
        tmp_path / "r.ods",
        *matched,
        "--unit",
        "bar",
        "--day-first",
        "--zone",
        "+02:00",
    )
    assert (code, out) == (0, "1 new readings, 0 known already.\n")
    with home.book.reading() as conn:
        (one,) = all_readings(conn)
    assert one == Reading(("wheel", "S1"), 1_585_915_500_000_000, "typed", GaugePressure(240.0), offset_min=120)
