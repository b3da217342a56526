"""Many pairs at once are judged as each one is alone, in whatever order and shares."""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest
from fit_drawn import DAY, drawn, present_of

from spoken import words
from wheelside.fit import screen as screening
from wheelside.fit.compare import Candidate, compare
from wheelside.fit.price import totals
from wheelside.fit.report import fit
from wheelside.fit.scene import scene
from wheelside.fit.screen import counts_of, screen, seasons_of
from wheelside.fit.verdict import GRADES, QUESTIONS, Verdict
from wheelside.garage.words import ROAD_CORNERS

SEEDS = range(2000, 2040)
RANGE = "The tyre is made for rims from"
"""How the tyre maker's range of rims is told; of a tyre whose marking names no measuring rim it is left as it is."""


@pytest.mark.parametrize("share", range(4))
def test_a_pair_among_many_is_judged_as_in_its_own_report(share: int) -> None:
    for seed in range(SEEDS.start + share, SEEDS.stop, 4):
        garage, draw = drawn(seed), random.Random(seed)
        present = present_of(garage, seed)
        judged = screen(scene(garage, garage.car, garage.set, present, DAY))
        money = totals(garage, garage.set, judged.parts)
        for c, car in enumerate(garage.car):
            n = draw.randrange(len(garage.set))
            one = garage.set[n]
            if not one.wheels:
                continue
            made = fit(garage, car, one, DAY, present)
            where = (seed, car.id, one.id)
            assert dict(made.verdicts) == {q: GRADES[int(judged.grades[k, c, n])] for k, q in enumerate(QUESTIONS)}, (
                where
            )
            assert made.verdict == judged.verdict(c, n), where
            assert {need.part: need.count for need in made.bill.needs} == {
                p: m for p, m in counts_of(judged, c, n).items() if m
            }, where
            assert made.bill.seasons == seasons_of(judged, c, n), where
            if made.bill.total is None:
                assert np.isnan(money[c, n]), where
            else:
                assert float(made.bill.total.amount) == pytest.approx(money[c, n], abs=0.006), where


@pytest.mark.parametrize("share", range(2))
def test_every_line_says_something_and_what_is_open_says_how_to_find_out(share: int) -> None:
    for seed in range(2100 + share, 2130, 2):
        garage = drawn(seed)
        for car in garage.car:
            for one in garage.set:
                for line in fit(garage, car, one, DAY, present_of(garage, seed)).lines:
                    text = words(line.text)
                    assert text, (seed, line.code)
                    assert len(line.corners) != len(ROAD_CORNERS), (seed, line.code)  # all four is () here
                    assert "nan" not in text.lower().split(), (seed, line.code, text)
                    if line.verdict == Verdict.MEASURE and not text.startswith(RANGE):
                        assert line.way_out, (seed, line.code, text)


@pytest.mark.parametrize("at_once", [1, 2, 3, 1000])
def test_how_many_cars_go_at_once_does_not_change_what_is_said(at_once: int, monkeypatch: pytest.MonkeyPatch) -> None:
    for seed in SEEDS[:12]:
        garage = drawn(seed)
        s = scene(garage, garage.car, garage.set, present_of(garage, seed), DAY)
        usual = screen(s)
        monkeypatch.setattr(screening, "CARS_AT_ONCE", at_once)
        other = screen(s)
        monkeypatch.undo()
        for name in ("grades", "parts", "seasons_least", "seasons_most"):
            np.testing.assert_array_equal(getattr(usual, name), getattr(other, name), err_msg=f"{seed} {name}")


def test_one_thread_says_what_many_say(monkeypatch: pytest.MonkeyPatch) -> None:
    garages = [drawn(seed) for seed in SEEDS[:12]]
    scenes = [scene(garage, garage.car, garage.set, {}, DAY) for garage in garages]
    many = [screen(s) for s in scenes]
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    for usual, s in zip(many, scenes, strict=True):
        np.testing.assert_array_equal(usual.grades, screen(s).grades)
        np.testing.assert_array_equal(usual.parts, screen(s).parts)


def test_cars_and_sets_are_judged_alike_in_whatever_order_they_come() -> None:
    for seed in SEEDS:
        garage, draw = drawn(seed), random.Random(seed)
        present = present_of(garage, seed)
        cars, sets = list(garage.car), list(garage.set)
        usual = screen(scene(garage, cars, sets, present, DAY))
        by_car, by_set = draw.sample(range(len(cars)), len(cars)), draw.sample(range(len(sets)), len(sets))
        other = screen(scene(garage, [cars[c] for c in by_car], [sets[n] for n in by_set], present, DAY))
        np.testing.assert_array_equal(other.grades, usual.grades[:, by_car][:, :, by_set], err_msg=str(seed))
        np.testing.assert_array_equal(other.parts, usual.parts[:, by_car][:, :, by_set], err_msg=str(seed))
        np.testing.assert_array_equal(other.seasons_least, usual.seasons_least[by_car][:, by_set], err_msg=str(seed))
        np.testing.assert_array_equal(other.seasons_most, usual.seasons_most[by_car][:, by_set], err_msg=str(seed))


def _key(one: Candidate) -> tuple[int, float]:
    """The better verdict first, then the cheaper season; without a price or a known season last."""
    bill = one.bill
    middle = sum(bill.seasons) / 2 if bill.seasons else 0.0
    each = float(bill.total.amount) / middle if bill.total and middle > 0 else float("inf")
    return list(Verdict).index(one.verdict), each


def test_the_better_verdict_comes_first_then_the_cheaper_season() -> None:
    several = 0
    for seed in SEEDS:
        garage = drawn(seed)
        for ranking in compare(garage, garage.car, garage.set, DAY, present_of(garage, seed)):
            keys = [_key(one) for one in ranking.candidates]
            assert [key[0] for key in keys] == sorted(key[0] for key in keys), seed
            for (grade, each), (grade_after, after) in pairwise(keys):
                assert grade < grade_after or each <= after + 0.01, seed
                several += grade == grade_after and each < after
            assert sorted(one.set for one in ranking.candidates) == sorted(one.id for one in garage.set)
    assert several > 20


def test_sets_that_are_not_shown_are_counted() -> None:
    garage = next(g for g in map(drawn, SEEDS) if len(g.set) >= 3)
    full = compare(garage, garage.car, garage.set, DAY, {})
    short = compare(garage, garage.car, garage.set, DAY, {}, most=1)
    for one, other in zip(full, short, strict=True):
        assert other.candidates == one.candidates[:1]
        assert (one.more, other.more) == (0, len(garage.set) - 1)


def test_no_cars_or_no_sets_are_no_pairs() -> None:
    garage = drawn(2000)
    assert screen(scene(garage, garage.car, (), {}, DAY)).grades.shape == (3, len(garage.car), 0)
    assert compare(garage, (), garage.set, DAY, {}) == ()
