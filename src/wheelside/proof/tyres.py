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
from wheelside.watch.says import TyreSays, sentence

Json = dict[str, Any]
TYRES = "tyres"
"""Where it stands in a proof's `about`. Proofs from before have none."""


@dataclass(frozen=True, slots=True)
class TyreSealed:
    """One tyre on a day: its wheel by id and name, the corner that it is at ('' for none), and what is said of it as figures."""

    wheel: str
    name: str
    corner: str
    on: date
    says: TyreSays

    def text(self, speech: Speech) -> str:
        """The sentence, as it was true on that day."""
        return speech.text(sentence(self.says, self.on))


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
