"""Whatever a car, an adapter or a file says, nothing escapes but what is documented, nothing hangs, and no log repeats it."""

from __future__ import annotations

import gc
import importlib
import logging
import os
import re
import subprocess
import sys
import threading
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import can
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelside.car.card import Layout
from wheelside.car.frames import Frame
from wheelside.car.link import CanFrames
from wheelside.car.reads import read_all
from wheelside.car.talk import Talk
from wheelside.car.tape import FORMATS
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import practice_car, run_on
from wheelside.demo.practice.told import SUMMER, VIN
from wheelside.jobs.source import RUNNING

HERE = Path(__file__).parent
_targets = importlib.import_module("car.fuzz_targets")
TARGETS: dict[str, Callable[[bytes], None]] = _targets.TARGETS
SEEDS: dict[str, tuple[bytes, ...]] = _targets.seeds()
CORNERS: tuple[str, ...] = _targets.CORNERS
SECONDS, RUNS, SEED = 8, 2_000_000, 20261125
HANGS_S = 5
LEAST = {"tapes": 500, "port_cards": 500}
"""How many runs there are at least; 5,000 of the others."""
PROGRAM = """
import atheris
with atheris.instrument_imports(include=["wheelside", "can"]):
    import fuzz_targets
fuzz_targets.main()
"""
SEARCHED = [pytest.param(name) for name in TARGETS]
EDITS = st.lists(st.tuples(st.integers(0, 1 << 12), st.integers(0, 8), st.binary(max_size=4)), max_size=6)


def escaped(name: str, data: bytes) -> str:
    """What kind of error a target lets out; '' for none."""
    found = ""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        try:
            TARGETS[name](data)
        except Exception as error:  # noqa: BLE001 - that there is any is what is looked for
            found = f"{type(error).__name__}: {error}"
        if found:
            gc.collect()
    return found


def _edited(seed: bytes, edits: list[tuple[int, int, bytes]]) -> bytes:
    for place, gone, come in edits:
        at = place % (len(seed) + 1)
        seed = seed[:at] + come + seed[at + gone :]
    return seed


@pytest.mark.parametrize("name", SEARCHED)
def test_nothing_but_documented_errors_escapes_a_guided_search(
    name: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    limits = [
        f"-max_total_time={SECONDS}", f"-runs={RUNS}", f"-seed={SEED}", f"-timeout={HANGS_S}", "-rss_limit_mb=1500", "-max_len=4096",
        f"-artifact_prefix={tmp_path}/",
    ]  # fmt: skip
    corpus = tmp_path / "corpus"
    corpus.mkdir()
    environ = {**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE), *sys.path])}
    done = subprocess.run(
        [sys.executable, "-P", "-c", PROGRAM, name, str(corpus), *limits],
        env=environ, capture_output=True, text=True, errors="replace", timeout=SECONDS + 60, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-4000:]
    found = re.search(r"Done (\d+) runs in (\d+) second", done.stderr)
    assert found is not None, done.stderr[-4000:]
    with capfd.disabled():
        sys.stdout.write(f"\n{name}: {found[1]} runs in {found[2]} s, {len(list(corpus.iterdir()))} kept\n")
    assert int(found[1]) >= LEAST.get(name, 5_000)


@pytest.mark.parametrize("name", SEARCHED)
def test_nothing_but_documented_errors_escapes_any_bytes(name: str) -> None:
    @settings(max_examples=60 if name in LEAST else 200)
    @given(st.binary(max_size=200))
    def holds(data: bytes) -> None:
        assert escaped(name, data) == ""

    holds()


@pytest.mark.parametrize("name", SEARCHED)
def test_nothing_but_documented_errors_escapes_what_is_nearly_right(name: str) -> None:
    @settings(max_examples=60 if name in LEAST else 200)
    @given(st.sampled_from(SEEDS[name]), EDITS)
    def holds(seed: bytes, edits: list[tuple[int, int, bytes]]) -> None:
        assert escaped(name, _edited(seed, edits)) == ""

    holds()


@pytest.mark.parametrize("name", TARGETS)
def test_what_the_search_begins_with_is_taken(name: str) -> None:
    assert [escaped(name, seed) for seed in SEEDS[name]] == [""] * len(SEEDS[name])


@pytest.mark.parametrize(
    ("ending", "content"),
    [
        (".blf", b"LOGG" + bytes(60)),
        (".blf", b"no recording at all" + bytes(140)),
        (".trc", b";$FILEVERSION=1.1\n;$STARTTIME=4300899.9\n     1)  17.7  Rx  06AB  8  10 13 62 21 10 11 22 33\n"),
    ],
    ids=["cut off", "something else", "a day out of reach"],
)
def test_a_broken_recording_is_refused_with_its_reason(ending: str, content: bytes) -> None:
    assert escaped("tapes", bytes([FORMATS.index(ending)]) + content) == ""


@given(st.integers(1, 5), st.integers(1, 8), st.booleans(), st.data())
def test_numbers_of_a_layout_come_back_as_they_were_written(
    places: int, each: int, high_first: bool, draw: st.DataObject
) -> None:
    layout = Layout(CORNERS[:places], each, high_first, b"\xff" * each)
    number = st.none() | st.integers(0, 256**each - 2)
    numbers = tuple(draw.draw(st.lists(number, min_size=places, max_size=places)))
    assert layout.numbers(layout.data(numbers)) == numbers


def _signs(numbers: bytes) -> Iterator[str]:
    """Each three bytes of a text or an ID, as text and as hex: shorter pieces are in other things, too."""
    for at in range(len(numbers) - 2):
        piece = numbers[at : at + 3]
        yield from {piece.hex(), piece.hex().upper(), piece.hex(" "), piece.hex(" ").upper(), repr(piece)[2:-1]}
        if piece.isascii() and piece.decode().isalnum():
            yield piece.decode()


SECRETS = {sign for told in (VIN.encode(), *(one.to_bytes(4) for one in SUMMER)) for sign in _signs(told)}
SECRETS |= {str(one) for one in SUMMER}


def _whole_reading() -> None:
    """All that the card of the practising car can have read."""

    from wheelside.car.portcard import read_port_card

    card = read_port_card(port_card(), "practice.toml", dbc().decode())
    stop = threading.Event()
    its, ours = can.Bus("logged", "virtual"), can.Bus("logged", "virtual")
    served = run_on(its, practice_car(), stop, lambda can_id, data: can.Message(0.0, can_id, False, data=data))
    frames: list[Frame] = []
    try:
        with Talk(CanFrames(ours, RUNNING), card.unit, heard=lambda frame, _sent: frames.append(frame)) as talk:
            known = read_all(talk, card)
    finally:
        stop.set()
        served.join(5)
        its.shutdown()
        ours.shutdown()
    assert (len(known.lists), len(known.values), known.missing) == (2, 12, ())
    assert any(VIN[:3].encode() in frame.data for frame in frames)


def _told(caplog: pytest.LogCaptureFixture) -> list[str]:
    said = [(one.name, one.levelname, one.getMessage()) for one in caplog.records]
    return sorted({f"{name} {level}" for name, level, message in said if any(sign in message for sign in SECRETS)})


def test_no_log_of_ours_and_none_above_debug_has_a_vehicle_number_or_an_id(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO), caplog.at_level(logging.DEBUG, "wheelside"):
        _whole_reading()
    assert _told(caplog) == []


def test_no_log_has_a_vehicle_number_or_an_id(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        _whole_reading()
    assert caplog.records
    assert _told(caplog) == []
