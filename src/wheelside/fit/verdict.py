"""What can be said of one line, and what a set needs so that it fits."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Way, WayKind
from wheelside.garage.words import Corner
from wheelside.said import Coded, Said


class Verdict(Coded):
    """From the least to the most serious; the most serious one of all lines is that of a set."""

    NO_MATTER = "no-matter", "does not matter here"
    FITS = "fits"
    WITH_PART = "with-part", "fits with a part"
    MEASURE = "measure", "not known: measure"
    NOT = "not", "does not fit"


GRADES = tuple(Verdict)
"""Verdicts as whole numbers, by their place here: rules grade many pairs at once."""
NO_MATTER, FITS, WITH_PART, MEASURE, NOT = range(len(GRADES))


SIGNS = {
    Verdict.NO_MATTER: "·", Verdict.FITS: "✓", Verdict.WITH_PART: "+", Verdict.MEASURE: "?", Verdict.NOT: "✕",
}  # fmt: skip
"""A sign that stands beside each verdict's words."""


class Question(Coded):
    """The three questions that are answered apart."""

    RIM = "rim", "Rim and hub"
    TYRE = "tyre", "Tyre"
    RADIO = "radio", "Radio"


QUESTIONS = tuple(Question)


class Part(Coded):
    """What a set may need. Those of a wheel want the tyre off; those of a set are bought once."""

    SENSOR = "sensor", "sensor with valve"
    VALVE = "valve"
    TURNING = "turning", "tyre turned on its rim"
    RINGS = "rings", "centring rings"
    FASTENERS = "fasteners", "bolts or nuts for this rim"
    REWRITING = "rewriting", "another ID written to the sensor"

    @property
    def of_a_wheel(self) -> bool:
        return self not in (Part.RINGS, Part.FASTENERS)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a report: what was asked, where, what is so, in words, on what it rests, and what to do.

    `corners`: where; () where it is so of all four, or of the set as one.
    """

    question: Question
    code: str
    title: Said
    corners: tuple[Corner, ...]
    verdict: Verdict
    text: Said
    basis: tuple[Basis, ...]
    way_out: Way | None = None
    part: Part | None = None


_KINDS = {NOT: WayKind.LEAVE, MEASURE: WayKind.FIND_OUT, WITH_PART: WayKind.BUY}


def way_of(grade: int, said: Said | None) -> Way | None:
    """What to do about a line of a grade, as a way out; None where there is nothing to do."""
    return None if said is None else Way(_KINDS.get(grade, WayKind.WORK), said)


def worst(verdicts: tuple[Verdict, ...]) -> Verdict:
    """The most serious of some verdicts."""
    return max(verdicts, key=GRADES.index, default=Verdict.NO_MATTER)
