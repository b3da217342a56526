"""What was said of each tyre when a job was finished: sealed with a proof, for it does not follow from the job's evidence alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from pydantic import TypeAdapter

from wheelside.proof.plain import exact
from wheelside.speech.speech import Speech
from wheelside.units import UnitChoice
from wheelside.watch.says import TyreSays, sentence

Json = dict[str, Any]
TYRES = "tyres"
"""Where it stands in a proof's `about`. Proofs from before have none."""


@dataclass(frozen=True, slots=True)
class TyreSealed:
    """One tyre: its wheel by id and name, the corner that it is at ('' for none), what is said of it as figures, and in words.

    `sentence`: in the units of the job, as it stood then; it is not said anew.
    """

    wheel: str
    name: str
    corner: str
    says: TyreSays
    sentence: str


def sealed_tyre(name: str, corner: str, says: TyreSays, today: date, units: UnitChoice) -> TyreSealed:
    """What a proof seals of one tyre."""
    return TyreSealed(says.wheel, name, corner, says, Speech(units).text(sentence(says, today)))


@cache
def _adapter() -> TypeAdapter[tuple[TyreSealed, ...]]:
    return TypeAdapter(tuple[TyreSealed, ...])


def tyres_json(tyres: Iterable[TyreSealed]) -> list[Json]:
    """As JSON values, pressures in kPa."""
    plain: list[Json] = exact(_adapter().dump_python(tuple(tyres), mode="json"))
    return plain


def tyres_sealed(proof: Json) -> tuple[TyreSealed, ...]:
    """What a proof has of tyres; nothing for one from before. Raises ValueError."""
    return _adapter().validate_python(proof["about"].get(TYRES, ()))
