"""Clashes drawn together: of candidates every two of which clash, at most one may be chosen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.identity.meeting import Pick
from wheelside.identity.task import PlanProblem


@dataclass(frozen=True, slots=True)
class Exclusive:
    """At most `most` of the candidates while all `picks` are picked; `slack` more for each that is not."""

    candidates: tuple[int, ...]
    picks: tuple[Pick, ...]
    most: int
    slack: int


def exclusive(task: PlanProblem) -> Iterator[Exclusive]:
    """All clashes of a problem, those about one ID and the same places drawn together as far as they go."""
    owner = {i: n for n, own in enumerate(task.of_member) for i in own}
    grouped: dict[tuple[tuple[int, int], tuple[Pick, ...]], set[tuple[int, int]]] = defaultdict(set)
    for clash in task.clashes:
        if len(clash.candidates) == 1:
            yield Exclusive(clash.candidates, clash.picks, 0, 1)
        else:
            a, b = clash.candidates
            grouped[clash.id.key, clash.picks].add((a, b))
    for (_, picks), pairs in sorted(grouped.items(), key=lambda item: (item[0][0], item[0][1])):
        for clique in _cliques(pairs, owner):
            yield Exclusive(clique, picks, 1, len({owner[i] for i in clique}) - 1)


def _cliques(pairs: set[tuple[int, int]], owner: dict[int, int]) -> Iterator[tuple[int, ...]]:
    """Groups that cover every pair, in each of which every two are a pair or belong to one wheel."""
    beside: dict[int, set[int]] = defaultdict(set)
    for a, b in pairs:
        beside[a].add(b)
        beside[b].add(a)
    left = set(pairs)
    for a, b in sorted(pairs):
        if (a, b) not in left:
            continue
        group = [a, b]
        for other in sorted(beside):
            if other not in group and all(other in beside[x] or owner[other] == owner[x] for x in group):
                group.append(other)
        yield tuple(sorted(group))
        left -= {(x, y) for x in group for y in group}
