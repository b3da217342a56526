"""What a job notices beside its answer: who runs it says where that goes."""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar

from wheelside.said import Said

NOTICED: ContextVar[Callable[[Said], None] | None] = ContextVar("noticed", default=None)
"""Who is told; nobody by default."""
