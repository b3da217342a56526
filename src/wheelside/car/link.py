"""Opening links: the only place where the bus libraries are used.

socketcan can0                      slcan /dev/ttyACM0            slcan socket://127.0.0.1:9000
virtual practice                    at /dev/ttyUSB0               at socket://127.0.0.1:3500
doip 192.0.2.10                     doip 192.0.2.10:13400 tester=0E80
any other interface of python-can, with its channel; bitrate=250000 and the like may follow
"""

from __future__ import annotations

import contextlib
import logging
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import can
import isotp

from wheelside.car.address import UnitAddress
from wheelside.car.doip import TESTER, IpLink, IpWire
from wheelside.car.frames import Frame, Frames, LinkLost, Time, Wire
from wheelside.errors import BadRequest, BadText

BITRATE = 500_000
"""ISO 15765-4: 500 kbit/s, and 250 on some."""
EXAMPLE = "socketcan can0"
FLOW = 3
"""A kind of frame, ISO 15765-2."""
N_BS_MS, N_CR_MS = 1000, 1000
"""How long flow control, and the next frame of an answer, is waited for: ISO 15765-2."""
MOST_WAITS = 16
"""So often a unit may say wait in place of letting a request go on (N_WFTmax, which the standard leaves to us)."""
OLD_S, STEP_S, LEAST_S = 0.2, 0.05, 0.0001
SILENT = logging.getLogger("wheelside.car.silent")
"""Where the libraries' logs go: nowhere. They write whole payloads, and a VIN is in some."""
SILENT.addHandler(logging.NullHandler())
SILENT.propagate = False
SILENT.setLevel(logging.CRITICAL + 1)


Link = Frames | IpLink
_Receive = Callable[[float], isotp.CanMessage | None]
_Send = Callable[[isotp.CanMessage], None]


def open_link(said: str, time: Time) -> Link:
    """The link that a text names; its waits go by `time`. Raises BadText for what is no link, LinkLost where it can't be opened."""
    words = said.split()
    if len(words) < 2:
        raise BadText(
            f"{said!r} names no link: write the interface and its channel, as in '{EXAMPLE}', 'slcan /dev/ttyACM0' or 'at /dev/ttyUSB0'",
            found=said,
            expected=f"a link such as {EXAMPLE}",
        )
    if words[0] == "at":
        from wheelside.car.at import AtFrames

        return AtFrames(words[1], time)
    if words[0] == "doip":
        return IpLink(words[1], time, _tester(words[2:]))
    return CanFrames(open_bus(said), time)


def _tester(settings: list[str]) -> int:
    """The tester's own logical address."""
    if not settings:
        return TESTER
    key, _, value = settings[0].partition("=")
    if key != "tester" or len(settings) > 1 or not re.fullmatch("[0-9A-Fa-f]{4}", value, re.ASCII):
        raise BadText(
            f"{' '.join(settings)!r}: behind a 'doip' link only tester=0E80 and the like may stand",
            found=" ".join(settings),
            expected="tester=0E80",
        )
    return int(value, 16)


def wire(link: Link, unit: UnitAddress, heard: Callable[[Frame, bool], None] | None = None) -> Wire:
    """Requests and answers of one unit over a link. Raises BadRequest where the unit has no address for this kind of link."""
    if isinstance(link, IpLink):
        if unit.logical is None:
            raise BadRequest(
                "the port card names no logical address: diagnostics over IP needs 'logical'",
                expected='logical = "1001"',
            )
        return IpWire(link, unit.logical)
    if not unit.on_can:
        raise BadRequest(
            "the port card names no CAN identifiers: this link needs 'request' and 'answer'", expected='request = "6A3"'
        )
    return Segments(link, unit, heard)


def open_bus(said: str) -> can.BusABC:
    """A python-can bus by interface, channel and settings. Raises BadText, LinkLost."""
    interface, channel, *settings = said.split()
    given: dict[str, Any] = {"bitrate": BITRATE}
    for one in settings:
        key, mark, value = one.partition("=")
        if not mark:
            raise BadText(
                f"{one!r} in {said!r}: write settings as key=value, as in bitrate=250000",
                found=one,
                expected="key=value",
            )
        if key in ("interface", "channel"):
            raise BadText(
                f"{one!r} in {said!r}: the {key} stands in front already", found=one, expected="bitrate=250000"
            )
        given[key] = int(value) if value.isdecimal() else value
    if interface not in can.VALID_INTERFACES:
        known = ", ".join(sorted(can.VALID_INTERFACES))
        raise BadText(
            f"{interface!r} is not an interface: write 'at PORT' for an adapter with AT commands, 'doip HOST', or one of python-can's: {known}",
            found=interface,
            expected=EXAMPLE,
        )
    try:
        return can.Bus(channel=channel, interface=interface, **given)
    except (can.CanError, OSError, ValueError, TypeError, AttributeError, ImportError, NotImplementedError) as error:
        raise LinkLost(
            f"the link '{said}' can't be opened: {_first(error)}; look at cable, port and permissions"
        ) from error


def _first(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:200]


class CanFrames:
    """Frames of a python-can bus."""

    def __init__(self, bus: can.BusABC, time: Time) -> None:
        self.bus, self.time = bus, time

    def send(self, frame: Frame) -> None:
        """Sends one frame."""
        message = can.Message(arbitration_id=frame.can_id, data=frame.data, is_extended_id=frame.wide)
        try:
            self.bus.send(message, timeout=1.0)
        except (can.CanError, OSError, ValueError) as error:
            raise LinkLost(f"sending on the bus failed: {_first(error)}; look at cable and adapter") from error

    def receive(self, timeout_s: float) -> Frame | None:
        """The next data frame; error and remote frames are passed over."""
        try:
            message = self.bus.recv(timeout_s)
        except (can.CanError, OSError, ValueError) as error:
            raise LinkLost(f"receiving on the bus failed: {_first(error)}; look at cable and adapter") from error
        if message is None or message.is_error_frame or message.is_remote_frame:
            return None
        return Frame(message.arbitration_id, bytes(message.data), message.is_extended_id, message.timestamp)

    def listen_to(self, answer: int, *, wide: bool) -> None:
        """Filters are for whole buses; all frames are taken, and others passed over."""

    def supply_v(self) -> float | None:
        """A bus measures none."""
        return None

    def close(self) -> None:
        """Shuts the bus down."""
        with contextlib.suppress(can.CanError, OSError):
            self.bus.shutdown()


class _Timer(isotp.tools.Timer):
    """A timer of can-isotp that goes by the link's clock."""

    def __init__(self, clock: Callable[[], float], timeout_s: float) -> None:
        super().__init__(timeout_s)
        self.clock = clock

    def start(self, timeout: float | None = None) -> None:
        if timeout is not None:
            self.set_timeout(timeout)
        self.start_time = round(self.clock() * 1e9)

    def elapsed_ns(self) -> int:
        return 0 if self.start_time is None else round(self.clock() * 1e9) - self.start_time

    def elapsed(self) -> float:
        return self.elapsed_ns() / 1e9


class _Layer(isotp.TransportLayerLogic):
    """The protocol of can-isotp without its threads, and with the link's clock."""

    def __init__(self, clock: Callable[[], float], unit: UnitAddress, receive: _Receive, send: _Send) -> None:
        self.clock = clock
        mode = isotp.AddressingMode.Normal_29bits if unit.wide else isotp.AddressingMode.Normal_11bits
        super().__init__(
            rxfn=receive,
            txfn=send,
            address=isotp.Address(mode, txid=unit.request, rxid=unit.answer),
            error_handler=lambda _error: None,
            params={
                "stmin": 0, "blocksize": 0, "tx_padding": unit.padding, "rx_consecutive_frame_timeout": N_CR_MS,
                "rx_flowcontrol_timeout": N_BS_MS, "wftmax": MOST_WAITS, "max_frame_size": 4095, "blocking_send": False,
            },
        )  # fmt: skip
        self.logger = SILENT

    def load_params(self) -> None:
        super().load_params()
        self.timer_tx_stmin = _Timer(self.clock, 0)
        self.timer_rx_fc = _Timer(self.clock, self.params.rx_flowcontrol_timeout / 1000)
        self.timer_rx_cf = _Timer(self.clock, self.params.rx_consecutive_frame_timeout / 1000)

    def _start_rx_fc_timer(self) -> None:
        self.timer_rx_fc.start(self.params.rx_flowcontrol_timeout / 1000)

    def _start_rx_cf_timer(self) -> None:
        self.timer_rx_cf.start(self.params.rx_consecutive_frame_timeout / 1000)


class Segments:
    """ISO 15765-2 over frames. `heard` is told of every frame, sent (True) or come (False).

    All is done by whoever sends or waits: nothing runs beside it.
    """

    def __init__(self, frames: Frames, unit: UnitAddress, heard: Callable[[Frame, bool], None] | None = None) -> None:
        self.frames, self.unit = frames, unit
        self.heard = heard or (lambda _frame, _sent: None)
        self.lost: LinkLost | None = None
        frames.listen_to(unit.answer, wide=unit.wide)
        self.layer = _Layer(frames.time.seconds, unit, self._receive, self._send)

    @property
    def sending(self) -> bool:
        """Whether a request is not out yet as a whole."""
        return bool(self.layer.transmitting())

    @property
    def receiving(self) -> bool:
        """Whether an answer has begun to come."""
        return self.layer.is_rx_active()

    def _receive(self, timeout_s: float) -> isotp.CanMessage | None:
        """The next frame of this unit. None as soon as an answer is whole: who waits for it is not kept waiting for more."""
        if self.lost is not None or self.layer.available():
            return None
        try:
            frame = self.frames.receive(timeout_s)
        except LinkLost as error:
            self.lost = error
            return None
        if frame is None or frame.can_id != self.unit.answer or frame.wide != self.unit.wide:
            return None
        self.heard(frame, False)
        frame = _as_the_standard_wants(frame)
        return isotp.CanMessage(arbitration_id=frame.can_id, data=frame.data, extended_id=frame.wide)

    def _send(self, message: isotp.CanMessage) -> None:
        frame = Frame(
            message.arbitration_id, bytes(message.data), bool(message.is_extended_id), self.frames.time.seconds()
        )
        if self.lost is not None:
            return
        try:
            self.frames.send(frame)
        except LinkLost as error:
            self.lost = error
            return
        self.heard(frame, True)

    def open(self) -> None:
        """Forgets what came before this conversation."""
        self.drop()

    def close(self) -> None:
        """Forgets what is under way; the frames stay open."""
        self.layer.reset()

    def drop(self) -> None:
        """Forgets what is under way, and what came and was not taken, on the way here, too; for no longer than OLD_S."""
        self.layer.reset()
        end = self.frames.time.seconds() + OLD_S
        try:
            while self.frames.receive(0.0) is not None and self.frames.time.seconds() < end:
                pass
        except LinkLost as error:
            self.lost = error

    def send(self, request: bytes) -> None:
        """Sends one request, as far as that goes without waiting for the unit. Raises LinkLost."""
        self._raise_lost()
        self.layer.send(request)
        self.layer.process(do_rx=False)
        self._raise_lost()

    def wait(self, timeout_s: float) -> bytes | None:
        """The next answer; None where none came in time. Raises LinkLost."""
        end = self.frames.time.seconds() + timeout_s
        while True:
            self._raise_lost()
            if (got := self.layer.recv()) is not None:
                return bytes(got)
            left = end - self.frames.time.seconds()
            if left <= 0:
                return None
            gap_s = self.layer.next_cf_delay()
            self.layer.process(rx_timeout=min(left, STEP_S if gap_s is None else max(gap_s, LEAST_S)))

    def _raise_lost(self) -> None:
        if self.lost is not None:
            raise LinkLost(str(self.lost)) from self.lost


def _as_the_standard_wants(frame: Frame) -> Frame:
    """A frame as it came; a separation time that the standard reserves is taken as the longest one, as it wants."""
    kind = frame.data[0] >> 4 if frame.data else -1
    if kind == FLOW and len(frame.data) > 2 and (0x80 <= frame.data[2] <= 0xF0 or frame.data[2] >= 0xFA):
        return replace(frame, data=frame.data[:2] + b"\x7f" + frame.data[3:])
    return frame
