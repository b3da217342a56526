"""No Parquet file takes all memory: some bytes of it may stand for any number of long texts."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa
import pytest
from pyarrow import parquet

from wheelside.errors import BadRequest
from wheelside.jobs.book.reading_file import MOST_ROWS, open_grid
from wheelside.jobs.book.short_lines import LONGEST_ROW


def written(file: Path, note: pa.Array, rows: int) -> Path:
    """A file with so many rows, each of them with the one note."""
    table = pa.table({
        "wheel": pa.array(["W1"] * rows), "note": note.take(pa.array([0] * rows, pa.int32())),
    })  # fmt: skip
    parquet.write_table(table, file, compression="zstd")
    return file


@pytest.mark.parametrize("kind", [pa.string(), pa.large_string(), pa.binary()], ids=str)
def test_a_long_text_that_each_row_has_is_refused_before_there_is_one_for_each(
    tmp_path: Path, kind: pa.DataType
) -> None:
    text = "x" * (LONGEST_ROW + 1)
    file = written(tmp_path / "x.parquet", pa.array([text.encode() if kind == pa.binary() else text], kind), 600)
    assert file.stat().st_size < 10_000
    before = pa.total_allocated_bytes()
    with pytest.raises(BadRequest, match="in one row: keep only what readings need"):
        list(open_grid(file).rows)
    assert pa.total_allocated_bytes() - before < 50_000_000


def test_texts_that_rows_have_are_read(tmp_path: Path) -> None:
    file = written(tmp_path / "x.parquet", pa.array(["cold"]), 1200)
    assert [list(row) for _, _, row in open_grid(file).rows] == [["W1", "cold"]] * 1200


def test_tables_within_cells_and_rows_without_end_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadRequest, match="tables within cells"):
        list(open_grid(written(tmp_path / "x.parquet", pa.array([["a", "b"]]), 3)).rows)
    ones = pa.table({"n": pa.array([1], pa.int8()).take(pa.array([0], pa.int8()))})
    with parquet.ParquetWriter(tmp_path / "y.parquet", ones.schema) as out:
        out.write_table(pa.table({"n": pa.nulls(MOST_ROWS + 1, pa.int8())}))
    with pytest.raises(BadRequest, match="10000001 rows"):
        list(open_grid(tmp_path / "y.parquet").rows)
