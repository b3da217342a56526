"""Writing the report of a bug."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback

from wheelside import __version__


def write_report() -> str:
    """Writes the traceback of the error that is being handled to a file; says where."""
    try:
        handle, name = tempfile.mkstemp(prefix="wheelside-trouble-", suffix=".txt")
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(f"wheelside {__version__}, Python {sys.version}\n\n{traceback.format_exc()}")
    except OSError:
        return "no report could be written"
    return f"the report is in {name}"
