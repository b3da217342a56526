"""Reading an ID by command: what fits a worn print, what stands for no sensor, what was stated and is contradicted."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import json_of, run

HOUSEHOLDS = Path(__file__).parents[1] / "identity" / "households"
WORN = HOUSEHOLDS / "print-worn-off.toml"
ZEROS = HOUSEHOLDS / "sends-zeros.toml"


def test_a_worn_print_is_compared_with_the_file_and_the_cars_list(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "id", "read", "74250116?", "--file", WORN, "--family", "f")
    assert code == 1
    assert "10 IDs are possible" in out
    assert "2C41 AB2A" in out
    assert "list of car" in out
    worn = json_of(capsys, "id", "read", "2C41A7F?", "--file", WORN)["worn"]
    assert [(fit["id"]["hex"], fit["about"]) for fit in worn["fits"]] == [("2C41A7F3", ["sensor s1", "list of car"])]
    assert "None of the file's IDs" in run(capsys, "id", "read", "1C41A7F?", "--file", WORN)[1]


def test_without_a_file_it_is_told_how_many_are_possible(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "id", "read", "2C?1A7F?", "--bits", 32)
    assert code == 1
    assert "32 bits, hex: 256 IDs are possible" in out
    assert "Name a garage file" in out


@pytest.mark.parametrize("text", ["00000000", "FFFFFFFF", "0xFFFFFFFF", "4294967295"])
@pytest.mark.parametrize("bits", [None, 24, 28, 32])
def test_no_width_makes_an_id_of_zeros_or_ones(capsys: pytest.CaptureFixture[str], text: str, bits: int | None) -> None:
    code, out, _ = run(capsys, "id", "read", text, *(("--bits", bits) if bits else ()))
    assert code == 1
    assert "no ID" in out
    assert "stands for no sensor" in out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("0742500339", "--bits", 24, "--form", "decimal"), "10 digits is no 24-bit decimal"),
        (("2C41A7F3", "--bits", 24), "8 digits is no 24-bit hex number"),
        (("0x2C41A7F3", "--bits", 28, "--file", ZEROS, "--family", "fam"), "family 'fam' has 32 in the file"),
        (("205/55 R16",), "is a tyre size"),
        (("2026-11-28",), "is a date (28 November 2026)"),
        (("28.11.2026",), "is a date (28 November 2026)"),
        (("2319",), "is a date code of a tyre (week 23 of 2019)"),
        (("2C4?A?F?",), "at most 2 digits may be unreadable"),
    ],
)
def test_what_is_no_id_or_contradicts_what_was_stated_is_named(
    capsys: pytest.CaptureFixture[str], words: tuple[object, ...], says: str
) -> None:
    code, _, err = run(capsys, "id", "read", *words)
    assert code == 2
    assert says in err


def test_a_reading_tells_what_was_left_out_and_what_was_stated(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the dot was ignored" in run(capsys, "id", "read", "2C41.A7F3", "--bits", 32)[1]
    assert "decimal was stated" in run(capsys, "id", "read", "0x2C41A7F3", "--bits", 32, "--form", "decimal")[1]


def test_a_date_code_may_be_an_id_of_16_bits(capsys: pytest.CaptureFixture[str]) -> None:
    assert "2319" in run(capsys, "id", "read", "2319", "--bits", 16)[1]
