"""An adapter on a pseudo-terminal whose line is disturbed: any bytes come between those that it sends."""

from __future__ import annotations

import os
import random
import tty
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Thread

from wheelside.car.address import UnitAddress
from wheelside.car.at import AtFrames
from wheelside.car.card import read_request
from wheelside.car.frames import LinkLost, NoAnswer
from wheelside.car.talk import Talk
from wheelside.jobs.source import RUNNING

MONITOR = UnitAddress(0x6A3, 0x6AB)
ASKED, ANSWER = b"03222112CCCCCCCC", b"6AB 04 62 21 12 01 CC CC CC \r"
SEEDS = 40


def disturbed(rng: random.Random, data: bytes) -> bytes:
    """The bytes with others before, within or behind them."""
    out = bytearray(data)
    for _ in range(rng.randrange(3)):
        where = rng.randrange(len(out) + 1)
        out[where:where] = rng.randbytes(rng.randrange(1, 12))
    return bytes(out)


@contextmanager
def on_a_terminal(rng: random.Random) -> Iterator[str]:
    """An adapter whose answers to what is asked of the car are disturbed, and its acknowledgements now and then."""
    handle, slave = os.openpty()
    tty.setraw(slave)

    def work() -> None:
        typed = b""
        with suppress(OSError):
            while True:
                typed += os.read(handle, 256)
                while b"\r" in typed:
                    line, _, typed = typed.partition(b"\r")
                    right = ANSWER + b"\r>" if line.strip() == ASKED else b"OK\r\r>"
                    spoilt = line.strip() == ASKED or rng.random() < 0.1
                    os.write(handle, disturbed(rng, right) if spoilt else right)

    worker = Thread(target=work, daemon=True)
    worker.start()
    try:
        yield os.ttyname(slave)
    finally:
        os.close(slave)
        worker.join(5)
        os.close(handle)


def asked(seed: int) -> bytes | type[Exception]:
    """What one question comes to."""
    with on_a_terminal(random.Random(seed)) as path:
        try:
            frames = AtFrames(path, RUNNING)
        except LinkLost:
            return LinkLost
        try:
            with Talk(frames, MONITOR, p2_s=0.2) as talk:
                return talk.ask(read_request(0x2112))[3:]
        except (NoAnswer, LinkLost) as error:
            return type(error)
        finally:
            frames.close()


def test_a_disturbed_line_gives_the_right_answer_or_none() -> None:
    came = Counter(asked(seed) for seed in range(SEEDS))
    assert set(came) <= {b"\x01", NoAnswer, LinkLost}, came
    assert came[b"\x01"] > SEEDS / 2
