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


def start_json(start: JobStart) -> Json:
    """A start as JSON values."""
    plain: Json = _adapter(JobStart).dump_python(start, mode="json")
    return plain


def record_json(record: Record) -> Json:
    """A record as JSON values."""
    plain: Json = _adapter(Record).dump_python(record, mode="json")
    if not plain["from_car"]:
        del plain["from_car"]  # proofs from before cars could be asked are worked out as they were
    return plain


def claims_json(claims: Iterable[Kept]) -> list[Json]:
    """Claims as JSON values, one piece of evidence each."""
    return [_adapter(Kept).dump_python(kept, mode="json") for kept in claims]


def read_claims(pieces: Iterable[Json]) -> tuple[Kept, ...]:
    """The claims that pieces of evidence hold. Raises ValueError."""
    bare = [{k: v for k, v in piece.items() if k != "link"} for piece in pieces]
    return tuple(_adapter(Kept).validate_json(json.dumps(piece)) for piece in bare)
