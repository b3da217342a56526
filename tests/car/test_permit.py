"""What leaves this program: all 256 services against all permits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stepped import Clock
from wheelside.car.address import UnitAddress
from wheelside.car.frames import Frame
from wheelside.car.permit import NotPermitted, Permit, check
from wheelside.car.talk import Exchange, Talk
from wheelside.errors import BadRequest

READS = {0x01, 0x02, 0x03, 0x07, 0x09, 0x0A, 0x19, 0x22}
CLEARS = {0x04, 0x14}
NEVER = {
    0x27,
    0x29,
    0x11,
    0x28,
    0x85,
    0x2F,
    0x34,
    0x35,
    0x36,
    0x37,
    0x38,
    0x23,
    0x3D,
    0x08,
    0x2C,
    0x83,
    0x84,
    0x86,
    0x87,
}
TAILS = (
    b"",
    b"\x00",
    b"\x01",
    b"\x02",
    b"\x03",
    b"\x80",
    b"\x81",
    b"\x01\x03\x10",
    b"\x01\x03\x10\x01",
    b"\x21\x10" + bytes(16),
)
EVERYTHING = frozenset(range(0x10000))
ROUTINES, LISTS = frozenset({0x0310}), frozenset({0x2110, 0x2111})


def sent(
    request: bytes, permit: Permit, routines: frozenset[int] = frozenset(), lists: frozenset[int] = frozenset()
) -> bool:
    try:
        check(request, permit, routines, lists)
    except NotPermitted:
        return False
    return True


def services_sent(permit: Permit, routines: frozenset[int], lists: frozenset[int]) -> set[int]:
    return {s for s in range(256) if any(sent(bytes([s]) + tail, permit, routines, lists) for tail in TAILS)}


def test_of_all_services_only_those_of_the_permit_are_sent() -> None:
    for named in ((frozenset[int](), frozenset[int]()), (ROUTINES, LISTS), (EVERYTHING, EVERYTHING)):
        assert services_sent(Permit.READ, *named) == READS
        assert services_sent(Permit.CLEAR, *named) == READS | CLEARS
    assert services_sent(Permit.TEACH, frozenset(), frozenset()) == READS | CLEARS | {0x10, 0x3E}
    assert services_sent(Permit.TEACH, ROUTINES, LISTS) == READS | CLEARS | {0x10, 0x3E, 0x2E, 0x31}


@pytest.mark.published
def test_unlocking_silencing_and_forging_is_never_sent() -> None:
    """ISO 14229-1: 27, 29, 11, 28, 85, 2F, 34 to 37, 23, 3D and their like, with whatever behind."""
    for service in NEVER:
        for sub in range(256):
            for tail in (bytes([sub]), bytes([sub, 0, 0]), bytes([sub]) * 8):
                for permit in Permit:
                    assert not sent(bytes([service]) + tail, permit, EVERYTHING, EVERYTHING)


def test_sessions_are_changed_while_teaching_only_and_to_two_only() -> None:
    for sub in range(256):
        for tail in (b"", b"\x00"):
            request = bytes([0x10, sub]) + tail
            assert sent(request, Permit.TEACH, EVERYTHING, EVERYTHING) == (request in (b"\x10\x01", b"\x10\x03"))
            assert not sent(request, Permit.READ, EVERYTHING, EVERYTHING)
            assert not sent(request, Permit.CLEAR, EVERYTHING, EVERYTHING)
    assert not sent(b"\x10", Permit.TEACH)


def test_tester_present_has_one_form_with_and_without_an_answer() -> None:
    assert {sub for sub in range(256) if sent(bytes([0x3E, sub]), Permit.TEACH)} == {0x00, 0x80}
    assert not sent(b"\x3e", Permit.TEACH)
    assert not sent(b"\x3e\x00\x00", Permit.TEACH)


def test_only_named_routines_are_started_stopped_and_asked() -> None:
    found = {n for n in range(0x10000) if sent(b"\x31\x01" + n.to_bytes(2, "big"), Permit.TEACH, ROUTINES, EVERYTHING)}
    assert found == {0x0310}
    assert {s for s in range(256) if sent(bytes([0x31, s, 3, 0x10]), Permit.TEACH, ROUTINES)} == {1, 2, 3}
    for short in (b"\x31", b"\x31\x01", b"\x31\x01\x03"):
        assert not sent(short, Permit.TEACH, EVERYTHING | {3}, EVERYTHING)


def test_only_named_lists_are_written() -> None:
    found = {n for n in range(0x10000) if sent(b"\x2e" + n.to_bytes(2, "big") + b"\0", Permit.TEACH, EVERYTHING, LISTS)}
    assert found == LISTS
    for short in (b"\x2e", b"\x2e\x21", b"\x2e\x21\x10"):
        assert not sent(short, Permit.TEACH, EVERYTHING, EVERYTHING)


@given(st.binary(max_size=20), st.sampled_from([Permit.READ, Permit.CLEAR]))
def test_without_a_permit_to_teach_names_change_nothing(request: bytes, permit: Permit) -> None:
    assert sent(request, permit, EVERYTHING, EVERYTHING) == sent(request, permit)


@given(st.binary(max_size=20))
def test_each_permit_allows_what_those_before_it_do(request: bytes) -> None:
    read, clear, teach = (sent(request, permit, ROUTINES, LISTS) for permit in Permit)
    assert read <= clear <= teach


def test_a_refusal_says_what_and_how_far() -> None:
    with pytest.raises(NotPermitted, match="a request 27 01 is not sent: this conversation may read only") as caught:
        check(b"\x27\x01\x02\x03", Permit.READ)
    assert isinstance(caught.value, BadRequest)
    with pytest.raises(NotPermitted):
        check(b"", Permit.TEACH)


class Nothing:
    """A link on which nothing may be sent."""

    time = Clock().time

    def send(self, frame: Frame) -> None:
        raise AssertionError(f"{frame} was sent")

    def receive(self, timeout_s: float) -> Frame | None:
        return None

    def listen_to(self, answer: int, *, wide: bool) -> None:
        pass

    def supply_v(self) -> float | None:
        return None

    def close(self) -> None:
        pass


def test_a_conversation_sends_nothing_that_is_not_permitted() -> None:
    told: list[Exchange] = []
    talk = Talk(Nothing(), UnitAddress(0x6A3, 0x6AB), told=told.append)
    for service in set(range(256)) - READS:
        for ask in (talk.ask, talk.once):
            with pytest.raises(NotPermitted):
                ask(bytes([service, 0x01]))
    assert told == []
