"""Diagnostics over IP, ISO 13400-2: whole requests and answers in messages over TCP.

version  inverse  type (2)  length (4)  payload
   02       FD     0005      00000007   routing activation request: tester (2), type (1), reserved (4)
   02       FD     8001      ...        diagnostic message: from (2), to (2), request or answer
"""

from __future__ import annotations

import contextlib
import logging
import socket
import struct
from typing import Any

from wheelside.car.frames import LinkLost, NoAnswer, Time
from wheelside.errors import BadText

PORT, TESTER = 13400, 0x0E00
"""TCP_DATA, and the first of the addresses for test equipment: ISO 13400-2."""
VERSION = 0x02
CONNECT_S, ACTIVATE_S, SEND_S = 5.0, 2.0, 2.0
AT_ONCE_S, OLD_S = 0.001, 0.2
LONGEST = 65_536
LAST_PORT = 65_535
HEADER = 8
ROUTED = (0x10,)
_REFUSED = {
    0x00: "it does not know this tester's address", 0x01: "all its connections are taken", 0x02: "the tester's address does not fit",
    0x03: "the tester's address is taken", 0x04: "it wants authentication", 0x05: "it rejected the confirmation",
    0x06: "it does not know the kind of activation", 0x07: "it wants TLS", 0x11: "somebody has to confirm it in the car first",
}  # fmt: skip
logging.getLogger("doipclient").disabled = True  # it writes whole payloads, and a VIN is in some


def _messages() -> Any:
    from doipclient import messages

    return messages


def _parser() -> Any:
    from doipclient.client import Parser

    made: Any = Parser
    return made()


class NotRouted(NoAnswer):
    """The gateway did not pass a request on to its unit."""


class IpLink:
    """A connection to a car's gateway, activated for routing. Raises BadText, LinkLost."""

    def __init__(self, address: str, time: Time, tester: int = TESTER) -> None:
        host, mark, port = address.rpartition(":") if address.count(":") == 1 else (address, "", "")
        if not host or (mark and not (port.isdecimal() and int(port) <= LAST_PORT)):
            raise BadText(
                f"{address!r} is not an address: write HOST or HOST:PORT, as in '192.0.2.10'",
                found=address,
                expected="192.0.2.10",
            )
        self.tester, self.time = tester, time
        try:
            self.socket = socket.create_connection((host, int(port or PORT)), timeout=CONNECT_S)
            self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        except (OSError, UnicodeError) as error:
            raise LinkLost(
                f"the car's gateway at {address} can't be reached: {error}; look at plug, network and ignition"
            ) from error
        self.parser: Any = _parser()
        try:
            self._activate()
        except BaseException:
            self.close()
            raise

    def _activate(self) -> None:
        self.say(0x0005, _messages().RoutingActivationRequest(self.tester, 0).pack())
        end = self.time.seconds() + ACTIVATE_S
        while (left := end - self.time.seconds()) > 0:
            got = self.take(left)
            if isinstance(got, _messages().RoutingActivationResponse):
                code = got.pack()[4]
                if code in ROUTED:
                    return
                why = _REFUSED.get(code, f"it answers {code:02X}")
                raise LinkLost(f"the car's gateway does not let this tester in: {why}")
        raise LinkLost(f"the car's gateway gave no answer to the routing activation within {ACTIVATE_S:g} s")

    def say(self, kind: int, payload: bytes) -> None:
        """Sends one message. Raises LinkLost."""
        header = struct.pack("!BBHL", VERSION, VERSION ^ 0xFF, kind, len(payload))
        try:
            self.socket.settimeout(SEND_S)
            self.socket.sendall(header + payload)
        except OSError as error:
            raise LinkLost(f"the car's gateway takes nothing any more: {error}; look at plug and network") from error

    def take(self, timeout_s: float) -> Any:
        """The next message; None where none came in time. Raises LinkLost."""
        end = self.time.seconds() + timeout_s
        data = b""
        while True:
            got = self._parsed(data)
            if got is not None and not self._alive(got):
                return got
            left = end - self.time.seconds()
            if left <= 0:
                return None
            data = b"" if got is not None else self._received(left)

    def _received(self, timeout_s: float) -> bytes:
        try:
            self.socket.settimeout(timeout_s)
            data = self.socket.recv(4096)
        except TimeoutError:
            return b""
        except OSError as error:
            raise LinkLost(f"the car's gateway says nothing any more: {error}; look at plug and network") from error
        if not data:
            raise LinkLost("the car's gateway closed the connection; ignition on?")
        return data

    def _parsed(self, data: bytes) -> Any:
        try:
            got = self.parser.read_message(bytearray(data))
        except (struct.error, ValueError, IndexError, TypeError) as error:
            raise LinkLost(f"the car's gateway sent a message that ISO 13400-2 does not have: {error}") from error
        if self.parser.payload_size is not None and self.parser.payload_size > LONGEST:
            raise LinkLost(f"the car's gateway speaks of {self.parser.payload_size} bytes in one message")
        return got

    def _alive(self, got: Any) -> bool:
        """Whether this is an alive check, which is answered then. Raises LinkLost where the gateway takes nothing."""
        if isinstance(got, _messages().GenericDoIPNegativeAcknowledge):
            raise LinkLost(f"the car's gateway does not take this: generic negative acknowledge {got.pack()[0]:02X}")
        if not isinstance(got, _messages().AliveCheckRequest):
            return False
        self.say(0x0008, _messages().AliveCheckResponse(self.tester).pack())
        return True

    def supply_v(self) -> float | None:
        """A network measures none."""
        return None

    def close(self) -> None:
        """Closes the connection; can be called twice."""
        with contextlib.suppress(OSError):
            self.socket.close()


class IpWire:
    """Requests and answers of one unit by its logical address."""

    def __init__(self, link: IpLink, unit: int) -> None:
        self.link, self.unit = link, unit

    @property
    def sending(self) -> bool:
        """A request goes out at once."""
        return False

    @property
    def receiving(self) -> bool:
        """An answer comes as a whole."""
        return False

    def open(self) -> None:
        """The link is open."""

    def close(self) -> None:
        """The link stays open."""

    def drop(self) -> None:
        """Forgets what came and was not taken; for no longer than OLD_S."""
        end = self.link.time.seconds() + OLD_S
        while self.link.take(AT_ONCE_S) is not None and self.link.time.seconds() < end:
            pass

    def send(self, request: bytes) -> None:
        """Sends a request. Raises LinkLost."""
        self.link.say(0x8001, struct.pack("!HH", self.link.tester, self.unit) + request)

    def wait(self, timeout_s: float) -> bytes | None:
        """The next answer of this unit; None where none came in time. Raises LinkLost, NotRouted."""
        end = self.link.time.seconds() + timeout_s
        while True:
            got = self.link.take(max(0.0, end - self.link.time.seconds()))
            if (
                isinstance(got, _messages().DiagnosticMessageNegativeAcknowledgement)
                and got.source_address == self.unit
            ):
                raise NotRouted(f"the car's gateway does not reach the unit {self.unit:04X}: {got.pack()[4]:02X}")
            if isinstance(got, _messages().DiagnosticMessage) and (got.source_address, got.target_address) == (
                self.unit,
                self.link.tester,
            ):
                return bytes(got.user_data)
            if self.link.time.seconds() >= end:
                return None
