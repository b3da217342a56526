"""wheelside car practise: an invented car that answers on this machine, and does what it is told meanwhile."""

from __future__ import annotations

import dataclasses
import queue
import sys
import threading
import time
from collections.abc import Callable

import click

from wheelside.car.codes import read_code
from wheelside.cli.output import echo
from wheelside.demo.practice import Habits, PracticeCar, PractisedWheel, practice_car, serve_pty, serve_tcp
from wheelside.demo.practice.wheels import EMPTY
from wheelside.errors import BadRequest, BadText

TOLD = (
    "drive MINUTES KM/H",
    "speed KM/H",
    "ignition off|on|running",
    "supply VOLTS",
    "watch 1|2",
    "fit 1|2 (the wheels whose IDs that list holds)",
    "fail CODE",
    "quit",
)
IGNITION = {"off": 0, "on": 1, "running": 2}


@click.command("practise")
@click.option("--minutes", type=click.IntRange(1, 600), default=30, help="How long it answers; 30 by default.")
@click.option("--terminal", is_flag=True, help="Answer on a pseudo-terminal, as a serial adapter does, and not on TCP.")
@click.option(
    "--habit",
    "habits",
    multiple=True,
    metavar="NAME=VALUE",
    help="A bad habit of its unit, such as pending=2; may be repeated.",
)
def practise(minutes: int, terminal: bool, habits: tuple[str, ...]) -> int:
    """Lets an invented car answer behind an adapter with AT commands on this machine, until you stop it.

    While it runs, it does what you type: fit 1, drive 12 60, ignition off, supply 11.4, fail C1A13-31. Its tyre monitor is at 6A3.
    """
    car, lasting_s = practice_car(habits_of(habits)), 60.0 * minutes
    if terminal:
        with serve_pty(car, lasting_s=lasting_s) as path:
            return _run(car, f"at {path}", lasting_s)
    with serve_tcp(car, lasting_s=lasting_s) as (host, port):
        return _run(car, f"at socket://{host}:{port}", lasting_s)


def habits_of(said: tuple[str, ...]) -> Habits:
    """Habits by name. Raises BadRequest."""
    found: dict[str, object] = {}
    for one in said:
        name, _, value = one.partition("=")
        try:
            found[name] = _READ[name](value)
        except (KeyError, ValueError) as error:
            known = ", ".join(_READ)
            raise BadRequest(
                f"--habit {one}: there is {known}; write numbers, or yes", found=one, expected=known
            ) from error
    return Habits(**found)  # type: ignore[arg-type]


def _reader(default: object) -> Callable[[str], object]:
    """How a habit's value is read, by what it is when nobody says."""
    if isinstance(default, bool):
        return lambda text: text == "yes"
    return float if isinstance(default, float) else int


_READ = {f.name: _reader(f.default) for f in dataclasses.fields(Habits)}


def _run(car: PracticeCar, link: str, lasting_s: float) -> int:
    echo(f"An invented car answers. In another window: wheelside car read practice.toml --link '{link}'")
    echo("Its port card comes with 'wheelside demo --write FOLDER'. Stop it with Ctrl-C.")
    echo(f"It does what you type here: {'; '.join(TOLD)}.")
    typed: queue.SimpleQueue[str] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(typed,), daemon=True).start()
    end = time.monotonic() + lasting_s
    try:
        while (left := end - time.monotonic()) > 0:
            try:
                line = typed.get(timeout=min(left, 0.5)).strip()
            except queue.Empty:
                continue
            if line == "quit":
                break
            if line:
                echo(obey(car, line))
    except KeyboardInterrupt:
        echo("stopped")
    return 0


def _listen(typed: queue.SimpleQueue[str]) -> None:
    for line in sys.stdin:
        typed.put(line)


def obey(car: PracticeCar, line: str) -> str:
    """Does what a line says; what came of it, or what could have been said."""
    word, *rest = line.split()
    try:
        return _WORDS[word.lower()](car, *rest)
    except (KeyError, ValueError, TypeError, BadText):
        return f"? say one of: {'; '.join(TOLD)}"


def _drive(car: PracticeCar, minutes: str, km_h: str) -> str:
    car.unit.drive(float(minutes), float(km_h))
    heard = sum(wheel is not None for wheel in car.unit.heard)
    return f"driven; {heard} of 4 wheels heard, lamp {('off', 'steady', 'flashing')[car.unit.lamp]}"


def _speed(car: PracticeCar, km_h: str) -> str:
    car.around.speed_kmh = int(km_h)
    return f"{car.around.speed_kmh} km/h"


def _ignition(car: PracticeCar, state: str) -> str:
    car.around.ignition = IGNITION[state]
    return f"ignition {state}"


def _supply(car: PracticeCar, volts: str) -> str:
    car.around.supply_mv = round(float(volts.replace(",", ".")) * 1000)
    return f"{car.around.supply_mv / 1000:g} V"


def _watch(car: PracticeCar, number: str) -> str:
    if number not in ("1", "2"):
        raise ValueError(number)
    car.unit.watched = int(number)
    return f"set {number} is watched"


def _fit(car: PracticeCar, number: str) -> str:
    ids = car.unit.teaching.lists[{"1": 1, "2": 2}[number]]
    first, second, third, fourth = (None if one == EMPTY else PractisedWheel(one) for one in ids)
    car.unit.fit((first, second, third, fourth))
    return f"the wheels of list {number} are fitted: {sum(one != EMPTY for one in ids)} with a sensor. Nothing is heard before a drive"


def _fail(car: PracticeCar, code: str) -> str:
    car.unit.codes.fail(int.from_bytes(read_code(code), "big"), warns=True)
    return f"{code} is stored"


_WORDS: dict[str, Callable[..., str]] = {
    "drive": _drive, "speed": _speed, "ignition": _ignition, "supply": _supply, "watch": _watch, "fit": _fit, "fail": _fail,
}  # fmt: skip
