"""What is said, how serious it is, what it rests on, and what can be done about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.said import Begun, Coded, Key, Listing, Said, Table, say


class Ground(Coded):
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
    source: str | Said = ""

    @property
    def said(self) -> Said:
        """Both, to be put into words."""
        return (
            say("{ground}: {source}", ground=self.ground, source=self.source) if self.source else say(self.ground.words)
        )


class Weight(Coded):
    """How serious a finding is."""

    FORBIDDEN = "must not"
    WARNING = "take care"
    ASK = "find out"
    NOTE = "note"


class WayKind(Coded):
    """What a way out is."""

    NOTE = "note", "note a fact"
    FIND_OUT = "find-out", "find something out"
    PLAN = "plan-again", "plan again"
    VOUCH = "vouch", "give your word"
    STORE = "store-elsewhere", "keep it somewhere else"
    BUY = "buy", "buy or get something"
    WAIT = "wait", "wait"
    WORK = "work", "do something at wheel or car"
    LEAVE = "leave", "leave it"


@dataclass(frozen=True, slots=True)
class Way:
    """A way out: what kind it is, and what to do. The facts that it asks to note are values of what is said.

    >>> note(say("note {key}", key=Key("car", "when_full", "c1"))).keys
    (Key(table='car', key='when_full', row='c1'),)
    """

    kind: WayKind
    said: Said

    @property
    def keys(self) -> tuple[Key | Table, ...]:
        """The facts and tables that it names, in their order."""
        return tuple(_places(self.said))


def _places(value: object) -> Iterator[Key | Table]:
    if isinstance(value, Key | Table):
        yield value
    for part in _parts(value):
        yield from _places(part)


def _parts(value: object) -> tuple[object, ...]:
    if isinstance(value, Listing):
        return value.parts
    if isinstance(value, Begun):
        return (value.said,)
    return tuple(v for _, v in value.values) if isinstance(value, Said) else ()


def note(said: Said) -> Way:
    """Noting a fact, as a way out."""
    return Way(WayKind.NOTE, said)


@dataclass(frozen=True, slots=True)
class Finding:
    """One statement: about what, how serious, what is so, and what it rests on.

    `code` is stable across versions, for programs that read `--json`. `way_out` says what the
    person can do; it is None only for notes.
    """

    weight: Weight
    code: str
    about: str | Said
    text: Said
    basis: tuple[Basis, ...]
    way_out: Way | None = None


COMMON_PRACTICE = Basis(Ground.PRACTICE, "no source")
