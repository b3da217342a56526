"""Garages drawn at random with what their owner knows, and how many questions each order of asking takes."""

from __future__ import annotations

import random
from collections.abc import Callable

from inquiry_owners import DAY, UNKNOWN, said
from wheelside.garage.file import complaints_of
from wheelside.inquiry.course import always, answered, besides, opening_query
from wheelside.inquiry.draft import Table
from wheelside.inquiry.outcome import OutcomeSeen, outcome
from wheelside.inquiry.query import Errand, Given, Occasion, Query
from wheelside.inquiry.rating import Weighed, best, rated
from wheelside.jobs.work.starting import car_of

MOST = 60
SHUFFLES = 3
"""So many random orders are averaged."""
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
CHANCES: dict[str, tuple[tuple[float, Given], ...]] = {
    "car/My car/taught_by": tuple((0.2, {"pick": p}) for p in ("driving", "step by step", "port", "locked")),
    "car/My car/remembers_sets": ((0.4, {"pick": "1"}), (0.3, {"pick": "2"})),
    "car/My car/when_full": ((0.2, {"pick": "oldest"}), (0.2, {"pick": "all"})),
    "car/My car/corner_aware": ((0.5, {"pick": "true"}), (0.2, {"pick": "false"})),
    "car/My car/spare_counted": ((0.5, {"pick": "false"}),),
    "alike/": ((0.7, {"pick": "yes"}), (0.1, {"pick": "no"})),
    "kind/": ((0.6, {"pick": "same"}), (0.15, {"pick": "other"})),
    "kept/": ((0.5, {"pick": "near"}), (0.3, {"pick": "far"})),
    "writer": ((0.3, {"pick": "given"}), (0.2, {"pick": "copy"}), (0.2, {"pick": "none"})),
    "top/plan/shop": ((0.8, {"pick": "true"}), (0.1, {"pick": "false"})),
    "set/Winter/sensor.writing": ((0.4, {"pick": "rewritable"}), (0.3, {"pick": "fixed"})),
    "set/Summer/sensor.writing": ((0.1, {"pick": "rewritable"}), (0.6, {"pick": "fixed"})),
    "set/Winter/sensor.answers": ((0.6, {"pick": "true"}), (0.1, {"pick": "false"})),
    "set/Winter/sensor.first_used": tuple((0.2, {"value": y}) for y in ("2014", "2018", "2021", "2024")),
    "set/Summer/sensor.first_used": tuple((0.2, {"value": y}) for y in ("2014", "2018", "2021", "2024")),
    "set/Winter/sensor.at_rest": ((0.3, {"pick": "transmits"}), (0.2, {"pick": "silent"})),
    "set/Summer/sensor.at_rest": ((0.3, {"pick": "transmits"}), (0.2, {"pick": "silent"})),
    "set/Winter/tyre.max_pressure": ((0.3, {"value": "3.5"}), (0.1, {"value": "2.5"})),
    "set/Summer/tyre.max_pressure": ((0.3, {"value": "3.5"}), (0.1, {"value": "2.5"})),
    "heard/": ((0.7, {"pick": "yes"}), (0.15, {"pick": "no"})),
}
"""How likely an owner knows what, by the question; what is left is not known. Judgement."""


def drawn(seed: int) -> dict[str, Given]:
    """What an owner knows."""
    r = random.Random(seed)
    knows: dict[str, Given] = {code: _one(r, chances) for code, chances in CHANCES.items()}
    size = r.choice(("205/60 R16 92V", "195/65 R15 91H", "225/45 R17 91W"))
    knows["begin"] = {"pick": r.choice(("figures", "figures", "lamp"))}
    knows["on/"] = {"pick": "summer", "size": size}
    knows["other/"] = {"pick": "none"} if r.random() < 0.15 else {"pick": "winter", "size": size[:-1] + "H"}
    knows["ids/Summer"], knows["ids/Winter"] = _ids(r), _ids(r)
    knows["label/"] = {"front": r.choice(("2.2", "2.4")), "rear": r.choice(("2.1", "2.6"))}
    knows["when/"] = {"pick": r.choice(("today", "saturday", "dont-know"))}
    knows["today"] = {
        "pick": "false",
        "tyre_temperature": str(r.randint(-5, 22)),
        "temperature_of_use": str(r.randint(-10, 8)),
    }
    return knows


def _one(r: random.Random, chances: tuple[tuple[float, Given], ...]) -> Given:
    x = r.random()
    for chance, given in chances:
        x -= chance
        if x < 0:
            return given
    return UNKNOWN


def _ids(r: random.Random) -> Given:
    if r.random() < 0.3:
        return UNKNOWN
    form = r.choice(("{:010d}", "{:08X}", "mixed"))
    texts = [
        (("{:010d}", "{:08X}")[n % 2] if form == "mixed" else form).format(r.randrange(1 << 29, 1 << 32))
        for n in range(4)
    ]
    return dict(zip(CORNERS, texts, strict=True))


def opened(knows: dict[str, Given]) -> Table:
    """The garage once the opening and what is always asked are through."""
    table: Table = {"wheelside": 1}
    for _ in range(MOST):
        garage, _ = complaints_of(table)
        car = car_of(garage, "")
        query = opening_query(garage, car, DAY, Errand.WHEELS)
        if query is None:
            assert car is not None
            query = next(always(garage, car, DAY, Errand.WHEELS), None)
        if query is None:
            return table
        table = answered(table, query.code, said(knows, query), Occasion(DAY))
    raise AssertionError("the opening does not end")


Choose = Callable[[Table, tuple[Query, ...]], Query]


def run(table: Table, knows: dict[str, Given], choose: Choose) -> list[OutcomeSeen]:
    """What comes out before the first question and after each, until nothing is left to ask."""
    out = [outcome(complaints_of(table)[0], DAY, Errand.WHEELS)]
    for _ in range(MOST):
        garage, _ = complaints_of(table)
        left = tuple(besides(garage, garage.car[0], DAY, Errand.WHEELS))
        if not left:
            return out
        query = choose(table, left)
        given = said(knows, query)
        table = answered(table, query.code, given, Occasion(DAY))
        out.append(out[-1] if given == UNKNOWN else outcome(complaints_of(table)[0], DAY, Errand.WHEELS))
    raise AssertionError("it does not end")


def until_it_stays(out: list[OutcomeSeen]) -> int:
    """After how many questions it is what it is in the end, and stays so."""
    n = len(out) - 1
    while n and out[n - 1] == out[-1]:
        n -= 1
    return n


def counted(seed: int) -> tuple[int, int, float]:
    """Questions by worth, in the fixed order, and at random on average."""
    knows = drawn(seed)
    table = opened(knows)
    weighed = Weighed()

    def by_worth(table: Table, left: tuple[Query, ...]) -> Query:
        return best(rated(table, left, DAY, Errand.WHEELS, weighed=weighed)) or left[0]

    worth = until_it_stays(run(table, knows, by_worth))
    fixed = until_it_stays(run(table, knows, lambda _, left: left[0]))
    r = random.Random(seed + 1)
    shuffled = [until_it_stays(run(table, knows, lambda _, left: r.choice(left))) for _ in range(SHUFFLES)]
    return worth, fixed, sum(shuffled) / SHUFFLES
