"""A control unit that nobody here wrote, in a process of its own: `python foreign_unit.py socket://127.0.0.1:9000`.

The only place that imports the library it is made of; it ends by itself after half a minute.
"""

from __future__ import annotations

import sys
from typing import Any

LASTING_S = 30
VIN = b"1HGCM82633A004352"
IDS = bytes.fromhex("80000001 80000002 FFFFFFFF 80000004")
CODES = bytes.fromhex("59 02 FF C0770B09 C0780D08")
NO_CODES = bytes.fromhex("59 02 FF")


def main(channel: str) -> None:
    import scapy.config

    conf: Any = scapy.config.conf
    conf.contribs["CANSocket"] = {"use-python-can": True}
    conf.contribs["ISOTP"] = {"use-can-isotp-kernel-module": False}
    import scapy.main

    main_: Any = scapy.main
    names: dict[str, Any] = {}
    for module in ("automotive.uds", "automotive.uds_ecu_states", "isotp"):
        main_.load_contrib(module, globals_dict=names)
    import scapy.contrib.automotive.ecu
    import scapy.contrib.cansocket_python_can
    import scapy.contrib.isotp

    ecu: Any = scapy.contrib.automotive.ecu
    isotp: Any = scapy.contrib.isotp
    sockets: Any = scapy.contrib.cansocket_python_can
    uds = names["UDS"]
    cleared: list[bool] = []

    def asks(*head: int) -> Any:
        def answers(_response: Any, request: Any) -> bool:
            return bytes(request)[: len(head)] == bytes(head)

        return answers

    def clears(_response: Any, request: Any) -> bool:
        if bytes(request) == b"\x14\xff\xff\xff":
            cleared.append(True)
            return True
        return False

    def lists_codes(empty: bool) -> Any:
        def answers(_response: Any, request: Any) -> bool:
            return bytes(request)[:2] == b"\x19\x02" and bool(cleared) is empty

        return answers

    states = [ecu.EcuState(session=session) for session in range(256)]
    rows = [
        (b"\x62\xf1\x90" + VIN, asks(0x22, 0xF1, 0x90)),
        (b"\x62\x21\x10" + IDS, asks(0x22, 0x21, 0x10)),
        (NO_CODES, lists_codes(True)),
        (CODES, lists_codes(False)),
        (bytes.fromhex("7F 19 12"), asks(0x19)),
        (b"\x54", clears),
        (bytes.fromhex("7F 14 31"), asks(0x14)),
        (bytes.fromhex("7F 22 31"), asks(0x22)),
    ]
    responses = [ecu.EcuResponse(states, responses=uds(data), answers=answers) for data, answers in rows]
    bus = sockets.PythonCANSocket(interface="slcan", channel=channel, bitrate=500_000)
    with isotp.ISOTPSoftSocket(bus, tx_id=0x748, rx_id=0x740, basecls=uds, padding=True) as socket:
        sys.stdout.write("ready\n")
        sys.stdout.flush()
        ecu.EcuAnsweringMachine(
            supported_responses=responses, main_socket=socket, basecls=uds, verbose=False, timeout=LASTING_S
        )()


if __name__ == "__main__":
    main(sys.argv[1])
