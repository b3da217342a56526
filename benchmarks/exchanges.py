"""Exchanges with the car to practise on: through a conversation of ours, and through udsoncan's client alone.

    python benchmarks/exchanges.py       seven rounds of 100 exchanges for each request and each way

Both ways ask the same simulated car over one virtual bus of python-can, in turns, so that whatever else this machine does falls on
both. The unit answers at once. Prints exchanges per second, the median of the rounds, and how many times as long ours take; 1.3 is the
most that is allowed.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager

import can
import isotp
from udsoncan.client import Client
from udsoncan.connections import PythonIsoTpConnection
from udsoncan.Request import Request
from udsoncan.services.ReadDataByIdentifier import ReadDataByIdentifier

from wheelside.car.address import UnitAddress
from wheelside.car.link import CanFrames
from wheelside.car.portcard import read_port_card
from wheelside.car.talk import Talk
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import Habits, practice_car, run_on
from wheelside.jobs.source import RUNNING

BAR = 1.3
REQUESTS = {"single frame, 22 2112": bytes.fromhex("222112"), "multi-frame, 22 F190": bytes.fromhex("22F190")}
WARM_UP = 20

Ask = Callable[[bytes], bytes]
Way = Callable[[can.BusABC, UnitAddress], AbstractContextManager[Ask]]


@contextmanager
def bare(bus: can.BusABC, unit: UnitAddress) -> Iterator[Ask]:
    """Asks through a client of udsoncan as its documentation builds one, with the same segments as ours."""
    layer = isotp.TransportLayer(
        rxfn=lambda timeout: _received(bus, timeout),
        txfn=lambda message: bus.send(_message(message.arbitration_id, bytes(message.data))),
        address=isotp.Address(isotp.AddressingMode.Normal_11bits, txid=unit.request, rxid=unit.answer),
        params={"stmin": 0, "blocksize": 0, "tx_padding": unit.padding, "max_frame_size": 4095, "blocking_send": False},
    )
    with Client(PythonIsoTpConnection(layer), request_timeout=2) as client:

        def ask(request: bytes) -> bytes:
            response = client.send_request(Request(ReadDataByIdentifier, data=request[1:]))
            assert response is not None
            assert response.original_payload is not None
            return bytes(response.original_payload)

        yield ask


@contextmanager
def ours(bus: can.BusABC, unit: UnitAddress) -> Iterator[Ask]:
    """Asks through a conversation of ours."""
    with Talk(CanFrames(bus, RUNNING), unit) as talk:
        yield talk.ask


def _received(bus: can.BusABC, timeout: float) -> isotp.CanMessage | None:
    message = bus.recv(timeout)
    if message is None:
        return None
    return isotp.CanMessage(
        arbitration_id=message.arbitration_id, data=bytes(message.data), extended_id=message.is_extended_id
    )


def seconds(way: Way, bus: can.BusABC, unit: UnitAddress, request: bytes, exchanges: int) -> float:
    """How long so many exchanges take; nobody else listens meanwhile, for whoever listens sends flow control, too."""
    while bus.recv(0) is not None:
        pass
    with way(bus, unit) as ask:
        for _ in range(WARM_UP):
            ask(request)
        start = time.perf_counter()
        for _ in range(exchanges):
            answer = ask(request)
            assert answer[:3] == b"\x62" + request[1:], answer.hex(" ")
        return time.perf_counter() - start


def compared(
    name: str, request: bytes, buses: tuple[can.BusABC, can.BusABC], unit: UnitAddress, rounds: int, exchanges: int
) -> float:
    """Rounds in turns; prints both rates, and returns how many times as long ours take."""
    took: dict[str, list[float]] = {"ours": [], "bare": []}
    turns: list[tuple[str, Way, can.BusABC]] = [("ours", ours, buses[0]), ("bare", bare, buses[1])]
    for _ in range(rounds):
        for who, way, bus in turns:
            took[who].append(seconds(way, bus, unit, request, exchanges))
        turns.reverse()
    mine, other = (statistics.median(took[who]) for who in ("ours", "bare"))
    print(f"{name}: ours {exchanges / mine:.0f}/s, bare udsoncan {exchanges / other:.0f}/s, ratio {mine / other:.3f}")
    spread = ", ".join(f"{who} {exchanges / max(t):.0f} to {exchanges / min(t):.0f}/s" for who, t in took.items())
    print(f"  rounds: {spread}")
    return mine / other


def measured(rounds: int, exchanges: int) -> list[float]:
    """The ratios of all requests."""
    card = read_port_card(port_card(), "practice.toml", dbc().decode())
    stop = threading.Event()
    its, first, second = (can.Bus("exchanges", "virtual") for _ in range(3))
    served = run_on(its, practice_car(Habits(answer_s=0.0)), stop, _message)
    try:
        return [
            compared(name, request, (first, second), card.unit, rounds, exchanges) for name, request in REQUESTS.items()
        ]
    finally:
        stop.set()
        served.join(5)
        for bus in (its, first, second):
            bus.shutdown()


def _message(can_id: int, data: bytes) -> can.Message:
    return can.Message(arbitration_id=can_id, data=data, is_extended_id=False)


def main() -> None:
    """Runs the benchmark that is asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--exchanges", type=int, default=100)
    asked = parser.parse_args()
    ratios = measured(asked.rounds, asked.exchanges)
    worst = max(ratios)
    print(f"worst ratio {worst:.3f}, bar {BAR:g}: {'kept' if worst <= BAR else 'missed'}")
    sys.exit(worst > BAR)


if __name__ == "__main__":
    main()
