"""Drawing new sensor IDs that meet no other and are hard to mistake for one."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import combinations

from wheelside.errors import BadRequest
from wheelside.sensor.ident import PrintForm, SensorId, digits_of, empty_numbers

RandomBits = Callable[[int], int]
"""k -> an integer of k random bits, from a cryptographic source (secrets.randbits)."""

WANTED_DISTANCE = 3
_DRAWS = 4096
_ENUMERABLE_BITS = 16


@dataclass(frozen=True, slots=True)
class FreshRule:
    """What fresh IDs of one family look like.

    `prefix` is the family's fixed leading hex digits, '' where it has none; `form` is how they are printed.
    """

    family: str
    bits: int
    prefix: str = ""
    form: PrintForm = PrintForm.HEX

    @property
    def free_bits(self) -> int:
        return self.bits - 4 * len(self.prefix)

    def number(self, free: int) -> int:
        """The ID whose free part is `free`."""
        return (int(self.prefix, 16) << self.free_bits if self.prefix else 0) | free


@dataclass(frozen=True, slots=True)
class FreshId:
    """A drawn ID and by how many printed digits, at least, it differs from every other in earshot (1 to 3)."""

    id: SensorId
    distance: int


def draw(
    count: int, rule: FreshRule, taken: Iterable[int], near: Iterable[int], random_bits: RandomBits
) -> tuple[FreshId, ...]:
    """`count` new IDs. Never one of `taken`, never all zeros or ones, the prefix kept.

    `taken`: every number that is or was used, reserved or retired in the family or in one not proven
    different. `near`: the numbers in earshot, which a new one is to differ from by three printed
    digits, by two where that is not to be had, else by one. Drawn one after another: where at most 16
    bits are free, every free ID is tried before the distance is lowered. Raises BadRequest when the free digits are used up.
    """
    used = {*taken, *empty_numbers(rule.bits)}
    guard = _Neighbours(rule, near)
    drawn: list[FreshId] = []
    for least in range(WANTED_DISTANCE, 0, -1):
        for free in _candidates(rule, count - len(drawn), random_bits):
            number = rule.number(free)
            if number in used or guard.distance(number) < least:
                continue
            drawn.append(FreshId(SensorId(rule.family, rule.bits, number), guard.distance(number)))
            used.add(number)
            guard.add(number)
            if len(drawn) == count:
                return tuple(drawn)
    raise BadRequest(
        f"family {rule.family or '(not named)'}: no ID is left under the prefix {rule.prefix!r} "
        f"({rule.free_bits} free bits, {len(drawn)} of {count} drawn); check the prefix, or free IDs of scrapped sensors",
        found=f"{count} wanted",
        expected=f"at most {len(drawn)}",
    )


def _candidates(rule: FreshRule, count: int, random_bits: RandomBits) -> Iterable[int]:
    """Free parts in random order: each of them once where they are few, else a bounded number of draws."""
    if rule.free_bits > _ENUMERABLE_BITS:
        return (random_bits(rule.free_bits) for _ in range(_DRAWS + 16 * count))
    free = list(range(1 << rule.free_bits))
    for last in range(len(free) - 1, 0, -1):
        other = _below(last + 1, random_bits)
        free[last], free[other] = free[other], free[last]
    return free


def _below(limit: int, random_bits: RandomBits) -> int:
    """A number from 0 to limit - 1, each as likely as the next."""
    bits = (limit - 1).bit_length()
    while (number := random_bits(bits)) >= limit:
        pass
    return number


class _Neighbours:
    """The printed forms in earshot, indexed so that a distance of 1 or 2 digits is found at once."""

    def __init__(self, rule: FreshRule, numbers: Iterable[int]) -> None:
        self._rule = rule
        self._keys: tuple[set[tuple[int, ...]], set[tuple[int, ...]]] = (set(), set())
        for number in numbers:
            if 0 <= number < 1 << rule.bits:
                self.add(number)

    def add(self, number: int) -> None:
        for cut, keys in enumerate(self._keys, start=1):
            keys.update(self._cuts(number, cut))

    def distance(self, number: int) -> int:
        """How many digits `number` differs by from the nearest, 3 standing for 3 or more."""
        for cut, keys in enumerate(self._keys, start=1):
            if any(key in keys for key in self._cuts(number, cut)):
                return cut
        return WANTED_DISTANCE

    def _cuts(self, number: int, cut: int) -> Iterable[tuple[int, ...]]:
        """The digits with every choice of `cut` places left out, each with the places it lacks."""
        digits = [int(d, 16) for d in digits_of(number, self._rule.bits, self._rule.form)]
        for places in combinations(range(len(digits)), cut):
            yield (*places, -1, *(d for i, d in enumerate(digits) if i not in places))
