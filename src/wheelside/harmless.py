"""Text from outside as it may be shown: a file, a name or a car's answer never steers the terminal that it is shown on.

What steers one: C0 and C1 control characters (ISO 6429) but newline and tab, delete, what turns the order of writing (Unicode Annex 9),
and halves of characters, which no output takes.
"""

from __future__ import annotations

import re
from typing import Any

MARK = "\ufffd"
"""Stands in place of each sign that was taken out."""
_STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def harmless(text: str) -> str:
    r"""A text with a mark for each sign that would steer a terminal.

    >>> harmless("key 1234\rkey 5678")
    'key 1234\ufffdkey 5678'
    """
    return _STEERS.sub(MARK, text.replace("\r\n", "\n"))


def harmless_all(value: Any) -> Any:
    """JSON's values with every text in them made harmless."""
    if isinstance(value, str):
        return harmless(value)
    if isinstance(value, dict):
        return {harmless(key): harmless_all(item) for key, item in value.items()}
    return [harmless_all(item) for item in value] if isinstance(value, (list, tuple)) else value


def escaped(document: str) -> str:
    r"""A JSON document with such signs as \u escapes: it says the same."""
    return _STEERS.sub(lambda sign: f"\\u{ord(sign[0]):04x}", document)
