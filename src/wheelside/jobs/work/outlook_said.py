"""What the agenda says of how long sensors last, and of renewing them."""

from __future__ import annotations

from datetime import date, timedelta

from wheelside.garage.lasting import SetLives, comes_off, years_from
from wheelside.garage.present import Present
from wheelside.identity.renewals import Renewal, renewal
from wheelside.said import Figure, Said, count, say

YEAR = timedelta(days=365)


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
