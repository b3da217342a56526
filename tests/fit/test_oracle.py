"""Every rule over columns says what a plain telling of it says, pair by pair and corner by corner."""

from __future__ import annotations

from collections import Counter
from functools import cache

import fit_oracle as oracle
import pytest
from fit_drawn import DAY, drawn, present_of

from wheelside.fit.price import totals
from wheelside.fit.rule import SetRule
from wheelside.fit.rules import RULES
from wheelside.fit.scene import scene
from wheelside.fit.screen import PARTS, grades_of, screen, seasons_of
from wheelside.fit.verdict import GRADES
from wheelside.garage.words import ROAD_CORNERS

GARAGES = 300
SHARES = 10


@cache
def _pairs(seed: int) -> tuple[tuple[oracle.Pair, ...], ...]:
    garage = drawn(seed)
    present = present_of(garage, seed)
    on = [garage.sets.get(present.get(car.id, "")) for car in garage.car]
    return tuple(
        tuple(oracle.Pair(garage, car, one, there, DAY) for one in garage.set)
        for car, there in zip(garage.car, on, strict=True)
    )


@cache
def _told(seed: int) -> dict[tuple[str, str, str, str], tuple[str | None, str]]:
    """By car, set, code and corner: what the plain telling says, and what the rule does."""
    garage = drawn(seed)
    s = scene(garage, garage.car, garage.set, present_of(garage, seed), DAY)
    grades = {rule.code: grades_of(rule, s) for rule in RULES}
    out = {}
    for c, row in enumerate(_pairs(seed)):
        for n, pair in enumerate(row):
            for (code, corner), said in oracle.told(pair).items():
                place = 0 if corner is None else ROAD_CORNERS.index(corner)
                out[pair.car.id, pair.wheel_set.id, code, str(corner)] = (
                    said,
                    GRADES[int(grades[code][c, n, place])].value,
                )
    return out


def _seeds(share: int) -> range:
    return range(share, GARAGES, SHARES)


def test_every_rule_is_told_twice() -> None:
    assert {rule.code for rule in RULES} == {*oracle.CORNER_RULES, *oracle.SET_RULES}
    assert {rule.code for rule in RULES if isinstance(rule, SetRule)} == set(oracle.SET_RULES)


@pytest.mark.parametrize("share", range(SHARES))
def test_every_rule_says_what_the_plain_telling_says(share: int) -> None:
    unlike = [
        (seed, *where, f"told {said}", f"judged {judged}")
        for seed in _seeds(share)
        for where, (said, judged) in _told(seed).items()
        if said is not None and said != judged
    ]
    by_code = Counter(str(one[3]) for one in unlike)
    assert not unlike, f"{dict(by_code)}: {unlike[:6]}"


@pytest.mark.parametrize("share", range(SHARES))
def test_parts_seasons_and_totals_are_those_of_the_plain_telling(share: int) -> None:
    for seed in _seeds(share):
        garage = drawn(seed)
        judged = screen(scene(garage, garage.car, garage.set, present_of(garage, seed), DAY))
        money = totals(garage, garage.set, judged.parts)
        for c, row in enumerate(_pairs(seed)):
            for n, pair in enumerate(row):
                where = (seed, pair.car.id, pair.wheel_set.id)
                left = seasons_of(judged, c, n)
                assert left == (pytest.approx(oracle.seasons(pair)) if oracle.seasons(pair) else None), where
                needs = oracle.parts(pair)
                if needs is None:
                    continue
                counted = {part.value: int(judged.parts[k, c, n]) for k, part in enumerate(PARTS)}
                assert {part: many for part, many in counted.items() if many} == needs, where
                comes_to = oracle.total(pair, needs)
                assert money[c, n] == pytest.approx(float("nan") if comes_to is None else comes_to, nan_ok=True), where


def test_the_drawn_garages_have_every_verdict_of_every_rule() -> None:
    """What the comparison rests on: no line is only ever told in one way, and few cases are left out of it."""
    seen = Counter((where[2], judged) for seed in range(GARAGES) for where, (_, judged) in _told(seed).items())
    left_out = Counter(where[2] for seed in range(GARAGES) for where, (said, _) in _told(seed).items() if said is None)
    everything = sum(seen.values())
    assert sum(left_out.values()) < everything / 20
    for rule in RULES:
        assert len([verdict for code, verdict in seen if code == rule.code]) >= 2, rule.code
    wanted = {
        ("bolt-circle", "not"), ("centre-bore", "with-part"), ("inside", "not"), ("outside", "measure"),
        ("brakes", "not"), ("tyre-on-rim", "not"), ("engagement", "not"), ("engagement", "with-part"),
        ("rim-load", "not"), ("valve-hole", "with-part"), ("rim-width", "not"), ("speedometer", "not"),
        ("round-even", "not"), ("load-index", "not"), ("speed-symbol", "not"), ("capacity", "not"),
        ("age", "not"), ("age", "measure"), ("mixed", "not"), ("direction", "with-part"),
        ("band", "with-part"), ("family", "with-part"), ("width", "with-part"), ("accepted", "with-part"),
        ("id", "with-part"), ("id-taken", "with-part"), ("valve", "with-part"),
    }  # fmt: skip
    assert wanted <= set(seen), wanted - set(seen)
