"""What is said of a car's tyres, for every edge: in one line, corner by corner, and what to do next."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from wheelside.garage.words import Corner
from wheelside.said import Said, count, say
from wheelside.watch.says import TyreVerdict, more, sentence, short

if TYPE_CHECKING:  # the database's library comes with it: a sheet of a garage file needs none
    from wheelside.jobs.work.tyres import TyreAt
    from wheelside.watch.judge import RefillAsked


@dataclass(frozen=True, slots=True)
class Corner4:
    """One corner: its wheel, what it reads, and the sentence, short, what more there is of a loss, and whole. `care`: something is to be done."""

    corner: Corner | None
    wheel: str
    name: str
    reads: Said | None
    says: Said
    more: Said | None
    whole: Said
    care: bool


def corners_said(tyres: Iterable[TyreAt], today: date) -> tuple[Corner4, ...]:
    """Corner by corner."""
    return tuple(_corner(t, today) for t in tyres)


def _corner(t: TyreAt, today: date) -> Corner4:
    one = t.says
    reads = say("{reads}", reads=one.reads) if one.reads is not None else None
    beside = more(one) if one.loss is not None else None
    return Corner4(t.corner, t.wheel, t.name, reads, short(one, today), beside, sentence(one, today), one.grave)


@dataclass(frozen=True, slots=True)
class BesideAsk:
    """What stands beside a pressure that is asked for: the wheel's name, and what is said of its tyre."""

    name: str
    says: Said

    @property
    def named(self) -> Said:
        """The same where several wheels are asked about at once."""
        return say("{wheel}: {says}", wheel=self.name, says=self.says)


def beside_asks(tyres: Iterable[TyreAt], wheels: Collection[str], today: date) -> dict[str, BesideAsk]:
    """What stands beside pressures that are asked for, by wheel: of tyres that were read, and are not normal."""
    told = (
        t
        for t in tyres
        if t.wheel in wheels and (t.says.grave or (t.read and t.says.verdict is TyreVerdict.NOT_PROVEN))
    )
    return {
        t.wheel: BesideAsk(t.name, say("▲ {says}" if t.says.grave else "{says}", says=short(t.says, today)))
        for t in told
    }


def filled_question(t: TyreAt, asked: RefillAsked) -> Said:
    """The question whether somebody let air in."""
    return say("Was air let into {wheel} before {day}? It rose by {rise}.", wheel=t.name, day=asked.day, rise=asked.kpa)


def headline(tyres: Sequence[TyreAt], today: date) -> tuple[Said, tuple[Said, ...]]:
    """The one line that a car's tyres come to, the gravest first, and what else is to be said of them."""
    from wheelside.jobs.work.tyres import losing

    grave = losing(tyres)
    if grave:
        lines = [say("{wheel} {says}", wheel=t.name, says=short(t.says, today)) for t in grave]
        first = more(grave[0].says) if grave[0].says.loss is not None else None
        return lines[0], (*((first,) if first is not None else ()), *lines[1:])
    if not any(t.read for t in tyres):
        return say("No pressures noted yet."), ()
    open_ones = [t for t in tyres if t.says.verdict is TyreVerdict.NOT_PROVEN]
    if not open_ones:
        return count(len(tyres), "It is normal.", "All {n} normal."), ()
    days = [t.says.again or today for t in open_ones]
    if min(days) <= today:
        return say("Not proven yet. Check them today."), ()
    return say("Not proven yet. Check again on {day}.", day=min(days)), ()
