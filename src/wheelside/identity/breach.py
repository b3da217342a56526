"""One rule broken by a plan."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Breach:
    """A rule by name, the wheel, car, set or place at which a plan breaks it, and how."""

    rule: str
    about: str
    text: str
