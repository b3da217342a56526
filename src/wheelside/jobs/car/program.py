"""Which program this is, so that another one can tell whether it is still there."""

from __future__ import annotations

import os
from functools import lru_cache
from pathlib import Path

_PROC = Path("/proc")


def this_program() -> str:
    """A mark of this program: the machine's start, its space of processes, its number and when it began; '' where the system does not tell."""
    try:
        return f"{_machine()} {os.getpid()} {_began(os.getpid())}"
    except (OSError, IndexError):
        return ""


def has_ended(mark: str) -> bool:
    """Whether the program of a mark is known to have ended; not where it ran on another machine, or the system does not tell."""
    *machine, number, began = mark.split() or ("", "")
    try:
        if not number.isdecimal() or " ".join(machine) != _machine():
            return False
    except OSError:
        return False
    try:
        return _began(int(number)) != began
    except (OSError, IndexError):
        return True


@lru_cache(maxsize=1)
def _machine() -> str:
    return f"{(_PROC / 'sys/kernel/random/boot_id').read_text(encoding='ascii').strip()} {(_PROC / 'self/ns/pid').readlink()}"


def _began(number: int) -> str:
    """When a process began, in ticks since the machine's start; one that is dead and not yet collected has ended. Raises OSError, IndexError."""
    fields = (_PROC / str(number) / "stat").read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
    return "" if fields[0] in "ZX" else fields[19]
