"""What a car's list remembers, and how often it must be taught, from the rules' description alone: a part of the enumeration's own rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import combinations

from oracle_parts import Decision, Entry, Number, Option
from oracle_world import World

from wheelside.garage.model import Car
from wheelside.garage.words import Corner, WhenFull

Content = tuple[tuple[Corner, Number | str], ...]
"""What a set carries at the corners that a car monitors: IDs, and sensors of which the ID is not known, as written by then."""
Slot = int | Content
"""What stands in a list: a group of IDs from the start, by its number, or what was taught."""


@dataclass(frozen=True)
class Memory:
    """The list of one car, and how often it must be taught."""

    world: World
    car: Car

    @cached_property
    def mounts(self) -> list[tuple[date, str]]:
        return self.world.mounts(self.car)

    def watches(self, decision: Decision) -> bool:
        return bool(self.world.corners_on(self.car, decision.homes))

    def contents(self, chosen: Iterable[tuple[Decision, Option]]) -> list[Content]:
        """What each set carries when it goes on the car, mount by mount."""
        places = [(name, at, d, o) for d, o in chosen for name, at in d.homes if at in self.car.monitored_corners]
        return [
            tuple((at, self._sent(d, o, day)) for name, at, d, o in places if name == set_id)
            for day, set_id in self.mounts
        ]

    @staticmethod
    def _sent(decision: Decision, option: Option, day: date) -> Number | str:
        stage = "later" if option.on is not None and option.on <= day else "now"
        return option.known_on(day) or f"{decision.wheel} as written {stage}"

    def known_at(self, decision: Decision, option: Option) -> Iterator[Content]:
        """What one wheel has at its corner, mount by mount."""
        yield from (content for content in self.contents([(decision, option)]) if content)

    @property
    def aware(self) -> bool:
        return self.car.corner_aware is not False

    @property
    def room(self) -> int:
        return self.world.places_in_list(self.car)

    def in_group(self, content: Content, group: tuple[Entry, ...]) -> bool:
        return all(
            any(e.only == number and (e.corner in (None, corner) or not self.aware) for e in group)
            for corner, number in content
        )

    def at_start(self, content: Content) -> bool:
        """Whether one group of the list holds a set from the start."""
        return any(self.in_group(content, group) for group in self.world.lists[self.car.id])

    def alike(self, one: Content, two: Content) -> bool:
        return set(one) == set(two) if self.aware else Counter(n for _, n in one) == Counter(n for _, n in two)

    def teachings(self, contents: Sequence[Content]) -> int:
        """The least number of teachings over the horizon."""
        groups = self.world.lists[self.car.id]

        def holds(slot: Slot, content: Content) -> bool:
            return self.in_group(content, groups[slot]) if isinstance(slot, int) else self.alike(slot, content)

        return (self._chosen if self.car.when_full is WhenFull.CHOSEN else self._in_turn)(contents, holds)

    @property
    def _start(self) -> tuple[Slot, ...]:
        return tuple(range(len(self.world.lists[self.car.id])))

    def _in_turn(self, contents: Sequence[Content], holds: Callable[[Slot, Content], bool]) -> int:
        """Where a full list forgets the set taught longest ago, or all of them."""
        listed, count = list(self._start), 0
        for content in contents:
            if not any(holds(slot, content) for slot in listed):
                listed, count = [*self._left_by_teaching(listed), content], count + 1
        return count

    def _left_by_teaching(self, listed: list[Slot]) -> list[Slot]:
        """What a list still holds of what it held, when another set is taught."""
        if len(listed) < self.room:
            return listed
        return [] if self.car.when_full is WhenFull.ALL else listed[len(listed) - self.room + 1 :]

    def _chosen(self, contents: Sequence[Content], holds: Callable[[Slot, Content], bool]) -> int:
        best: dict[frozenset[Slot], int] = {frozenset(self._start): 0}
        for content in contents:
            after: dict[frozenset[Slot], int] = {}
            for listed, count in best.items():
                if any(holds(slot, content) for slot in listed):
                    after[listed] = min(count, after.get(listed, count))
                    continue
                for kept in combinations(listed, min(len(listed), self.room - 1)):
                    state = frozenset({*kept, content})
                    after[state] = min(count + 1, after.get(state, count + 1))
            best = after
        return min(best.values())
