"""Diagnostics over IP: against a gateway of other people's make in another process, and against one by hand that can be cut anywhere.

The layout of ISO 13400-2 (version 02, its inverse FD, kind, length) is from memory; the other library builds the same bytes.
"""

from __future__ import annotations

import contextlib
import json
import random
import socket
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
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
from wheelside.car.draft import draft
from wheelside.car.find import Found, Kind, addresses, find
from wheelside.car.frames import LinkLost, NoAnswer
from wheelside.car.link import open_link
from wheelside.car.negative import Refused
from wheelside.car.permit import NotPermitted, Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_all, read_codes, read_list
from wheelside.car.talk import PENDINGS, Exchange, Talk
from wheelside.car.teach import Outcome, Stage, Taught, Teaching
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import Habits, PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.errors import BadRequest, BadText
from wheelside.jobs.car import talking

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
ACTIVATED = bytes.fromhex("02FD 0006 00000009 0E00 1000 10 00000000")


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
        link = open_link(f"doip {self.host} tester={tester}")
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
    link = open_link(f"doip {foreign.host}")
    assert isinstance(link, IpLink)
    assert foreign.heard(link)[0]["hex"] == foreign.built["activation"].hex()
    link.close()


def test_ids_and_values_are_read_by_a_port_card(foreign: Foreign, card: PortCard) -> None:
    with foreign.linked() as link, Talk(link, card.unit) as talk:
        ids = dict(read_list(talk, card.lists[0]).ids)
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
        assert time.monotonic() - start < tries * P2_S + SLACK_S < talk.longest_s
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
        found = find(link, [one for n in logical for one in addresses(n, n, Kind.LOGICAL)], told.append)
        heard = foreign.heard(link)
    assert [(one["to"], one["uds"]) for one in heard[1:]] == [(n, "22f197") for n in logical]
    assert [one["kind"] for one in heard] == [0x0005] + 5 * [0x8001]
    assert [one.logical for one in told] == list(logical)
    assert found == (Found(MONITOR, "TYRE MONITOR"), Found(unit(0x100A), "BRAKE CONTROL"), Found(unit(0x100B), "TYRE MONITOR"))  # fmt: skip
    assert [one.hands_off for one in found] == [False, True, False]


def test_a_range_of_logical_addresses_is_all_of_them() -> None:
    few = addresses(0x07DE, 0x07E0, Kind.LOGICAL)
    assert [(u.logical, u.on_can, u.text) for u in few] == [
        (0x07DE, False, "07DE"),
        (0x07DF, False, "07DF"),
        (0x07E0, False, "07E0"),
    ]
    assert addresses(0xFFFF, 0xFFFF, Kind.LOGICAL)[0].text == "FFFF"
    with pytest.raises(BadRequest, match="can't be searched"):
        addresses(0xFFFF, 0x10000, Kind.LOGICAL)


@pytest.mark.parametrize("said", ["doip", "doip ", "doip\t"])
def test_a_link_without_a_host_is_refused(said: str) -> None:
    with pytest.raises(BadText, match="names no link"):
        open_link(said)


@pytest.mark.parametrize("address", [":13400", "127.0.0.1:", "127.0.0.1:x", "127.0.0.1:-1", "127.0.0.1:1.5", ":"])
def test_what_is_no_address_is_refused_with_an_example(address: str) -> None:
    with pytest.raises(BadText, match=r"is no address: write HOST or HOST:PORT, as in '192\.0\.2\.10'") as caught:
        open_link(f"doip {address}")
    assert caught.value.found == address


@pytest.mark.parametrize("address", ["127.0.0.1:1", "127.0.0.1:0", "127.0.0..1:13400"])
def test_a_gateway_that_is_not_there_says_where_to_look(address: str) -> None:
    with pytest.raises(LinkLost, match=r"can't be reached: .+; look at plug, network and ignition"):
        open_link(f"doip {address}")


def test_a_port_above_the_last_one_does_not_lead_to_another() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(0.05)
        with pytest.raises((BadText, LinkLost)):
            open_link(f"doip 127.0.0.1:{listening.getsockname()[1] + 0x10000}")
        came = 0
        with contextlib.suppress(TimeoutError), listening.accept()[0]:
            came += 1
    assert came == 0


@pytest.mark.parametrize(
    "settings",
    ["tester=", "tester=E80", "tester=0E8G", "tester=00E80", "tester", "0E80", "TESTER=0E80", "bitrate=500000",
     "tester=0E80 tester=0E81", "tester=0x0E"],
)  # fmt: skip
def test_a_setting_that_is_no_tester_is_refused_before_anything_is_sent(settings: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(0.05)
        with pytest.raises(BadText, match="only tester=0E80 and the like may stand") as caught:
            open_link(f"doip 127.0.0.1:{listening.getsockname()[1]} {settings}")
        assert (caught.value.found, caught.value.expected) == (settings, "tester=0E80")
        with pytest.raises(TimeoutError):
            listening.accept()


class ByHand:
    """A gateway by hand for one connection: what each message is answered with. `None` ends the connection."""

    def __init__(self, react: Callable[[int, bytes], bytes | None]) -> None:
        self.react = react
        self.heard: list[tuple[int, bytes]] = []
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.listening.settimeout(WAIT_S)
        self.thread = Thread(target=self._serve, daemon=True)
        self.thread.start()

    def _serve(self) -> None:
        with contextlib.suppress(OSError), self.listening, self.listening.accept()[0] as connection:
            connection.settimeout(WAIT_S)
            rest = b""
            while data := connection.recv(4096):
                rest += data
                while len(rest) >= 8 and len(rest) >= (end := 8 + int.from_bytes(rest[4:8], "big")):
                    kind, payload, rest = int.from_bytes(rest[2:4], "big"), rest[8:end], rest[end:]
                    self.heard.append((kind, payload))
                    out = ACTIVATED if kind == 0x0005 else self.react(kind, payload)
                    if out is None:
                        return
                    connection.sendall(out)


@contextmanager
def by_hand(react: Callable[[int, bytes], bytes | None]) -> Iterator[tuple[IpLink, ByHand]]:
    gateway = ByHand(react)
    link: IpLink | None = None
    try:
        link = IpLink(f"127.0.0.1:{gateway.listening.getsockname()[1]}")
        yield link, gateway
    finally:
        if link is not None:
            link.close()
        gateway.thread.join(WAIT_S)
        assert not gateway.thread.is_alive()


def message(source: int, data: bytes, target: int = 0x0E00) -> bytes:
    return struct.pack("!HHLHH", 0x02FD, 0x8001, 4 + len(data), source, target) + data


def test_needs_more_time_without_end_is_given_up() -> None:
    pending = message(0x1001, b"\x7f\x22\x78")
    with by_hand(lambda _kind, _payload: pending * (PENDINGS + 5)) as (link, gateway):
        start = time.monotonic()
        with Talk(link, MONITOR, p2_s=0.2) as talk, pytest.raises(NoAnswer):
            talk.once(read_request(0xF190))
        assert time.monotonic() - start < 2.0
        assert [kind for kind, _ in gateway.heard] == [0x0005, 0x8001]


def test_an_answer_that_came_before_the_request_is_none() -> None:
    """The first answer comes twice, the second time changed; the next question has its own."""
    late = message(0x1001, b"\x62\x21\x40\x01") + message(0x1001, b"\x62\x21\x40\x02")
    count: list[int] = []

    def react(_kind: int, _payload: bytes) -> bytes:
        count.append(1)
        return late if len(count) == 1 else message(0x1001, b"\x62\x21\x40\x03")

    with by_hand(react) as (link, _), Talk(link, MONITOR) as talk:
        assert [talk.once(read_request(0x2140))[3] for _ in range(2)] == [1, 3]


def test_an_answer_that_came_before_the_request_is_none_behind_an_alive_check_either() -> None:
    alive = bytes.fromhex("02FD 0007 00000000")
    late = message(0x1001, b"\x62\x21\x40\x01") + alive + message(0x1001, b"\x62\x21\x40\x02")
    count: list[int] = []

    def react(kind: int, _payload: bytes) -> bytes:
        count.extend([1] if kind == 0x8001 else [])
        if kind == 0x0008:
            return b""
        return late if len(count) == 1 else message(0x1001, b"\x62\x21\x40\x03")

    with by_hand(react) as (link, _), Talk(link, MONITOR) as talk:
        assert [talk.once(read_request(0x2140))[3] for _ in range(2)] == [1, 3]


def test_another_unit_that_is_not_reached_does_not_hide_this_one() -> None:
    other = struct.pack("!HHLHHB", 0x02FD, 0x8003, 5, 0x1000, 0x0E00, 0x03)
    with by_hand(lambda _kind, _payload: other + message(0x1001, b"\x62\x21\x40\x03")) as (link, _):
        assert lamp(link) == b"\x62\x21\x40\x03"


def lamp(link: IpLink) -> bytes:
    with Talk(link, MONITOR) as talk:
        return talk.once(read_request(0x2140))


@pytest.mark.parametrize(
    "spoilt",
    ["02FD 0006 00000000", "02FD 8001 00000000", "02FD 8001 00000003 100100", "02FD 8003 00000000", "02FD 8003 00000004 1001 0E00",
     "02FD 0000 00000000", "02FD 8002 00000000", "02FD 0008 00000001 00", "02FD 0004 00000005 0000000000", "02FD 4002 00000001 00",
     "02FD 4004 00000000", "02FD 0005 00000002 0000", "02FD 0003 00000000"],
)  # fmt: skip
def test_a_message_that_is_too_short_for_its_kind_is_told(spoilt: str) -> None:
    with (
        by_hand(lambda _kind, _payload: bytes.fromhex(spoilt)) as (link, _),
        pytest.raises(LinkLost, match="does not have"),
    ):
        lamp(link)


def test_a_whole_message_without_a_request_in_it_is_no_answer() -> None:
    with (
        by_hand(lambda _kind, _payload: message(0x1001, b"")) as (link, _),
        Talk(link, MONITOR, p2_s=P2_S) as talk,
        pytest.raises(NoAnswer),
    ):
        talk.once(read_request(0x2140))


@pytest.mark.parametrize("seed", range(40))
def test_spoilt_messages_come_to_the_answer_or_to_a_clear_error(seed: int) -> None:
    """Bits of an acknowledge, an alive check and an answer are turned; what the library can't tell from an answer is left out."""
    rng = random.Random(13400 + seed)
    right = b"\x62\x21\x40\x03"
    whole = bytearray(bytes.fromhex("02FD 8002 00000005 1001 0E00 00") + bytes.fromhex("02FD 0007 00000000"))
    for _ in range(1 + seed % 4):
        whole[rng.randrange(len(whole))] ^= 1 << rng.randrange(8)
    out = bytes(whole) + message(0x1001, right)
    start = time.monotonic()
    with (
        by_hand(lambda kind, _payload: out if kind == 0x8001 else b"") as (link, _),
        Talk(link, MONITOR, p2_s=P2_S) as talk,
        contextlib.suppress(NoAnswer, LinkLost),
    ):
        assert talk.once(read_request(0x2140)) == right
    assert time.monotonic() - start < P2_S + SLACK_S


def test_a_link_that_was_closed_says_so_and_can_be_closed_again() -> None:
    with by_hand(lambda _kind, _payload: b"") as (link, _):
        link.close()
        link.close()
        with pytest.raises(LinkLost, match="look at plug and network"):
            lamp(link)


def test_no_log_repeats_what_came(caplog: pytest.LogCaptureFixture) -> None:
    with (
        caplog.at_level(0),
        by_hand(lambda _kind, _payload: message(0x1001, VIN_ANSWER)) as (link, _),
        Talk(link, MONITOR) as talk,
    ):
        assert talk.once(read_request(0xF190)) == VIN_ANSWER
    assert caplog.text == ""


def test_a_card_that_names_no_logical_address_is_refused_over_ip() -> None:
    with by_hand(lambda _kind, _payload: b"") as (link, gateway):
        with pytest.raises(BadRequest, match="names no logical address: diagnostics over IP needs 'logical'"):
            Talk(link, UnitAddress(0x6A3, 0x6AB))
        assert [kind for kind, _ in gateway.heard] == [0x0005]


def test_a_card_that_names_a_logical_address_alone_is_refused_on_a_bus() -> None:
    link = open_link("virtual doip-1")
    try:
        with pytest.raises(BadRequest, match="names no CAN identifiers: this link needs 'request' and 'answer'"):
            Talk(link, read_port_card(HEAD, "foreign.toml").unit)
    finally:
        link.close()


@pytest.fixture(autouse=True)
def short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    """The result of teaching is asked for again after a hundredth of a second."""
    monkeypatch.setattr("wheelside.car.teach.RESULT_PAUSE_S", 0.01)


PRACTICE = read_port_card(
    port_card().replace(b'request = "6A3"\nanswer = "6AB"', b'logical = "1001"'), "practice.toml", dbc().decode(),
)  # fmt: skip
ROW = PRACTICE.lists[0]
OLD, NEW = bytes_of(SUMMER), bytes_of(WINTER)
WANTED: dict[str, int | None] = dict(zip(ROW.layout.places, WINTER, strict=True))


class Cut:
    """The practising car behind a gateway by hand, whose connection ends at one message: before the car hears it, after, or within the answer."""

    def __init__(self, car: PracticeCar, at: int = 0, within: int | None = None, *, unheard: bool = False) -> None:
        self.car, self.at, self.within, self.unheard = car, at, within, unheard
        self.count = 0
        self.requests: list[bytes] = []

    def __call__(self, kind: int, payload: bytes) -> bytes | None:
        assert (kind, payload[:4]) == (0x8001, bytes.fromhex("0E00 1001"))
        self.count += 1
        if self.count == self.at and self.unheard:
            return None
        self.requests.append(payload[4:])
        replies = self.car.unit.answer(payload[4:], time.monotonic())
        return None if self.count == self.at else b"".join(message(0x1001, data) for _, data in replies)


def to_teach(link: IpLink) -> Talk:
    return Talk(link, PRACTICE.unit, Permit.TEACH, PRACTICE.routines, PRACTICE.written, p2_s=0.3)


def teach(cut: Cut) -> tuple[Taught | None, list[Stage]]:
    """One teaching; None where the link went before anything was begun."""
    stages: list[Stage] = []
    with by_hand(cut) as (link, _), to_teach(link) as talk:
        try:
            plan = draft(ROW, read_list(talk, ROW), WANTED)
            return Teaching(talk, lambda stage, _data: stages.append(stage), []).run(plan), stages
        except LinkLost:
            return None, stages


def holds(car: PracticeCar) -> bytes:
    return bytes_of(car.unit.teaching.lists[1])


def test_a_list_is_taught_over_ip() -> None:
    car = practice_car()
    cut = Cut(car)
    taught, stages = teach(cut)
    assert taught is not None
    assert (taught.outcome, taught.holds, taught.trouble) == (Outcome.DONE, NEW, ())
    assert holds(car) == NEW
    assert stages == [
        Stage.SAVED, Stage.SESSION, Stage.BEGUN, Stage.WRITTEN, Stage.FINISHED, Stage.READ_BACK, Stage.ENDED,
    ]  # fmt: skip
    assert [request[0] for request in cut.requests] == [0x22, 0x22, 0x10, 0x31, 0x2E, 0x31, 0x31, 0x22, 0x10]
    assert cut.requests[4] == b"\x2e\x21\x10" + NEW


REQUESTS = 9
"""So many are sent in a teaching without trouble."""


@pytest.mark.parametrize("unheard", [True, False], ids=["request lost", "answer lost"])
@pytest.mark.parametrize("at", range(1, REQUESTS + 1))
def test_what_is_said_is_true_wherever_the_connection_is_cut(at: int, unheard: bool) -> None:
    car = practice_car()
    start = time.monotonic()
    taught, stages = teach(Cut(car, at, unheard=unheard))
    assert time.monotonic() - start < 5.0
    if at <= 2:
        assert taught is None
        assert holds(car) == OLD
        assert Stage.SESSION not in stages
        return
    assert taught is not None
    assert taught.outcome is (Outcome.DONE if at == REQUESTS else Outcome.NOT_KNOWN)
    assert taught.holds == (NEW if at == REQUESTS else None)
    assert stages[-1] is Stage.ENDED
    if taught.holds is None:
        known = f"what the car holds is not known: it could not be read after the step '{taught.last.value}'."
        assert taught.statement == known + (" Nothing was written into it." if at == 3 else "")
        assert any("the car's gateway" in one for one in taught.trouble)
    else:
        assert holds(car) == taught.holds


@pytest.mark.parametrize("at", range(3, REQUESTS))
def test_the_old_list_is_put_back_over_a_new_connection(at: int) -> None:
    car = practice_car()
    teach(Cut(car, at))
    car.unit.end_session()
    with by_hand(Cut(car)) as (link, _), to_teach(link) as talk:
        back = Teaching(talk, lambda _stage, _data: None, []).put_back(ROW, OLD, NEW, ended="", end_answered=True)
    assert (back.outcome, back.holds, holds(car)) == (Outcome.AS_BEFORE, OLD, OLD)


@pytest.mark.parametrize(
    "habits", [Habits(write_wrong=True), Habits(refuse_write=True), Habits(break_off_at=4), Habits(pending=2)]
)
def test_what_is_said_is_true_of_a_unit_that_does_wrong(habits: Habits) -> None:
    car = practice_car(habits)
    taught, _ = teach(Cut(car))
    assert taught is not None
    assert taught.holds == holds(car)
    assert (taught.outcome is Outcome.DONE) == (holds(car) == NEW)
    assert (taught.outcome in (Outcome.AS_BEFORE, Outcome.NOT_CONFIRMED)) == (holds(car) == OLD)


@pytest.mark.parametrize("service", [0x10, 0x31, 0x2E])
def test_a_unit_that_is_not_reached_once_has_one_of_both_lists_in_the_end(service: int) -> None:
    """The gateway says once that the transport to the unit failed (08), and goes on passing on: the way is open, and gone to its end."""
    car = practice_car()
    taught, _ = teach(Missed(car, service))
    assert taught is not None
    assert (taught.outcome, taught.holds) in ((Outcome.AS_BEFORE, OLD), (Outcome.DONE, NEW))
    assert holds(car) == taught.holds


class Missed(Cut):
    """Once, a request of one service does not get through to the car."""

    def __init__(self, car: PracticeCar, service: int) -> None:
        super().__init__(car)
        self.service = service

    def __call__(self, kind: int, payload: bytes) -> bytes | None:
        if payload[4] != self.service:
            return super().__call__(kind, payload)
        self.service = 0
        return struct.pack("!HHLHHB", 0x02FD, 0x8003, 5, 0x1001, 0x0E00, 0x08)


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
