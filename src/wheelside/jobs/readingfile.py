"""Readings as CSV, JSON Lines and Parquet: one row a reading, times as RFC 3339, units in the column's name."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

from wheelside.book.disk import whole_file
from wheelside.book.readings import Reading
from wheelside.book.things import ThingKey
from wheelside.errors import BadFile, BadRequest, Outside, Problem
from wheelside.units.moment import Moment
from wheelside.units.quantity import KELVIN_AT_0_C

COLUMNS = (
    "wheel", "sensor", "at", "channel", "pressure_kpa_gauge", "pressure_kpa_absolute", "temperature_c", "battery_low",
    "instrument",
)  # fmt: skip
"""The columns of a readings file; one of `wheel` and `sensor` is given, and at most one of the pressures."""
_MOST_PROBLEMS = 20
Row = dict[str, Any]


def _kind(file: Path) -> str:
    kinds = {".csv": "csv", ".jsonl": "jsonl", ".ndjson": "jsonl", ".parquet": "parquet"}
    kind = kinds.get(file.suffix.lower())
    if kind is None:
        raise BadRequest(
            f"{file}: readings come and go as .csv, .jsonl or .parquet; name the file so",
            found=file.suffix,
            expected=".csv",
        )
    return kind


def read_readings(file: Path, known: set[ThingKey], offset_min: int) -> Iterator[Reading]:
    """The readings of a file, of wheels and sensors that are known. Raises BadFile with lines, BadRequest, Outside.

    `offset_min`: the zone of times that name none.
    """
    problems: list[Problem] = []
    try:
        for line, row in _RAW[_kind(file)](file):
            try:
                yield _reading(row, known, offset_min)
            except _Unfit as error:
                problems.append(Problem(line, error.column, error.found, error.expected, error.way))
                if len(problems) == _MOST_PROBLEMS:
                    break
    except FileNotFoundError as error:
        raise BadRequest(f"there is no file {file}; check the name", found=str(file)) from error
    except OSError as error:
        raise Outside(
            f"reading {file}: {error.strerror or error}; check the disk and your rights to the file"
        ) from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise BadRequest(f"{file} is no UTF-8 text with rows of readings ({error})", found=str(file)) from error
    if problems:
        raise BadFile(str(file), tuple(problems))


class _Unfit(Exception):
    def __init__(self, column: str, found: object, expected: str, way: str = "") -> None:
        super().__init__(column)
        self.column, self.found, self.expected, self.way = column, repr(found)[:60], expected, way


def _csv_rows(file: Path) -> Iterator[tuple[int, Row]]:
    with file.open(encoding="utf-8-sig", newline="") as lines:
        start = lines.readline()
        lines.seek(0)
        reader = csv.DictReader(lines, delimiter=";" if start.count(";") > start.count(",") else ",")
        _check_columns(file, reader.fieldnames or ())
        decimal_comma = reader.reader.dialect.delimiter == ";"
        for row in reader:
            cells = {k: v for k, v in row.items() if k is not None and v not in (None, "")}
            yield reader.line_num, {k: _with_point(k, v) if decimal_comma else v for k, v in cells.items()}


def _with_point(column: str, value: str) -> str:
    return value.replace(",", ".") if column.startswith(("pressure", "temperature")) else value


def _check_columns(file: Path, names: Iterable[str]) -> None:
    given = list(names)
    unknown = [n for n in given if n not in COLUMNS]
    if unknown or "at" not in given:
        found = f"the columns {', '.join(given)}"[:200]
        fix = f"take out {', '.join(unknown)}" if unknown else "add a column 'at'"
        raise BadFile(str(file), (Problem(1, "columns", found, "some of: " + ", ".join(COLUMNS), fix),))


def _json_rows(file: Path) -> Iterator[tuple[int, Row]]:
    with file.open(encoding="utf-8-sig") as lines:
        for number, line in enumerate(lines, start=1):
            if not line.strip():
                continue
            try:
                row = json.loads(line)
            except (ValueError, RecursionError) as error:
                raise BadFile(
                    str(file), (Problem(number, "JSON", line.strip()[:60], "one JSON object a line", ""),)
                ) from error
            if not isinstance(row, dict):
                raise BadFile(str(file), (Problem(number, "JSON", line.strip()[:60], "one JSON object a line", ""),))
            _check_columns(file, row)
            yield number, {k: v for k, v in row.items() if v is not None}


def _parquet_rows(file: Path) -> Iterator[tuple[int, Row]]:
    parquet = _parquet()
    from pyarrow import ArrowException

    try:
        table = parquet.ParquetFile(file)
        _check_columns(file, table.schema_arrow.names)
        number = 0
        for batch in table.iter_batches():
            for row in batch.to_pylist():
                number += 1
                yield number, {k: v for k, v in row.items() if v is not None}
    except ArrowException as error:
        raise BadRequest(f"{file} is no Parquet file that can be read ({error})", found=str(file)) from error


def _parquet() -> Any:
    try:
        from pyarrow import parquet
    except ImportError as error:
        raise BadRequest(
            "Parquet files need the library pyarrow: install Wheelside with its extra 'parquet'"
        ) from error
    return parquet


_RAW: dict[str, Callable[[Path], Iterator[tuple[int, Row]]]] = {
    "csv": _csv_rows,
    "jsonl": _json_rows,
    "parquet": _parquet_rows,
}


def _reading(row: Row, known: set[ThingKey], offset_min: int) -> Reading:
    subject = _subject(row, known)
    at = _moment(row.get("at"), offset_min)
    gauge, absolute = _number(row, "pressure_kpa_gauge"), _number(row, "pressure_kpa_absolute")
    if gauge is not None and absolute is not None:
        raise _Unfit("pressure_kpa_absolute", absolute, "one of the two pressures", "leave one of them out")
    celsius = _number(row, "temperature_c")
    return Reading(
        subject,
        at.us,
        str(row.get("channel", "typed"))[:40],
        gauge if gauge is not None else absolute,
        absolute is not None,
        None if celsius is None else celsius + KELVIN_AT_0_C,
        _flag(row.get("battery_low")),
        None if row.get("instrument") is None else str(row["instrument"])[:60],
        at.offset_min,
    )


def _subject(row: Row, known: set[ThingKey]) -> ThingKey:
    named = [(kind, str(row[kind])) for kind in ("wheel", "sensor") if row.get(kind)]
    if len(named) != 1:
        raise _Unfit("wheel", [one for _, one in named] or "nothing", "a wheel or a sensor", "name one of them")
    if named[0] not in known:
        kind, one = named[0]
        raise _Unfit(kind, one, f"a {kind} of the book", "enter it in the book first, or mend the name")
    return named[0]


def _moment(value: object, offset_min: int) -> Moment:
    try:
        when = value if isinstance(value, datetime) else datetime.fromisoformat(str(value))
    except ValueError:
        raise _Unfit("at", value, "a time such as 2026-11-28T14:05:00+01:00") from None
    if when.tzinfo is None:
        local = Moment.of(when.replace(tzinfo=Moment(0, offset_min).local.tzinfo))
        return Moment(local.us, offset_min)
    return Moment.of(when)


def _number(row: Row, column: str) -> float | None:
    if column not in row:
        return None
    try:
        number = float(row[column])
    except (TypeError, ValueError):
        raise _Unfit(column, row[column], "a number") from None
    if not math.isfinite(number):
        raise _Unfit(column, row[column], "a number")
    return number


def _flag(value: object) -> bool | None:
    if value is None:
        return None
    words = {"true": True, "1": True, "yes": True, "false": False, "0": False, "no": False}
    if str(value).lower() not in words:
        raise _Unfit("battery_low", value, "true or false")
    return words[str(value).lower()]


def write_readings(file: Path, readings: Iterable[Reading]) -> int:
    """Writes a readings file, whole or not at all; how many. Raises BadRequest where there is one already, Outside."""
    kind = _kind(file)
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
    row["pressure_kpa_absolute" if r.absolute else "pressure_kpa_gauge"] = r.pressure_kpa
    row["temperature_c"] = None if r.temperature_k is None else round(r.temperature_k - KELVIN_AT_0_C, 9)
    row["battery_low"] = r.battery_low
    row["instrument"] = r.instrument
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
