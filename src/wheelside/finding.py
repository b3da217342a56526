"""What is said, how serious it is, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Ground(StrEnum):
    """The kinds of ground that a statement can rest on, from firm to soft."""

    MEASURED = "measured"
    STANDARD = "standard"
    COMPUTED = "computed"
    OWNER = "owner's word"
    PRACTICE = "common practice"
    JUDGEMENT = "judgement"
    DEFAULT = "default"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Basis:
    """What a statement rests on: the kind of ground, and the clause, instrument or person."""

    ground: Ground
    source: str = ""

    def text(self) -> str:
        return f"{self.ground.value}: {self.source}" if self.source else self.ground.value


class Weight(StrEnum):
    """How serious a finding is."""

    FORBIDDEN = "must not"
    WARNING = "take care"
    ASK = "find out"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One statement: about what, how serious, in words, and what it rests on.

    `code` is stable across versions, for programs that read `--json`. `way_out` says what the
    person can do; it is empty only for notes.
    """

    weight: Weight
    code: str
    about: str
    text: str
    basis: tuple[Basis, ...]
    way_out: str = ""


COMMON_PRACTICE = Basis(Ground.PRACTICE, "no source")
