"""Reading garage files: all problems at once, each with line, key, found, expected and what to do."""

from __future__ import annotations

import pytest

from texts import problems_of
from wheelside.demo import household
from wheelside.errors import BadFile
from wheelside.garage.file import read_garage
from wheelside.garage.words import Corner
from wheelside.units import GaugePressure, read_gauge_pressure


def test_the_demo_household_reads_without_a_problem() -> None:
    garage = read_garage(household(), "household.toml")
    assert len(garage.wheel) == 12
    assert garage.cars["estate"].placard[0].front == read_gauge_pressure("2.3 bar")
    assert garage.rims["rim W3"].max_pressure == GaugePressure(400.0)
    assert garage.sets["winter"].wheels[0] == (Corner.FRONT_LEFT, "W1")


def test_a_fact_says_where_it_comes_from() -> None:
    estate = read_garage(household(), "household.toml").cars["estate"]
    assert estate.basis("torque").source == "handbook"
    assert estate.basis("load_index").source == "garage file"


def test_every_problem_comes_at_once_with_its_line() -> None:
    text = """\
wheelside = 1
[[car]]
id = "a"
stands_at = "carpot"
bandd = "433.92 MHz"
band = "433"
[[car.placard]]
tyre = "205/55 R16 91V"
load = "normal"
front = 2.4
[[place]]
id = "carport"
height = "3"
[[stay]]
set = "w"
on = "a"
at = "carport"
since = "2026-01-01"
"""
    found = problems_of(text)
    assert [(p.line, p.key) for p in found] == [
        (4, "car[1].stands_at"), (5, "car[1].bandd"), (6, "car[1].band"), (10, "car[1].placard[1].front"),
        (13, "place[1].height"), (15, "stay[1].set"), (18, "stay[1].since"),
    ]  # fmt: skip
    by_key = {p.key: p for p in found}
    assert by_key["car[1].stands_at"].suggestion == "write 'carport'"
    assert by_key["car[1].bandd"].suggestion == "write 'band'"
    assert "433.92 MHz" in by_key["car[1].band"].suggestion
    assert "2.4 bar" in by_key["car[1].placard[1].front"].suggestion
    assert "3 m" in by_key["place[1].height"].suggestion
    assert "without quotes" in by_key["stay[1].since"].suggestion


@pytest.mark.parametrize(
    ("text", "line", "part"),
    [
        ("", 1, "empty"),
        ("   \n\n", 1, "empty"),
        ("wheelside = 1\nx = \n", 2, "Invalid value"),
        ('wheelside = 1\ntitle = "a"\ntitle = "b"\n', 3, "overwrite"),
        ("wheelside = 1\na = " + "[" * 5000 + "]" * 5000, None, "nested"),
        ("wheelside = 1\na = " + "9" * 5000, 2, "integer string"),
        ("wheelside = 2\n", 1, "format 2"),
        ("wheelside = 99999999999999\n", 1, "format"),
    ],
)
def test_files_that_cannot_be_read_at_all(text: str, line: int | None, part: str) -> None:
    (problem,) = problems_of(text)
    assert problem.line == line
    assert part in problem.found
    assert problem.suggestion


def test_bytes_that_are_no_utf_8_name_their_line() -> None:
    with pytest.raises(BadFile) as caught:
        read_garage(b'wheelside = 1\ntitle = "caf\xe9"\n', "x.toml")
    assert caught.value.problems[0].line == 2
    assert "0xE9" in caught.value.problems[0].found


def test_a_byte_order_mark_and_windows_line_ends_are_taken() -> None:
    text = household().decode().replace("\n", "\r\n")
    assert read_garage(b"\xef\xbb\xbf" + text.encode(), "x.toml") == read_garage(household(), "x.toml")


def test_a_file_too_large_is_refused() -> None:
    with pytest.raises(BadFile, match="at most"):
        read_garage(b"#" * 9_000_000, "x.toml")


@pytest.mark.parametrize(
    ("body", "key", "part"),
    [
        ("title = 3", "title", "text in quotes"),
        ("[[car]]\nlabel = 'no id'", "car[1].id", "a value for 'id'"),
        ("car = 'x'", "car", "a list of tables"),
        ("car = ['x']", "car[1]", "a table"),
        ("[[car]]\nid = 'a'\nkind = 'motorcycle'", "car[1].kind", "'car' or 'light van'"),
        ("[[car]]\nid = 'a'\nkind = 'trailer'", "car[1].kind", "'car' or 'light van'"),
        ("[[car]]\nid = 'a'\ntwin_wheels = true", "car[1].twin_wheels", "single wheels"),
        ("[[car]]\nid = '!'", "car[1].id", "a short name"),
        ("[[car]]\nid = 'a'\nload_index = 131", "car[1].load_index", "a whole number from 0 to 130"),
        ("[[car]]\nid = 'a'\nload_index = '91'", "car[1].load_index", "a whole number"),
        ("[[car]]\nid = 'a'\nspeed_symbol = 'Z'", "car[1].speed_symbol", "one of"),
        ("[[car]]\nid = 'a'\nwarns_at = '90 % below placard'", "car[1].warns_at", "25 % below placard"),
        ("[[car]]\nid = 'a'\nspare_counted = 'yes'", "car[1].spare_counted", "true or false"),
        ("[[car]]\nid = 'a'\nremembers_ids = 3", "car[1].remembers_ids", "at least 4"),
        (
            "[[car]]\nid = 'a'\nmonitor = 'indirect'\nholds = [{ ids = ['2C41A7F3'] }]",
            "car[1].holds",
            "no wheel sensors",
        ),
        ("[[car]]\nid = 'a'\nholds = [{}]", "car[1].holds[1]", "one of 'set', 'ids', 'corners'"),
        ("[[car]]\nid = 'a'\nholds = [{ ids = ['2C41A7F3Z'] }]", "car[1].holds[1].ids[1]", "hex digits"),
        ("[[tyre]]\nid = 't'\ndesignation = '205'", "tyre[1].designation", "a tyre designation"),
        ("[[tyre]]\nid = 't'\ndate_code = '5322'", "tyre[1].date_code", "a date code"),
        ("[[tyre]]\nids = []", "tyre[1].ids", "an empty list"),
        ("[[tyre]]\nid = 'a'\nids = ['b']", "tyre[1].id", "one of them"),
        ("[[family]]\nid = 'f'\nbits = 30", "family[1].bits", "24, 28 or 32"),
        ("[[family]]\nid = 'f'\nprefix = 'XY'\nbits = 32", "family[1].prefix", "hex digits"),
        ("[[family]]\nid = 'f'\nprefix = '2C'", "family[1].prefix", "a width"),
        ("[[family]]\nid = 'f'\nprefix = '2C41A7F3'\nbits = 32", "family[1].prefix", "fewer than 8"),
        ("[[sensor]]\nid = 's'\nprinted = 'ZZZ'", "sensor[1].printed", "hex digits"),
        ("[[set]]\nid = 's'\nwheels = { middle = 'a' }", "set[1].wheels.middle", "front_left"),
        ("[[path]]\nbetween = ['a']\n[[place]]\nid = 'a'", "path[1].between", "two different places"),
        ("[conditions]\ncoldest = '5 °C'\nwarmest = '-5 °C'", "conditions.coldest", "no more than"),
        ("[conditions]\ntyre_temperature = 20", "conditions.tyre_temperature", "a temperature"),
        ("[costs]\nhour = '15'", "costs.hour", "an amount of money"),
        ("[costs]\nhour = '15 EUR'\nsensor = '40 GBP'", "costs.sensor", "EUR"),
        ("[plan]\ntaken_out = 'keep'", "plan.taken_out", "a place beside it"),
        ("[units]\npressure = 'Bar'", "units.pressure", "one of"),
        ("[units]\nfrom = 3", "units.from", "a table"),
        ("[units]\nfrom = { presure = 'x' }", "units.from.presure", "a key of this table"),
    ],
)
def test_each_kind_of_mistake_is_named_where_it_is(body: str, key: str, part: str) -> None:
    found = {p.key: p for p in problems_of("wheelside = 1\n" + body)}
    assert key in found
    assert part in found[key].expected + found[key].found
    assert found[key].line is not None


def test_a_key_of_another_table_is_sent_there() -> None:
    (problem,) = problems_of("wheelside = 1\n[[sensor]]\nid = 's'\ntorque = '120 Nm'\n")
    assert problem.suggestion == "'torque' belongs in [[car]]"


def test_an_unreadable_row_brings_no_second_complaint_from_those_that_name_it() -> None:
    found = problems_of(
        "wheelside = 1\n[[stay]]\nset = 's'\nsince = 2026-01-01\non = 'c'\n[[set]]\nid = 's'\n[[car]]\nid = 3\n"
    )
    assert [p.key for p in found] == ["stay[1].on", "car[1].id"]


@pytest.mark.parametrize(
    ("line", "do"),
    [
        ("title = direct", 'monitor = "direct"'), ("title = \u201cdirect\u201d", "straight quotes"), ("title = 0742500339", "an ID is text"),
        ("since = 2026-02-30", "year-month-day"), ("wheelside = 1", "take out the second one"),
    ],
)  # fmt: skip
def test_the_commonest_slips_are_named(line: str, do: str) -> None:
    (problem,) = problems_of(f"wheelside = 1\n{line}\n")
    assert problem.line == 2
    assert do in problem.suggestion
    assert line.split(maxsplit=1)[0] in problem.found


@pytest.mark.parametrize(("load", "fine"), [("normal", True), ("FULL", True), ("norml", False)])
def test_the_load_is_one_of_a_placard(load: str, fine: bool) -> None:
    text = household().decode().replace('load = "normal"\ngauge', f'load = "{load}"\ngauge')
    assert f'load = "{load}"\ngauge' in text
    if fine:
        read_garage(text.encode(), "x.toml")
    else:
        assert problems_of(text)[0].suggestion == "write 'normal'"
