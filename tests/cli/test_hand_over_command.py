"""wheelside hand-over, as it is typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands import ON, json_of, run


def test_the_owners_part_stands_below_and_never_in_what_is_given_away(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "hand-over", file, "winter", *ON)
    assert code == 0
    page, owner = out.split("For you, not for the buyer")
    assert "70D610FE" in page
    assert "In [[set]] winter: sold = 2026-11-25" in owner
    assert "Estate" in owner
    _, given, _ = run(capsys, "hand-over", file, "winter", *ON, "--markdown")
    assert "| front left | W1 | 1 893 077 246 | 70D610FE | Kestrel | 433.92 MHz |" in given
    data = json_of(capsys, "hand-over", file, "winter", *ON)
    assert data["page"]["wheels"][0]["sensor"]["ids"] == [
        {"family": "kestrel", "bits": 32, "hex": "70D610FE", "decimal": "1893077246"}
    ]
    for text in (page, given, str(data)):
        assert not [word for word in ("Estate", "Shed", "household", "S1", "2C41A7F3") if word in text]


def test_a_book_keeps_at_a_word(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "household.book"
    run(capsys, "book", "new", book, "--from", file)
    assert "Winter set is sold on 2026-11-25" in run(capsys, "hand-over", book, "winter")[1]
    assert run(capsys, "sheet", book, "--car", "estate", "--set", "winter", "--no-save", "--now")[0] == 0
    code, out, _ = run(capsys, "hand-over", book, "winter", "--keep")
    assert (code, out.rstrip().endswith("Kept.")) == (0, True)
    code, _, told = run(capsys, "sheet", book, "--car", "estate", "--set", "winter", "--no-save", "--now")
    assert code == 2
    assert "not yours any more" in told
    assert "Gone since 2026-11-25" in run(capsys, "hand-over", book, "winter")[1]
    assert run(capsys, "hand-over", book, "winter", "--keep")[0] == 2
    assert run(capsys, "hand-over", file, "winter", "--keep")[0] == 2


def test_an_id_that_stays_as_well_is_a_must_not(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(file.read_text().replace('printed = "0742500339"', 'printed = "1893077246"'))
    code, out, _ = run(capsys, "hand-over", file, "winter", *ON)
    assert code == 1
    assert "S1 stays here and carries an ID that goes with this set." in out
