"""Results and bad rows on their way into files."""

from __future__ import annotations

from itertools import chain, count
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from overcoat._columns import table_error
from overcoat.files.cells import without_formulas
from overcoat.files.whole import WholeFile

if TYPE_CHECKING:
    import pyarrow as pa

    from overcoat.files.reading import Malformed


# Rows of a group of a Parquet file, and results of a batch unless the caller says how many rows: some 50 MB.
GROUP_ROWS = 524_288


class CsvSink:
    """Results as CSV, to be opened by people."""

    def __init__(self, file: Any, schema: pa.Schema) -> None:
        import pyarrow as pa
        from pyarrow import csv

        for field in schema:
            if pa.types.is_nested(field.type) or _is_binary(field.type):
                raise table_error(
                    field.name, None, f"CSV has no cells of type {field.type}", "Write to a .parquet file."
                )
        self._schema = pa.schema(
            [
                (name, pa.string() if _is_text(kind) else kind)
                for name, kind in zip(
                    without_formulas(pa.array(schema.names, pa.string())).to_pylist(),
                    schema.types,
                    strict=True,
                )
            ]
        )
        self._writer = csv.CSVWriter(file, self._schema)

    def write(self, batch: pa.RecordBatch) -> None:
        """Writes rows at the end."""
        import pyarrow as pa

        columns = [
            without_formulas(column.cast(pa.string())) if _is_text(column.type) else column
            for column in batch.columns
        ]
        self._writer.write_batch(pa.RecordBatch.from_arrays(columns, schema=self._schema))

    def close(self) -> None:
        """Writes what is still in memory."""
        self._writer.close()

    def drop(self) -> None:
        """Leaves the file as it is."""


class ParquetSink:
    """Results as Parquet: words by number, numbers as they are."""

    def __init__(self, file: Any, schema: pa.Schema) -> None:
        from pyarrow import parquet

        words = [field.name for field in schema if _is_text(field.type)]
        # dictionaries and statistics of numbers that never repeat cost ten times the sweep
        self._writer = parquet.ParquetWriter(
            file, schema, use_dictionary=words, write_statistics=["row"], compression="snappy"
        )

        self._held: list[pa.RecordBatch] = []
        self._held_rows = 0

    def write(self, batch: pa.RecordBatch) -> None:
        """Writes rows at the end, in large groups whatever the batches."""
        self._held.append(batch)
        self._held_rows += batch.num_rows
        if self._held_rows >= GROUP_ROWS:
            self._write_held()

    def _write_held(self) -> None:
        import pyarrow as pa

        if self._held_rows:
            self._writer.write_table(pa.Table.from_batches(self._held), row_group_size=self._held_rows)
        self._held, self._held_rows = [], 0

    def close(self) -> None:
        """Writes the rest, and the end of the file, without which it is none."""
        self._write_held()
        self._writer.close()

    def drop(self) -> None:
        """Leaves the file as it is."""
        # else the writer would try to end a file that is closed by then, and complain
        self._writer.is_open = False


class BadRows:
    """The side file: row, reason, and the cells as they are in the input; absent where there are none."""

    def __init__(self, place: Path, schema: pa.Schema) -> None:
        import pyarrow as pa

        self.count = 0
        # malformed lines come from the thread that reads
        self._lock = Lock()
        self._place = place
        self._names = schema.names
        row, reason = (_free_name(name, self._names) for name in ("row", "reason"))
        self._schema = pa.schema(
            [(row, pa.int64()), (reason, pa.string()), *((name, pa.string()) for name in self._names)]
        )
        self._whole: WholeFile | None = None
        self._sink: CsvSink | None = None

    def add_malformed(self, lines: list[Malformed]) -> None:
        """Adds lines that are not rows."""
        import pyarrow as pa

        if lines:
            rows = pa.array([line.row for line in lines], pa.int64())
            reasons = pa.array([line.reason for line in lines], pa.string())
            self._write(rows, reasons, [pa.nulls(len(lines), pa.string())] * len(self._names))

    def add(self, rows: Any, reasons: Any, cells: pa.RecordBatch) -> None:
        """Adds rows without a result."""
        import pyarrow as pa

        if len(rows):
            self._write(pa.array(rows, pa.int64()), reasons, [_as_text(column) for column in cells.columns])

    def _write(self, rows: Any, reasons: Any, cells: list[Any]) -> None:
        import pyarrow as pa
        import pyarrow.compute as pc

        # people and remarks count rows from 1
        rows = pc.add(rows, 1)
        with self._lock:
            if self._whole is None or self._sink is None:
                self._whole = WholeFile(self._place)
                self._sink = CsvSink(self._whole.file, self._schema)
            with self._whole.faults_named():
                self._sink.write(pa.RecordBatch.from_arrays([rows, reasons, *cells], schema=self._schema))
            self.count += len(rows)

    def close(self) -> None:
        """Puts what was added on the disk."""
        if self._whole is not None and self._sink is not None:
            with self._whole.faults_named():
                self._sink.close()
            self._whole.flush()

    def keep(self) -> None:
        """Puts the file in its place, or takes away the one of an earlier run."""
        if self._whole is not None:
            self._whole.keep()
        else:
            self._place.unlink(missing_ok=True)

    def drop(self) -> None:
        """Removes the file, if it is not kept."""
        if self._whole is not None:
            self._whole.drop()


def _free_name(name: str, taken: list[str]) -> str:
    """A name that the table does not have: a side file swept again brings its own `row` and `reason`."""
    numbered = (f"{name}_{number}" for number in count(2))
    return next(free for free in chain([name], numbered) if free not in taken)


def in_plain_text(batch: pa.RecordBatch) -> pa.RecordBatch:
    """Words as plain text instead of numbers into a list of words."""
    import pyarrow as pa

    columns = [
        column.cast(pa.string()) if pa.types.is_dictionary(column.type) else column
        for column in batch.columns
    ]
    return pa.RecordBatch.from_arrays(columns, batch.schema.names)


def _is_text(kind: Any) -> bool:
    import pyarrow as pa

    if pa.types.is_dictionary(kind):
        return _is_text(kind.value_type)
    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind) or pa.types.is_string_view(kind))


def _is_binary(kind: Any) -> bool:
    import pyarrow as pa

    if pa.types.is_dictionary(kind):
        return _is_binary(kind.value_type)
    return bool(
        pa.types.is_binary(kind)
        or pa.types.is_large_binary(kind)
        or pa.types.is_fixed_size_binary(kind)
        or pa.types.is_binary_view(kind)
    )


def _as_text(column: Any) -> Any:
    import pyarrow as pa

    try:
        return column.cast(pa.string())
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        return pa.array([None if cell is None else str(cell) for cell in column.to_pylist()], pa.string())
