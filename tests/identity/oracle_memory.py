"""What a car's list remembers, and how often it must be taught, from the rules' description alone: a part of the enumeration's own rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from oracle_world import Decision, Entry, Number, World

from wheelside.garage.model import Car
from wheelside.garage.words import Corner, WhenFull

Content = tuple[tuple[Corner, Number | None], ...]
"""What a set carries at the corners that a car monitors."""
Slot = int | str
"""What stands in a list: a group of IDs from the start, by its number, or a set that was taught."""


@dataclass(frozen=True)
class Memory:
    """The list of one car, and how often it must be taught."""

    world: World
    car: Car

    @cached_property
    def mounts(self) -> list[str]:
        return self.world.mounts(self.car)

    def watches(self, decision: Decision) -> bool:
        return decision.set in self.mounts and decision.corner in self.car.monitored_corners

    @property
    def aware(self) -> bool:
        return self.car.corner_aware is not False

    @property
    def room(self) -> int:
        return self.world.places_in_list(self.car)

    def in_group(self, content: Content, group: tuple[Entry, ...]) -> bool:
        return all(
            any(
                number is not None and e.only == number and (e.corner in (None, corner) or not self.aware)
                for e in group
            )
            for corner, number in content
        )

    def at_start(self, content: Content) -> bool:
        """Whether one group of the list holds a set from the start."""
        return any(self.in_group(content, group) for group in self.world.lists[self.car.id])

    def alike(self, one: Content, two: Content) -> bool:
        numbers_known = all(number is not None for _, number in (*one, *two))
        same = set(one) == set(two) if self.aware else Counter(n for _, n in one) == Counter(n for _, n in two)
        return numbers_known and same

    def teachings(self, contents: dict[str, Content]) -> int:
        """The least number of teachings over the horizon."""
        groups = self.world.lists[self.car.id]

        def holds(slot: Slot, set_id: str) -> bool:
            if isinstance(slot, int):
                return self.in_group(contents[set_id], groups[slot])
            return slot == set_id or self.alike(contents[slot], contents[set_id])

        return self._chosen(holds) if self.car.when_full is WhenFull.CHOSEN else self._in_turn(holds)

    @property
    def _start(self) -> tuple[Slot, ...]:
        return tuple(range(len(self.world.lists[self.car.id])))

    def _in_turn(self, holds: Callable[[Slot, str], bool]) -> int:
        """Where a full list forgets the set taught longest ago, or all of them."""
        listed, count = list(self._start), 0
        for set_id in self.mounts:
            if not any(holds(slot, set_id) for slot in listed):
                listed, count = [*self._left_by_teaching(listed), set_id], count + 1
        return count

    def _left_by_teaching(self, listed: list[Slot]) -> list[Slot]:
        """What a list still holds of what it held, when another set is taught."""
        if len(listed) < self.room:
            return listed
        return [] if self.car.when_full is WhenFull.ALL else listed[len(listed) - self.room + 1 :]

    def _chosen(self, holds: Callable[[Slot, str], bool]) -> int:
        best: dict[frozenset[Slot], int] = {frozenset(self._start): 0}
        for set_id in self.mounts:
            after: dict[frozenset[Slot], int] = {}
            for listed, count in best.items():
                if any(holds(slot, set_id) for slot in listed):
                    after[listed] = min(count, after.get(listed, count))
                    continue
                for kept in combinations(listed, min(len(listed), self.room - 1)):
                    state = frozenset({*kept, set_id})
                    after[state] = min(count + 1, after.get(state, count + 1))
            best = after
        return min(best.values())
