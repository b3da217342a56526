"""How long sensors last, and from which age on one plans for it. The one home of these rules: plan, fit, sheet and agenda ask here.

Their lives are taken as Weibull: of sensors of an age a, 1 − exp(−(a / life)^shape) have failed.
"""

from __future__ import annotations

import math
from datetime import date, timedelta

from wheelside.finding import Basis, Ground
from wheelside.said import Key, say
from wheelside.units.quantity import DAYS_PER_YEAR

LIFE_YEARS = 9.0
"""The age by which 63 of 100 have failed, where the owner names none; judgement. Half have by eight and a third."""
SHAPE = 5
"""Shape of the Weibull law; judgement."""
PLAN_SHARE = 0.25
"""Once so many have failed one plans for new ones; judgement."""

LIFE = Basis(
    Ground.DEFAULT,
    say(
        "judgement, beside 7 to 10 years that US rule-making expects of sensors; change {key}",
        key=Key("odds", "sensor_life"),
    ),
)


def age_years(first_used: date, day: date) -> float:
    """How long a sensor has been in use, in years; nothing before its first day."""
    return max(0, (day - first_used).days) / DAYS_PER_YEAR


def fails_within(age: float, years: float, life: float) -> float:
    """The chance that a sensor of this age that works fails within so many years.

    >>> round(fails_within(0.0, 7.0, 9.0), 2)
    0.25
    """
    return 1.0 - math.exp((age / life) ** SHAPE - ((age + years) / life) ** SHAPE)


def plan_from(life: float | None = None) -> int:
    """The whole years of use from which on one plans for a new sensor. `life`: the owner's own figure.

    >>> plan_from(9.0), plan_from(12.0)
    (7, 9)
    """
    share_of_life: float = (-math.log(1.0 - PLAN_SHARE)) ** (1.0 / SHAPE)
    return max(1, round((life or LIFE_YEARS) * share_of_life))


def near_end(age: float, life: float | None = None) -> bool:
    """Whether a sensor is so old that one plans for a new one."""
    return age >= plan_from(life)


def near_end_on(first_used: date, life: float | None = None) -> date:
    """The first day on which a sensor is that old."""
    return first_used + timedelta(days=math.ceil(plan_from(life) * DAYS_PER_YEAR))
