"""What is said is data: it comes back from a book as it was, and each edge puts it its own way."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from pydantic import TypeAdapter

from mangling import codes
from wheelside import units as u
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.jobs.jsonform import plain
from wheelside.said import (
    Begun,
    Command,
    Depth,
    Distance,
    Figure,
    Joined,
    Key,
    Listing,
    Measure,
    Option,
    Said,
    Table,
    count,
    from_kept,
    kept,
    listed,
    say,
)  # fmt: skip
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment
from wheelside.web.wording import on_page

VALUES: tuple[tuple[object, str], ...] = (
    ("W1", "W1"), (3, "3"), (u.GaugePressure(250.0), "36,3 psi"), (u.AbsolutePressure(100.0), "14,5 psi"),
    (u.PressureSpan(5.0), "0,7 psi"), (u.Temperature(293.15), "68 °F"), (u.Mass(100.0), "220 lb"), (u.Speed(100.0), "62 mph"),
    (u.Torque(120.0), "120 Nm"), (u.Share(0.25), "25 %"), (u.Duration(90.0), "1,5 min"), (u.Money(Decimal(5), "EUR"), "5 EUR"),
    (u.Length(48.0), "48 mm"), (Depth(u.Length(4.0)), "5/32 in"), (Distance(u.Length(3048.0)), "10 ft"),
    (Measure(u.Length(66.0)), "66 mm"), (Measure(u.Length(66.1)), "66,1 mm"),
    (Figure(2.5), "2,5"), (Figure(2.0, 2), "2,00"), (date(2026, 11, 25), "2026-11-25"), (Moment(0, 60), "1970-01-01 01:00"),
    (Weight.ASK, "find out"), (listed(["a", "b", "c"]), "a, b and c"), (listed(["a", "b"], Joined.OR), "a or b"),
    (listed(["a", "b"], Joined.SEMICOLON), "a; b"), (say("{x} low", x=u.GaugePressure(0.0)), "0,0 psi low"),
    (Begun(say("the list of {car}", car="x")), "The list of x"),
    (count(1, "{n} wheel", "{n} wheels"), "1 wheel"), (count(2, "{n} wheel", "{n} wheels"), "2 wheels"),
    (Key("car", "when_full", "c 1"), "'when_full' in [[car]] c 1"), (Key("conditions", "coldest"), "'coldest' in [conditions]"),
    (Table("costs", many=False), "[costs]"),
    (Table("seen"), "[[seen]]"), (Option("--tyre 20C"), ", or --tyre 20C"), (Command("wheelside plan", "/plan", "the ID plan"), "'wheelside plan'"),
)  # fmt: skip
READS = u.UnitChoice("psi", "°F", "32nds", "lb", "mph", "ft", ",")


@pytest.mark.parametrize(("value", "words"), VALUES)
def test_every_kind_of_value_has_words_and_comes_back_from_a_book(value: object, words: str) -> None:
    said = say("{v}.", v=value)
    assert Speech(READS).text(said) == f"{words}."
    adapter = TypeAdapter(Said)
    assert adapter.validate_json(adapter.dump_json(said)) == said
    assert from_kept(kept(value)) == value


def test_what_is_not_said_is_refused() -> None:
    with pytest.raises(TypeError):
        kept(object())
    with pytest.raises(TypeError):
        Speech().text(object())
    with pytest.raises(ValueError, match="nothing that is said"):
        TypeAdapter(Said).validate_python("a text")


def test_a_finding_comes_back_from_a_book() -> None:
    way = Way(WayKind.WAIT, say("wait, or note {key}", key=Key("conditions", "coldest")))
    basis = Basis(Ground.JUDGEMENT, say("seldom above {t}", t=u.Temperature(313.15)))
    one = Finding(
        Weight.ASK, "x", say("wheel {w}", w="W1"), say("{a} and {b}", a=1, b=Listing(("x", Weight.NOTE))), (basis,), way
    )
    adapter = TypeAdapter(Finding)
    assert adapter.validate_json(adapter.dump_json(one)) == one


def test_each_edge_puts_a_way_out_its_own_way() -> None:
    way = note(say("give {key}{option}", key=Key("conditions", "tyre_temperature"), option=Option("--tyre 20C")))
    assert Speech().way(way) == "give 'tyre_temperature' in [conditions], or --tyre 20C"
    link = '<a href="/facts/conditions/one#f-tyre_temperature">tyre temperature</a>'
    assert str(on_page(way.said, u.UnitChoice())) == f"give {link}"
    assert plain(way) == {
        "kind": "note", "text": "give 'tyre_temperature' in [conditions], or --tyre 20C",
        "facts": [{"table": "conditions", "key": "tyre_temperature", "row": ""}],
    }  # fmt: skip
    nasty = say("{a} {t} {c}", a="<b>&", t=Table("stand_in"), c=Command("wheelside plan", "/plan", "the ID plan"))
    assert str(on_page(nasty, u.UnitChoice())) == (
        '&lt;b&gt;&amp; <a href="/facts/stand_in">stand in</a> <a href="/plan">the ID plan</a>'
    )


def test_no_two_enumerations_of_codes_share_a_name() -> None:
    """A book keeps a code with the name of its enumeration."""
    names = [kind.__name__ for kind in {type(one) for one in codes()}]
    assert len(set(names)) == len(names)
