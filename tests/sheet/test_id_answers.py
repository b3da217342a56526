"""An ID as it was said at a step: every reading is kept, none is picked, and what stands for no sensor is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sheet.answers import IdNote, ReadAnswer, read_answer
from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.claim import Answer
from wheelside.sheet.option import Instead
from wheelside.sheet.step_words import Channel
from wheelside.speech.speech import Speech
from wheelside.units import UnitChoice


def said(text: str, expect: str = "", bits: int = 0) -> ReadAnswer:
    wanted = SensorId("", bits or 32, int(expect, 16) & ((1 << (bits or 32)) - 1)) if expect else None
    ask = Ask(
        "id", Asked.ID, Channel.TRIGGER, "ID that wheel W1 sends", Tells.READ_BACK, "W1", wanted=wanted, bits=bits
    )
    return read_answer(ask, Answer("id", text), UnitChoice())


def test_an_id_without_a_width_is_kept_with_all_its_readings() -> None:
    answer = said("2C41A7F3")
    assert (answer.id, answer.as_planned, answer.problem) == (None, None, None)
    assert answer.readings == (SensorId("", 28, 0xC41A7F3), SensorId("", 32, 0x2C41A7F3))
    assert answer.note is IdNote.WIDTH_OPEN


def test_ten_decimal_digits_settle_their_own_width() -> None:
    answer = said("2742500339")
    assert (answer.id, answer.note) == (SensorId("", 32, 2742500339), None)
    assert answer.readings == (SensorId("", 32, 2742500339),)


def test_hex_or_decimal_may_be_what_is_open() -> None:
    answer = said("11259375", bits=32)
    assert (answer.id, answer.note, len(answer.readings)) == (None, IdNote.FORM_OPEN, 2)


def test_of_what_was_expected_one_reading_is_enough() -> None:
    answer = said("0742500339", "2C41A7F3", 32)
    assert (answer.id, answer.as_planned, answer.readings) == (
        SensorId("", 32, 0x2C41A7F3),
        True,
        (SensorId("", 32, 0x2C41A7F3),),
    )
    other = said("2C41A7F4", "2C41A7F3", 32)
    assert (other.id, other.as_planned) == (SensorId("", 32, 0x2C41A7F4), False)
    assert said("A7F3", "2C41A7F3", 32).id == SensorId("", 32, 0x2C41A7F3)
    assert said(Instead.NO_ANSWER, "2C41A7F3", 32).readings == ()


@pytest.mark.parametrize("expect", ["", "2C41A7F3"])
@pytest.mark.parametrize("bits", [0, 24, 28, 32])
@pytest.mark.parametrize("text", ["00000000", "0x00000000", "FFFFFFFF", "FF FF FF FF", "0", "4294967295"])
def test_zeros_and_ones_are_refused_with_what_to_do(text: str, bits: int, expect: str) -> None:
    answer = said(text, expect, bits)
    assert (answer.id, answer.readings, answer.as_planned) == (None, (), None)
    assert "stands for no sensor: trigger again" in Speech().text(answer.problem)


@pytest.mark.parametrize("text", ["205/55 R16", "28.11.2026", "2319", "2C41A7F?"])
def test_what_is_no_id_is_refused_and_named(text: str) -> None:
    answer = said(text, bits=32)
    assert answer.problem
    assert (answer.id, answer.readings) == (None, ())


@given(st.sampled_from([0, 24, 28, 32]), st.sampled_from([24, 28, 32]), st.sampled_from(PrintForm), st.data())
def test_nothing_that_was_sent_is_lost(asked: int, bits: int, form: PrintForm, data: st.DataObject) -> None:
    """Whatever the width that is asked for, as long as it is the sensor's or none: its ID is among the readings."""
    one = SensorId("", bits, data.draw(st.integers(1, (1 << bits) - 2)))
    answer = said(one.printed(form), bits=bits if asked else 0)
    if answer.problem:
        assert "stands for no sensor" in Speech().text(answer.problem)
        return
    assert one in answer.readings
    assert (answer.id is not None) == (len(answer.readings) == 1) == (answer.note is None)
    assert (answer.note is IdNote.WIDTH_OPEN) == (len({r.bits for r in answer.readings}) > 1)
