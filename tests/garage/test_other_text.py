"""What is typed as an ID and is something else: a tyre size, a date, a date code."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spoken import words
from wheelside.garage.mistaken import Mistaken, mistaken_for
from wheelside.sensor.ident import PrintForm, SensorId


@pytest.mark.parametrize(
    "text",
    ["205/55 R16", "205/55R16 91V", "p205/55r16", "185R14C", "31x10.50R15LT", "205/55", "LT245/75R17/E", "6.40-13"],
)
def test_a_tyre_size_is_named(text: str) -> None:
    found = mistaken_for(text)
    assert found is not None
    assert found.kind is Mistaken.TYRE_SIZE


@given(
    st.dates(date(1970, 1, 1), date(2099, 12, 31)),
    st.sampled_from(["%Y-%m-%d", "%d.%m.%Y", "%Y/%m/%d", "%d-%m-%Y", "%d.%m.%y"]),
)
def test_a_date_is_named_with_its_day(day: date, style: str) -> None:
    found = mistaken_for(day.strftime(style))
    assert found is not None
    assert found.kind is Mistaken.DATE
    if "%y" not in style and (day.day > 12 or style[1] == "Y"):
        assert found.meaning == f"{day.day} {day:%B} {day.year}"


@pytest.mark.parametrize(("text", "week"), [("2319", "week 23 of 2019"), ("DOT U2LL LMLR 5107", "week 51 of 2007")])
def test_a_date_code_is_named_with_its_week(text: str, week: str) -> None:
    found = mistaken_for(text)
    assert found is not None
    assert (found.kind, words(found.meaning)) == (Mistaken.DATE_CODE, week)
    assert week in words(found.said)


@pytest.mark.parametrize(
    "text", ["0x2319", "dec:2319", "5419", "12-03-45", "2C-41-A7", "31.31.2026", "2C41 A7F3", "0 742 500 339", ""]
)
def test_what_can_be_an_id_is_not_taken_for_something_else(text: str) -> None:
    assert mistaken_for(text) is None


@given(st.sampled_from([24, 28, 32]), st.sampled_from(PrintForm), st.booleans(), st.data())
def test_no_printed_id_is_taken_for_something_else(
    bits: int, form: PrintForm, aloud: bool, data: st.DataObject
) -> None:
    one = SensorId("", bits, data.draw(st.integers(0, (1 << bits) - 1)))
    assert mistaken_for(one.aloud(form) if aloud else one.printed(form)) is None
