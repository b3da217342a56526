"""From when the lamp must be lit: at which tyre temperature, and after how many weeks of normal loss."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wheelside.air.gas import gauge_elsewhere, temperature_at
from wheelside.air.limits import TyreClass, un_limit, us_limit
from wheelside.air.loss import OwnLoss, WeeksRange, loss_over, weeks_until
from wheelside.fill.bounds import warmest_is_stated
from wheelside.fill.situation import Situation
from wheelside.finding import Basis, Ground
from wheelside.garage.kinds import WarningRule
from wheelside.garage.model import Car
from wheelside.garage.words import Monitor, Standard
from wheelside.tyre.designation import Designation
from wheelside.units import GaugePressure, PressureSpan, Temperature

OWN_RULE = "the car's own rule"
_UN_GAUGE, _UN_ABSOLUTE = "UN R141, floor as gauge", "UN R141, floor as absolute"
UN_RULES = frozenset({_UN_GAUGE, _UN_ABSOLUTE})
"""UN R141 under both readings of its floor."""


@dataclass(frozen=True, slots=True)
class LampDue:
    """One rule: the reading from which the lamp must be lit, and when that is reached.

    `cold_limit`: the same for a tyre that is still cold in use. `tyre_temperature`: at this one and below, with the air that is in the
    tyre now.
    `weeks`: of normal loss, or the tyre's own, from what it reads in use. `lowest`: what the tyre reads, counted the same way, at the coldest
    expected and after the most normal loss until the next check. These three are None on a car that goes by wheel speed: its limit is
    for one tyre that alone is low, for cold and loss take all four alike. `applies`: whether the car was approved to this rule, None
    where that is not known. The car may light the lamp earlier.
    """

    rule: str
    limit: GaugePressure
    counted: str
    tyre_temperature: Temperature | None
    weeks: WeeksRange | None
    lowest: GaugePressure | None
    applies: bool | None
    basis: Basis
    cold_limit: GaugePressure

    @property
    def before_check(self) -> bool:
        """Whether the car's lamp may be due by the next check, by cold and normal loss together."""
        return self.applies is not False and self.lowest is not None and self.lowest <= self.limit


def tyre_class(tyre: Designation) -> TyreClass | None:
    """The tyre's type in 49 CFR 571.138 Table 1; None for van tyres, whose load range is not on the designation."""
    if tyre.van or tyre.light_truck:
        return None
    return TyreClass.EXTRA if tyre.extra_load else TyreClass.STANDARD


def lamp_due(
    car: Car, s: Situation, set_to: GaugePressure, placard: GaugePressure, tyre: Designation, own: OwnLoss | None = None
) -> tuple[LampDue, ...]:
    """The lamp under 49 CFR 571.138, under UN R141 with both readings of its floor, and under the car's own rule. `own`: the tyre's own loss."""
    us = us_limit(placard, tyre_class(tyre))
    un = un_limit(placard, s.air_there)
    warm = temperature_at(un.warm, set_to, s.now, s.air_here, s.air_there)
    us_basis = _US if tyre_class(tyre) else _US_WITHOUT_TABLE
    is_us, is_un = _approved(car, Standard.US), _approved(car, Standard.UN)
    rules = [
        _due(s, set_to, "49 CFR 571.138", us, "of a cold tyre", s.use, is_us, us_basis, own),
        _due(s, set_to, _UN_GAUGE, un.floor_as_gauge, "of a warm tyre", warm, is_un, _UN, own),
        _due(s, set_to, _UN_ABSOLUTE, un.floor_as_absolute, "of a warm tyre", warm, is_un, _UN, own),
    ]
    if car.warns_at is not None:
        limit = own_limit(car.warns_at, placard, set_to)
        rules.append(_due(s, set_to, OWN_RULE, limit, "of a cold tyre", s.use, True, car.basis("warns_at"), own))
    if car.monitor is Monitor.INDIRECT:
        rules = [replace(one, tyre_temperature=None, weeks=None, lowest=None) for one in rules]
    return tuple(rules)


def rule_names(agreeing: Sequence[LampDue]) -> tuple[str, ...]:
    """The rules that agree, by name, each once; UN R141 without its floor where both readings of that are among them."""
    both = {one.rule for one in agreeing} >= UN_RULES
    return tuple(dict.fromkeys(Standard.UN.value if both and one.rule in UN_RULES else one.rule for one in agreeing))


def kept_at(s: Situation) -> Temperature:
    """The warmest that the tyres are kept at until the next check, as far as it is stated: warm tyres lose more."""
    return s.warmest if warmest_is_stated(s) else s.use


def the_cars(lamp: Sequence[LampDue]) -> tuple[LampDue, ...]:
    """The rules that the car's lamp goes by, as far as is known: its own, else that of its standard, else all that may be its."""
    own = tuple(one for one in lamp if one.rule == OWN_RULE)
    return own or tuple(one for one in lamp if one.applies) or tuple(one for one in lamp if one.applies is None)


def _approved(car: Car, standard: Standard) -> bool | None:
    return None if car.standard is None else car.standard is standard


_US = Basis(Ground.STANDARD, "49 CFR 571.138 S4.2(a), Table 1 from memory")
_US_WITHOUT_TABLE = Basis(
    Ground.STANDARD, "49 CFR 571.138 S4.2(a); Table 1 left out, for a van tyre's load range is not known"
)
_UN = Basis(
    Ground.STANDARD, "UN R141 from its 2009 draft: warm taken as 1.1 times cold, lit at 20 % below; 150 kPa floor"
)


def own_limit(rule: WarningRule, placard: GaugePressure, reference: GaugePressure) -> GaugePressure:
    """The pressure of the car's own rule; `reference` is what the tyre reads when the owner stores it."""
    if rule.pressure is not None:
        return rule.pressure
    assert rule.share is not None, "a warning rule is a share or a pressure"
    base = placard if rule.of == "placard" else reference
    return GaugePressure(base.kpa * (1.0 - rule.share.fraction))


def _due(
    s: Situation,
    set_to: GaugePressure,
    rule: str,
    limit: GaugePressure,
    counted: str,
    at: Temperature,
    applies: bool | None,
    basis: Basis,
    own: OwnLoss | None,
) -> LampDue:
    reads = gauge_elsewhere(set_to, s.now, s.air_here, at, s.air_there)
    colder = Temperature(at.kelvin - (s.use.kelvin - s.coldest.kelvin))
    loss = loss_over(own, s.next_check, colder, kept_at(s))[1] if s.next_check else PressureSpan(0.0)
    return LampDue(
        rule=rule,
        limit=limit,
        counted=counted,
        tyre_temperature=temperature_at(limit, set_to, s.now, s.air_here, s.air_there),
        weeks=weeks_until(own, reads - limit, at, kept_at(s)),
        lowest=gauge_elsewhere(set_to, s.now, s.air_here, colder, s.air_there) + -loss,
        applies=applies,
        basis=basis,
        cold_limit=gauge_elsewhere(limit, at, s.air_there, s.use, s.air_there),
    )
