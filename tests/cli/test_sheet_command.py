"""The run sheet as a person prints it: its cards in a terminal, in full, one sitting, as Markdown and for the wall."""

from __future__ import annotations

import io
import re
from pathlib import Path
from random import Random

import pytest
import tomli_w
from households import Line, draw
from pypdf import PdfReader
from rich.cells import cell_len
from sheet_counts import BARS, demo_counts, words_in

from commands import ON, run
from garages import Table, bare_table, demo_table, row
from wheelside.cli.sheet_paper import about, paper_of
from wheelside.cli.sheet_pdf import SIZES_PT, sheet_pdf
from wheelside.cli.sheet_text import WIDEST, grid, wrapped
from wheelside.demo import DEMO_DAY
from wheelside.jobs.work.sheet import sheet_for
from wheelside.sheet.cautions import Clause

A4_PT = (595, 842)
LONG = "Die winterlichen Räder meines Großvaters mit den ganz besonders breiten Felgen"


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")


def printed(capsys: pytest.CaptureFixture[str], file: Path, *args: object) -> list[str]:
    code, out, err = run(capsys, "sheet", file, *ON, "--no-save", *args)
    assert (code, err) == (0, "")
    return out.splitlines()


def write(file: Path, table: Table) -> Path:
    file.write_text(tomli_w.dumps(table), encoding="utf-8")
    return file


def test_the_first_line_says_what_it_is_and_how_long_it_takes(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    lines = printed(capsys, file)
    assert lines[0] == "Winter set goes on Estate, Summer set off: 14 cards, about 3 h and the shop."
    assert lines[1] == "For 2026-11-28."
    text = " ".join(" ".join(lines).split())
    assert text.index("Try W4 once more before anything is bought") < text.index("Get first what card 3 lists")
    assert text.index("Get first what card 3 lists") < text.index("EVENING BEFORE, ") < text.index(" 1 Look.")
    assert [n for n in range(1, 20) if f"\n{n:2d}  " in "\n".join(lines)] == list(range(1, 15))
    assert lines[-1].startswith("More: ")
    assert lines[-2] == "Evidence to reach: E4, because the car was taught by corner."


def test_cards_that_are_only_called_for_are_named_and_shown_when_asked_for(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    text = " ".join(" ".join(printed(capsys, file)).split())
    assert "A sensor was written wrongly: --card wrong" in text
    assert "Once a year: light the lamp: --card lamp-test" in text
    assert "One ID in two sensors" not in text
    one = " ".join(" ".join(printed(capsys, file, "--card", "wrong")).split())
    assert "One ID in two sensors" in one
    assert Clause.NEVER_TWICE.words in one
    code, _, err = run(capsys, "sheet", file, *ON, "--no-save", "--card", "nonsense")
    assert code == 2
    assert "lamp-test" in err


def test_one_sitting_stands_by_itself(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    text = "\n".join(printed(capsys, file, "--sitting", "swap"))
    assert " 5  Wheels." in text
    assert "10  Codes" in text
    assert "Look." not in text
    assert "11  Drive" not in text
    assert len(text.splitlines()) <= 60
    everything = [" ".join(printed(capsys, file, "--sitting", one)) for one in ("evening", "shop", "drive", "after")]
    assert all(one.count("Hand the note over") == int(n == 1) for n, one in enumerate(everything))


def test_a_sitting_that_the_sheet_has_not_is_refused(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    args = ("--wears", "estate=winter", "--car", "estate", "--only", "pressures", "--no-save", "--sitting", "drive")
    code, _, err = run(capsys, "sheet", file, *ON, *args)
    assert code == 2
    assert "swap" in err


def test_for_a_part_of_the_work_the_level_is_no_first_line(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    lines = printed(capsys, file, "--wears", "estate=winter", "--car", "estate", "--only", "pressures")
    said = [n for n, line in enumerate(lines) if "because only pressures are set" in line]
    assert said == [len(lines) - 2]
    assert any("Pressures of Winter set on Estate" in line for line in lines[:4])
    assert not any(line.startswith(("EVENING", "SWAP")) for line in lines)


@pytest.mark.parametrize("args", [(), ("--full",), ("--sitting", "swap"), ("--card", "corner")])
@pytest.mark.parametrize("columns", [80, 60, 34])
def test_no_line_is_wider_than_the_terminal_and_no_more_than_eighty(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    columns: int,
    args: tuple[str, ...],
) -> None:
    table = demo_table()
    row(table, "set", "winter")["label"] = LONG
    row(table, "wheel", "W1")["label"] = "左前輪左前輪左前輪左前輪左前輪左前輪"
    row(table, "place", "shed")["label"] = "S" * 200
    file = write(tmp_path / "long.toml", table)
    monkeypatch.setenv("COLUMNS", str(columns))
    lines = printed(capsys, file, *args)
    assert max(map(cell_len, lines)) <= columns
    assert len(lines) > 5


def test_a_wide_terminal_gets_eighty_columns(
    capsys: pytest.CaptureFixture[str], file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    assert max(map(cell_len, printed(capsys, file, "--full"))) <= WIDEST
    monkeypatch.delenv("COLUMNS")
    assert max(map(cell_len, printed(capsys, file, "--full"))) <= WIDEST


@pytest.mark.parametrize("seed", range(6))
def test_sheets_of_any_household_fit(capsys: pytest.CaptureFixture[str], tmp_path: Path, seed: int) -> None:
    home = draw(Random(f"paper {seed}"), Line.YEARLY)
    file = tmp_path / "household.toml"
    file.write_text(home.text, encoding="utf-8")
    for args in ((), ("--full",)):
        _, out, err = run(capsys, "sheet", file, "--on", home.turn, "--no-save", *args)
        assert err == ""
        assert max(map(cell_len, out.splitlines())) <= WIDEST


def test_ids_figures_and_boxes_are_never_parted() -> None:
    text = "it sends 70D6 10FE (decimal 1 893 077 246); set 2.52 bar at 15 °C: done [ ] else ____ bar, last 4 ____"
    for width in range(34, 80):
        whole = "\n".join(wrapped(text, width))
        for part in (
            "70D6 10FE",
            "decimal 1 893 077 246",
            "2.52 bar",
            "15 °C",
            "done [ ]",
            "else ____ bar",
            "last 4 ____",
        ):
            assert part in whole, width


def test_rows_that_fit_stand_in_columns_and_others_behind_their_name() -> None:
    rows = (("W1", "front left", "____ bar"), ("W2", "rear right", "____ bar"))
    assert list(grid(rows, 40)) == ["W1  front left  ____ bar", "W2  rear right  ____ bar"]
    assert list(grid(rows, 18)) == ["W1  front left", "    ____ bar", "W2  rear right", "    ____ bar"]


def test_the_full_sheet_says_how_and_why_and_what_if_not(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    text = " ".join(" ".join(printed(capsys, file, "--full")).split())
    for part in (
        "how: Read to the end first", "why: Faces settle", "if not: Another follows: stop.", "expect: four pressures noted", "It is shown by: E3",
        "W3: Leaving it as it is: it is of family Plover", "joined to wheel W3", "Rests on common practice", "as on card 10",
    ):  # fmt: skip
        assert part in text, part


def test_what_must_not_be_stands_first(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table = demo_table()
    row(table, "tyre", "tyre W1")["tread"] = "1 mm"
    code, out, _ = run(capsys, "sheet", write(tmp_path / "worn.toml", table), *ON)
    assert code == 1
    assert out.startswith("No run sheet")
    first = next(line for line in out.splitlines() if line.startswith(("■", "▲", "?")))
    assert first.startswith("■ ")
    assert "W1" in first
    assert "→ " in out


def test_what_holds_all_else_up_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table = bare_table()
    table["car"][0] |= {"taught_by": "locked", "torque": "120 Nm"}
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "5 °C"}
    _, out, _ = run(capsys, "sheet", write(tmp_path / "locked.toml", table), *ON, "--no-save")
    card = out[out.index("Write in the wheel.") :]
    assert "■ Go on only when this is done." in card[: card.index("\n\n")]


def test_for_the_wall_there_are_two_pages_of_a4(capsys: pytest.CaptureFixture[str], file: Path, tmp_path: Path) -> None:
    wall = tmp_path / "wall.pdf"
    code, out, err = run(capsys, "sheet", file, *ON, "--no-save", "--pdf", wall)
    assert (code, err) == (0, "")
    assert str(wall) in out
    pages = PdfReader(wall).pages
    assert len(pages) == 2
    assert all((round(p.mediabox.width), round(p.mediabox.height)) == A4_PT for p in pages)
    text = " ".join(" ".join(p.extract_text() for p in pages).split())
    for part in (
        "Winter set goes on Estate",
        "Put Summer set away",
        "Torque: 120 Nm",
        "Never reach under a car that is held by a jack.",
        "70D6 10FE",
    ):
        assert part in text, part
    assert "____" not in text, "blanks are lines to write on"


def test_the_same_sheet_gives_the_same_bytes(file: Path) -> None:
    made = sheet_for(file, day=DEMO_DAY, keep=False)
    assert made.sheet is not None
    paper = paper_of(made.planned.garage, made.sheet)
    first = sheet_pdf(paper)
    assert first == sheet_pdf(paper)
    assert PdfReader(io.BytesIO(first)).metadata is not None
    assert min(SIZES_PT) >= 9


def test_names_are_no_markup_on_the_wall(tmp_path: Path) -> None:
    table = demo_table()
    row(table, "set", "winter")["label"] = '#panic("x") *bold* $1$ <pages>'
    made = sheet_for(write(tmp_path / "odd.toml", table), day=DEMO_DAY, keep=False)
    assert made.sheet is not None
    text = "".join(
        p.extract_text() for p in PdfReader(io.BytesIO(sheet_pdf(paper_of(made.planned.garage, made.sheet)))).pages
    )
    assert '#panic("x") *bold* $1$ <pages>' in text.replace("\n", " ")


def test_the_demos_sheet_keeps_within_its_bars() -> None:
    """Answers as they are given in a book; words as they are printed beside a garage file, which is told how to put it right."""
    printed_one, in_book = demo_counts(in_book=False), demo_counts(in_book=True)
    found = {**printed_one.figures, "answers that have to be": in_book.figures["answers that have to be"]}
    above = {name: (found[name], bar) for name, bar in BARS.items() if found[name] > bar}
    assert not above
    assert all(found[name] > 0 for name in BARS)


def test_the_words_counted_are_those_that_are_printed(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    """Of the full sheet, without its cautions: what is counted apart from the lines is what stands in them, but for a few headings."""
    kept, in_caution = [], False
    for line in printed(capsys, file, "--full"):
        in_caution = line.startswith("▲") or (in_caution and line.startswith("  ") and not line.startswith("    "))
        in_caution = in_caution and not re.match(r"[ \d]\d  \S", line) and not line.startswith(" –")
        kept += [] if in_caution and not line.startswith("▲ Get first") else [line]
    assert words_in(kept) == pytest.approx(demo_counts(in_book=False).figures["words in full"], abs=60)


@pytest.mark.parametrize(
    ("minutes", "said"), [(3, "5 min"), (43, "45 min"), (97, "95 min"), (100, "1½ h"), (179, "3 h"), (255, "4 h")]
)
def test_times_are_said_as_one_says_them(minutes: int, said: str) -> None:
    assert about(minutes) == said
