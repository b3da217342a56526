"""Readings files: CSV, JSON Lines, Parquet and spreadsheets in; the first three out. One row a reading."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TextIO

from wheelside.book.disk import whole_file
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.declared.spreadsheet import FileKind, kind_of, named
from wheelside.errors import BadFile, BadRequest, Outside, Problem
from wheelside.jobs.book.short_lines import LONGEST_ROW, MOST_COLUMNS, ShortLines, few_columns
from wheelside.jobs.book.spreadsheet import Cell, read_sheet
from wheelside.jobs.source import MOST_BYTES, read_bytes
from wheelside.units import AbsolutePressure
from wheelside.units.moment import Moment

COLUMNS = (
    "wheel", "sensor", "at", "channel", "pressure_kpa_gauge", "pressure_kpa_absolute", "temperature_c", "battery_low",
    "instrument", "instrument_id", "purpose", "warmth", "tyre_temperature_c", "outside_temperature_c", "place", "air_pressure_kpa",
    "mistaken",
)  # fmt: skip
"""The columns of a readings file that is written; one of `wheel` and `sensor` is given, and at most one of the pressures."""
SUFFIXES = (".csv", ".tsv", ".jsonl", ".ndjson", ".parquet", ".xlsx", ".ods")
"""What readings are read from."""
BATCH_ROWS, MOST_ROWS = 500, 10_000_000
"""Of Parquet files, a few bytes of which may stand for any number of rows: at once; at all."""
_WRITTEN = {".csv": "csv", ".jsonl": "jsonl", ".ndjson": "jsonl", ".parquet": "parquet"}
Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Grid:
    """A file's rows: each with its line and the headings that it stands under. `sheet`: which one of a spreadsheet.

    `headers`: the headings of the first row. `decimal_comma`: whether figures in text have one.
    """

    headers: tuple[str, ...]
    rows: Iterator[tuple[int, tuple[str, ...], Sequence[Cell]]]
    decimal_comma: bool = False
    sheet: str = ""


def written_as(file: Path) -> str:
    """The form in which a readings file of that name is written. Raises BadRequest."""
    kind = _WRITTEN.get(file.suffix.lower())
    if kind is None:
        raise BadRequest(
            f"{file}: readings go out as .csv, .jsonl or .parquet; name the file so. Spreadsheets open .csv",
            found=file.suffix,
            expected=".csv",
        )
    return kind


def open_grid(file: Path, sheet: str = "") -> Grid:
    """The rows of a file, by its name. Raises BadFile, BadRequest, Outside, as do the rows while they are read."""
    if file.exists() and not file.is_file():
        raise BadRequest(
            f"reading {file}: that is no ordinary file; name one with readings", found=str(file), expected="a file"
        )
    suffix = file.suffix.lower()
    if suffix in (".csv", ".tsv"):
        return _text_grid(file)
    if suffix in (".jsonl", ".ndjson"):
        return _named_rows(_json_rows(file))
    if suffix == ".parquet":
        return _named_rows(_parquet_rows(file))
    if suffix in (".xlsx", ".ods"):
        return sheet_grid(read_bytes(file, "the readings"), str(file), sheet)
    raise BadRequest(f"{file}: readings come as {', '.join(SUFFIXES)}; name the file so", found=suffix, expected=".csv")


def grid_of(data: bytes, name: str, sheet: str = "") -> Grid:
    """The rows of a file that was sent, CSV or a spreadsheet by what is in it. Raises BadFile, BadRequest, Outside."""
    if kind_of(data) is not None:
        return sheet_grid(data, name, sheet)
    try:
        return csv_grid(io.StringIO(data.decode("utf-8-sig"), newline=""), name)
    except UnicodeDecodeError as error:
        raise _no_text(name, error) from error


def held_text(grid: Grid) -> str:
    """A grid as text that a form can carry. Raises what its rows raise."""
    rows = [[line, *cells] for line, _, cells in grid.rows]
    held = {"headers": grid.headers, "decimal_comma": grid.decimal_comma, "sheet": grid.sheet, "rows": rows}
    return json.dumps(held, ensure_ascii=False, separators=(",", ":"))


def held_grid(text: str) -> Grid:
    """The grid that `held_text` made text of. Raises BadRequest for another text."""
    try:
        held = json.loads(text)
        heads = tuple(str(h) for h in held["headers"])
        rows = [(int(row[0]), heads, tuple(_plain_cell(cell) for cell in row[1:])) for row in held["rows"]]
        return Grid(heads, iter(rows), bool(held["decimal_comma"]), str(held["sheet"]))
    except (ValueError, TypeError, KeyError, IndexError, OverflowError, RecursionError) as error:
        raise BadRequest("what this form carries is not whole: send the file again", expected="a file") from error


def _plain_cell(cell: object) -> Cell:
    if cell is None or isinstance(cell, (str, bool)):
        return cell
    if isinstance(cell, (int, float)):
        return float(cell)
    raise ValueError("no cell of a table")


def sheet_grid(data: bytes, name: str, sheet: str = "") -> Grid:
    """The rows of a spreadsheet; the first row that has cells is that of the headings. Raises BadRequest, Outside."""
    kind = kind_of(data)
    if kind not in (FileKind.XLSX, FileKind.ODS):
        found = named(kind) if kind else "not a spreadsheet"
        raise BadRequest(f"{name} is {found}: save it as .xlsx, .ods or CSV", found=found, expected=".xlsx")
    read = read_sheet(data, name, sheet)
    if not read.rows:
        raise BadRequest(f"{name}: the sheet '{read.name}' is empty", found=read.name)
    heads = few_columns(tuple("" if cell is None else str(cell).strip() for cell in read.rows[0]), name)
    rows = (
        (read.first + i, heads, cells)
        for i, cells in enumerate(read.rows[1:], start=1)
        if any(c is not None for c in cells)
    )
    return Grid(heads, rows, sheet=read.name)


def _refuse_spreadsheet(start: bytes, name: str) -> None:
    kind = kind_of(start)
    if kind is not None:
        way = (
            f"name it {kind.value}"
            if kind in (FileKind.XLSX, FileKind.ODS)
            else "take the readings out as .xlsx or .ods"
        )
        raise BadRequest(
            f"{name} is {named(kind)}, not CSV: {way}, or save it as CSV", found=named(kind), expected="CSV"
        )


def _no_text(name: str, error: Exception) -> BadRequest:
    return BadRequest(f"{name} is not UTF-8 text with rows of readings ({error}): save it as CSV in UTF-8", found=name)


def _text_grid(file: Path) -> Grid:
    """The rows of a CSV file, which is read while they are asked for."""
    if file.is_file() and (start := _first_bytes(file)).startswith((b"PK", b"\xd0\xcf")):
        _refuse_spreadsheet(read_bytes(file, "the readings") if start.startswith(b"PK") else start, str(file))
    with _opened(file) as lines:
        grid = csv_grid(lines, str(file))

    def rows() -> Iterator[tuple[int, tuple[str, ...], Sequence[Cell]]]:
        with _opened(file) as lines:
            yield from csv_grid(lines, str(file)).rows

    return Grid(grid.headers, rows(), grid.decimal_comma)


def _opened(file: Path) -> TextIO:
    try:
        return file.open(encoding="utf-8-sig", newline="")
    except FileNotFoundError as error:
        raise BadRequest(f"there is no file {file}; check the name", found=str(file)) from error
    except OSError as error:
        raise _unreadable(file, error) from error


def _first_bytes(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(8)
    except OSError as error:
        raise _unreadable(file, error) from error


def _unreadable(file: Path, error: OSError) -> Outside:
    return Outside(f"reading {file}: {error.strerror or error}; check the disk and your rights to the file")


def csv_grid(lines: TextIO, name: str) -> Grid:
    """The rows of CSV text, its cells parted by commas, semicolons or tabs; with semicolons figures have decimal commas."""
    try:
        start = next(ShortLines(lines, name), "")
        lines.seek(0)
        mark, short = max(",;\t", key=start.count), ShortLines(lines, name)
        reader = csv.reader(short, delimiter=mark)
        heads = few_columns(tuple(h.strip() for h in next(reader, ())), name)
    except (UnicodeDecodeError, csv.Error) as error:
        raise _no_text(name, error) from error

    def rows() -> Iterator[tuple[int, tuple[str, ...], Sequence[Cell]]]:
        try:
            for cells in reader:
                short.taken = 0
                if any(cells):
                    yield reader.line_num, heads, cells
        except (UnicodeDecodeError, csv.Error) as error:
            raise _no_text(name, error) from error
        except OSError as error:
            raise _unreadable(Path(name), error) from error

    return Grid(heads, rows(), mark == ";")


def _named_rows(rows: Iterator[tuple[int, Row]]) -> Grid:
    """Rows whose cells carry their headings."""
    return Grid((), ((line, tuple(row), tuple(row.values())) for line, row in rows))


def _json_rows(file: Path) -> Iterator[tuple[int, Row]]:
    try:
        with file.open(encoding="utf-8-sig") as lines:
            short = ShortLines(lines, str(file))
            for number, line in enumerate(short, start=1):
                short.taken = 0
                if line.strip():
                    yield number, {k: v for k, v in _json_row(file, number, line).items() if v is not None}
    except FileNotFoundError as error:
        raise BadRequest(f"there is no file {file}; check the name", found=str(file)) from error
    except OSError as error:
        raise _unreadable(file, error) from error
    except UnicodeDecodeError as error:
        raise _no_text(str(file), error) from error


def _json_row(file: Path, number: int, line: str) -> Row:
    try:
        row = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise _no_object(file, number, line) from error
    if not isinstance(row, dict):
        raise _no_object(file, number, line)
    few_columns(tuple(row), str(file))
    return row


def _no_object(file: Path, number: int, line: str) -> BadFile:
    return BadFile(str(file), (Problem(number, "JSON", line.strip()[:60], "one JSON object a line", ""),))


def _parquet_rows(file: Path) -> Iterator[tuple[int, Row]]:
    parquet = _parquet()
    from pyarrow import ArrowException

    try:
        number = 0
        texts = _short_columns(parquet.ParquetFile(file), file)
        for batch in parquet.ParquetFile(file, read_dictionary=texts).iter_batches(BATCH_ROWS):
            _short_texts(batch, file)
            for row in batch.to_pylist():
                number += 1
                yield number, {k: v for k, v in row.items() if v is not None}
    except FileNotFoundError as error:
        raise BadRequest(f"there is no file {file}; check the name", found=str(file)) from error
    except OSError as error:
        raise _unreadable(file, error) from error
    except ArrowException as error:
        raise BadRequest(f"{file} is not a Parquet file that can be read ({error})", found=str(file)) from error


def _short_columns(opened: Any, file: Path) -> list[str]:
    """The columns of text, which are read as numbers of different texts. Raises BadRequest for what unpacks to too much, and for tables in cells."""
    from pyarrow import types

    most, said = opened.metadata, opened.schema_arrow
    groups = (most.row_group(n) for n in range(most.num_row_groups))
    unpacked = max((sum(g.column(n).total_uncompressed_size for n in range(g.num_columns)) for g in groups), default=0)
    if unpacked > MOST_BYTES or most.num_rows > MOST_ROWS or len(said.names) > MOST_COLUMNS:
        raise _too_much(
            file, f"{unpacked // 1_000_000} MB in one part, {most.num_rows} rows, {len(said.names)} columns"
        )
    if any(types.is_nested(field.type) for field in said):
        raise _too_much(file, "tables within cells")
    kinds = (types.is_string, types.is_large_string, types.is_binary, types.is_large_binary)
    return [field.name for field in said if any(kind(field.type) for kind in kinds)]


def _short_texts(batch: Any, file: Path) -> None:
    """Raises BadRequest for texts as long as no row of readings has them, before there is one for each row."""
    from pyarrow import compute, types

    texts = [column.dictionary for column in batch.columns if types.is_dictionary(column.type)]
    longest = sum(compute.max(compute.binary_length(one)).as_py() or 0 for one in texts)
    if longest > LONGEST_ROW:
        raise _too_much(file, f"texts of {longest} bytes in one row")


def _too_much(file: Path, found: str) -> BadRequest:
    return BadRequest(f"{file} holds {found}: keep only what readings need", found=found, expected="rows of readings")


def _parquet() -> Any:
    try:
        from pyarrow import parquet
    except ImportError as error:
        raise BadRequest(
            "Parquet files need the library pyarrow: install Wheelside with its extra 'parquet'"
        ) from error
    return parquet


def write_readings(file: Path, readings: Iterable[Reading]) -> int:
    """Writes a readings file, whole or not at all; how many. Raises BadRequest where there is one already, Outside."""
    kind = written_as(file)
    if file.exists():
        raise BadRequest(f"there is something at {file} already: name another file", found=str(file))
    with whole_file(file, f"writing {file}") as half:
        return _WRITERS[kind](half, readings)


def _plain(r: Reading) -> Row:
    """A reading as the row of a file; figures as they are, none rounded."""
    kind, one = r.subject
    row: Row = dict.fromkeys(COLUMNS)
    row[kind] = one
    row["at"] = Moment(r.at_us, r.offset_min).iso()
    row["channel"] = r.channel
    if r.pressure is not None:
        kind = "absolute" if isinstance(r.pressure, AbsolutePressure) else "gauge"
        row[f"pressure_kpa_{kind}"] = r.pressure.kpa
    for name, temperature in (
        ("temperature_c", r.temperature),
        ("tyre_temperature_c", r.tyre),
        ("outside_temperature_c", r.outside),
    ):
        row[name] = None if temperature is None else round(temperature.celsius, 9)
    row["battery_low"] = r.battery_low
    row["instrument"], row["instrument_id"], row["place"] = r.instrument, r.instrument_id, r.place
    row["purpose"] = None if r.purpose is Purpose.NOT_KNOWN else r.purpose.value
    row["warmth"] = None if r.warmth is Warmth.NOT_KNOWN else r.warmth.value
    row["air_pressure_kpa"] = r.air.kpa if r.air else None
    row["mistaken"] = r.mistaken or None
    return row


def _write_csv(half: Path, readings: Iterable[Reading]) -> int:
    with half.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, COLUMNS)
        writer.writeheader()
        return _written(readings, lambda row: writer.writerow({**row, "battery_low": _spoken(row["battery_low"])}))


def _spoken(flag: bool | None) -> str | None:
    return None if flag is None else str(flag).lower()


def _written(readings: Iterable[Reading], put: Callable[[Row], object]) -> int:
    counted = 0
    for counted, reading in enumerate(readings, start=1):  # noqa: B007  the number is what is returned
        put(_plain(reading))
    return counted


def _write_json(half: Path, readings: Iterable[Reading]) -> int:
    with half.open("w", encoding="utf-8") as out:

        def put(row: Row) -> None:
            given = {k: v for k, v in row.items() if v is not None}
            out.write(json.dumps(given, ensure_ascii=False) + "\n")

        return _written(readings, put)


def _write_parquet(half: Path, readings: Iterable[Reading]) -> int:
    parquet = _parquet()
    import pyarrow as pa

    text, number = pa.string(), pa.float64()
    types = {
        "pressure_kpa_gauge": number,
        "pressure_kpa_absolute": number,
        "temperature_c": number,
        "tyre_temperature_c": number,
        "outside_temperature_c": number,
        "air_pressure_kpa": number,
        "battery_low": pa.bool_(),
    }
    schema = pa.schema([(name, types.get(name, text)) for name in COLUMNS])
    counted = 0
    with parquet.ParquetWriter(half, schema) as writer:
        rows: list[Row] = []
        for reading in readings:
            rows.append(_plain(reading))
            if len(rows) == 50_000:
                writer.write_table(pa.Table.from_pylist(rows, schema))
                counted, rows = counted + len(rows), []
        if rows:
            writer.write_table(pa.Table.from_pylist(rows, schema))
    return counted + len(rows)


_WRITERS: dict[str, Callable[[Path, Iterable[Reading]], int]] = {
    "csv": _write_csv,
    "jsonl": _write_json,
    "parquet": _write_parquet,
}
