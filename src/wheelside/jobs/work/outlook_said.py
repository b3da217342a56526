"""What agenda and pages say of how long sensors and treads last, of renewing sensors and of exchanging wheels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import reduce
from statistics import fmean

from wheelside.corner import Corner
from wheelside.fit.treads import TyreWear, exchange_of, tyres_due, wear_of_set
from wheelside.garage.lasting import SetLives, car_for, comes_off, set_lives, years_from
from wheelside.garage.model import Car
from wheelside.garage.present import Present
from wheelside.identity.renewals import Renewal, even_years, renewal
from wheelside.jobs.work.tyres import TyresNow
from wheelside.said import Depth, Figure, Joined, Said, count, listed, say
from wheelside.tyre.uneven import Across, borne_out
from wheelside.units import Length

YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class SetLasts:
    """What is known of how long a set lasts, and what is said of it: its sensors, from which age on all at once are cheaper, and its treads,
    the one that is used up first before others."""

    lives: SetLives | None = None
    sensors: Said | None = None
    even: Said | None = None
    worn: tuple[TyreWear, ...] = ()
    treads: Said | None = None


def set_lasts(
    now: Present, set_id: str, tyres: TyresNow | None = None, low_since: Mapping[str, date] | None = None
) -> SetLasts:
    """How long a set lasts; nothing of what is not known, or of a set that is gone.

    `tyres`: what was read of them, which wear is held against. `low_since`: since when sensors say that their battery is low.
    """
    garage, wheel_set = now.garage, now.garage.sets.get(set_id)
    if wheel_set is None or wheel_set.on_offer or wheel_set.gone_by(now.day):
        return SetLasts()
    lives, car, found = set_lives(now, low_since).get(set_id), car_for(now, set_id), SetLasts()
    if lives is not None:
        found = SetLasts(lives, sensors_said(now, lives), _even(now, lives))
    worn = wear_of_set(garage, wheel_set, car, now.day)
    if not worn or car is None:
        return found
    depth, day = Depth(Length(worn[0].used_up.mm)), worn[0].used_up.day
    more = tread_said(worn, car, over_placard(worn, car, tyres))
    said = say("Tyres reach {depth} of tread about {day}. {more}", depth=depth, day=day, more=more)
    return replace(found, worn=worn, treads=said)


def sensors_said(now: Present, lives: SetLives) -> Said:
    """How likely a sensor of a set fails soon, and what renewing them costs."""
    off = tyres_due(now.garage, now.garage.sets[lives.set], car_for(now, lives.set), now.day)
    return say("{chance} {renewal}", chance=chance_said(now, lives), renewal=renewal_said(now, lives, off))


def _even(now: Present, lives: SetLives) -> Said | None:
    """From which age on a set's sensors are cheaper changed all at once; None where that is not known."""
    years = even_years(now, lives)
    if years is None:
        return None
    return say("With the tyres off anyway, all at once pays from an age of {years} years on.", years=Figure(years, 0))


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


def _uneven(one: TyreWear, across: Across, over: float | None) -> Said:
    """How a tyre is worn across, and whether its pressures bear that out."""
    said = say("The {corner} one is {worn}.", corner=one.corner.value, worn=say(across.words))
    borne = borne_out(across, over) if over is not None else None
    if borne is None:
        return said
    return say(
        "{said} Its pressures bear that out." if borne else "{said} Its pressures don't bear that out.", said=said
    )


def over_placard(worn: tuple[TyreWear, ...], car: Car, tyres: TyresNow | None) -> dict[Corner, float]:
    """By corner how far the mean of what was read of a tyre, as if at 15 °C, is above all that the placard has for its size, in kPa; negative: below.

    Only of tyres that were read twice or more, and whose size the placard has.
    """
    found: dict[Corner, float] = {}
    for one in worn:
        size = one.tyre.designation.size if one.tyre.designation else None
        rows = [getattr(row, one.corner.axle) for row in car.placard if row.tyre.size == size]
        placard = [cold.kpa for cold in rows if cold is not None]
        curve = tyres.curves.get(one.wheel) if tyres is not None else None
        if placard and curve is not None:
            mean = fmean(kpa for _, kpa, _ in curve.read)
            found[one.corner] = mean - min(max(mean, min(placard)), max(placard))
    return found


def tread_said(worn: tuple[TyreWear, ...], car: Car, over: Mapping[Corner, float] | None = None) -> Said:
    """Which tyre of a set is used up first and between which days, what is worn unevenly, and which exchange evens it.

    `over`: by corner how far above the placard a tyre was on the mean, in kPa, where that is known.
    """
    first = worn[0].used_up
    parts = [
        say(
            "The {corner} one first: 9 of 10 between {earliest} and {latest}.",
            corner=worn[0].corner.value,
            earliest=first.earliest,
            latest=first.latest,
        )
    ]
    known = over or {}
    parts += [
        _uneven(one, one.across, known.get(one.corner))
        for one in worn
        if one.across is not None and one.across is not Across.EVEN
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
