"""Many cars and many sets as columns of numbers, so that one rule judges all pairs at once.

A car's columns have the shape (cars, 1, 4), a set's (1, sets, 4): the last axis are the corners in the order of `ROAD_CORNERS`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date
from itertools import islice
from typing import Any

import numpy as np
import numpy.typing as npt

from wheelside.fit.facts import Array, BothFacts, CarFacts, WheelFacts
from wheelside.fit.gather import CarAt, present_parts, taken_ids, wheels_at
from wheelside.fit.language import Language
from wheelside.fit.match import Four, Match
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import ROAD_CORNERS

CORNERS = range(len(ROAD_CORNERS))
AT_ONCE = 2048
"""So many wheels are held at once with all their parts; their numbers stay, they go."""
Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Scene:
    """Cars and sets side by side.

    `tables`: for each fact of both what it is by car and word, and by corner where it differs; last for a word that is not known.
    `places`: for each kind of word the place of every wheel's in these tables.
    """

    cars: CarFacts[Array]
    wheels: WheelFacts[Array]
    tables: Mapping[str, Array]
    places: Mapping[str, Places]

    @property
    def shape(self) -> tuple[int, int]:
        """How many cars, and how many sets."""
        return self.cars.bore.shape[0], self.wheels.there.shape[1]

    def of_cars(self, chosen: slice) -> Scene:
        """The same with some of the cars."""
        cars = CarFacts(**{f.name: getattr(self.cars, f.name)[chosen] for f in fields(CarFacts)})
        return Scene(cars, self.wheels, {name: table[chosen] for name, table in self.tables.items()}, self.places)

    def match(self) -> Match[Array]:
        """Every corner of every pair."""
        both = {f.name: _spread(self.tables[f.name], self.places[f.metadata["word"]]) for f in fields(BothFacts)}
        return Match(self.cars, self.wheels, BothFacts(**both))

    def four(self) -> Four[Array]:
        """Every pair as one; each column has one corner."""
        return Four(
            tuple(CarFacts(**_corner(self.cars, n)) for n in CORNERS),
            tuple(WheelFacts(**_corner(self.wheels, n)) for n in CORNERS),
        )


def _corner(facts: Any, n: int) -> dict[str, Array]:
    return {f.name: getattr(facts, f.name)[:, :, n : n + 1] for f in fields(facts)}


def _spread(table: Array, places: Places) -> Array:
    """A table by car and word, spread over cars, sets and corners."""
    rows = table[:, places, np.arange(places.shape[1])] if table.ndim == 3 else table[:, places]
    return np.asarray(rows)


def scene(
    garage: Garage, cars: Sequence[Car], sets: Sequence[WheelSet], present: Mapping[str, str], day: date
) -> Scene:
    """Cars and sets as columns. `present`: for each car the set that is on it now, where there is one."""
    words = Language()
    taken = taken_ids(garage)
    wheels = (at for one in sets for at in wheels_at(garage, one, day, words, taken))
    on = {car.id: garage.sets.get(present.get(car.id, "")) for car in cars}
    seats = [
        CarAt(garage, car, corner, present_parts(garage, on[car.id], corner, day), words)
        for car in cars
        for corner in ROAD_CORNERS
    ]
    ours = {name: column[None] for name, column in _columns(WheelFacts, wheels).items()}
    ours["there"] = np.nan_to_num(ours["there"])
    columns = WheelFacts(**ours)
    return Scene(
        CarFacts(**{name: column[:, None] for name, column in _columns(CarFacts, seats).items()}),
        columns,
        _tables(seats, words),
        {
            word: np.nan_to_num(getattr(columns, word)[0], nan=len(_said(words, word))).astype(np.intp)
            for word in ("size", "symbol", "family")
        },
    )


def _said(words: Language, word: str) -> list[Any]:
    """The words of one kind that the wheels have."""
    return list({"size": words.sizes, "symbol": words.symbols, "family": words.families}[word].numbers)


def _columns(facts: type[Any], rows: Iterable[Any]) -> dict[str, Array]:
    """Every fact of all cars or wheels, by corner; what is not known, or not there, is NaN."""
    rest, readers = iter(rows), {f.name: f.metadata["read"] for f in fields(facts)}
    parts: list[dict[str, Array]] = []
    while some := list(islice(rest, AT_ONCE)):
        parts.append({name: _column(some, read) for name, read in readers.items()})
    whole = {name: np.concatenate([np.empty(0), *(part[name] for part in parts)]) for name in readers}
    return {name: column.reshape(-1, len(ROAD_CORNERS)) for name, column in whole.items()}


def _column(rows: Sequence[Any], read: Callable[[Any], object]) -> Array:
    found: Any = [None if at is None else read(at) for at in rows]
    return np.array(found, dtype=np.float64)


def _tables(seats: Sequence[CarAt], words: Language) -> dict[str, Array]:
    """What depends on a car and a word, for the words that the wheels have."""
    out = {}
    for f in fields(BothFacts):
        names, read = _said(words, f.metadata["word"]), f.metadata["read"]
        rows = seats if f.metadata["by_corner"] else seats[:: len(ROAD_CORNERS)]
        found: Any = [[*(read(at, name) for name in names), f.metadata["missing"]] for at in rows]
        table: Array = np.array(found, dtype=np.float64)
        if f.metadata["by_corner"]:
            by_corner = table.reshape(len(rows) // len(ROAD_CORNERS), len(ROAD_CORNERS), len(names) + 1)
            table = np.ascontiguousarray(by_corner.swapaxes(1, 2))
        out[f.name] = table
    return out
