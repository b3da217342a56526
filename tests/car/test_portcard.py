"""Port cards: the practising car's is read, mistakes are told with line and key, and numbers lie in bytes as the card says."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.car.address import UnitAddress
from wheelside.car.card import Holds, Layout, Needs, PortCard, Speaks, Value, read_request
from wheelside.car.codes import BadAnswer
from wheelside.car.link import CanFrames, open_bus
from wheelside.car.portcard import port_schema, read_port_card
from wheelside.car.reads import list_from, value_from
from wheelside.car.talk import Talk
from wheelside.demo import dbc, practice
from wheelside.errors import BadFile, BadRequest
from wheelside.jobs.source import RUNNING

TOML = Path(practice.__file__).parents[1] / "practice.toml"
CORNERS = ("front left", "front right", "rear right", "rear left")
HEAD = 'port = 1\nid = "car"\n\n[unit]\nrequest = "6A3"\nanswer = "6AB"\n'
LIST = '\n[[list]]\nidentifier = "2110"\nname = "set 1"\nplaces = ["front left", "front right"]\n'
VALUE = '\n[[value]]\nidentifier = "2120"\nholds = "pressure"\n'


def card_of(text: str) -> PortCard:
    return read_port_card(text.encode(), "car.toml")


@pytest.fixture(scope="module")
def card() -> PortCard:
    return read_port_card(TOML.read_bytes(), TOML.name, dbc().decode())


def value_of(card: PortCard, holds: Holds) -> Value:
    value = card.value(holds)
    assert value is not None
    return value


def test_the_card_of_the_practising_car_is_read(card: PortCard) -> None:
    assert (card.id, card.label, card.speaks, card.read_only) == ("practice", "Car to practise on", Speaks.UDS, False)
    assert card.unit == UnitAddress(0x6A3, 0x6AB, wide=False, padding=0xCC)
    assert [(row.identifier, row.name, row.bits) for row in card.lists] == [
        (0x2110, "set 1", 32),
        (0x2111, "set 2", 32),
    ]
    assert {row.layout for row in card.lists} == {Layout(CORNERS, 4, True, b"\xff" * 4)}
    assert [row.begin for row in card.lists] == [bytes.fromhex("31 01 03 10 01"), bytes.fromhex("31 01 03 10 02")]
    for row in card.lists:
        assert (row.finish, row.result, row.done) == (b"\x31\x02\x03\x10", b"\x31\x03\x03\x10", b"\x02")
        assert row.writable
        assert row.begin_empties
    assert (card.routines, card.written) == (frozenset({0x0310}), frozenset({0x2110, 0x2111}))
    assert card.needs == Needs((1,), 12.0)


def test_every_value_of_the_practising_car_lies_where_its_sheet_says(card: PortCard) -> None:
    whole = ("",)
    assert [(v.identifier, v.holds, v.layout) for v in card.values] == [
        (0xF190, Holds.VIN, None),
        (0xF18C, Holds.SERIAL, None),
        (0x2112, Holds.WATCHED, Layout(whole, 1, True)),
        (0x2120, Holds.PRESSURE, Layout(CORNERS, 2, True, b"\xff\xff")),
        (0x2121, Holds.TEMPERATURE, Layout(CORNERS, 1, True, b"\xff")),
        (0x2122, Holds.BATTERY_LOW, Layout(CORNERS, 1, True, None, True)),
        (0x2130, Holds.WARNS_AT, Layout(("front", "rear"), 2, True)),
        (0x2140, Holds.LAMP, Layout(whole, 1, True)),
        (0x2150, Holds.TAUGHT, Layout(whole, 1, True)),
        (0xF40D, Holds.SPEED, Layout(whole, 1, True)),
        (0xF442, Holds.SUPPLY, Layout(whole, 2, True)),
        (0x2160, Holds.IGNITION, Layout(whole, 1, True)),
    ]
    assert value_of(card, Holds.LAMP).words == ((0, "off"), (1, "steady"), (2, "flashing"))


def test_figures_of_the_practising_car(card: PortCard) -> None:
    pressure = value_from(value_of(card, Holds.PRESSURE), bytes.fromhex("0D55 0CF1 FFFF 0000"))
    assert pressure.unit == "kPa absolute"
    assert pressure.figures == tuple(zip(CORNERS, (341.3, 331.3, None, 0.0), ("",) * 4, strict=True))
    warmth = value_from(value_of(card, Holds.TEMPERATURE), bytes.fromhex("00 32 FF FE"))
    assert [figure for _, figure, _ in warmth.figures] == [-50.0, 0.0, None, 204.0]
    low = value_from(value_of(card, Holds.BATTERY_LOW), b"\x05")
    assert [figure for _, figure, _ in low.figures] == [1.0, 0.0, 1.0, 0.0]
    warns = value_from(value_of(card, Holds.WARNS_AT), bytes.fromhex("06BD 0672"))
    assert warns.figures == (("front", 172.5, ""), ("rear", 165.0, ""))
    assert value_from(value_of(card, Holds.LAMP), b"\x02").figures == (("", 2.0, "flashing"),)
    assert value_from(value_of(card, Holds.LAMP), b"\x07").figures == (("", 7.0, ""),)
    assert value_from(value_of(card, Holds.SUPPLY), bytes.fromhex("3138")).figures == (("", 12.6, ""),)
    assert value_from(value_of(card, Holds.SERIAL), b"TM7K\x00\xff13").text == "TM7K··13"


def test_a_vin_is_told_by_its_length_alone(card: PortCard) -> None:
    vin = value_of(card, Holds.VIN)
    assert value_from(vin, b"XWSKE16EXTA004217").text == "read, not kept"
    assert value_from(vin, b"XWSKE16EXTA00421").text == "not one"


def test_the_card_and_the_car_agree_on_lengths(card: PortCard) -> None:
    unit = practice.practice_car().unit
    for identifier, layout in [
        *((row.identifier, row.layout) for row in card.lists),
        *((v.identifier, v.layout) for v in card.values),
    ]:
        answer = unit.answer(read_request(identifier), 0.0)[-1].data
        assert answer[:3] == b"\x62" + identifier.to_bytes(2, "big")
        if layout is not None:
            assert len(layout.numbers(answer[3:])) == len(layout.places)


def test_the_schema_accepts_the_card_of_the_practising_car() -> None:
    schema: dict[str, Any] = json.loads(port_schema())
    jsonschema.Draft202012Validator.check_schema(schema)
    said = tomllib.loads(TOML.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(said)
    for broken in ({**said, "port": 2}, {**said, "extra": 1}, {k: v for k, v in said.items() if k != "id"}):
        assert list(jsonschema.Draft202012Validator(schema).iter_errors(broken))


def test_what_is_left_out_has_a_plain_meaning() -> None:
    card = card_of(HEAD + LIST + VALUE)
    assert card.label == "car"
    assert card.unit.padding is None
    assert card.speaks is Speaks.UDS
    assert card.lists[0].layout == Layout(("front left", "front right"), 4, True)
    assert not card.lists[0].writable
    assert card.values[0].layout == Layout(("",), 1, True)
    assert (card.routines, card.written, card.needs) == (frozenset(), frozenset(), Needs())


def test_29_bits_and_other_speech_are_read() -> None:
    text = HEAD.replace("6A3", "18DA10F1").replace("6AB", "18DAF110")
    card = card_of(text + 'speaks = "SAE J1979"\npadding = "00"\nread_only = true\n')
    assert card.unit == UnitAddress(0x18DA10F1, 0x18DAF110, wide=True, padding=0)
    assert (card.speaks, card.read_only) == (Speaks.J1979, True)


@pytest.mark.parametrize(
    ("text", "line", "key"),
    [
        (HEAD.replace("port = 1", "port = 2"), 1, "port"),
        (HEAD.replace('id = "car"', "id = 3"), 2, "id"),
        (HEAD.replace('"6A3"', '"6A"'), 5, "unit.request"),
        (HEAD.replace('"6A3"', '"FFF"'), 5, "unit.request"),
        (HEAD.replace('"6A3"', "0x6A3"), 5, "unit.request"),
        (HEAD.replace('"6AB"', '"18DAF110"'), 6, "unit.answer"),
        (HEAD + 'padding = "CCCC"\n', 7, "unit.padding"),
        (HEAD + "padding = 204\n", 7, "unit.padding"),
        (HEAD + 'speaks = "KWP"\n', 7, "unit.speaks"),
        (HEAD + 'read_only = "yes"\n', 7, "unit.read_only"),
        (HEAD + "reqest = 1\n", 7, "unit.reqest"),
        (HEAD + LIST.replace('"2110"', '"211"'), 9, "list[1].identifier"),
        (HEAD + LIST.replace('"2110"', '"21100"'), 9, "list[1].identifier"),
        (HEAD + LIST.replace('"2110"', '"21 1G"'), 9, "list[1].identifier"),
        (HEAD + LIST.replace("front right", "front middle"), 11, "list[1].places"),
        (HEAD + LIST + "length = 9\n", 12, "list[1].length"),
        (HEAD + LIST + 'order = "high"\n', 12, "list[1].order"),
        (HEAD + LIST + 'empty = "FFFF"\n', 12, "list[1].empty"),
        (HEAD + LIST + 'begin = "2E 21 10"\n', 12, "list[1].begin"),
        (HEAD + LIST + 'finish = "31 02 03"\n', 12, "list[1].finish"),
        (HEAD + LIST + 'result = "22 21 10 00"\ndone = "02"\n', 12, "list[1].result"),
        (HEAD + LIST + 'done = "2"\n', 12, "list[1].done"),
        (HEAD + LIST + 'result = "31 01 03 10"\ndone = "02"\n', 12, "list[1].result"),
        (HEAD + LIST + 'result = "31 03 03 10"\n', 12, "list[1].result"),
        (HEAD + LIST + 'begin = "31 03 03 10"\n', 12, "list[1].begin"),
        (HEAD + LIST + 'finish = "31 03 03 10"\n', 12, "list[1].finish"),
        (HEAD + "read_only = true\n" + LIST + "writable = true\n", 13, "list[1].writable"),
        (HEAD + LIST + LIST.replace('"2110"', '""'), 14, "list[2].identifier"),
        (HEAD + VALUE.replace("pressure", "weight"), 10, "value[1].holds"),
        (HEAD + VALUE + 'scale = "0.1"\n', 11, "value[1].scale"),
        (HEAD + VALUE + "scale = inf\n", 11, "value[1].scale"),
        (HEAD + VALUE + "offset = true\n", 11, "value[1].offset"),
        (HEAD + VALUE + "length = 5\n", 11, "value[1].length"),
        (HEAD + VALUE + 'words = ["0: off", "two: on"]\n', 11, "value[1].words"),
        (HEAD + VALUE + 'words = ["0:"]\n', 11, "value[1].words"),
        (HEAD + "\n[needs]\nignition = [256]\n", 9, "needs.ignition"),
        (HEAD + '\n[needs]\nleast_supply_v = "12 V"\n', 9, "needs.least_supply_v"),
    ],
)
def test_each_mistake_is_told_with_its_line_and_key(text: str, line: int, key: str) -> None:
    with pytest.raises(BadFile) as caught:
        card_of(text)
    (problem,) = caught.value.problems
    assert problem.line == line
    assert problem.key.startswith(key)
    assert problem.expected
    assert f"car.toml:{line}: {key}" in str(caught.value)


@pytest.mark.parametrize("missing", ["port", "id", "request", "answer"])
def test_what_is_missing_is_told(missing: str) -> None:
    text = "\n".join(row for row in HEAD.splitlines() if not row.startswith(missing)) + "\n"
    with pytest.raises(BadFile, match=missing):
        card_of(text)


def test_all_mistakes_are_told_at_once() -> None:
    text = HEAD.replace("6AB", "6ABC") + LIST + "length = 1\n" + VALUE + 'unit = ""\nscale = "x"\n'
    with pytest.raises(BadFile) as caught:
        card_of(text)
    lines = [problem.line for problem in caught.value.problems]
    assert lines == sorted(line for line in lines if line)
    assert {6, 12} <= set(lines)
    assert len(lines) >= 3


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"port = ", b"[unit]\n[unit]\n", b"port = 1\nport = 1\n"])
def test_what_is_no_card_is_refused(data: bytes) -> None:
    with pytest.raises(BadFile):
        read_port_card(data, "car.toml")


@pytest.mark.parametrize(
    ("order", "data", "ids"),
    [("high first", "11223344 FFFFFFFF", (0x11223344, None)), ("low first", "11223344 FFFFFFFF", (0x44332211, None))],
)
def test_ids_lie_as_the_card_says(order: str, data: str, ids: tuple[int | None, ...]) -> None:
    row = card_of(HEAD + LIST + f'order = "{order}"\nempty = "FFFFFFFF"\n').lists[0]
    read = list_from(row, bytes.fromhex(data))
    assert [place for place, _ in read.ids] == ["front left", "front right"]
    assert tuple(one and one.number for _, one in read.ids) == ids
    assert row.layout.data(ids) == bytes.fromhex(data)


def test_without_an_empty_place_every_number_is_one() -> None:
    layout = card_of(HEAD + LIST).lists[0].layout
    assert layout.numbers(b"\xff" * 8) == (0xFFFFFFFF, 0xFFFFFFFF)
    with pytest.raises(ValueError, match="does not say how an empty place is written"):
        layout.data((1, None))


def test_bits_are_counted_from_the_lowest() -> None:
    layout = Layout(CORNERS, 1, True, bits=True)
    assert layout.length == 1
    for byte in range(256):
        assert layout.numbers(bytes([byte])) == tuple(int(sign) for sign in f"{byte:08b}"[:3:-1])
    nine = Layout(tuple("abcdefghi"), 1, True, bits=True)
    assert nine.length == 2
    assert nine.numbers(b"\x01\x00") == (0,) * 8 + (1,)
    assert replace(nine, high_first=False).numbers(b"\x01\x00") == (1,) + (0,) * 8


@pytest.mark.parametrize(
    "layout", [Layout(CORNERS, 4, True), Layout(CORNERS, 2, False), Layout(CORNERS, 1, True, bits=True)]
)
def test_another_length_is_refused(layout: Layout) -> None:
    for length in {*range(20)} - {layout.length}:
        with pytest.raises(BadAnswer, match=f"sent {length} bytes where the port card has {layout.length}"):
            layout.numbers(bytes(length))


@given(st.integers(1, 8), st.booleans(), st.data())
def test_numbers_come_back_as_they_were_written(each: int, high_first: bool, data: st.DataObject) -> None:
    unknown = data.draw(st.none() | st.binary(min_size=each, max_size=each))
    raw = data.draw(st.binary(min_size=4 * each, max_size=4 * each))
    layout = Layout(CORNERS, each, high_first, unknown)
    assert layout.data(layout.numbers(raw)) == raw


def test_a_card_that_only_reads_lets_no_list_be_written() -> None:
    assert card_of(HEAD + LIST + "writable = true\n").written == frozenset({0x2110})
    assert card_of(HEAD + LIST).written == frozenset()
    assert replace(card_of(HEAD + LIST + "writable = true\n"), read_only=True).written == frozenset()


def test_numbers_below_zero_are_read_where_the_card_says_so() -> None:
    below = value_of(
        card_of(HEAD + VALUE.replace("pressure", "temperature") + "length = 2\nsigned = true\nscale = 0.5\n"),
        Holds.TEMPERATURE,
    )
    assert value_from(below, b"\xff\xb0").figures == (("", -40.0, ""),)
    assert value_from(below, b"\x00\x50").figures == (("", 40.0, ""),)
    plain = value_of(card_of(HEAD + VALUE + "length = 2\n"), Holds.PRESSURE)
    assert value_from(plain, b"\xff\xb0").figures == (("", 65456.0, ""),)
    with pytest.raises(BadFile, match="signed"):
        card_of(HEAD + VALUE + "signed = true\nbits = true\n")


def test_a_car_that_is_only_listened_to_needs_no_address() -> None:
    row = '[[broadcast]]\nmessage = "WheelState"\nsignal = "AirFrontLeft"\nholds = "pressure"\n'
    heard = read_port_card(f'port = 1\nid = "car"\ndbc = "practice.dbc"\n{row}'.encode(), "car.toml", dbc().decode())
    assert not heard.asked
    link = CanFrames(open_bus("virtual nobody"), RUNNING)
    with pytest.raises(BadRequest, match="names no CAN identifiers"):
        Talk(link, heard.unit)
    link.close()
    for more in (VALUE, LIST):
        with pytest.raises(BadFile, match=r"unit\.request"):
            read_port_card(
                f'port = 1\nid = "car"\ndbc = "practice.dbc"\n{row}{more}'.encode(), "car.toml", dbc().decode()
            )
    with pytest.raises(BadFile, match=r"unit\.request"):
        card_of('port = 1\nid = "car"\n')
