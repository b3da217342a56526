"""Findings that say the same of several things stand as one, with every row that wants the key."""

from __future__ import annotations

from dataclasses import replace

from spoken import words
from wheelside.finding import Basis, Finding, Ground, Weight, note
from wheelside.said import Key, Table, listed, say
from wheelside.speech.together import together
from wheelside.units import UnitChoice
from wheelside.web.wording import on_page

BASIS = (Basis(Ground.UNKNOWN),)


def asked(wheel: str, key: str = "answers", weight: Weight = Weight.ASK) -> Finding:
    way = note(say("trigger it, and note {key}", key=Key("sensor", key, f"s {wheel}")))
    return Finding(weight, "x", say("wheel {wheel}", wheel=wheel), say("It may be silent."), BASIS, way)


def test_those_that_differ_in_their_rows_alone_are_one() -> None:
    one, other = together([asked("A1"), asked("A2", "sends"), asked("A3"), asked("A1")])
    assert words(one.about) == "wheel A1; wheel A3"
    assert words(one.way_out) == "trigger it, and note 'answers' in [[sensor]] s A1, s A3"
    assert other == asked("A2", "sends")


def test_a_page_links_each_row_to_its_field() -> None:
    (one,) = together([asked("A1"), asked("A/2")])
    assert one.way_out is not None
    assert not isinstance(one.way_out, str)
    assert str(on_page(one.way_out.said, UnitChoice())) == (
        'trigger it, and note answers (<a href="/facts/sensor/s%20A1#f-answers">s A1</a>, '
        '<a href="/facts/sensor/s%20A%2F2#f-answers">s A/2</a>)'
    )


def test_the_serious_ones_come_first_and_one_alone_is_as_it_was() -> None:
    found = together([asked("A1"), asked("A2", weight=Weight.WARNING)])
    assert found == [asked("A2", weight=Weight.WARNING), asked("A1")]


def test_ways_out_without_a_row_and_none_at_all_are_one_too() -> None:
    table = replace(asked("A1"), way_out=note(say("add a row to {table}", table=Table("stay"))))
    nothing = replace(asked("A1"), way_out=None)
    rows = listed([Key("sensor", "bits", "a"), Key("sensor", "bits", "b")])
    both = replace(asked("A1"), way_out=note(say("note {keys}", keys=rows)))
    for one in (table, nothing, both):
        (got,) = together([one, replace(one, about="B")])
        assert (words(got.about), got.way_out) == ("wheel A1; B", one.way_out)
