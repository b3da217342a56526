"""What is not known stays not known: with a fact taken away nothing comes to fit that did not before."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from fit_drawn import DAY, drawn, present_of

from sampled import sampled
from wheelside.fit.rules import RULES
from wheelside.fit.scene import scene
from wheelside.fit.screen import grades_of, screen
from wheelside.fit.verdict import FITS, GRADES, MEASURE, NO_MATTER, NOT, QUESTIONS, WITH_PART, Verdict
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Joining, Rim, Sensor, Tyre, Wheel, WheelSet
from wheelside.garage.words import ROAD_CORNERS

ROWS: dict[str, type[Any]] = {"car": Car, "rim": Rim, "tyre": Tyre, "sensor": Sensor}
NO_FACTS = {"id", "label", "note", "sources", "kind", "twin_wheels"}
"""Keys that are names, words for people, or have a value always."""

ANOTHER_FACT = {
    ("car", "placard", "speedometer"): "the first tyre in the papers is then the one that is meant",
    ("car", "placard", "inside"): "the first tyre in the papers is then the one that is on it",
    ("car", "placard", "outside"): "the first tyre in the papers is then the one that is on it",
    ("car", "load_index", "load-index"): "the axle's greatest load is then asked in its place, as some places do",
    ("car", "speed_symbol", "speed-symbol"): "the car's greatest speed is then asked in its place",
    (
        "car",
        "approved",
        "load-index",
    ): "without a tyre that is named, the axle's greatest load is asked, as some places do",
    ("car", "placard", "load-index"): "the same; or the tyre that the papers name counts",
    ("car", "approved", "speed-symbol"): "without a tyre that is named, the car's greatest speed is asked",
    ("car", "placard", "speed-symbol"): "the same; or the tyre that the papers name counts",
    ("car", "approved", "capacity"): "without a tyre that is named in its size, nothing says that XL was left out",
    ("car", "placard", "capacity"): "the same",
    (
        "car",
        "axle_load_front",
        "capacity",
    ): "nothing then contradicts the placard's own tyre, for which its pressures are made",
    ("car", "axle_load_rear", "capacity"): "the same",
    ("car", "seat", "engagement"): "the line on the seat asks for it, and for other bolts",
    ("rim", "seat", "engagement"): "the same",
    ("car", "top_speed", "capacity"): "the load is then told for ordinary speeds, and the line says up to which",
    ("car", "least_rim", "brakes"): "the smallest rim that placard and papers name goes over them",
    ("rim", "width_in", "brakes"): "the tyre on it says the rim's diameter, too",
    ("car", "band", "band"): "its family says the band, too",
    ("sensor", "band", "band"): "its family says the band, too",
    ("sensor", "bits", "width"): "its family says the width, too",
    ("tyre", "rim_widths", "rim-width"): "the measuring rim is then asked in the place of the maker's range",
    ("sensor", "battery_low", "state"): "that it answers is known",
    ("car", "speedometer_shows", "speedometer"): "a circumference that stays the same keeps what the speedometer did",
    ("car", "speedometer_true", "speedometer"): "a circumference that stays the same keeps what the speedometer did",
    ("tyre", "season", "tread"): "the depth for other tyres counts, and a winter tyre is one that is known to be",
    ("car", "spare_counted", "accepted"): "a spare that is not known to be watched takes no place in the list",
    ("car", "remembers_sets", "accepted"): "how many IDs it remembers says how many sets, too",
}
"""Where another fact steps in: row, key and line, and why that is right."""

QUIET = {
    ("rim", "max_pressure", "rim-pressure"): "few rims are marked with a pressure; it counts where one is",
    ("sensor", "band", "family"): "its family's band then tells that it is for another car",
    ("car", "band", "family"): "the same",
    ("rim", "valve_hole", "valve-hole"): "whoever fits the valve sees the hole; it counts where both are noted",
    ("sensor", "valve_hole", "valve-hole"): "the same",
    (
        "rim",
        "width_in",
        "tyre-on-rim",
    ): "a tyre that is on a rim has its diameter; two readings are held against one another",
    ("tyre", "designation", "tyre-on-rim"): "the same",
    ("tyre", "season", "winter-mark"): "the mark is asked of winter tyres",
    ("sensor", "stem", "valve"): "most valves with sensors are metal",
    ("tyre", "designation", "load-capacity"): "the lines on index and load ask for it",
    ("car", "placard", "load-capacity"): "the line on the size asks for the placard's row",
    ("tyre", "tread", "tread-law"): "the line on the tread asks for it",
    ("car", "top_speed", "valve"): "a rubber valve does for most cars; it counts where the car is known to be fast",
    ("sensor", "sends", "id-taken"): "the line before asks for the ID",
    ("sensor", "printed", "id-taken"): "the line before asks for the ID",
    ("sensor", "writing", "id-taken"): "the line before tells it",
}
"""Lines that say nothing of what is not known, and why that is right."""
ASKS_FIRST = ("band", "family", "width", "state", "accepted", "id", "id-taken")
"""Lines that say nothing while it is not known whether there is a sensor: the line 'sensor' asks for that."""

OTHER_LINES = {
    ("tyre", "tread", "round-even"), ("car", "all_wheel_drive", "round-even"), ("tyre", "season", "mixed"),
    *((kind, key, line) for line in ("inside", "outside") for kind, key in (("rim", "width_in"), ("car", "width_in"), ("tyre", "designation"))),
}  # fmt: skip
"""Left to the line that asks for the fact itself: how treads differ, and how wide tyre or rim is."""


def _pair(seed: int) -> tuple[Garage, Car, WheelSet, dict[str, str]]:
    garage = drawn(seed)
    return garage, garage.car[0], garage.set[0], present_of(garage, seed)


def _grades(garage: Garage, car: Car, one: WheelSet, present: dict[str, str]) -> dict[tuple[str, int], int]:
    s = scene(garage, (car,), (one,), present, DAY)
    return {(r.code, n): int(g) for r in RULES for n, g in enumerate(grades_of(r, s)[0, 0])}


def _fewer(garage: Garage, car: Car, one: WheelSet, seed: int) -> Iterator[tuple[str, str, Garage, Car]]:
    """The garage and the car with one fact less: every fact of the car, and those of one wheel."""
    rows: list[tuple[str, Any]] = [("car", car)]
    if one.wheels:
        parts = parts_on(garage, random.Random(seed).choice(one.wheels)[1], DAY)
        rows += [(kind, getattr(parts, kind)) for kind in ("rim", "tyre", "sensor") if getattr(parts, kind) is not None]
    for kind, row in rows:
        for field in fields(ROWS[kind]):
            value = getattr(row, field.name)
            if field.name in NO_FACTS or value is None or value == ():
                continue
            less = replace(row, **{field.name: () if isinstance(value, tuple) else None})
            column = tuple(less if each is row else each for each in getattr(garage, kind))
            rows_now: dict[str, Any] = {kind: column}
            yield kind, field.name, replace(garage, **rows_now), less if kind == "car" else car


def _sensor_is_asked_for(code: str, corner: int, after: dict[tuple[str, int], int]) -> bool:
    return code in ASKS_FIRST and after["sensor", corner] >= WITH_PART


def _better(seed: int) -> Iterator[tuple[str, str, str, str, str]]:
    """What a fact less makes better: row, key, line, the verdict with it and without it."""
    garage, car, one, present = _pair(seed)
    before = _grades(garage, car, one, present)
    for kind, key, fewer, then in _fewer(garage, car, one, seed):
        after = _grades(fewer, then, one, present)
        for where, grade in before.items():
            now, code = after[where], where[0]
            if now <= FITS < grade and not (now == NO_MATTER and _sensor_is_asked_for(code, where[1], after)):
                yield kind, key, code, GRADES[grade].value, GRADES[now].value


DRAWN = sampled(80, 160)


@pytest.mark.parametrize("share", range(4))
def test_nothing_comes_to_fit_because_a_fact_is_taken_away(share: int) -> None:
    for seed in range(1000 + share, 1000 + DRAWN, 4):
        for kind, key, code, was, now in _better(seed):
            where = (kind, key, code)
            right = ANOTHER_FACT if now == Verdict.FITS else QUIET
            assert where in right or where in OTHER_LINES, (
                f"seed {seed}: without {kind}.{key}, {code} goes from {was!r} to {now!r}"
            )


@pytest.mark.parametrize("share", range(4))
def test_a_set_comes_to_fit_without_a_fact_only_where_another_steps_in(share: int) -> None:
    """The same for the whole of a question: what one line leaves, another asks."""
    stepping_in = {where[:2] for where in (*ANOTHER_FACT, *QUIET)}
    for seed in range(1000 + share, 1000 + DRAWN, 4):
        garage, car, one, present = _pair(seed)
        before = screen(scene(garage, (car,), (one,), present, DAY)).grades[:, 0, 0]
        for kind, key, fewer, then in _fewer(garage, car, one, seed):
            after = screen(scene(fewer, (then,), (one,), present, DAY)).grades[:, 0, 0]
            if (kind, key) not in stepping_in and (kind, key) != ("car", "monitor"):
                better = [q.value for q, was, now in zip(QUESTIONS, before, after, strict=True) if now <= FITS < was]
                assert not better, f"seed {seed}: without {kind}.{key}, {better} come to fit"


def _bare(garage: Garage, named: bool) -> tuple[Garage, WheelSet]:
    """The garage with a set more of which nothing is known; `named`: its wheels and their parts have rows, with nothing in them."""
    ids = [f"bare {n}" for n in range(4)]
    one = WheelSet(id="bare", on_offer=True, wheels=tuple(zip(ROAD_CORNERS, ids, strict=True)))
    joined = {n: (Joining(rim=n, tyre=n, sensor=n),) if named else () for n in ids}
    grown = replace(
        garage,
        rim=(*garage.rim, *(Rim(id=n) for n in ids)),
        tyre=(*garage.tyre, *(Tyre(id=n) for n in ids)),
        sensor=(*garage.sensor, *(Sensor(id=n) for n in ids)),
        wheel=(*garage.wheel, *(Wheel(id=n, joined=joined[n]) for n in ids)),
        set=(*garage.set, one),
    )
    return grown, one


@pytest.mark.parametrize("named", [True, False])
def test_a_set_of_which_nothing_is_known_fits_no_car(named: bool) -> None:
    for seed in range(1200, 1260):
        garage, one = _bare(drawn(seed), named)
        s = scene(garage, garage.car, (one,), present_of(garage, seed), DAY)
        judged = screen(s)
        direct = s.cars.direct[:, 0, 0] != 0
        assert (judged.grades[:2] == MEASURE).all(), seed
        assert (judged.grades[2][direct] == MEASURE).all(), seed
        assert not judged.parts.any()
        assert np.isnan(judged.seasons_least).all()
        for rule in RULES:
            told = grades_of(rule, s)
            assert rule.code == "complete" or (told != FITS).all(), (seed, rule.code)
            assert (told != NOT).all(), (seed, rule.code)


def test_a_car_of_which_nothing_is_known_takes_no_set() -> None:
    for seed in range(1300, 1340):
        garage = drawn(seed)
        car = Car(id="bare")
        sets = [one for one in garage.set if one.wheels]
        judged = screen(scene(replace(garage, car=(*garage.car, car)), (car,), sets, {}, DAY))
        assert (judged.grades >= MEASURE).all(), seed
