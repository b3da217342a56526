"""IDs that are taken for one another."""

from __future__ import annotations

import pytest

from wheelside.sensor.ident import SensorId, reversed_bytes
from wheelside.sensor.near import likenesses


def like(a: int, b: int, bits: int = 32) -> str:
    found = likenesses(SensorId("f", bits, a), [SensorId("f", bits, b)])
    return found[0].how if found else ""


@pytest.mark.pinned
def test_the_reversed_form_is_found() -> None:
    assert like(0x2C41A7F3, 0xF3A7412C) == "the reversed form of"
    assert reversed_bytes(0x2C41A7F3, 32) == 0xF3A7412C


def test_28_bits_have_no_reversed_form() -> None:
    assert reversed_bytes(0x2C41A7F, 28) is None


def test_one_hex_or_decimal_character_is_found() -> None:
    assert like(0x2C41A7FB, 0x2C41A7F8) == "one character from (hex)"
    assert like(742500339, 742500389) == "one character from (decimal)"


def test_swapped_neighbours_are_found() -> None:
    assert "swapped" in like(0x2C41A7F3, 0x2C417AF3)


def test_others_are_not_alike() -> None:
    assert like(0x2C41A7F3, 0x12345678) == ""
    assert likenesses(SensorId("f", 24, 1), [SensorId("f", 32, 1)]) == ()


def test_equal_ones_come_first() -> None:
    a = SensorId("f", 32, 0x2C41A7F3)
    found = likenesses(a, [SensorId("f", 32, 0x2C41A7F8), a])
    assert [x.how for x in found] == ["the same as", "one character from (hex)"]
