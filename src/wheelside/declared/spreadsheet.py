"""Telling a spreadsheet by its bytes, so that one given in place of text is named as one."""

from __future__ import annotations

import io
import zipfile
from enum import StrEnum

_ZIP, _OLD = b"PK\x03\x04", bytes.fromhex("D0CF11E0A1B11AE1")
_ODS = b"application/vnd.oasis.opendocument.spreadsheet"


class FileKind(StrEnum):
    """What a file is that is no text; the first two are spreadsheets that can be read."""

    XLSX = ".xlsx"
    ODS = ".ods"
    OLD = ".xls"
    ZIP = ".zip"


def kind_of(data: bytes) -> FileKind | None:
    """What a file is by its bytes; None for one that is neither a spreadsheet nor a zip file."""
    if data.startswith(_OLD):
        return FileKind.OLD
    if not data.startswith(_ZIP):
        return None
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            names = set(zipped.namelist())
    except (zipfile.BadZipFile, NotImplementedError, ValueError, OSError):
        names = set()
    if "xl/workbook.xml" in names:
        return FileKind.XLSX
    return FileKind.ODS if _ODS in data[:200] and "content.xml" in names else FileKind.ZIP


def named(kind: FileKind) -> str:
    """'a spreadsheet (.xlsx)', 'a zip file'."""
    return "a zip file" if kind is FileKind.ZIP else f"a spreadsheet ({kind.value})"
