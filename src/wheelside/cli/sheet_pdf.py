"""The cards as a PDF for the wall: A4, to be read at arm's length and filled in by hand."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

from wheelside.cli.sheet_paper import Paper
from wheelside.typeset import pages, typeset

_TEMPLATE = Path(__file__).parent / "sheet.typ"
SIZES_PT = (12.0, 11.5, 11.0, 10.75, 10.5, 10.25, 10.0, 9.5, 9.0)
"""The largest at which it takes two pages; a sheet that takes more at the smallest of them has more pages. 10 pt is common in
print, and 9 pt about the least that is read at 60 cm: judgement."""
SHEETS = 2


def sheet_pdf(paper: Paper) -> bytes:
    """The PDF (PDF/A-2b) of a sheet: the same sheet, the same bytes."""
    data = asdict(paper)
    return typeset(
        _TEMPLATE, _at(data, next((s for s in SIZES_PT if pages(_TEMPLATE, _at(data, s)) <= SHEETS), SIZES_PT[-1]))
    )


def _at(data: dict[str, Any], size_pt: float) -> dict[str, Any]:
    return {**data, "size": size_pt}
