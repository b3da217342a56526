"""How far the car's lamp is from the tyre that is nearest to it: one line of the air card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.air.gas import gauge_elsewhere
from wheelside.air.loss import loss_over
from wheelside.fill.card import AirCard, WheelSetting
from wheelside.fill.lamp import OWN_RULE, LampDue, kept_at, the_cars
from wheelside.fill.situation import LEAST_TOLD_KPA, Situation
from wheelside.garage.model import Car
from wheelside.garage.words import Corner, Monitor
from wheelside.units import GaugePressure, PressureSpan


@dataclass(frozen=True, slots=True)
class Nearest:
    """Of the tyres that come nearest to the lamp once set: where they are, and how near; readings by the gauge in hand, cold.

    `above`: how far they read above the limit in use, nought or less where the lamp may be lit there. `later`: what they read on the
    coldest morning, after the most normal loss until the next check; `later_due`: whether the lamp may be lit by then. `all_alike`:
    whether all that the car watches are that near. `own`: whether the limit is the car's own rule; a standard's is where it must be
    lit at the latest.
    """

    corners: tuple[Corner, ...]
    wheels: tuple[str, ...]
    all_alike: bool
    rule: str
    own: bool
    limit: GaugePressure
    reads: GaugePressure
    above: PressureSpan
    later: GaugePressure
    later_due: bool


def nearest_lamp(car: Car, card: AirCard) -> Nearest | None:
    """The tyres that are nearest to the lamp; None where there is none that goes by pressures, or no figure."""
    s = card.situation
    watched = [w for w in card.wheels if w.corner is not Corner.SPARE or car.spare_counted is not False]
    if s is None or car.monitor is Monitor.INDIRECT or not any(w.lamp for w in watched):
        return None
    margins = sorted(_margins(watched), key=lambda one: one[0])
    least, first, due = margins[0]
    near = {w.wheel for above, w, _ in margins if above - least < LEAST_TOLD_KPA}
    alike = tuple(w for w in watched if w.wheel in near)
    return Nearest(
        corners=tuple(w.corner for w in alike),
        wheels=tuple(w.wheel for w in alike),
        all_alike=len(alike) == len(watched),
        rule=due.rule,
        own=due.rule == OWN_RULE,
        limit=due.cold_limit + s.gauge_bias,
        reads=first.reads.gauge_there,
        above=PressureSpan(least),
        later=_later(s, first),
        later_due=any(one.before_check for w in watched for one in w.lamp),
    )


def _margins(watched: list[WheelSetting]) -> Iterator[tuple[float, WheelSetting, LampDue]]:
    """How far each tyre reads above each limit in use, in kPa."""
    for w in watched:
        for due in the_cars(w.lamp):
            yield (w.reads.true_there - due.cold_limit).kpa, w, due


def _later(s: Situation, w: WheelSetting) -> GaugePressure:
    loss = loss_over(w.own, s.next_check, s.coldest, kept_at(s))[1] if s.next_check else PressureSpan(0.0)
    return gauge_elsewhere(w.set_to, s.now, s.air_here, s.coldest, s.air_there) + s.gauge_bias + -loss
