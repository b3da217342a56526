"""Diagnostics over IP against a gateway of another hand, byte by byte and with everything that gateways say.

The layout of ISO 13400-2 (version 02, its inverse FD, kind, length) is from memory; the other library builds the same bytes.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any

import pytest

from wheelside.car import doip
from wheelside.car.address import UnitAddress
from wheelside.car.card import PortCard, read_request
from wheelside.car.codes import CodeList
from wheelside.car.doip import ACTIVATE_S, IpLink, NotRouted
from wheelside.car.find import Found, RangeKind, addresses, find
from wheelside.car.frames import LinkLost, NoAnswer
from wheelside.car.link import open_link
from wheelside.car.negative import Refused
from wheelside.car.permit import NotPermitted, Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_all, read_codes, read_list
from wheelside.car.talk import Exchange, Talk
from wheelside.errors import BadRequest
from wheelside.jobs.car.port import talking
from wheelside.jobs.source import RUNNING

GATEWAY = Path(__file__).with_name("foreign_gateway.py")
WAIT_S, P2_S, SLACK_S = 15.0, 0.15, 1.0
VIN = b"1HGCM82633A004352"
VIN_ANSWER = b"\x62\xf1\x90" + VIN
VIN_LENGTH = 8 + 4 + len(VIN_ANSWER)
HEAD = b"""
port = 1
id = "foreign"

[unit]
logical = "1001"
"""
CARD = (
    HEAD
    + b"""
[[list]]
identifier = "2110"
name = "fitted"
places = ["front left", "front right", "rear left", "rear right"]
empty = "FFFFFFFF"

[[value]]
identifier = "F190"
holds = "VIN"

[[value]]
identifier = "2140"
holds = "lamp"
"""
)
REFUSED = {
    0x00: "it does not know this tester's address", 0x01: "all its connections are taken", 0x02: "the tester's address does not fit",
    0x03: "the tester's address is taken", 0x04: "it wants authentication", 0x05: "it rejected the confirmation",
    0x06: "it does not know the kind of activation", 0x07: "it wants TLS", 0x11: "somebody has to confirm it in the car first",
}  # fmt: skip


def unit(logical: int) -> UnitAddress:
    return UnitAddress(0, 0, logical=logical)


MONITOR = unit(0x1001)


class Foreign:
    """The gateway in its own process, and what it says that it heard."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.lines: SimpleQueue[dict[str, Any]] = SimpleQueue()
        assert process.stdout is not None
        Thread(target=self._read, args=(process.stdout,), daemon=True).start()
        started = self.lines.get(timeout=WAIT_S)
        self.host = f"127.0.0.1:{started['port']}"
        self.built: dict[str, bytes] = {name: bytes.fromhex(data) for name, data in started["built"].items()}

    def _read(self, out: Any) -> None:
        for line in out:
            self.lines.put(json.loads(line))

    @contextmanager
    def linked(self, tester: str = "0E00") -> Iterator[IpLink]:
        link = open_link(f"doip {self.host} tester={tester}", RUNNING)
        assert isinstance(link, IpLink)
        try:
            yield link
        finally:
            link.close()

    def heard(self, link: IpLink) -> list[dict[str, Any]]:
        """All that came over a link, which this ends."""
        mine = link.socket.getsockname()[1]
        link.close()
        heard: list[dict[str, Any]] = []
        while not (line := self.lines.get(timeout=WAIT_S)).get("closed") or line["peer"] != mine:
            heard += [line] if line["peer"] == mine else []
        return heard

    def ask(self, logical: int, request: bytes = read_request(0xF190), p2_s: float = P2_S) -> bytes:
        with self.linked() as link, Talk(link, unit(logical), p2_s=p2_s) as talk:
            return talk.once(request)


@pytest.fixture(scope="module")
def foreign() -> Iterator[Foreign]:
    process = subprocess.Popen(
        [sys.executable, "-W", "ignore", str(GATEWAY)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        yield Foreign(process)
    except Empty:
        process.kill()
        pytest.fail(f"the gateway did not start: {process.communicate(timeout=5)[1][-2000:]}")
    finally:
        process.kill()
        process.wait(5)
        for pipe in (process.stdout, process.stderr):
            if pipe is not None:
                pipe.close()


@pytest.fixture(scope="module")
def card() -> PortCard:
    return read_port_card(CARD, "foreign.toml")


def test_what_leaves_is_byte_for_byte_what_the_other_library_builds(foreign: Foreign) -> None:
    """Activation (kind 0005, length 7) and messages (kind 8001: from, to, request), spelt out here, too."""
    with foreign.linked() as link, Talk(link, MONITOR, Permit.CLEAR) as talk:
        for request in ("22 F1 90", "19 02 AF", "14 FF FF FF"):
            talk.once(bytes.fromhex(request))
        heard = [bytes.fromhex(one["hex"]) for one in foreign.heard(link)]
    by_hand = [
        "02FD 0005 00000007 0E00 00 00000000",
        "02FD 8001 00000007 0E00 1001 22F190",
        "02FD 8001 00000007 0E00 1001 1902AF",
        "02FD 8001 00000008 0E00 1001 14FFFFFF",
    ]
    assert heard == [foreign.built[name] for name in ("activation", "vin", "codes", "clear")]
    assert heard == [bytes.fromhex(row) for row in by_hand]


def test_the_tester_has_the_address_that_is_named(foreign: Foreign) -> None:
    with foreign.linked("0E80") as link, Talk(link, MONITOR) as talk:
        assert talk.once(read_request(0xF190)) == VIN_ANSWER
        heard = foreign.heard(link)
    assert heard[0]["hex"] == foreign.built["activation of 0E80"].hex()
    assert [one["from"] for one in heard[1:]] == [0x0E80]


def test_without_a_setting_the_tester_is_the_first_address_for_test_equipment(foreign: Foreign) -> None:
    link = open_link(f"doip {foreign.host}", RUNNING)
    assert isinstance(link, IpLink)
    assert foreign.heard(link)[0]["hex"] == foreign.built["activation"].hex()
    link.close()


def test_ids_and_values_are_read_by_a_port_card(foreign: Foreign, card: PortCard) -> None:
    with foreign.linked() as link, Talk(link, card.unit) as talk:
        ids = {place: one and one.number for place, one in read_list(talk, card.lists[0]).ids}
        known = read_all(talk, card)
        assert link.supply_v() is None
    assert ids == {"front left": 0x80000001, "front right": 0x80000002, "rear left": None, "rear right": 0x80000004}
    assert [one.text for one in known.values] == ["read, not kept"]
    assert known.missing == (("lamp", "the unit refused 22: it does not know this identifier, or not this value (31)"),)


def test_codes_are_read_cleared_and_read_again(foreign: Foreign, card: PortCard) -> None:
    with foreign.linked() as link:
        with Talk(link, card.unit) as talk:
            before = read_codes(talk, card)
            with pytest.raises(NotPermitted):
                talk.once(b"\x14\xff\xff\xff")
        with Talk(link, card.unit, Permit.CLEAR) as talk:
            assert talk.once(b"\x14\xff\xff\xff") == b"\x54"
            after = read_codes(talk, card)
        heard = foreign.heard(link)
    assert [(one.code.text, one.code.said) for one in before.codes] == [
        ("U0077-0B", ("failing now", "stored")),
        ("U0078-0D", ("stored",)),
    ]
    assert before.not_told == ((CodeList.PERMANENT, "the unit refused 19: it does not know this sub-function (12)"),)
    assert after.codes == ()
    assert [one["uds"] for one in heard[1:]].count("14ffffff") == 1


def test_a_refusal_is_told_as_one(foreign: Foreign) -> None:
    with pytest.raises(Refused) as caught:
        foreign.ask(0x1001, read_request(0x9999))
    assert (caught.value.service, caught.value.code) == (0x22, 0x31)


def test_needs_more_time_is_waited_out(foreign: Foreign) -> None:
    start = time.monotonic()
    assert foreign.ask(0x1002, p2_s=0.1) == VIN_ANSWER
    assert time.monotonic() - start > 0.4


def test_the_gateway_is_told_that_the_tester_is_there(foreign: Foreign) -> None:
    with foreign.linked() as link, Talk(link, unit(0x1003)) as talk:
        assert talk.once(read_request(0xF190)) == VIN_ANSWER
        heard = foreign.heard(link)
    assert [one["kind"] for one in heard] == [0x0005, 0x8001, 0x0008]
    assert heard[2]["hex"] == foreign.built["alive"].hex() == "02fd0008000000020e00"


def test_the_gateway_may_ask_before_it_lets_in(foreign: Foreign) -> None:
    with foreign.linked("0FF2") as link, Talk(link, MONITOR) as talk:
        assert talk.once(read_request(0xF190)) == VIN_ANSWER
        assert [one["kind"] for one in foreign.heard(link)] == [0x0005, 0x0008, 0x8001]


def test_answers_of_other_units_and_to_others_are_passed_over(foreign: Foreign) -> None:
    assert foreign.ask(0x1004) == VIN_ANSWER


def test_kinds_of_messages_that_there_are_not_are_passed_over(foreign: Foreign) -> None:
    assert foreign.ask(0x100B) == VIN_ANSWER


def test_an_answer_in_pieces_of_one_byte_is_put_together(foreign: Foreign) -> None:
    assert foreign.ask(0x1007) == VIN_ANSWER


@pytest.mark.parametrize("code", [n for n in range(0x100) if n in REFUSED])
def test_each_reason_for_not_letting_in_is_told(foreign: Foreign, code: int) -> None:
    with (
        pytest.raises(LinkLost, match=f"^the car's gateway does not let this tester in: {REFUSED[code]}$"),
        foreign.linked(f"0F{code:02X}"),
    ):
        pass


@pytest.mark.parametrize("code", [0x08, 0x0F, 0x12, 0x7F, 0xE0, 0xEF])
def test_a_reason_that_the_standard_does_not_have_is_told_as_a_number(foreign: Foreign, code: int) -> None:
    with pytest.raises(LinkLost, match=f"let this tester in: it answers {code:02X}"), foreign.linked(f"0F{code:02X}"):
        pass


@pytest.mark.parametrize("tester", ["0FF0", "0FF3"], ids=["silence", "nonsense"])
def test_no_activation_ends_within_its_stated_time(foreign: Foreign, tester: str) -> None:
    start = time.monotonic()
    with pytest.raises(LinkLost, match="the car's gateway "), foreign.linked(tester):
        pass
    assert time.monotonic() - start < ACTIVATE_S + SLACK_S


def test_a_connection_that_is_closed_instead_of_activated_is_told_at_once(foreign: Foreign) -> None:
    start = time.monotonic()
    with pytest.raises(LinkLost, match="closed the connection; ignition on"), foreign.linked("0FF1"):
        pass
    assert time.monotonic() - start < ACTIVATE_S


@pytest.mark.parametrize(("logical", "code"), [(0x2001, 3), *((0x6000 + n, n) for n in range(2, 9))])
def test_a_unit_that_is_not_reached_is_told_with_the_reason(foreign: Foreign, logical: int, code: int) -> None:
    with pytest.raises(NotRouted, match=f"does not reach the unit {logical:04X}: {code:02X}"):
        foreign.ask(logical)


@pytest.mark.parametrize("code", [0x00, 0x01, 0x09, 0x7F, 0xFF])
def test_a_reason_for_not_reaching_that_the_standard_does_not_have_is_told(foreign: Foreign, code: int) -> None:
    with pytest.raises(NotRouted, match=f"does not reach the unit {0x6000 + code:04X}: {code:02X}"):
        foreign.ask(0x6000 + code)


@pytest.mark.parametrize("code", [0x00, 0x01, 0x02, 0x03, 0x04, 0x05, 0x7F, 0xFF])
def test_a_message_that_the_gateway_does_not_take_is_told(foreign: Foreign, code: int) -> None:
    with pytest.raises(LinkLost, match=f"does not take this: generic negative acknowledge {code:02X}"):
        foreign.ask(0x7000 + code)


@pytest.mark.parametrize("tries", [1, 3])
def test_silence_ends_within_the_stated_time(foreign: Foreign, tries: int) -> None:
    told: list[Exchange] = []
    with foreign.linked() as link, Talk(link, unit(0x1005), told=told.append, p2_s=P2_S) as talk:
        start = time.monotonic()
        with pytest.raises(NoAnswer, match=r"no answer to 22 F1 90 from 1005 within 0\.15 s; ignition on"):
            (talk.once if tries == 1 else talk.ask)(read_request(0xF190))
        assert time.monotonic() - start < tries * P2_S + SLACK_S
        assert [one["kind"] for one in foreign.heard(link)] == [0x0005] + tries * [0x8001]
    assert [(e.request, e.answer) for e in told] == [(read_request(0xF190), None)] * tries


def test_bytes_without_sense_are_no_answer(foreign: Foreign) -> None:
    start = time.monotonic()
    with pytest.raises((NoAnswer, LinkLost)):
        foreign.ask(0x1008)
    assert time.monotonic() - start < P2_S + SLACK_S


def test_two_gigabytes_are_not_waited_for(foreign: Foreign) -> None:
    start = time.monotonic()
    with pytest.raises(LinkLost, match="speaks of 2147483647 bytes in one message"):
        foreign.ask(0x1009)
    assert time.monotonic() - start < SLACK_S


def test_a_connection_that_is_closed_instead_of_an_answer_is_told_at_once(foreign: Foreign) -> None:
    start = time.monotonic()
    with pytest.raises(LinkLost, match=r"the car's gateway (closed|says nothing|takes nothing)"):
        foreign.ask(0x1006, p2_s=5.0)
    assert time.monotonic() - start < 2.0


@pytest.mark.parametrize("length", range(VIN_LENGTH))
def test_an_answer_that_is_cut_is_none(foreign: Foreign, length: int) -> None:
    start = time.monotonic()
    with pytest.raises(LinkLost, match=r"the car's gateway (closed|says nothing|takes nothing)"):
        foreign.ask(0x3000 + length, p2_s=5.0)
    with pytest.raises(NoAnswer):
        foreign.ask(0x4000 + length, p2_s=0.05)
    assert time.monotonic() - start < 2.0


def test_the_whole_answer_would_have_been_one(foreign: Foreign) -> None:
    assert foreign.ask(0x4000 + VIN_LENGTH) == VIN_ANSWER


def test_a_search_asks_each_logical_address_for_its_name_and_nothing_else(foreign: Foreign) -> None:
    """1005 is silent, 2001 not known to the gateway."""
    logical = (0x2001, 0x1001, 0x1005, 0x100A, 0x100B)
    told: list[UnitAddress] = []
    with foreign.linked() as link:
        found = find(link, [one for n in logical for one in addresses(n, n, RangeKind.LOGICAL)], told.append)
        heard = foreign.heard(link)
    assert [(one["to"], one["uds"]) for one in heard[1:]] == [(n, "22f197") for n in logical]
    assert [one["kind"] for one in heard] == [0x0005] + 5 * [0x8001]
    assert [one.logical for one in told] == list(logical)
    assert found == (Found(MONITOR, "TYRE MONITOR"), Found(unit(0x100A), "BRAKE CONTROL"), Found(unit(0x100B), "TYRE MONITOR"))  # fmt: skip
    assert [one.hands_off for one in found] == [False, True, False]


def test_the_reasons_that_are_told_are_those_of_this_test() -> None:
    assert doip._REFUSED == REFUSED


def test_a_unit_that_calls_itself_a_brake_is_left_alone_over_ip_too(foreign: Foreign) -> None:
    brake = read_port_card(HEAD.replace(b"1001", b"100A"), "brake.toml")
    with (
        pytest.raises(BadRequest, match="the unit at 100A calls itself 'BRAKE CONTROL': it is left alone"),
        talking(brake, f"doip {foreign.host}", permit=Permit.TEACH),
    ):
        pytest.fail("a conversation was begun")
    with talking(replace(brake, read_only=True), f"doip {foreign.host}") as talk:
        assert talk.once(read_request(0xF190)) == VIN_ANSWER
