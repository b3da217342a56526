"""A car's number is in no text that comes from a car: neither on screen nor in the book."""

from __future__ import annotations

import random
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.car.card import Holds, IdList, Layout, Value
from wheelside.car.codes import BadAnswer
from wheelside.car.find import hands_off, name_of
from wheelside.car.reads import mark_of, read_list, snapshot_from, value_from
from wheelside.car.vin import LEFT_OUT, has_vin, without_vins
from wheelside.demo.practice.told import VIN

EUROPEAN = "XX0ZZZZZZ8X000001"  # invented
VINS = (EUROPEAN, VIN, "1XXAA1500AX000001")
DRESSES = (
    "{}", "\0\0\0{}", "{}\0\0\0", "\xff{}\xff\xff", "  {}  ", "VIN:{}", "VIN{}", "vin={};", "ECU 7 {} REV 2", "A{}", "{}B", "0{}9", "TPMS{}X",
    "{}/{}", "\x11{}", "({})",
)  # fmt: skip


@dataclass
class Unit:
    """A unit that answers everything with the same bytes."""

    said: bytes

    def ask(self, request: bytes) -> bytes:
        return b"\x62" + request[1:3] + self.said

    once = ask


def dressed(dress: str, vin: str) -> str:
    return dress.replace("{}", vin)


@pytest.mark.parametrize("dress", DRESSES)
@pytest.mark.parametrize("vin", VINS)
def test_no_dress_lets_a_vin_through(dress: str, vin: str) -> None:
    text = dressed(dress, vin)
    raw = text.encode("latin-1")
    told = [without_vins(text), without_vins(text.lower()), value_from(Value(0x2120, Holds.SERIAL, None), raw).text]
    told += [value_from(Value(0xF190, Holds.VIN, None), raw).text, str(name_of(Unit(raw)))]  # type: ignore[arg-type]
    assert not any(vin[4:16].lower() in one.lower() for one in told), told
    assert mark_of(Unit(raw)) == ""  # type: ignore[arg-type]
    assert snapshot_from((), b"\x01\x01\xab\xcd" + raw)[1] == b""


@pytest.mark.parametrize("between", ["\0", "\xff", "\0\0"])
@pytest.mark.parametrize("every", [1, 3, 8])
def test_a_vin_that_is_padded_sign_by_sign_is_one(between: str, every: int) -> None:
    text = between.join(EUROPEAN[i : i + every] for i in range(0, 17, every))
    assert LEFT_OUT in without_vins(text)
    assert value_from(Value(0x2120, Holds.SERIAL, None), text.encode("latin-1")).text == "read, not kept"


@pytest.mark.parametrize(
    "text",
    [
        "XX0 ZZZZZZ 8X000001",
        "XX0-ZZZZZZ-8X000001",
        "1M8G DM9A XKP0 42788",
        "1M8-GDM-9AX KP042788",
        "XX0_ZZZZZZ_8X000001",
    ],
)
def test_a_vin_that_is_parted_as_people_do_it_is_one(text: str) -> None:
    assert LEFT_OUT in without_vins(text)
    assert value_from(Value(0x2120, Holds.SERIAL, None), text.encode("latin-1")).text == "read, not kept"


def test_marks_are_no_signs_of_a_number() -> None:
    """What a search found: seventeen signs with a mark between them; the check digit is reckoned from the signs alone."""
    assert without_vins("8888_888b888888888") == "8888_888b888888888"
    assert without_vins("8888_888B388888888") == LEFT_OUT


def test_a_padded_vin_is_still_said_to_have_been_read() -> None:
    assert value_from(Value(0xF190, Holds.VIN, None), b"\0\0" + EUROPEAN.encode() + b"\xff").text == "read, not kept"
    assert value_from(Value(0xF190, Holds.VIN, None), b"XX0").text == "not one"


def test_a_vin_is_not_read_as_numbers() -> None:
    unit = Unit(EUROPEAN.encode() + b"\0\0\0")
    layout = Layout(("a", "b", "c", "d", "e"), 4, True)
    with pytest.raises(BadAnswer, match="holds a VIN"):
        read_list(unit, IdList(0x2101, "set 1", layout))  # type: ignore[arg-type]
    with pytest.raises(BadAnswer, match="holds a VIN"):
        value_from(Value(0x2120, Holds.PRESSURE, layout), unit.said)


def test_a_unit_for_brakes_stays_known_as_one_though_its_name_has_the_form_of_a_vin() -> None:
    name = name_of(Unit(b"ABSPRESSURES20191"))  # type: ignore[arg-type]
    assert LEFT_OUT in str(name)
    assert hands_off(str(name_of(Unit(b"BRAKEPCBA00001234"))))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "text",
    ["TYRE PRESSURE RECEIVER", "BRAKE ABS ESP GATEWAY", "7A0 907 273 B  H12 0456", "20191218 000000012345", "SN 12345678901234567890",
     "HW 04 SW 1207", "", "Receiver433 V2.10", "0123456789ABCDE"],
)  # fmt: skip
def test_names_and_serial_numbers_stay(text: str) -> None:
    assert without_vins(text) == text


def test_bytes_are_hardly_ever_taken_for_one() -> None:
    """IDs and snapshots are bytes of any kind; of a hundred thousand none is left out."""
    drawn = random.Random(7)
    assert not any(has_vin(drawn.randbytes(40)) for _ in range(100_000))


@given(st.text(max_size=60), st.sampled_from(VINS), st.text(max_size=60))
def test_whatever_stands_around_it(before: str, vin: str, after: str) -> None:
    left = without_vins(before + vin + after)
    assert vin not in left or vin in before or vin in after
