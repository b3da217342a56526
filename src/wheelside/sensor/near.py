"""IDs that are easily taken for one another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wheelside.sensor.ident import PrintForm, SensorId, reversed_bytes


@dataclass(frozen=True, slots=True)
class Likeness:
    """A known ID and how the other one differs from it: 'the reversed form of', 'one character from', …"""

    known: SensorId
    how: str


def likenesses(seen: SensorId, known: Iterable[SensorId]) -> tuple[Likeness, ...]:
    """The known IDs that `seen` may be a misreading of, in their own order; equal ones come first.

    These are matches to look at, never readings: nothing is picked here.
    """
    found = [Likeness(other, how) for other in sorted(set(known)) if (how := _how(seen, other))]
    return tuple(sorted(found, key=lambda like: like.how != "the same as"))


def look_alikes(seen: SensorId) -> frozenset[int]:
    """The numbers of all IDs of the same width that `seen` may be a misreading of, itself among them."""
    reverse = reversed_bytes(seen.number, seen.bits)
    out = {seen.number} if reverse is None else {seen.number, reverse}
    for form in PrintForm:
        digits = "0123456789ABCDEF" if form is PrintForm.HEX else "0123456789"
        out |= {int(text, len(digits)) for text in _variations(seen.printed(form), digits)}
    return frozenset(n for n in out if n < 1 << seen.bits)


def _variations(text: str, digits: str) -> Iterator[str]:
    """The text with one character changed, or two neighbouring ones swapped."""
    for i, old in enumerate(text):
        yield from (text[:i] + new + text[i + 1 :] for new in digits if new != old)
        if i + 1 < len(text):
            yield text[:i] + text[i + 1] + old + text[i + 2 :]


def _how(seen: SensorId, other: SensorId) -> str:
    if seen.bits != other.bits:
        return ""
    if seen.number == other.number:
        return "the same as"
    if reversed_bytes(seen.number, seen.bits) == other.number:
        return "the reversed form of"
    for form in PrintForm:
        a, b = seen.printed(form), other.printed(form)
        unlike = [i for i in range(len(a)) if a[i] != b[i]]
        if len(unlike) == 1:
            return f"one character from ({form.value})"
        if (
            len(unlike) == 2
            and unlike[1] == unlike[0] + 1
            and a[unlike[0]] == b[unlike[1]]
            and a[unlike[1]] == b[unlike[0]]
        ):
            return f"two neighbouring characters swapped against ({form.value})"
    return ""
