"""Negative responses: every code of ISO 14229-1 is said in words of its own."""

from __future__ import annotations

import pytest

from wheelside.car.negative import BUSY, MAY_HAVE_ACTED, OTHER_STEPS, PENDING, Refused, said
from wheelside.errors import Outside

CODES = (
    0x10, 0x11, 0x12, 0x13, 0x14, 0x21, 0x22, 0x24, 0x25, 0x26, 0x31, 0x33, 0x34, 0x35, 0x36, 0x37, 0x70, 0x71, 0x72, 0x73, 0x78,
    0x7E, 0x7F, 0x81, 0x82, 0x83, 0x84, 0x88, 0x89, 0x92, 0x93,
)  # fmt: skip
OTHER = "refuses in a way of its maker's own"


@pytest.mark.published
def test_every_code_of_the_standard_has_words_of_its_own() -> None:
    """ISO 14229-1, Annex A."""
    assert len({said(code) for code in CODES}) == len(CODES)
    assert {code for code in range(256) if said(code) != OTHER} == set(CODES)


@pytest.mark.published
@pytest.mark.parametrize(
    ("code", "words"),
    [
        (0x11, "service"), (0x12, "sub-function"), (0x13, "length"), (0x21, "busy"), (0x22, "conditions"), (0x31, "identifier"),
        (0x33, "security"), (0x34, "authentication"), (0x35, "key"), (0x36, "tries"), (0x37, "pause"), (0x72, "storing"),
        (0x78, "time"), (0x7E, "session"), (0x7F, "session"), (0x81, "too fast"), (0x82, "too slow"), (0x83, "engine running"),
        (0x84, "engine not running"), (0x88, "car too fast"), (0x89, "car too slow"), (0x92, "too high"), (0x93, "too low"),
    ],
)  # fmt: skip
def test_words_say_what_the_code_means(code: int, words: str) -> None:
    """ISO 14229-1: names of the response codes."""
    assert words in said(code)


@pytest.mark.published
def test_codes_with_a_part_to_play_have_their_numbers() -> None:
    """ISO 14229-1: responsePending, busyRepeatRequest, requestSequenceError; general reject, no response, failure, programming failure."""
    assert (PENDING, BUSY, OTHER_STEPS) == (0x78, 0x21, 0x24)
    assert MAY_HAVE_ACTED == (0x10, 0x25, 0x26, 0x72)


def test_a_refusal_tells_service_and_code() -> None:
    for code in range(256):
        refused = Refused(0x22, code)
        assert isinstance(refused, Outside)
        assert (refused.service, refused.code) == (0x22, code)
        assert str(refused) == f"the unit refused 22: it {said(code)} ({code:02X})"
