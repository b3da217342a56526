"""What cars' lists remember, as a part of the model that is solved: a set is known on a change, or taught."""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from wheelside.garage.words import WhenFull
from wheelside.identity.task import Mount, PlanProblem, SameAs

_Row = tuple[tuple[int, ...], tuple[int, ...]]


def all_of(model: cp_model.CpModel, literals: list[cp_model.IntVar], *, exactly: bool = True) -> cp_model.IntVar:
    """A literal that needs all of these; `exactly`: and is true whenever all of them are."""
    way = model.new_bool_var("")
    for literal in literals:
        model.add_implication(way, literal)
    if exactly:
        model.add_bool_or([way, *(~literal for literal in literals)])
    return way


@dataclass(slots=True)
class CarLists:
    """The lists of all cars. `taught`: for each mount whether the set is taught then."""

    problem: PlanProblem
    model: cp_model.CpModel
    chosen: list[cp_model.IntVar]
    taught: list[cp_model.IntVar] = field(default_factory=list)
    _matched: dict[tuple[int, ...], cp_model.IntVar] = field(default_factory=dict)
    _alike: dict[int, list[cp_model.IntVar]] = field(default_factory=dict)
    _rows: dict[_Row, cp_model.IntVar] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.taught = [self.model.new_bool_var(f"t{m}") for m in range(len(self.problem.mounts))]

    def remember(self, *, untaught: bool) -> None:
        """Adds what has to be taught when. `untaught`: of the cars alone that can't be taught."""
        by_car: dict[str, list[int]] = {}
        for m, mount in enumerate(self.problem.mounts):
            if mount.untaught or not untaught:
                by_car.setdefault(mount.car, []).append(m)
        for mounts in by_car.values():
            when_full = self.problem.mounts[mounts[0]].when_full
            if when_full is WhenFull.CHOSEN:
                self._picks_what_to_forget(mounts)
            elif when_full is WhenFull.ALL:
                self._forgets_all(mounts)
            else:
                self._forgets_the_oldest(mounts)

    def _forgets_the_oldest(self, mounts: list[int]) -> None:
        """A set is known while it was there at the start, or taught, and fewer than `slots` came after it; else taught."""
        for j, m in enumerate(mounts):
            mount = self.problem.mounts[m]
            ways = []
            for h, found in enumerate(mount.held):
                newer = min(len(mount.held) - 1 - h, mount.slots - 1)  # the start is all there yet
                ways.append(self._all_of([*self._matches(found), self._few_since(mount, mounts[:j], newer)]))
            for i in range(j):
                same = mount.same[i]
                if same is not None:
                    alike = self._carries_the_same(same)
                    since = self._few_since(mount, mounts[i + 1 : j], 0)
                    ways.append(self._all_of([*alike, self.taught[mounts[i]], since]))
            self.model.add_bool_or([self.taught[m], *ways])
            for way in ways:
                self.model.add_implication(way, ~self.taught[m])

    def _forgets_all(self, mounts: list[int]) -> None:
        """A set is known while it was there at the start, or taught, and nothing has emptied the list since; a full one is emptied."""
        first = self.problem.mounts[mounts[0]]
        holds = self.model.new_constant(min(len(first.held), first.slots))
        keeps: list[cp_model.IntVar] = []
        for j, m in enumerate(mounts):
            mount, taught = self.problem.mounts[m], self.taught[m]
            ways = [self._all_of([*self._matches(found), *keeps]) for found in mount.held]
            for i in range(j):
                same = mount.same[i]
                if same is not None:
                    alike = self._carries_the_same(same)
                    ways.append(self._all_of([*alike, self.taught[mounts[i]], *keeps[i + 1 :]]))
            self.model.add_bool_or([taught, *ways])
            for way in ways:
                self.model.add_implication(way, ~taught)
            keep, holds = self._taken_in(holds, taught, mount.slots)
            keeps.append(keep)

    def _taken_in(
        self, holds: cp_model.IntVar, taught: cp_model.IntVar, slots: int
    ) -> tuple[cp_model.IntVar, cp_model.IntVar]:
        """Whether the list keeps what it held at a mount, and how many sets it holds after it."""
        full, keeps = self.model.new_bool_var(""), self.model.new_bool_var("")
        self.model.add(holds == slots).only_enforce_if(full)
        self.model.add(holds <= slots - 1).only_enforce_if(~full)
        self.model.add(keeps + self._all_of([taught, full]) == 1)
        after = self.model.new_int_var(0, slots, "")
        self.model.add(after == 1).only_enforce_if(~keeps)
        self.model.add(after == holds + taught).only_enforce_if(keeps)
        return keeps, after

    def _picks_what_to_forget(self, mounts: list[int]) -> None:
        """A set is known where it was kept from the start or from an earlier mount; beside the fitted one, slots - 1 can be.

        What is kept from the start for several mounts takes one place, and none while it is itself fitted.
        """
        from_start: dict[tuple[int, int], cp_model.IntVar] = {}
        between: list[tuple[int, int, cp_model.IntVar]] = []
        for j, m in enumerate(mounts):
            mount = self.problem.mounts[m]
            ways: list[cp_model.IntVar] = [self.taught[m]]
            for h, found in enumerate(mount.held):
                from_start[h, j] = way = self._all_of(self._matches(found), exactly=False)
                ways.append(way)
            for i in range(j):
                same = mount.same[i]
                if same is not None:
                    alike = self._carries_the_same(same)
                    way = self._all_of(alike, exactly=False)
                    between.append((i, j, way))
                    ways.append(way)
            self.model.add_bool_or(ways)
        for m in range(len(mounts)):
            over = [way for i, j, way in between if i < m < j]
            over += [self._over(from_start, h, m, len(mounts)) for h in range(len(self.problem.mounts[mounts[0]].held))]
            self.model.add(sum(over) <= self.problem.mounts[mounts[m]].slots - 1)

    def _over(self, from_start: dict[tuple[int, int], cp_model.IntVar], h: int, m: int, count: int) -> cp_model.IntVar:
        """Whether group h of the start is kept over mount m for a later one, m itself being another set."""
        kept = self.model.new_bool_var("")
        for j in range(m + 1, count):
            self.model.add(kept >= from_start[h, j] - from_start[h, m])
        return kept

    def _all_of(self, literals: list[cp_model.IntVar], *, exactly: bool = True) -> cp_model.IntVar:
        return all_of(self.model, literals, exactly=exactly)

    def _matches(self, found: tuple[tuple[int, ...], ...]) -> list[cp_model.IntVar]:
        """For each wheel, whether one of the candidates under which the list knows it is chosen."""
        for own in found:
            if own not in self._matched:
                self._matched[own] = match = self.model.new_bool_var("")
                self.model.add(sum(self.chosen[i] for i in own) == match)
        return [self._matched[own] for own in found]

    def _few_since(self, mount: Mount, between: list[int], newer: int) -> cp_model.IntVar:
        """Whether fewer than `slots` sets have come into the list since."""
        few = self.model.new_bool_var("")
        came = sum(self.taught[m] for m in between) + newer
        self.model.add(came <= mount.slots - 1).only_enforce_if(few)
        self.model.add(came >= mount.slots).only_enforce_if(~few)
        return few

    def _carries_the_same(self, same: SameAs) -> list[cp_model.IntVar]:
        """Literals that are all true just where both sets carry the same IDs."""
        if id(same) not in self._alike:
            self._alike[id(same)] = self._equal_rows(same)
        return self._alike[id(same)]

    def _equal_rows(self, same: SameAs) -> list[cp_model.IntVar]:
        out = [self._none_of(same.none_of)] if same.none_of else []
        for row in same.rows:
            if row not in self._rows:
                self._rows[row] = self._equal_at_corner(row) if same.by_corner else self._equal(row)
            out.append(self._rows[row])
        return out

    def _none_of(self, candidates: tuple[int, ...]) -> cp_model.IntVar:
        row = (candidates, ())
        if row not in self._rows:
            self._rows[row] = none = self.model.new_bool_var("")
            for i in candidates:
                self.model.add_implication(none, ~self.chosen[i])
            self.model.add_bool_or([none, *(self.chosen[i] for i in candidates)])
        return self._rows[row]

    def _equal_at_corner(self, row: _Row) -> cp_model.IntVar:
        """Of two wheels: whether both carry an ID, or neither."""
        equal = self.model.new_bool_var("")
        mine, theirs = (sum(self.chosen[i] for i in side) for side in row)
        self.model.add(mine == theirs).only_enforce_if(equal)
        self.model.add(mine + theirs == 1).only_enforce_if(~equal)
        return equal

    def _equal(self, row: _Row) -> cp_model.IntVar:
        """Whether as many wheels carry an ID on one side as on the other."""
        equal, less, more = (self.model.new_bool_var("") for _ in range(3))
        difference = sum(self.chosen[i] for i in row[0]) - sum(self.chosen[i] for i in row[1])
        self.model.add_exactly_one(equal, less, more)
        self.model.add(difference == 0).only_enforce_if(equal)
        self.model.add(difference <= -1).only_enforce_if(less)
        self.model.add(difference >= 1).only_enforce_if(more)
        return equal
