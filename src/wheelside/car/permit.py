"""What may be sent to a control unit at all. Whatever is not listed here does not leave this program.

Security access (27), authentication (29), resets (11), communication control (28), code setting off (85), input and output control (2F),
transfers (34 to 37) and memory (23, 3D) are in none of the lists: nothing here unlocks, silences or forges.
"""

from __future__ import annotations

from enum import StrEnum

from wheelside.errors import BadRequest


class Permit(StrEnum):
    """How far a conversation may go; each also allows what those before it do."""

    READ = "read"
    CLEAR = "clear"
    TEACH = "teach"


_READ = frozenset((0x01, 0x02, 0x03, 0x07, 0x09, 0x0A, 0x19, 0x22))
_DEFAULT_SESSION, _EXTENDED_SESSION = 0x01, 0x03
FIRST_RESERVED_LIST, FIRST_RESERVED_ROUTINE = 0xF000, 0xE000
"""From these on ISO 14229-1 has identifiers and routines of its own, and some that it leaves to suppliers: identification and live values (the
VIN), airbag deployment, erasing memory (ranges from memory). No port card can have them written or started."""


class NotPermitted(BadRequest):
    """A request that this conversation may not send."""


def check(
    request: bytes, permit: Permit, routines: frozenset[int] = frozenset(), lists: frozenset[int] = frozenset()
) -> None:
    """Raises NotPermitted for a request that may not be sent. `routines`, `lists`: what a port card names for teaching."""
    if not request or not _allowed(request, permit, routines, lists):
        raise NotPermitted(
            f"a request {request[:2].hex(' ').upper()} is not sent: this conversation may {permit.value} only",
            found=request[:2].hex(),
            expected="a request that reads",
        )


def _allowed(request: bytes, permit: Permit, routines: frozenset[int], lists: frozenset[int]) -> bool:
    service, rest = request[0], request[1:]
    if service in _READ:
        return True
    if service in (0x04, 0x14):
        return permit is not Permit.READ
    if permit is not Permit.TEACH:
        return False
    if service == 0x10:
        return rest in (bytes([_DEFAULT_SESSION]), bytes([_EXTENDED_SESSION]))
    if service == 0x3E:
        return rest in (b"\x00", b"\x80")
    if service == 0x2E:
        identifier = int.from_bytes(rest[:2], "big")
        return identifier in lists and identifier < FIRST_RESERVED_LIST and len(rest) > 2
    if service == 0x31:
        routine = int.from_bytes(rest[1:3], "big")
        return len(rest) >= 3 and rest[0] in (1, 2, 3) and routine in routines and routine < FIRST_RESERVED_ROUTINE
    return False
