"""A car's gateway that nobody here wrote, in a process of its own: messages of ISO 13400-2 and ISO 14229-1 out of another library.

It says its port and a few messages that the library builds, then a line of JSON for each message that it hears. Who asks whom decides
how it behaves, so that one process serves all tests:

tester  0E00, 0E80  let in                  unit  1001  reads, lists and clears codes; refuses the rest
        0F00 + n    refused with code n           1002  says three times that it needs more time, then answers
        0FF0        no answer                     1003  the gateway asks whether the tester is there, before each answer
        0FF1        connection closed             1004  before it, the same from 1001, to another tester, and to 1004 itself
        0FF2        asked first: still there?     1005  silence      1006  the connection is closed      1007  one byte at a time
        0FF3        bytes without sense           1008  bytes without sense                       1009  a message of two gigabytes
                                                  100A  calls itself a brake unit                 100B  kinds of messages that there are not
                                                  others  not known: negative acknowledge 03
                                                  3000 + n  n bytes of the answer, then closed    4000 + n  the same, then silence
                                                  6000 + n  negative acknowledge n                7000 + n  generic negative acknowledge n

The only place that imports the library; it ends by itself after two minutes.
"""

from __future__ import annotations

import contextlib
import json
import signal
import socket
import sys
import time
from collections.abc import Iterator
from typing import Any

LASTING_S = 120
ENTITY, ELSEWHERE = 0x1000, 0x0E81
VIN = b"1HGCM82633A004352"
IDS = bytes.fromhex("80000001 80000002 FFFFFFFF 80000004")
CODES = bytes.fromhex("59 02 FF C0770B09 C0780D08")
NO_CODES = bytes.fromhex("59 02 FF")
NONSENSE = bytes.fromhex("48545450 2F312E31 20343030 0D0A0D0A 00FF00FF 02020202")
PART = 0x1000
SILENT = (0x1005, 0x1008, 0x1009)


def library() -> dict[str, Any]:
    """The names of the library."""
    import scapy.config
    import scapy.main
    import scapy.packet

    conf: Any = scapy.config.conf
    conf.contribs["UDS"] = {"treat-response-pending-as-answer": False}
    main_: Any = scapy.main
    names: dict[str, Any] = {"Raw": scapy.packet.Raw}
    for module in ("automotive.uds", "automotive.doip"):
        main_.load_contrib(module, globals_dict=names)
    return names


class Unit:
    """What the units know, as packets of the library."""

    def __init__(self, names: dict[str, Any]) -> None:
        self.names = names
        self.cleared = False

    def read(self, identifier: int, data: bytes) -> bytes:
        uds, answer, raw = self.names["UDS"], self.names["UDS_RDBIPR"], self.names["Raw"]
        return bytes(uds() / answer(dataIdentifier=identifier) / raw(data))

    def refused(self, service: int, code: int) -> bytes:
        uds, no = self.names["UDS"], self.names["UDS_NR"]
        return bytes(uds() / no(requestServiceId=service, negativeResponseCode=code))

    def answer(self, request: bytes, address: int) -> bytes:
        if request == b"\x14\xff\xff\xff":
            self.cleared = True
            return bytes(self.names["UDS"]() / self.names["UDS_CDTCIPR"]())
        if request[:2] == b"\x19\x02":
            return NO_CODES if self.cleared else CODES
        held = {
            b"\x22\xf1\x90": VIN,
            b"\x22\x21\x10": IDS,
            b"\x22\xf1\x97": b"BRAKE CONTROL" if address == 0x100A else b"TYRE MONITOR",
        }
        if request in held:
            return self.read(int.from_bytes(request[1:3], "big"), held[request])
        return self.refused(request[0], 0x12 if request[0] == 0x19 else 0x31)


class Gateway:
    """One connection: messages come, bytes go."""

    def __init__(self, names: dict[str, Any], connection: socket.socket, peer: int) -> None:
        self.names, self.connection, self.peer = names, connection, peer
        self.unit = Unit(names)

    def made(self, kind: int, **fields: Any) -> bytes:
        return bytes(self.names["DoIP"](payload_type=kind, **fields))

    def message(self, source: int, target: int, data: bytes) -> bytes:
        doip, uds = self.names["DoIP"], self.names["UDS"]
        return bytes(doip(payload_type=0x8001, source_address=source, target_address=target) / uds(data))

    def serve(self) -> None:
        rest = b""
        while data := self.connection.recv(4096):
            rest += data
            while (whole := self.names["DoIP"].tcp_reassemble(rest, {}, {})) is not None:
                length = 8 + int.from_bytes(rest[4:8], "big")
                said = {"kind": whole.payload_type, "hex": rest[:length].hex()}
                rest = rest[length:]
                if whole.payload_type == 0x8001:
                    said |= {
                        "to": whole.target_address,
                        "from": whole.source_address,
                        "uds": bytes(whole.payload).hex(),
                    }
                tell({"peer": self.peer, **said})
                self.react(whole)

    def react(self, heard: Any) -> None:
        if heard.payload_type == 0x0005:
            self.activate(heard.source_address)
        if heard.payload_type == 0x8001:
            for piece in self.answers(heard.source_address, heard.target_address, bytes(heard.payload)):
                self.connection.sendall(piece)

    def activate(self, tester: int) -> None:
        if tester == 0x0FF0:
            return
        if tester == 0x0FF1:
            raise ConnectionError
        if tester == 0x0FF2:
            self.connection.sendall(self.made(0x0007))
        if tester == 0x0FF3:
            self.connection.sendall(NONSENSE)
            return
        code = tester & 0xFF if 0x0F00 <= tester < 0x0FF0 else 0x10
        self.connection.sendall(
            self.made(
                0x0006,
                logical_address_tester=tester,
                logical_address_doip_entity=ENTITY,
                routing_activation_response=code,
            )
        )

    def answers(self, tester: int, unit: int, request: bytes) -> Iterator[bytes]:
        """What goes out because of one request, piece by piece."""
        refusal = {1: None, 3: None, 4: None, 7: 0x0000}.get(unit // PART, 0x8003)
        if refusal == 0x0000:
            yield self.made(0x0000, nack=unit % PART)
            return
        if refusal == 0x8003:
            code = unit % PART if unit // PART == 6 else 3
            yield self.made(
                0x8003, source_address=unit, target_address=tester, nack_code=code, previous_msg=request[:2]
            )
            return
        yield self.made(0x8002, source_address=unit, target_address=tester, ack_code=0, previous_msg=request)
        whole = self.message(unit, tester, self.unit.answer(request, unit))
        if unit // PART in (3, 4):
            yield whole[: unit % PART]
            if unit // PART == 3:
                raise ConnectionError
            return
        yield from self.before(unit, tester, request)
        if unit not in SILENT:
            yield from (bytes([one]) for one in whole) if unit == 0x1007 else (whole,)

    def before(self, unit: int, tester: int, request: bytes) -> Iterator[bytes]:
        """What is sent before an answer."""
        if unit == 0x1002:
            for _ in range(3):
                yield self.message(unit, tester, self.unit.refused(request[0], 0x78))
                time.sleep(0.15)
        if unit == 0x1003:
            yield self.made(0x0007)
        if unit == 0x1004:
            wrong = self.unit.read(int.from_bytes(request[1:3], "big"), b"0" * 17)
            for source, target in ((0x1001, tester), (unit, ELSEWHERE), (unit, unit), (tester, unit)):
                yield self.message(source, target, wrong)
        if unit == 0x1008:
            yield NONSENSE
        if unit == 0x1009:
            yield self.made(0x8001, source_address=unit, target_address=tester, payload_length=0x7FFFFFFF)
        if unit == 0x100B:
            yield from (self.made(kind) for kind in (0x8004, 0x9000, 0xFFFF, 0x0009))
        if unit == 0x1006:
            raise ConnectionError


def tell(what: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(what) + "\n")
    sys.stdout.flush()


def built(names: dict[str, Any]) -> dict[str, str]:
    """Messages that a tester sends, as the library builds them."""
    doip, uds = names["DoIP"], names["UDS"]
    asked = {"source_address": 0x0E00, "target_address": 0x1001}
    packets = {
        "activation": doip(payload_type=0x0005, source_address=0x0E00, activation_type=0),
        "activation of 0E80": doip(payload_type=0x0005, source_address=0x0E80, activation_type=0),
        "alive": doip(payload_type=0x0008, source_address=0x0E00),
        "vin": doip(payload_type=0x8001, **asked) / uds() / names["UDS_RDBI"](identifiers=[0xF190]),
        "codes": doip(payload_type=0x8001, **asked) / uds() / names["UDS_RDTCI"](reportType=0x02, DTCStatusMask=0xAF),
        "clear": doip(payload_type=0x8001, **asked)
        / uds()
        / names["UDS_CDTCI"](groupOfDTCHighByte=0xFF, groupOfDTCMiddleByte=0xFF, groupOfDTCLowByte=0xFF),
    }
    return {name: bytes(packet).hex() for name, packet in packets.items()}


def main() -> None:
    signal.alarm(LASTING_S)
    names = library()
    with socket.create_server(("127.0.0.1", 0)) as listening:
        tell({"port": listening.getsockname()[1], "built": built(names)})
        while True:
            connection, (_, peer) = listening.accept()
            with connection:
                connection.settimeout(LASTING_S)
                connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                with contextlib.suppress(ConnectionError):
                    Gateway(names, connection, peer).serve()
            tell({"peer": peer, "closed": True})


if __name__ == "__main__":
    main()
