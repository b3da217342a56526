"""Problems of a garage file given as text."""

from __future__ import annotations

import pytest

from wheelside.errors import BadFile, Problem
from wheelside.garage.file import read_garage


def problems_of(text: str) -> tuple[Problem, ...]:
    """The problems of a text that must have some."""
    with pytest.raises(BadFile) as caught:
        read_garage(text.encode(), "x.toml")
    return caught.value.problems
