"""An adapter's settings, and the AT commands that change and tell them, as interpreter chips widely have them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from wheelside.demo.practice.wheels import Around

NAME = "OBDI v1.5"
DEVICE = "OBD INTERPRETER"
OK, UNKNOWN = "OK", "?"
CAN_11_500 = "6"
PROTOCOLS = {
    "0": "AUTO", "1": "SAE J1850 PWM", "2": "SAE J1850 VPW", "3": "ISO 9141-2", "4": "ISO 14230-4 (KWP 5BAUD)", "5": "ISO 14230-4 (KWP FAST)",
    "6": "ISO 15765-4 (CAN 11/500)", "7": "ISO 15765-4 (CAN 29/500)", "8": "ISO 15765-4 (CAN 11/250)", "9": "ISO 15765-4 (CAN 29/250)",
    "A": "SAE J1939 (CAN 29/250)", "B": "USER1 (CAN 11/125)", "C": "USER2 (CAN 11/50)",
}  # fmt: skip
TICK_S = 0.004
USUAL_TICKS = 0x32
"""The wait for answers, in ticks: 200 ms."""
ELEVEN_BITS = 0x7FF


@dataclass(slots=True)
class AdapterSettings:
    """What commands change. `spaces` and `line_feeds` start as a habit may want."""

    echo: bool = True
    line_feeds: bool = False
    spaces: bool = True
    headers: bool = False
    formatting: bool = True
    flow_control: bool = True
    protocol: str = "0"
    auto: bool = True
    found: str = ""
    header: int = 0x7DF
    only_from: int | None = None
    filter: int = 0x7E8
    mask: int = 0x7F8
    flow_mode: int = 0
    flow_header: int | None = None
    flow_data: bytes = b""
    ticks: int = USUAL_TICKS

    @property
    def now(self) -> str:
        """The protocol in use; '0' while it is searched for."""
        return self.found or self.protocol

    def hears(self, can_id: int) -> bool:
        """Whether messages with an identifier get through."""
        if self.only_from is not None:
            return can_id == self.only_from
        return can_id & self.mask == self.filter & self.mask


_FLAGS = {"E": "echo", "L": "line_feeds", "S": "spaces", "H": "headers", "CAF": "formatting", "CFC": "flow_control"}
_ID = r"(?:[0-9A-F]{3}|[0-9A-F]{8})"
_NO_EFFECT = re.compile(r"AL|NL|AR|M[01]|V[01]|AT[012]|KW[01]|PC")


@dataclass(slots=True)
class Chip:
    """The command interpreter. `fresh` makes the settings after a reset."""

    around: Around
    fresh: Callable[[], AdapterSettings]
    settings: AdapterSettings = field(init=False)

    def __post_init__(self) -> None:
        self.settings = self.fresh()

    def command(self, text: str) -> str:
        """What a command, without its AT, is answered with."""
        if text in ("Z", "WS", "D"):
            self.settings = self.fresh()
            return OK if text == "D" else NAME
        told = self._told(text)
        if told is not None:
            return told
        if _NO_EFFECT.fullmatch(text):
            return OK
        if flag := re.fullmatch(r"(E|L|S|H|CAF|CFC)([01])", text):
            setattr(self.settings, _FLAGS[flag[1]], flag[2] == "1")
            return OK
        return OK if self._protocol(text) or self._addressed(text) or self._flow(text) or self._wait(text) else UNKNOWN

    def _told(self, text: str) -> str | None:
        settings = self.settings
        known = PROTOCOLS[settings.now]
        answers = {
            "I": NAME,
            "@1": DEVICE,
            "RV": f"{self.around.supply_mv / 1000:.1f}V",
            "IGN": "ON" if self.around.ignition else "OFF",
            "DPN": ("A" if settings.auto else "") + settings.now,
            "DP": f"AUTO, {known}" if settings.auto and settings.now != "0" else known,
        }
        return answers.get(text)

    def _protocol(self, text: str) -> bool:
        said = re.fullmatch(r"[ST]P(A?)([0-9A-C])", text)
        if said:
            self.settings.protocol, self.settings.found = said[2], ""
            self.settings.auto = bool(said[1]) or said[2] == "0"
        return bool(said)

    def _addressed(self, text: str) -> bool:
        settings = self.settings
        if said := re.fullmatch(r"SH([0-9A-F]{3}|[0-9A-F]{6}|[0-9A-F]{8})", text):
            settings.header = int(said[1], 16) & ELEVEN_BITS
        elif said := re.fullmatch(rf"CRA({_ID})?", text):
            settings.only_from = int(said[1], 16) if said[1] else None
        elif said := re.fullmatch(rf"CF({_ID})", text):
            settings.filter, settings.only_from = int(said[1], 16), None
        elif said := re.fullmatch(rf"CM({_ID})", text):
            settings.mask, settings.only_from = int(said[1], 16), None
        return said is not None

    def _flow(self, text: str) -> bool:
        settings = self.settings
        if said := re.fullmatch(rf"FCSH({_ID})", text):
            settings.flow_header = int(said[1], 16)
        elif said := re.fullmatch(r"FCSD((?:[0-9A-F]{2}){1,5})", text):
            settings.flow_data = bytes.fromhex(said[1])
        elif said := re.fullmatch(r"FCSM([012])", text):
            mode = int(said[1])
            if (mode and not settings.flow_data) or (mode == 1 and settings.flow_header is None):
                return False
            settings.flow_mode = mode
        return said is not None

    def _wait(self, text: str) -> bool:
        said = re.fullmatch(r"ST([0-9A-F]{2})", text)
        if said:
            self.settings.ticks = int(said[1], 16) or USUAL_TICKS
        return bool(said)
