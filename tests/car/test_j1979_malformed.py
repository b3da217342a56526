"""Malformed answers of a unit that speaks SAE J1979: each is the right thing or named as not told, and never 'no codes' nor 'it stands'."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, cast

import pytest

from cars import CARD
from wheelside.car import talk as module
from wheelside.car.address import UnitAddress
from wheelside.car.card import PortCard, Speaks
from wheelside.car.codes import CodeList
from wheelside.car.conditions import conditions
from wheelside.car.frames import CarTrouble
from wheelside.car.reads import CodesRead, read_codes
from wheelside.car.talk import Talk

ENGINE: PortCard = replace(CARD, unit=UnitAddress(0x7E0, 0x7E8), speaks=Speaks.J1979, values=())
SERVICES = {0x03: CodeList.STORED, 0x07: CodeList.PENDING, 0x0A: CodeList.PERMANENT}
DRAWN = 2000


@dataclass
class Clock:
    """Time that goes on by what is waited."""

    at: float = 0.0

    def seconds(self) -> float:
        self.at += 0.01
        return self.at

    def wait(self, seconds: float) -> None:
        self.at += seconds


@dataclass
class ByHand:
    """A unit that answers each request with the bytes that are named for it, whatever they are, and nothing where none are."""

    answers: Mapping[bytes, bytes]
    time: Clock = field(default_factory=Clock)
    due: list[bytes] = field(default_factory=list)
    sending: bool = False
    receiving: bool = False

    def open(self) -> None:
        pass

    def close(self) -> None:
        pass

    def drop(self) -> None:
        self.due.clear()

    def send(self, request: bytes) -> None:
        self.due += [self.answers[request]] if request in self.answers else []

    def wait(self, timeout_s: float) -> bytes | None:
        if self.due:
            return self.due.pop(0)
        self.time.wait(timeout_s)
        return None

    def supply_v(self) -> float | None:
        return None


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Opens a conversation with a unit by hand."""
    monkeypatch.setattr(module, "wire", lambda link, *_: link)

    def opened(answers: Mapping[bytes, bytes]) -> Talk:
        return Talk(cast("Any", ByHand(answers)), ENGINE.unit)

    return opened


def meant(service: int, answer: bytes) -> list[bytes] | None:
    """The codes in an answer by the standard's layout, told anew; None where it is not laid out so. What follows them fills the frame."""
    head, many, rows = answer[:1], answer[1:2], answer[2:]
    if head != bytes([service + 0x40]) or not many:
        return None
    codes = [rows[2 * n : 2 * n + 2] for n in range(many[0])]
    return codes if all(len(code) == 2 for code in codes) else None


def drawn(rng: random.Random, service: int) -> bytes:
    """An answer that is right, or was right and is cut, made longer, miscounted, of another service, or anything."""
    codes = [rng.randbytes(2) for _ in range(rng.choice((0, 1, 2, 5, 40)))]
    right = bytes([service + 0x40, len(codes)]) + b"".join(codes)
    way = rng.randrange(8)
    if way == 0:
        return right[: rng.randrange(len(right))]
    if way == 1:
        return right + rng.randbytes(rng.randint(1, 9))
    if way == 2:
        return right[:1] + bytes([rng.randrange(256)]) + right[2:]
    if way == 3:
        return bytes([rng.choice((service, 0x7F, 0x43, 0x47, 0x4A, 0x59, 0x62))]) + right[1:]
    if way == 4:
        return rng.randbytes(rng.randrange(1, 300))
    if way == 5:
        return bytes([0x7F, service, rng.randrange(256)])[: rng.randint(1, 3)]
    return right + bytes(rng.randrange(4)) if way == 6 else right


def read(talk: Talk) -> CodesRead | None:
    """What is told; None where none of the lists is, and that is said."""
    try:
        return read_codes(talk, ENGINE)
    except CarTrouble:
        return None


def test_a_malformed_list_of_codes_is_named_as_not_told_and_a_right_one_is_read(asked: Any) -> None:
    rng, told, untold = random.Random(15031), 0, 0
    for _ in range(DRAWN):
        answers = {bytes([s]): drawn(rng, s) for s in SERVICES}
        wanted = {s: meant(s, answers[bytes([s])]) for s in SERVICES}
        got = read(asked(answers))
        lacking = {SERVICES[s] for s, codes in wanted.items() if codes is None}
        untold, told = untold + len(lacking), told + len(SERVICES) - len(lacking)
        if got is None:
            assert lacking == set(SERVICES.values()), answers
            continue
        assert {what for what, _ in got.not_told} == lacking, answers
        assert all(reason for _, reason in got.not_told)
        found = {one.code.number for one in got.codes}
        assert found == {code for codes in wanted.values() for code in codes or ()}, answers
    assert min(told, untold) > DRAWN / 4


@pytest.mark.parametrize("answer", ["43", "43 02 01 02 01", "43 01 01", "43 01", "47 00", "43 FF 01 02"])
def test_less_than_was_counted_is_no_list(answer: str, asked: Any) -> None:
    got = read(asked({b"\x03": bytes.fromhex(answer), b"\x07": b"\x47\x00", b"\x0a": b"\x4a\x00"}))
    assert got is not None
    assert [what for what, _ in got.not_told] == [CodeList.STORED]


def test_no_malformed_speed_says_that_the_car_stands(asked: Any) -> None:
    rng = random.Random(13)
    for _ in range(DRAWN):
        answer = rng.choice((b"\x41\x0d", b"\x41", b"\x41\x0c", b"", b"\x7f\x01")) + rng.randbytes(rng.randrange(5))
        stands = conditions(asked({b"\x01\x0d": answer}), ENGINE)[0].right
        right = len(answer) == 3 and answer[:2] == b"\x41\x0d"
        assert stands == (answer[2] == 0 if right else None), answer.hex(" ")
