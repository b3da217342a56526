"""PDF, set by typst with the fonts that it brings along: the one module that uses it. The same data gives the same bytes."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from wheelside.harmless import harmless_all

Json = dict[str, Any]
_NAME = "page.typ"


@contextmanager
def _laid_out(template: Path, files: Mapping[str, bytes]) -> Iterator[Path]:
    """A folder with the template and the files that it shows, and nothing else."""
    with tempfile.TemporaryDirectory(prefix="wheelside-pdf-") as name:
        folder = Path(name)
        (folder / _NAME).write_bytes(template.read_bytes())
        for file, held in files.items():
            (folder / file).write_bytes(held)
        yield folder / _NAME


def _inputs(data: Json) -> dict[str, str]:
    return {"data": json.dumps(harmless_all(data))}


def typeset(template: Path, data: Json, files: Mapping[str, bytes] | None = None) -> bytes:
    """The PDF (PDF/A-2b) of a template with `data`, which it reads as `sys.inputs.data`, and the files that it names."""
    import typst

    with _laid_out(template, files or {}) as page:
        made = typst.compile(
            page, root=page.parent, sys_inputs=_inputs(data), ignore_system_fonts=True, pdf_standards=["a-2b"]
        )  # fmt: skip
    assert isinstance(made, bytes), "one document gives one file"
    return made


def pages(template: Path, data: Json) -> int:
    """How many pages it takes: what the template notes of itself as `<pages>`."""
    import typst

    with _laid_out(template, {}) as page:
        noted = typst.query(
            page, "<pages>", field="value", one=True, root=page.parent, sys_inputs=_inputs(data),
            ignore_system_fonts=True,
        )  # fmt: skip
    return int(json.loads(noted))
