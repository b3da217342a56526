"""Reading codes from a unit that tells some of its lists, or none, and what may be said of codes then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import cast

import pytest

from cars import CARD
from wheelside.car.card import PortCard, Speaks
from wheelside.car.codes import CodeList, Status, compared
from wheelside.car.frames import CarTrouble, NoAnswer
from wheelside.car.negative import Refused
from wheelside.car.reads import CodesRead, read_codes, snapshot_from
from wheelside.car.talk import Talk

J1979: PortCard = replace(CARD, speaks=Speaks.J1979)
SILENT = NoAnswer("no answer")


@dataclass
class Unit:
    """Answers requests by their first bytes; what is not named is refused."""

    answers: Mapping[str, str | CarTrouble]
    asked: list[str] = field(default_factory=list)

    def ask(self, request: bytes) -> bytes:
        self.asked.append(request.hex())
        found = self.answers.get(request.hex())
        if isinstance(found, CarTrouble):
            raise found
        if found is None:
            raise Refused(request[0], 0x11)
        return bytes.fromhex(found)


def codes(answers: Mapping[str, str | CarTrouble], card: PortCard = J1979) -> CodesRead:
    return read_codes(cast("Talk", Unit(answers)), card)


def texts(read: CodesRead) -> list[tuple[str, tuple[str, ...]]]:
    return [(one.code.text, one.code.said) for one in read.codes]


def test_services_03_07_and_0a_say_which_are_stored_pending_and_permanent() -> None:
    """SAE J1979 on CAN: 43, 47 and 4A with a count."""
    read = codes({"03": "43 02 01 02 01 13", "07": "47 01 01 33", "0a": "4A 01 01 43"})
    assert texts(read) == [
        ("P0102", ("stored",)), ("P0113", ("stored",)), ("P0133", ("pending",)), ("P0143", ("permanent",)),
    ]  # fmt: skip
    assert read.not_told == ()
    assert [one.code.clearable for one in read.codes] == [True, True, True, False]


def test_a_code_in_several_lists_is_told_once() -> None:
    read = codes({"03": "43 01 01 02", "07": "47 01 01 02", "0a": "4A 01 01 02"})
    assert texts(read) == [("P0102", ("pending", "stored", "permanent"))]
    uds = {"19028f": "59 02 FF 01 02 00 08", "1915": "59 15 FF 01 02 00 08"}
    read = codes(uds, CARD)
    assert texts(read) == [("P0102-00", ("stored", "permanent"))]
    assert read.codes[0].code.clearable


def test_what_was_not_told_is_named_with_its_reason() -> None:
    read = codes({"07": SILENT, "0a": "4A 00"})
    assert read.codes == ()
    assert read.not_told == (
        (CodeList.STORED, "the unit refused 03: it does not know this service (11)"),
        (CodeList.PENDING, "no answer"),
    )
    assert read.listed.untold == {CodeList.STORED, CodeList.PENDING}


@pytest.mark.parametrize("last", [None, SILENT, "4B 00"])
def test_a_unit_that_tells_no_list_is_no_unit_without_codes(last: str | CarTrouble | None) -> None:
    with pytest.raises(NoAnswer):
        codes({"03": SILENT, "07": SILENT, **({"0a": last} if last else {})})


def test_a_pending_code_is_not_gone_because_the_unit_was_silent_once() -> None:
    before = codes({"03": "43 01 01 02", "07": "47 01 01 33", "0a": "4A 00"})
    after = codes({"03": "43 00", "07": SILENT, "0a": "4A 00"})
    assert compared(before.listed, after.listed).gone == ()
    assert compared(after.listed, before.listed).new == ()
    heard = codes({"03": "43 00", "07": "47 00"})
    assert [code.text for code in compared(before.listed, heard.listed).gone] == ["P0102", "P0133"]


def test_a_code_that_waits_and_is_stored_is_in_both_lists() -> None:
    (one,) = codes({"03": "43 01 01 02", "07": "47 01 01 02"}).codes
    assert one.code.status == Status.CONFIRMED | Status.PENDING


@pytest.mark.parametrize("ahead", ["", "00", "DEADBEEF"])
def test_a_vin_behind_an_identifier_that_nobody_knows_is_in_no_rest(ahead: str) -> None:
    vin = b"1M8GDM9AXKP042788"
    noted, rest = snapshot_from((), bytes.fromhex("01 01 AB CD" + ahead) + vin)
    assert (noted, rest) == ((), b"")
    assert snapshot_from((), bytes.fromhex("01 00") + vin) == ((), b"")
    assert snapshot_from((), bytes.fromhex("01 01 AB CD") + vin[:16])[1] != b""
