"""Every plan of a small garage, tried one by one: the rules and the costs told a second time.

They are told from their description alone. Every allowed combination of choices is tried, cut short only
where it breaks a rule, is dearer already than the best found, or has a later writing that another one is as good as in everything. Any
of the facts that a rule rests on can be taken as not holding, to see what stands in the way where no plan is possible.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, product

from oracle_memory import Content, Memory
from oracle_parts import Carrier, Decision, Number, Option, told_apart
from oracle_prices import Hand, Prices, Want
from oracle_together import Together
from oracle_world import World

from wheelside.garage.stay import Stay
from wheelside.garage.words import Teaching

Chosen = tuple[tuple[Decision, Option], ...]
Phase = tuple[float, float, Number | None]
"""From when until when, in years from today, and an ID."""


def longest(one: list[Phase], two: list[Phase]) -> float:
    """Until when, in years from today, two wheels carry one ID at the same time, at the latest; nought where they never do."""
    both = [min(a[1], b[1]) for a in one for b in two if a[2] == b[2] and max(a[0], b[0]) < min(a[1], b[1])]
    return max([0.0, *both])


def settlings(world: World) -> Iterator[tuple[int, dict[int, str]]]:
    """Every choice of one place for each stay that leaves several open, with its cost; the cheapest first.

    Nothing is moved for somebody else's car: a set of such cars alone is at the place that its stay names first.
    """
    lasting = Counter(s.row for s in world.line)
    move = Prices(world.garage).time("move")

    def costs(row: int, stay: Stay) -> list[tuple[int, int, str]]:
        return [(lasting[row] * move * (place != stay.at), row, place) for place in (stay.at or "", *stay.or_at)]

    open_stays = [(row, stay) for row, stay in enumerate(world.garage.stay) if stay.or_at and lasting[row]]
    rows = [costs(row, stay) for row, stay in open_stays if not world.somebody_elses(stay.set)]
    for picked in sorted(product(*rows), key=lambda picked: sum(cost for cost, _, _ in picked)):
        yield sum(cost for cost, _, _ in picked), {row: place for _, row, place in picked}


@dataclass
class Enumeration:
    """Tries every combination of options. `best` is the least weight; None where no combination is allowed."""

    world: World
    wheels: tuple[Decision, ...]
    best: int | None = None
    _taught: dict[tuple[object, ...], int] = field(default_factory=dict)
    _paid: dict[tuple[tuple[bool, bool, bool], ...], int] = field(default_factory=dict)
    _options: list[list[Option]] = field(default_factory=list)
    _clashes: dict[tuple[int, int, int, int], bool] = field(default_factory=dict)
    _visited: dict[tuple[tuple[str, ...], ...], int] = field(default_factory=dict)

    @cached_property
    def _prices(self) -> Prices:
        return Prices(self.world.garage)

    @cached_property
    def _hand(self) -> Hand:
        return Hand(self._prices)

    @cached_property
    def _memories(self) -> list[Memory]:
        return [Memory(self.world, car) for car in self.world.judging]

    @cached_property
    def _untaught(self) -> list[Memory]:
        """The lists of the cars that can't be taught."""
        never = [m for m in self._memories if m.car.taught_by is Teaching.NOT]
        return [m for m in never if self.world.facts.hold("untaught", m.car.id)]

    @cached_property
    def _watched(self) -> dict[str, list[int]]:
        """The wheels that each car watches, by their numbers."""
        return {m.car.id: [n for n, d in enumerate(self.wheels) if m.watches(d)] for m in self._memories}

    @cached_property
    def _closing(self) -> dict[int, list[Memory]]:
        """The lists of which all is known once a wheel is chosen, by its number."""
        closing: dict[int, list[Memory]] = {}
        for memory in self._memories:
            closing.setdefault(max(self._watched[memory.car.id], default=0), []).append(memory)
        return closing

    def run(self) -> int | None:
        """The least weight of all plans."""
        self._saving = self._hand.most_saved
        for moved, together in self._settled():
            self._turn(together)
            if all(self._options):
                least = [min(o.weight for o in options) for options in self._options]
                self._rest = [sum(least[n:]) for n in range(len(least) + 1)]
                self._go([], moved)
        return self.best

    def possible(self) -> bool:
        """Whether any plan is allowed."""
        for _, together in self._settled():
            self._turn(together)
            for n in range(len(self.wheels)):
                self._options[n] = self._worth_having(n)
                self._clashes.clear()
            bound = {n for memory in self._untaught for n in self._watched[memory.car.id]}
            harmless = [any(map(self._harmless, options)) for options in self._options]
            order = [n for n, free in enumerate(harmless) if n in bound or not free]
            if all(self._options) and self._any(sorted(order, key=lambda n: len(self._options[n])), []):
                return True
        return False

    def tried(self) -> Iterator[list[list[Option]]]:
        """The options of each wheel that are tried, with each choice of places."""
        for _, together in self._settled():
            self._turn(together)
            yield self._options

    def proof(self, set_id: str) -> int:
        """What it costs to prove a set corner by corner."""
        return self._proofs[set_id]

    def _settled(self) -> Iterator[tuple[int, Together]]:
        for moved, places in settlings(self.world):
            together = Together(self.world, places)
            if together.roomy():
                yield moved, together

    def _turn(self, together: Together) -> None:
        self._together = together
        self._clashes = {}
        self._options = [
            sorted((o for o in d.options if together.sound(o) and self._listed(d, o)), key=lambda o: o.weight)
            for d in self.wheels
        ]
        fewer = [self._worth_trying(n) for n in range(len(self.wheels))]
        self._options, self._clashes = fewer, {}

    def _listed(self, decision: Decision, option: Option) -> bool:
        """Whether every car that watches the wheel, and can't be taught, has the ID in its list whenever it goes on."""
        cars = [memory for memory in self._untaught if memory.watches(decision)]
        return all(memory.at_start(one) for memory in cars for one in memory.known_at(decision, option))

    # --- moments that come to no more than others -----------------------------------------------------------------

    def _worth_trying(self, n: int) -> list[Option]:
        """The options of a wheel, without the later writings that are no better than another one in anything that counts.

        Two of one price that are alike on every day on which a car meets them differ in what they clash with, and in how long pairs last.
        """
        alike: dict[object, list[tuple[int, Option]]] = {}
        for i, option in enumerate(self._options[n]):
            alike.setdefault(self._met_as(n, option), []).append((i, option))
        left: set[int] = set()
        for group in (group for group in alike.values() if len(group) > 1):
            marks = {i: self._marks(n, i) for i, _ in group}
            for i, option in group:
                rivals = [k for k, _ in group if k != i and k not in left]
                if option.on is not None and any(self._as_good(marks[k], marks[i]) for k in rivals):
                    left.add(i)
        return [option for i, option in enumerate(self._options[n]) if i not in left]

    def _met_as(self, n: int, option: Option) -> object:
        mounts = [m.contents([(self.wheels[n], option)]) for m in self._memories if n in self._watched[m.car.id]]
        kind = (option.refit, option.choice == "clone", option.weight, option.got, option.at_rest, option.written)
        return kind, tuple(map(tuple, mounts))

    def _marks(self, n: int, i: int) -> list[tuple[bool, float]]:
        """What speaks against an option: beside each option of each other wheel, whether they clash and how long they are a pair."""
        d, option = self.wheels[n], self._options[n][i]
        rest = [(k, j, o) for k, options in enumerate(self._options) if k != n for j, o in enumerate(options)]
        beside = [(self._clash(n, i, k, j), self._years(d, option, self.wheels[k], o)) for k, j, o in rest]
        theirs = [(False, self._years_with(c, self._phases(d, option), option.voice)) for c in self.world.fixed]
        return [*beside, *theirs]

    @staticmethod
    def _as_good(one: list[tuple[bool, float]], two: list[tuple[bool, float]]) -> bool:
        return all(a[0] <= b[0] and a[1] <= b[1] for a, b in zip(one, two, strict=True))

    def _clash(self, k: int, i: int, n: int, j: int) -> bool:
        key = (k, i, n, j)
        if key not in self._clashes:
            one, two = self._options[k][i], self._options[n][j]
            self._clashes[key] = any(self._together.clash(a, b) for a in one.carriers for b in two.carriers)
        return self._clashes[key]

    def _within_limit(self, options: list[Option]) -> bool:
        return self._in_hand(options) is not None

    def _in_hand(self, options: Iterable[Option]) -> int | None:
        """What the blanks in hand change; the best use of them. None where there are too few."""
        return self._hand.least(want for option in options if option.refit and (want := self._want(option)))

    def _want(self, option: Option) -> Want | None:
        """Which blank a new sensor may be, or has to be; None where it takes none."""
        hold = self.world.facts.hold
        must = option.at_rest or not (self.world.garage.plan.buy_sensors or not hold("not-bought", ""))
        if must and not hold("blanks", option.voice):
            return None
        return (option.voice, option.at_rest, must) if must or option.written else None

    # --- any plan -------------------------------------------------------------------------------------------------

    def _harmless(self, option: Option) -> bool:
        """Whether an option stands in the way of no other."""
        want = self._want(option) if option.refit else None
        return option.mute and not (want and want[2])

    def _worth_having(self, n: int) -> list[Option]:
        """The options of a wheel, without those that stand in the way of more than another one does, and are no better in anything else."""
        rest = [(k, j) for k, options in enumerate(self._options) if k != n for j in range(len(options))]
        never = [memory for memory in self._untaught if n in self._watched[memory.car.id]]
        kept: list[tuple[Option, set[tuple[int, int]], list[list[Content]], Want | None]] = []
        for i, option in enumerate(self._options[n]):
            met = [memory.contents([(self.wheels[n], option)]) for memory in never]
            want = self._want(option) if option.refit else None
            must = want if want and want[2] else None
            hurts = {(k, j) for k, j in rest if self._clash(n, i, k, j)}
            if any(h <= hurts and m == met and w in (None, must) for _, h, m, w in kept):
                continue
            kept = [one for one in kept if not (hurts <= one[1] and met == one[2] and must in (None, one[3]))]
            kept.append((option, hurts, met, must))
        return [option for option, _, _, _ in kept]

    def _any(self, order: list[int], taken: list[tuple[int, int]]) -> bool:
        if not self._held_so_far({n: self._options[n][i] for n, i in taken}):
            return False
        if len(taken) == len(order):
            return self._bears({n: self._options[n][i] for n, i in taken})
        n = order[len(taken)]
        for i, option in enumerate(self._options[n]):
            if any(self._clash(k, j, n, i) for k, j in taken):
                continue
            if not self._within_limit([option, *(self._options[k][j] for k, j in taken)]):
                continue
            if self._any(order, [*taken, (n, i)]):
                return True
        return False

    def _held_so_far(self, options: Mapping[int, Option]) -> bool:
        """Whether a car that can't be taught holds at every mount, in one group of its list, the wheels that are chosen yet."""
        for memory in self._untaught:
            watched = [n for n in self._watched[memory.car.id] if n in options]
            key = (memory.car.id, "so far", *((n, options[n].carried) for n in watched))
            if key not in self._taught:
                contents = memory.contents((self.wheels[n], options[n]) for n in watched)
                self._taught[key] = sum(not memory.at_start(content) for content in contents if content)
            if self._taught[key]:
                return False
        return True

    # --- the cheapest plan ----------------------------------------------------------------------------------------

    def _go(self, taken: list[int], weight: int) -> None:
        n = len(taken)
        if self.best is not None and weight + self._rest[n] - self._saving >= self.best:
            return
        chosen = tuple((d, options[i]) for d, options, i in zip(self.wheels, self._options, taken, strict=False))
        if not self._within_limit([option for _, option in chosen]):
            return
        if n:
            for memory in self._closing.get(n - 1, ()):
                weight += self._teaching(memory, chosen)
        if self.best is not None and weight + self._rest[n] - self._saving >= self.best:
            return
        if n == len(self.wheels):
            options = [option for _, option in chosen]
            if not self._bears(dict(enumerate(options))):
                return
            total = weight + self._meeting(chosen) + (self._in_hand(options) or 0)
            self.best = total if self.best is None else min(total, self.best)
            return
        for i, option in enumerate(self._options[n]):
            if not any(self._clash(k, taken[k], n, i) for k in range(n)):
                self._go([*taken, i], weight + option.weight + self._once_for(chosen, option))

    # --- what is paid once for several wheels ---------------------------------------------------------------------

    def _once_for(self, chosen: Chosen, option: Option) -> int:
        """What another wheel adds to what is paid once: visits to the shop, a writer that is got, sets proven corner by corner."""
        more = (*chosen, (self.wheels[len(chosen)], option))
        return self._once(more) - self._once(chosen)

    def _once(self, chosen: Chosen) -> int:
        key = tuple((o.refit, o.choice == "clone", o.got) for _, o in chosen)
        if key not in self._paid:
            self._paid[key] = self._paid_once(chosen)
        return self._paid[key]

    def _paid_once(self, chosen: Chosen) -> int:
        changed = {tuple(name for name, _ in d.homes) for d, o in chosen if o.refit}
        proven = {name for d, o in chosen if o.choice == "clone" for name, _ in d.homes}
        writer = self._prices.writer if any(o.got for _, o in chosen) else 0
        visits = self._visits(tuple(sorted(changed))) * self._prices.time("shop_trip")
        return visits + writer + sum(self._proofs[name] for name in proven)

    def _visits(self, changed: tuple[tuple[str, ...], ...]) -> int:
        """The fewest sets of which each wheel that is changed is in one."""
        if changed not in self._visited:
            names = sorted({name for sets in changed for name in sets})
            counts = (
                n
                for n in range(len(names) + 1)
                for some in combinations(names, n)
                if all(set(some) & set(c) for c in changed)
            )
            self._visited[changed] = next(counts)
        return self._visited[changed]

    @cached_property
    def _proofs(self) -> dict[str, int]:
        """What it costs to prove a set corner by corner."""
        world = self.world
        return {
            wheels.id: self._prices.corner_proof(
                wheels.id, [car for car in world.judging if world.goes_on(wheels.id, car)], world.day
            )
            for wheels in world.garage.set
        }

    # --- pairs ----------------------------------------------------------------------------------------------------

    def _phases(self, decision: Decision, option: Option) -> list[Phase]:
        """What a wheel surely carries, from when until when, in years from today."""
        there = self.world.years_there(decision.wheel)
        if option.on is None:
            return [(0.0, there, option.known)] if option.known else []
        turn = self.world.years_until(option.on)
        both = ((0.0, turn, option.before), (turn, there, option.known))
        return [(since, until, number) for since, until, number in both if number]

    def _years(self, d: Decision, o: Option, other: Decision, option: Option) -> float:
        """For how long two wheels are a pair, at the longest."""
        if told_apart(self.world.garage, o.voice, option.voice):
            return 0
        return longest(self._phases(d, o), self._phases(other, option))

    def _years_with(self, carrier: Carrier, phases: list[Phase], voice: str) -> float:
        """For how long a wheel is a pair with one of somebody else's."""
        if len(carrier.ids) != 1 or told_apart(self.world.garage, voice, carrier.family):
            return 0
        there = self.world.years_there(carrier.wheel or "")
        return longest(phases, [(0.0, there, next(iter(carrier.ids)))])

    def _meeting(self, chosen: Chosen) -> int:
        """The risk that sets which carry one ID meet after all; of somebody else's sets only with one of the owner's."""
        pairs: dict[frozenset[str | None], float] = {}

        def note(one: str, two: str | None, years: float) -> None:
            pairs[frozenset({one, two})] = max(years, pairs.get(frozenset({one, two}), 0))

        for (d, o), (other, option) in combinations(chosen, 2):
            if not {o.known, o.before}.isdisjoint({option.known, option.before} - {None}):
                note(d.set, other.set, self._years(d, o, other, option))
        for (d, o), carrier in product(chosen, self.world.fixed):
            note(d.set, carrier.set, self._years_with(carrier, self._phases(d, o), o.voice))
        return sum(self._prices.met(years) for years in pairs.values() if years)

    # --- teaching -------------------------------------------------------------------------------------------------

    def _teaching(self, memory: Memory, chosen: Chosen) -> int:
        options = {n: option for n, (_, option) in enumerate(chosen)}
        return self._teachings(memory, options) * self._prices.teach(memory.car)

    def _bears(self, options: Mapping[int, Option]) -> bool:
        """Whether no car that can't be taught has to be."""
        return not any(self._teachings(memory, options) for memory in self._untaught)

    def _teachings(self, memory: Memory, options: Mapping[int, Option]) -> int:
        """How often a car is taught, where its wheels have these options, by their numbers."""
        watched = self._watched[memory.car.id]
        key = (memory.car.id, *(options[n].carried for n in watched))
        if key not in self._taught:
            contents = memory.contents((self.wheels[n], options[n]) for n in watched)
            self._taught[key] = memory.teachings(contents)
        return self._taught[key]
