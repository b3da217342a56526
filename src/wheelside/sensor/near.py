"""IDs that are easily taken for one another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wheelside.said import Coded, Said, say
from wheelside.sensor.ident import PrintForm, SensorId, reversed_forms


class Alike(Coded):
    """How one ID is easily taken for another."""

    SAME = "same", "the same as"
    REVERSED = "reversed", "the reversed form of"
    ONE_CHARACTER = "one-character", "one character from"
    NEIGHBOURS = "neighbours", "two neighbouring characters swapped against"


@dataclass(frozen=True, slots=True)
class Likeness:
    """A known ID and how the other one differs from it; `form`: the print form in which it does, None where that does not matter."""

    known: SensorId
    how: Alike
    form: PrintForm | None = None

    @property
    def text(self) -> Said:
        """What is said of it: 'one character from (hex)'."""
        return say("{how} ({form})", how=self.how, form=self.form) if self.form else say("{how}", how=self.how)


def likenesses(seen: SensorId, known: Iterable[SensorId]) -> tuple[Likeness, ...]:
    """The known IDs that `seen` may be a misreading of, in their own order; equal ones come first.

    These are matches to look at, never readings: nothing is picked here.
    """
    found = [like for other in sorted(set(known)) if (like := _like(seen, other)) is not None]
    return tuple(sorted(found, key=lambda like: like.how is not Alike.SAME))


def look_alikes(seen: SensorId) -> frozenset[int]:
    """The numbers of all IDs of the same width that `seen` may be a misreading of, itself among them."""
    out = {seen.number, *reversed_forms(seen.number, seen.bits)}
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


def _like(seen: SensorId, other: SensorId) -> Likeness | None:
    if seen.bits != other.bits:
        return None
    if seen.number == other.number:
        return Likeness(other, Alike.SAME)
    if other.number in reversed_forms(seen.number, seen.bits):
        return Likeness(other, Alike.REVERSED)
    for form in PrintForm:
        how = _misread(seen.printed(form), other.printed(form))
        if how is not None:
            return Likeness(other, how, form)
    return None


def _misread(a: str, b: str) -> Alike | None:
    """How two texts of one length differ, where it is by one character or by two neighbours swapped."""
    unlike = [i for i in range(len(a)) if a[i] != b[i]]
    if len(unlike) == 1:
        return Alike.ONE_CHARACTER
    if len(unlike) != 2:
        return None
    i, j = unlike
    return Alike.NEIGHBOURS if j == i + 1 and (a[i], a[j]) == (b[j], b[i]) else None
