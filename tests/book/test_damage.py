"""A book that a disk has damaged: it is told, with what to do, or nothing has changed."""

from __future__ import annotations

from pathlib import Path
from zlib import crc32

import pytest

from damaging import Damages, damages, said
from wheelside.book.checksum import checksum_of

FLIPS, CUTS = 50, 20


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Damages:
    monkeypatch.setenv("WHEELSIDE_CLOCK", "2026-11-25T12:00:00+01:00")
    monkeypatch.setenv("COLUMNS", "100")
    return damages(tmp_path, 11)


def test_a_flipped_bit_or_a_cut_is_told_or_changes_nothing(book: Damages) -> None:
    book.flips(FLIPS)
    book.cuts(CUTS)
    assert book.faults == []
    assert book.counted["told by check"] > (FLIPS + CUTS) / 4, book.counted
    assert book.counted["sound by check"] > 0, book.counted


@pytest.mark.parametrize("text", [b"70D610FE", b"1893077246", b"Winter set", b"kestrel"])
def test_a_bit_of_what_a_plan_rests_on_is_always_noticed(book: Damages, text: bytes) -> None:
    at = book.sound.find(text)
    assert at > 0, "it stands in the book"
    data = bytearray(book.sound)
    data[at] ^= 1
    book.copy.write_bytes(bytes(data))
    for args in (("book", "check", str(book.copy)), ("plan", str(book.copy)), ("air", str(book.copy))):
        code, out, err = said(*args)
        assert code == 3, (args, out, err)
        assert "bring back a back-up" in out + err


def test_a_spoilt_byte_that_is_no_text_any_more_is_told(book: Damages) -> None:
    at = book.sound.rfind(b"Winter set")
    data = bytearray(book.sound)
    data[at] |= 0x80
    book.copy.write_bytes(bytes(data))
    for args in (
        ("book", "check", str(book.copy)),
        ("plan", str(book.copy)),
        ("book", "history", str(book.copy), "W1"),
    ):
        assert said(*args)[0] == 3, args


@pytest.mark.parametrize("length", [0, 1, 15, 16, 100, 511])
def test_a_book_of_which_next_to_nothing_is_left_is_told_and_left_as_it_is(book: Damages, length: int) -> None:
    book.copy.write_bytes(book.sound[:length])
    for args in (
        ("book", "check", str(book.copy)),
        ("plan", str(book.copy)),
        ("book", "history", str(book.copy), "W1"),
    ):
        assert said(*args)[0] == 3, args
    assert book.copy.read_bytes() == book.sound[:length]


def test_a_checksum_is_that_of_a_published_example() -> None:
    """CRC-32 of '123456789' is 0xCBF43926, the check value that catalogues of CRCs give for the one of RFC 1952; from memory."""
    assert checksum_of("123456789", ()) == checksum_of("123456789", (None, None))
    assert crc32(b"123456789") == 0xCBF43926
