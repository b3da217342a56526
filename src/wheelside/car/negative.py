"""Negative responses of ISO 14229-1: what each means, and whether asking again makes sense."""

from __future__ import annotations

from wheelside.car.frames import UnitTrouble

_SAID = {
    0x10: "refuses without saying why", 0x11: "does not know this service", 0x12: "does not know this sub-function",
    0x13: "finds the request of the wrong length or form", 0x14: "would have too long an answer", 0x21: "is busy",
    0x22: "says that conditions are not right", 0x24: "expected other steps before", 0x25: "got no answer from a part behind it",
    0x26: "can't do it for a fault", 0x31: "does not know this identifier, or not this value", 0x33: "wants security access",
    0x34: "wants authentication", 0x35: "did not take the key", 0x36: "had too many tries", 0x37: "wants a pause before another try",
    0x70: "takes nothing in", 0x71: "broke the transfer off", 0x72: "failed while storing", 0x73: "counted another block",
    0x78: "needs more time", 0x7E: "does not do this in the present session", 0x7F: "does not do this service in the present session",
    0x81: "finds the engine too fast", 0x82: "finds the engine too slow", 0x83: "finds the engine running",
    0x84: "finds the engine not running", 0x88: "finds the car too fast", 0x89: "finds the car too slow", 0x92: "finds the voltage too high",
    0x93: "finds the voltage too low",
}  # fmt: skip
PENDING, BUSY, OTHER_STEPS = 0x78, 0x21, 0x24
MAY_HAVE_ACTED = (0x10, 0x25, 0x26, 0x72)
"""Refusals that may come after something was done already; the others come of looking at a request. Judgement."""


class Refused(UnitTrouble):
    """A control unit refused a request. `service` and `code` are the bytes of the negative response 7F."""

    def __init__(self, service: int, code: int) -> None:
        super().__init__(refusal(service, code))
        self.service = service
        self.code = code


def refusal(service: int, code: int) -> str:
    """That a unit refused, and why, in words."""
    return f"the unit refused {service:02X}: it {said(code)} ({code:02X})"


def said(code: int) -> str:
    """What a negative response code says, as the end of 'it …'."""
    return _SAID.get(code, "refuses in a way of its maker's own")
