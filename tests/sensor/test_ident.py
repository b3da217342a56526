"""IDs as they are printed, read aloud and shown as QR codes."""

from __future__ import annotations

import pytest

from wheelside.sensor.ident import PrintForm, SensorId, decimal_digits
from wheelside.sensor.qr import qr_svg, qr_terminal

SAMPLE = SensorId("f", 32, 0x2C41A7F3)


@pytest.mark.pinned
def test_both_forms_keep_their_leading_zeros() -> None:
    assert (SAMPLE.hex, SAMPLE.decimal) == ("2C41A7F3", "0742500339")
    assert (SensorId("f", 24, 0xABCDEF).decimal, SensorId("f", 28, 5).hex) == ("11259375", "0000005")


def test_digits_are_grouped_for_reading_aloud() -> None:
    assert SAMPLE.aloud() == "2C41 A7F3"
    assert SAMPLE.aloud(PrintForm.DECIMAL) == "0 742 500 339"
    assert SensorId("f", 28, 0x2C41A7F).aloud() == "2C4 1A7F"


@pytest.mark.parametrize(("bits", "digits"), [(24, 8), (28, 9), (32, 10)])
def test_decimal_digits_follow_the_width(bits: int, digits: int) -> None:
    assert decimal_digits(bits) == digits


def test_a_number_that_does_not_fit_is_a_bug() -> None:
    with pytest.raises(ValueError, match="does not fit"):
        SensorId("f", 24, 1 << 24)


def test_the_qr_code_is_a_picture_of_the_hex_digits() -> None:
    """A QR code of 8 characters in byte or alphanumeric mode, level M, is version 1: 21 modules (ISO/IEC 18004)."""
    svg = qr_svg(SAMPLE)
    assert svg.startswith("<svg")
    assert 'width="116"' in svg  # (21 + 2 * 4 quiet) * 4
    assert SAMPLE.hex in svg
    assert len(qr_terminal(SAMPLE).splitlines()) == 15
