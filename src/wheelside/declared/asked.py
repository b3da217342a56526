"""How a declared fact is asked of its owner: in plain words, with where it is found and what not knowing leads to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Effort(IntEnum):
    """How much it takes an owner to find a fact out, as a weight: known by heart, at the car, in the handbook, with an instrument.

    Judgement.
    """

    HEART = 1
    LOOK = 2
    READ = 4
    MEASURE = 8


@dataclass(frozen=True, slots=True)
class AskedAs:
    """One fact as it is asked. All texts are patterns, in which {name} is the car or the set that it is about.

    `where`: where an owner finds it; `unknown`: what "don't know" leads to; `options`: values with their words, none for a text that is typed;
    `trials`: values by which it is tried out what a typed fact would change; `usual`: what it usually is, as its value, with what that
    rests on; `unit`: what stands beside its field, and is taken where a bare number is typed; `drawing`: which drawing shows where it stands.
    """

    question: str
    where: str
    unknown: str
    options: tuple[tuple[object, str], ...] = ()
    trials: tuple[object, ...] = ()
    effort: Effort = Effort.LOOK
    usual: str = ""
    usual_by: str = ""
    unit: str = ""
    example: str = ""
    drawing: str = ""
    label: str = ""
