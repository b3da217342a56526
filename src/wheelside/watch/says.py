"""The one sentence about a tyre. Every screen, the calendar, sheets and proofs ask here.

What must not be driven stands first, whatever the estimate says; then what is too low; a loss; what is not proven yet; normal.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.finding import Basis, Ground
from wheelside.said import Coded, Said, say
from wheelside.units import GaugePressure, PressureSpan
from wheelside.watch.columns import DAYS_PER_MONTH
from wheelside.watch.lamp_day import LampDays

STOP_KPA = 150.0
"""A tyre that reads less by gauge is not driven on. Judgement; no normal car's cold pressure is so low."""
SURE = 0.85
"""From this chance on a tyre is said to lose air: at most 1.25 false alarms in 20 car-years of `benchmarks/watching.py`."""
MAYBE = 0.2
"""From this chance on it is not called normal."""
TELLS = 7.0
"""How near readings have to tell a loss before a tyre is called normal, kPa a month, standard deviation. Judgement."""
OLD_DAYS = 35
"""A last reading that is older proves nothing: five weeks, judgement."""
LOW_SHARE = 0.8
"""A tyre is too low below this share of what it is to read, where the load that it carries is not known: the fall of UN R141."""
BASIS = Basis(
    Ground.JUDGEMENT,
    "a leak is said from a chance of 70 in 100 on; normal up to 14 kPa (2 psi) a month, GAO-07-246R, and from readings of five weeks",
)


class TyreVerdict(Coded):
    """What is said of a tyre, the gravest first."""

    STOP = "stop"
    TOO_LOW = "too-low", "too low"
    LOSES = "loses", "loses air"
    NOT_PROVEN = "not-proven", "not proven yet"
    NORMAL = "normal"


GRAVITY = tuple(TyreVerdict)
GRAVE = frozenset({TyreVerdict.STOP, TyreVerdict.TOO_LOW, TyreVerdict.LOSES})
"""Those of which something is to be done now."""


@dataclass(frozen=True, slots=True)
class LossSaid:
    """A loss a month, the interval that holds it nine times in ten, and since when. `from_first`: it lost from the first reading on."""

    month: PressureSpan
    least: PressureSpan
    most: PressureSpan
    since: date
    from_first: bool


@dataclass(frozen=True, slots=True)
class TyreSays:
    """What is said of one tyre. `wheel`: its id; `reads`: what it reads cold, by what read it last;
    `read_on`: the last reading's day.

    `flat`: it looks flat; `set_to`: for a tyre that is too low, by the gauge in hand, None where no figure can be had; `loss`: where it
    loses, whatever stands first; `lamp`: when the lamp comes; `again`: on which day to look again. `chance`: that it leaks.
    `rate`: its loss a month, nine times in ten between these, where its readings tell it. `stored`: it is on no car, so that it carries
    nothing and nobody drives on it: neither 'stop' nor 'too low' is said of it.
    """

    wheel: str
    verdict: TyreVerdict
    flat: bool = False
    reads: GaugePressure | None = None
    read_on: date | None = None
    set_to: GaugePressure | None = None
    loss: LossSaid | None = None
    lamp: LampDays | None = None
    again: date | None = None
    chance: float = 0.0
    rate: tuple[PressureSpan, PressureSpan] | None = None
    stored: bool = False

    @property
    def grave(self) -> bool:
        """Whether something is to be done now."""
        return self.verdict in GRAVE

    @property
    def rank(self) -> int:
        """The gravest first."""
        return GRAVITY.index(self.verdict)


def sentence(one: TyreSays, today: date) -> Said:
    """The sentence of a tyre, whole: what is said of it, and of a loss how sure that is and when the lamp comes."""
    return _lies_low(one, _whole(one, today))


def short(one: TyreSays, today: date) -> Said:
    """What is said of a tyre, without how sure a loss is and without the lamp's days."""
    return _lies_low(one, _first(one, today))


def _lies_low(one: TyreSays, said: Said) -> Said:
    """With what is said of a tyre that is put away with little air: that may be on purpose, and is no reason to drive on it."""
    if not one.stored or one.reads is None or one.reads.kpa >= STOP_KPA:
        return said
    return say("{said}; reads {reads}: on no car before it is known why", said=said, reads=one.reads)


def _whole(one: TyreSays, today: date) -> Said:
    first, loss = _first(one, today), one.loss
    if loss is None:
        return first
    if one.verdict is TyreVerdict.LOSES:
        return say("{first}: {more}", first=first, more=more(one))
    return say("{first} It {loses}: {more}", first=first, loses=_loses(loss), more=more(one))


def _first(one: TyreSays, today: date) -> Said:
    if one.verdict is TyreVerdict.STOP:
        if one.flat:
            return say("looks flat: do not drive.")
        return say("reads {reads}: do not drive.", reads=one.reads)
    if one.verdict is TyreVerdict.TOO_LOW:
        if one.set_to is None:
            return say("is too low for what it carries: pump it up before driving.")
        return say("is too low for what it carries: set it to {set_to} before driving.", set_to=one.set_to)
    if one.verdict is TyreVerdict.LOSES and one.loss is not None:
        return _loses(one.loss)
    if one.verdict is TyreVerdict.NOT_PROVEN:
        if one.again is None or one.again <= today:
            return say("not proven yet: look today")
        return say("not proven yet: look again on {day}", day=one.again)
    return say("normal")


def more(one: TyreSays) -> Said:
    """Of a loss how sure it is, since when, and the lamp's days; of anything else nothing."""
    loss = one.loss
    if loss is None:
        return say("")
    least, most = (PressureSpan(p.kpa / _share(loss)) for p in (loss.least, loss.most))
    sure = say("{least} to {most}", least=least, most=most)
    if not loss.from_first:
        sure = say("{sure}, since {since}", sure=sure, since=loss.since)
    lamp = _lamp(one.lamp)
    return sure if lamp is None else say("{sure}. {lamp}", sure=sure, lamp=lamp)


FAST_KPA = 100.0
"""A loss of so much a month is told by the day."""


def _share(loss: LossSaid) -> float:
    return DAYS_PER_MONTH if loss.month.kpa >= FAST_KPA else 1.0


def _loses(loss: LossSaid) -> Said:
    rate = PressureSpan(loss.month.kpa / _share(loss))
    return say("loses {rate} a day" if loss.month.kpa >= FAST_KPA else "loses {rate} a month", rate=rate)


def _lamp(lamp: LampDays | None) -> Said | None:
    if lamp is None or lamp.early is None:
        return None
    if lamp.late is None:
        return say("Lamp: from {early} on", early=lamp.early)
    if lamp.early == lamp.late:
        return say("Lamp: {early}", early=lamp.early)
    return say("Lamp: {early} to {late}", early=lamp.early, late=lamp.late)
