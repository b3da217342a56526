"""Spreadsheets as bytes, written from the standards by hand: ECMA-376 (.xlsx) and ODF 1.2 (.ods)."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from xml.sax.saxutils import escape

Value = str | float | datetime | None
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>'


def _zipped(files: dict[str, str], stored: str = "") -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name, text in files.items():
            zipped.writestr(name, text, zipfile.ZIP_STORED if name == stored else zipfile.ZIP_DEFLATED)
    return out.getvalue()


def xlsx(
    sheets: dict[str, Sequence[Sequence[Value]]], first_row: int = 1, formulas: Iterable[tuple[int, int]] = ()
) -> bytes:
    """A workbook; cells at `formulas` (row and column from 0) hold a formula beside the value that it came to."""
    made = {name: _sheet(rows, first_row, frozenset(formulas)) for name, rows in sheets.items()}
    return xlsx_of(made)


def xlsx_of(sheets: dict[str, str]) -> bytes:
    """A workbook of sheets whose rows are XML already."""
    numbers = range(1, len(sheets) + 1)
    parts = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{_TYPE}.worksheet+xml"/>' for n in numbers
    )
    listed = "".join(
        f'<sheet name="{escape(s)}" sheetId="{n}" r:id="rId{n}"/>' for n, s in zip(numbers, sheets, strict=True)
    )
    links = "".join(
        f'<Relationship Id="rId{n}" Type="{_OFFICE}/worksheet" Target="worksheets/sheet{n}.xml"/>' for n in numbers
    )
    style = '<fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1"><border/></borders>'
    formats = (
        '<cellXfs count="2"><xf numFmtId="0" applyNumberFormat="0"/><xf numFmtId="22" applyNumberFormat="1"/></cellXfs>'
    )
    files = {
        "[Content_Types].xml": _types(parts),
        "_rels/.rels": _links(f'<Relationship Id="rId1" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/>'),
        "xl/workbook.xml": f'{_HEAD}<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": _links(
            links + f'<Relationship Id="rId99" Type="{_OFFICE}/styles" Target="styles.xml"/>'
        ),
        "xl/styles.xml": f'{_HEAD}<styleSheet xmlns="{_MAIN}">{style}{formats}</styleSheet>',
    }
    for n, rows in zip(numbers, sheets.values(), strict=True):
        files[f"xl/worksheets/sheet{n}.xml"] = (
            f'{_HEAD}<worksheet xmlns="{_MAIN}"><sheetData>{rows}</sheetData></worksheet>'
        )
    return _zipped(files)


def _types(parts: str) -> str:
    plain = (
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPE}.sheet.main+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_TYPE}.styles+xml"/>'
    )
    return f'{_HEAD}<Types xmlns="{_PACKAGE}/content-types">{plain}{parts}</Types>'


def _links(links: str) -> str:
    return f'{_HEAD}<Relationships xmlns="{_PACKAGE}/relationships">{links}</Relationships>'


def _sheet(rows: Sequence[Sequence[Value]], first: int, formulas: frozenset[tuple[int, int]]) -> str:
    return "".join(
        f'<row r="{r}">'
        + "".join(_cell(f"{chr(65 + c)}{r}", v, (i, c) in formulas) for c, v in enumerate(row) if v is not None)
        + "</row>"
        for i, row in enumerate(rows)
        for r in [first + i]
    )


def _cell(where: str, value: Value, formula: bool) -> str:
    worked = "<f>1+1</f>" if formula else ""
    if isinstance(value, datetime):
        serial = (value - datetime.fromisoformat("1899-12-30")).total_seconds() / 86400
        return f'<c r="{where}" s="1">{worked}<v>{serial!r}</v></c>'
    if isinstance(value, str):
        if formula:
            return f'<c r="{where}" t="str">{worked}<v>{escape(value)}</v></c>'
        return f'<c r="{where}" t="inlineStr"><is><t>{escape(value)}</t></is></c>'
    return f'<c r="{where}">{worked}<v>{value!r}</v></c>'


_ODF = "urn:oasis:names:tc:opendocument:xmlns"
_ODS = "application/vnd.oasis.opendocument.spreadsheet"


def ods(sheets: dict[str, Sequence[Sequence[Value]]]) -> bytes:
    """An OpenDocument spreadsheet."""
    tables = "".join(
        f'<table:table table:name="{escape(name)}">'
        + "".join("<table:table-row>" + "".join(map(_ods_cell, row)) + "</table:table-row>" for row in rows)
        + "</table:table>"
        for name, rows in sheets.items()
    )
    content = (
        f'{_HEAD}<office:document-content xmlns:office="{_ODF}:office:1.0" xmlns:table="{_ODF}:table:1.0" xmlns:text="{_ODF}:text:1.0"'
        f' office:version="1.2"><office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>'
    )
    manifest = (
        f'{_HEAD}<manifest:manifest xmlns:manifest="{_ODF}:manifest:1.0" manifest:version="1.2"><manifest:file-entry manifest:full-path="/"'
        f' manifest:media-type="{_ODS}"/><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    return _zipped({"mimetype": _ODS, "content.xml": content, "META-INF/manifest.xml": manifest}, stored="mimetype")


def _ods_cell(value: Value) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, datetime):
        return f'<table:table-cell office:value-type="date" office:date-value="{value.isoformat()}"/>'
    if isinstance(value, str):
        return f'<table:table-cell office:value-type="string"><text:p>{escape(value)}</text:p></table:table-cell>'
    return f'<table:table-cell office:value-type="float" office:value="{value!r}"/>'
