"""Starts, claims and records as JSON, and back."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from typing import Any

from pydantic import TypeAdapter

from wheelside.proof.record import Record
from wheelside.sheet.claim import Kept
from wheelside.sheet.start import JobStart

Json = dict[str, Any]


@cache
def _adapter(cls: type[Any]) -> TypeAdapter[Any]:
    return TypeAdapter(cls)


def start_text(start: JobStart) -> str:
    """A job's start as JSON text."""
    return _adapter(JobStart).dump_json(start).decode()


def read_start(text: str | bytes) -> JobStart:
    """The start that a JSON text holds. Raises ValueError."""
    start: JobStart = _adapter(JobStart).validate_json(text)
    return start


_PROSE_OF_STEPS = {"title", "what", "why", "where", "expect", "if_fails", "basis", "cautions"}
_PROSE: dict[str, Any] = {
    "wheels": {"__all__": {"why"}},
    "sheet": {
        "findings": True,
        "steps": {"__all__": {**dict.fromkeys(_PROSE_OF_STEPS, True), "asks": {"__all__": {"label", "names"}}}},
    },
}
"""What a start has for people to read while they work."""


_EXACT = 2**53 - 1
"""The largest whole number that every reader of JSON keeps: RFC 8785, 3.2.2.3."""


def sealed_start(start: JobStart) -> Json:
    """What a proof seals of a start: all that its record is worked out from, and none of the prose."""
    plain: Json = exact(_adapter(JobStart).dump_python(start, mode="json", exclude=_PROSE))
    return plain


def record_json(record: Record) -> Json:
    """A record as JSON values."""
    plain: Json = exact(_adapter(Record).dump_python(record, mode="json"))
    return plain


def exact(value: Any) -> Any:
    """A JSON value with each whole number that JSON's readers may round, such as an ID of 64 bits, as its digits."""
    if isinstance(value, dict):
        return {key: exact(one) for key, one in value.items()}
    if isinstance(value, list):
        return [exact(one) for one in value]
    return str(value) if type(value) is int and abs(value) > _EXACT else value


def read_record(text: str) -> Record:
    """The record that a JSON text holds. Raises ValueError."""
    record: Record = _adapter(Record).validate_json(text)
    return record


def claims_json(claims: Iterable[Kept]) -> list[Json]:
    """Claims as JSON values, one piece of evidence each."""
    return [_adapter(Kept).dump_python(kept, mode="json") for kept in claims]


def read_claims(pieces: Iterable[Json]) -> tuple[Kept, ...]:
    """The claims that pieces of evidence hold. Raises ValueError."""
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in pieces]
    return tuple(_adapter(Kept).validate_json(json.dumps(piece)) for piece in bare)
