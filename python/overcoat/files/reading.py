"""Files of places, batch by batch: the rows with their numbers, and the lines that are no rows."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, NamedTuple

from overcoat._columns import table_error
from overcoat._refusal import invalid
from overcoat.files.cells import numbers

if TYPE_CHECKING:
    import pyarrow as pa

AIR = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
NUMBERS = (*AIR, "required_years")
INPUT = (*NUMBERS, "shelter")

# Read at a time. A line of a CSV file must fit in, and of short lines that are no rows not too many.
BLOCK_BYTES = 1 << 20


class Malformed(NamedTuple):
    """A line of a CSV file with too many or too few fields."""

    row: int
    reason: str


class Batch(NamedTuple):
    """Some rows of a file."""

    # numbers of the rows in the file, from 0; malformed lines count along
    rows: Any
    # as they stand in the file
    cells: pa.RecordBatch
    malformed: list[Malformed]


class CsvSource:
    """A CSV file: every column is text."""

    def __init__(self, path: Path, file: IO[bytes]) -> None:
        import pyarrow as pa
        from pyarrow import csv

        self._size = max(path.stat().st_size, 1)
        self._file = file
        self._malformed: list[Malformed] = []
        self._unclosed: int | None = None
        # the names first, then all columns as text: nothing may be guessed from the first rows
        names = csv.open_csv(
            file, csv.ReadOptions(block_size=BLOCK_BYTES), _form(lambda _: "skip")
        ).schema.names
        file.seek(0)
        self._reader = csv.open_csv(
            file,
            # one thread: only so are lines that are no rows told with their number
            csv.ReadOptions(block_size=BLOCK_BYTES, use_threads=False),
            _form(self._keep),
            csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False),
        )
        self.schema = pa.schema([(name.strip(), pa.string()) for name in names])

    def _keep(self, line: Any) -> str:
        if "\n" in line.text.strip() and line.text.count('"') % 2:
            self._unclosed = line.number - 1
        # the header is line 1
        fields = f"{line.actual_columns} field{'' if line.actual_columns == 1 else 's'}"
        reason = f"{fields} where the header has {line.expected_columns}: {line.text[:1000]}"
        self._malformed.append(Malformed(line.number - 2, reason))
        return "skip"

    def share_done(self) -> float:
        """The share of the file that was read, 0 to 1."""
        return min(self._file.tell() / self._size, 1.0)

    def batches(self, most_rows: int) -> Iterator[Batch]:
        """The file in pieces of at most so many rows."""
        import numpy as np

        at = 0
        for block in self._reader:
            block = block.rename_columns(self.schema.names)
            for start in range(0, block.num_rows, most_rows):
                cells = block.slice(start, most_rows)
                end = at + cells.num_rows
                before = 0
                for line in self._malformed:
                    if line.row >= end:
                        break
                    end += 1
                    before += 1
                malformed, self._malformed = self._malformed[:before], self._malformed[before:]
                rows = np.setdiff1d(np.arange(at, end), [line.row for line in malformed], assume_unique=True)
                yield Batch(rows, cells, malformed)
                at = end
        if self._unclosed is not None:
            # what follows it was taken for its text: that is no bad row, it may be most of the file
            raise table_error("record", self._unclosed, "a quoted field is not closed", "Close it.")
        if self._malformed:
            yield Batch(np.arange(0), empty(self.schema), self._malformed)

    def values(self, cells: pa.RecordBatch) -> tuple[pa.RecordBatch, dict[str, Any]]:
        """The rows as the sweep takes them, and by column which cells are no number."""
        import pyarrow.compute as pc

        unread = {}
        for at, name in enumerate(cells.schema.names):
            if name in NUMBERS:
                column, bad = numbers(cells.column(at))
                cells = cells.set_column(at, name, column)
                if bad is not None:
                    unread[name] = bad
            elif name == "shelter":
                cells = cells.set_column(at, name, pc.utf8_trim_whitespace(cells.column(at)))
        return cells, unread


class ParquetSource:
    """A Parquet file: columns are of the types that they have."""

    def __init__(self, path: Path, file: IO[bytes]) -> None:
        from pyarrow import parquet

        # page by page, however large the row groups are
        self._file = parquet.ParquetFile(path, buffer_size=BLOCK_BYTES, pre_buffer=False)
        self._rows: int = max(self._file.metadata.num_rows, 1)
        self._done: int = 0
        self.schema = self._file.schema_arrow

    def share_done(self) -> float:
        """The share of the rows that was read, 0 to 1."""
        return min(self._done / self._rows, 1.0)

    def batches(self, most_rows: int) -> Iterator[Batch]:
        """The file in pieces of at most so many rows."""
        import numpy as np

        for cells in self._file.iter_batches(most_rows):
            # text that is no UTF-8 must not get further
            cells.validate(full=True)
            start, self._done = self._done, self._done + cells.num_rows
            yield Batch(np.arange(start, self._done), cells, [])

    def values(self, cells: pa.RecordBatch) -> tuple[pa.RecordBatch, dict[str, Any]]:
        """The rows as the sweep takes them: as they are."""
        return cells, {}


@contextmanager
def opened(path: Path) -> Iterator[CsvSource | ParquetSource]:
    """A file of places, its columns checked; what is wrong with its form is told as such."""
    import pyarrow as pa

    with open(path, "rb") as file:
        try:
            source: CsvSource | ParquetSource
            source = (CsvSource if path.suffix.lower() == ".csv" else ParquetSource)(path, file)
            _check(source.schema)
            yield source
        except (pa.ArrowInvalid, UnicodeDecodeError) as error:
            raise _refused(path, error) from error
        except OSError as error:
            # Parquet's own faults come as errors of the system without a number
            if error.errno is not None:
                raise
            raise _refused(path, error) from error


def _form(on_malformed: Any) -> Any:
    from pyarrow import csv

    return csv.ParseOptions(newlines_in_values=True, invalid_row_handler=on_malformed)


def empty(schema: pa.Schema) -> pa.RecordBatch:
    """A batch without rows."""
    import pyarrow as pa

    return pa.RecordBatch.from_arrays([pa.array([], kind) for kind in schema.types], schema=schema)


def _check(schema: pa.Schema) -> None:
    for name in AIR:
        if name not in schema.names:
            only = len(schema.names) == 1 and any(mark in schema.names[0] for mark in ";\t")
            remedy = "Separate the fields by commas." if only else f"The file needs {', '.join(AIR)}."
            raise table_error(name, None, "missing", remedy)
    for name in schema.names:
        if schema.names.count(name) > 1:
            raise table_error(name, None, "the file has two columns of this name", "Keep or rename one.")


def _refused(path: Path, error: Exception) -> Exception:
    text = str(error)
    if isinstance(error, UnicodeDecodeError) or "UTF8" in text.replace("-", ""):
        return invalid("sites", path, "text in UTF-8", "Save the file as UTF-8.")
    if "straddling" in text:
        return invalid(
            "sites",
            path,
            f"lines of less than {BLOCK_BYTES >> 20} MB",
            "Look for a quotation mark that is not closed.",
        )
    if "Empty CSV" in text:
        return invalid("sites", path, "a header and a line for each place", "The file is empty; fill it.")
    kind = "CSV" if path.suffix.lower() == ".csv" else "Parquet"
    return invalid("sites", path, f"a whole {kind} file", f"Write it again ({' '.join(text.split())}).")
