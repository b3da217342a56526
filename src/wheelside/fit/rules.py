"""Every rule, in the order in which they are told."""

from __future__ import annotations

from wheelside.fit import bearing, radios, rims, room, tyre_state, tyres
from wheelside.fit.rule import Rule, SetRule

RULES: tuple[Rule | SetRule, ...] = (
    *rims.RULES, *room.RULES, *tyres.RULES, *bearing.RULES, *tyre_state.RULES, *radios.RULES,
)  # fmt: skip
