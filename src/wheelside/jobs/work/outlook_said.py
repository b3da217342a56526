"""What agenda and pages say of how long sensors and treads last, of renewing sensors and of exchanging wheels."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import reduce

from wheelside.fit.treads import TyreWear, exchange_of, tyres_due, wear_of_set
from wheelside.garage.lasting import SetLives, car_for, comes_off, set_lives, years_from
from wheelside.garage.model import Car
from wheelside.garage.present import Present
from wheelside.identity.renewals import Renewal, renewal
from wheelside.said import Depth, Figure, Joined, Said, count, listed, say
from wheelside.tyre.uneven import Across
from wheelside.units import Length

YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class SetLasts:
    """What is known of how long a set lasts, and what is said of it: its sensors, and its treads, the one that is used up first before others."""

    lives: SetLives | None = None
    sensors: Said | None = None
    worn: tuple[TyreWear, ...] = ()
    treads: Said | None = None


def set_lasts(now: Present, set_id: str) -> SetLasts:
    """How long a set lasts; nothing of what is not known, or of a set that is gone."""
    garage, wheel_set = now.garage, now.garage.sets.get(set_id)
    if wheel_set is None or wheel_set.on_offer or wheel_set.gone_by(now.day):
        return SetLasts()
    lives, car = set_lives(now).get(set_id), car_for(now, set_id)
    found = SetLasts(lives, sensors_said(now, lives) if lives is not None else None)
    worn = wear_of_set(garage, wheel_set, car, now.day)
    if not worn or car is None:
        return found
    depth, day = Depth(Length(worn[0].used_up.mm)), worn[0].used_up.day
    said = say("Tyres reach {depth} of tread about {day}. {more}", depth=depth, day=day, more=tread_said(worn, car))
    return replace(found, worn=worn, treads=said)


def sensors_said(now: Present, lives: SetLives) -> Said:
    """How likely a sensor of a set fails soon, and what renewing them costs."""
    off = tyres_due(now.garage, now.garage.sets[lives.set], car_for(now, lives.set), now.day)
    return say("{chance} {renewal}", chance=chance_said(now, lives), renewal=renewal_said(now, lives, off))


def chance_said(now: Present, lives: SetLives) -> Said:
    """The chance that any sensor of a set fails before the change that takes it off; within a year, where no such change is known."""
    day = comes_off(now, lives.set) or now.day + YEAR
    found = lives.within(years_from(now.day, day))
    return count(
        len(found.each), "The chance that it fails before {day}: {share} %.", "The chance that one of {n} or more fails before {day}: {share} %.",
        day=day, share=Figure(100 * found.any, 0),
    )  # fmt: skip


def renewal_said(now: Present, lives: SetLives, off: date | None) -> Said:
    """What either way of renewing is expected to cost, and so what to do."""
    found = renewal(now, lives, off)
    advice = say(
        "Change them together with the next tyres, rather than one each winter."
        if found.weighed.together_pays
        else "Change each as it fails."
    )
    return say("{costs} {advice}", costs=_costs(found, now.day), advice=advice)


def _costs(found: Renewal, today: date) -> Said:
    off = say("now") if found.off == today else say("on {day}", day=found.off)
    return say(
        "Until {until}: one by one about {singly}, all at once with the tyres off {off} about {together}.",
        until=found.until, singly=found.singly, together=found.together, off=off,
    )  # fmt: skip


def tread_said(worn: tuple[TyreWear, ...], car: Car) -> Said:
    """Which tyre of a set is used up first and between which days, what is worn unevenly, and which exchange evens it."""
    first = worn[0].used_up
    parts = [
        say(
            "The {corner} one first: 9 of 10 between {earliest} and {latest}.",
            corner=worn[0].corner.value,
            earliest=first.earliest,
            latest=first.latest,
        )
    ]
    parts += [
        say("The {corner} one is {worn}.", corner=one.corner.value, worn=say(one.across.words))
        for one in worn
        if one.across not in (None, Across.EVEN)
    ]
    found = exchange_of(worn, car)
    if found is not None:
        moves = listed([say("{a} to {b}", a=a.value, b=b.value) for a, b in found.moves], Joined.COMMA)
        apart = [Depth(Length(round(mm, 1))) for mm in (found.apart_mm, found.apart_else_mm)]
        parts.append(
            say(
                "Exchange wheels: {moves}. After 10,000 km treads are {apart} apart instead of {otherwise}.",
                moves=moves,
                apart=apart[0],
                otherwise=apart[1],
            )
        )
        if found.teach:
            parts.append(say("The car has to learn its corners then."))
    return reduce(lambda said, more: say("{said} {more}", said=said, more=more), parts)
