"""Files of places, batch by batch: the rows with their numbers, and the lines that are not rows."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter, deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import IO, TYPE_CHECKING, Any, NamedTuple

from overcoat._columns import table_error
from overcoat._refusal import invalid
from overcoat._table import NUMBERS
from overcoat.files.cells import numbers

if TYPE_CHECKING:
    import pyarrow as pa

# Read at a time. A line of a CSV file must fit in.
BLOCK_BYTES = 1 << 20
# Lines that are not rows which are held until they are told.
UNTOLD_LINES = 4096


class Malformed(NamedTuple):
    """A line of a CSV file with too many or too few fields."""

    row: int
    reason: str


Tell = Callable[[list[Malformed]], None]


class Batch(NamedTuple):
    """Some rows of a file."""

    # numbers of the rows in the file, from 0; malformed lines count along
    rows: Any
    # as they are in the file
    cells: pa.RecordBatch


class CsvSource:
    """A CSV file: every column is text."""

    def __init__(self, path: Path, file: IO[bytes]) -> None:
        import pyarrow as pa
        from pyarrow import csv as pa_csv

        self._path = path
        self._size = max(path.stat().st_size, 1)
        self._file = file
        names = _header(path, file)
        self.schema = pa.schema([(name.strip(), pa.string()) for name in names])
        self.malformed = 0
        self._tell: Tell = lambda lines: None
        self._untold: list[Malformed] = []
        # runs of malformed lines that no batch has passed: first row, rows
        self._runs: deque[list[int]] = deque()
        self._failure: BaseException | None = None
        # the reader tells malformed lines from a thread of its own
        self._lock = Lock()
        self._options = (
            # one thread: only so are lines that are not rows told with their number
            pa_csv.ReadOptions(block_size=BLOCK_BYTES, use_threads=False),
            pa_csv.ParseOptions(newlines_in_values=True, invalid_row_handler=self._met),
            # nothing may be guessed from the first rows
            pa_csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False),
        )

    def _blocks(self) -> Any:
        from pyarrow import csv as pa_csv

        self._file.seek(0)
        return pa_csv.open_csv(self._file, *self._options)

    def share_done(self) -> float:
        """The share of the file that was read, 0 to 1."""
        return min(self._file.tell() / self._size, 1.0)

    def batches(self, most_rows: int, tell: Tell) -> Iterator[Batch]:
        """The file in pieces of at most so many rows; `tell` gets lines that are not rows as they are met."""
        self._tell = tell
        at = 0
        try:
            for block in self._blocks():
                block = block.rename_columns(self.schema.names)
                for start in range(0, block.num_rows, most_rows):
                    cells = block.slice(start, most_rows)
                    with self._lock:
                        rows, at = self._numbers(at, cells.num_rows)
                        self._check_within(cells, rows)
                        self._tell(self._untold)
                        self._untold = []
                    yield Batch(rows, cells)
        except Exception as error:
            if self._failure is not None:
                raise self._failure from error
            raise
        self._tell(self._untold)

    def _check_within(self, cells: pa.RecordBatch, rows: Any) -> None:
        """Rejects a quoted cell that runs over the end of its line: it can have taken in rows."""
        import pyarrow.compute as pc

        for name, column in zip(cells.schema.names, cells.columns, strict=True):
            long = pc.match_substring_regex(column, "[\r\n]")
            if pc.any(long).as_py():
                at = pc.index(long, True).as_py()
                raise _open_quote(name, int(rows[at]) + 1, column[at].as_py())

    def _met(self, line: Any) -> str:
        """A line that is not a row. Here nothing may be raised: the reader would not pass it on."""
        try:
            with self._lock:
                # the header is line 1
                self._keep(line.number - 2, line)
        except BaseException as failure:
            self._failure = failure
            return "error"
        return "skip"

    def _keep(self, row: int, line: Any) -> None:
        if line.text.strip().splitlines()[1:]:
            # what follows was taken for its text: that is no bad row, it may be most of the file
            raise _open_quote("record", row + 1, line.text)
        fields = f"{line.actual_columns} field{'' if line.actual_columns == 1 else 's'}"
        reason = f"{fields} where the header has {line.expected_columns}: {line.text[:1000]}"
        self._untold.append(Malformed(row, reason))
        self.malformed += 1
        if self._runs and sum(self._runs[-1]) == row:
            self._runs[-1][1] += 1
        else:
            self._runs.append([row, 1])
        if len(self._untold) == UNTOLD_LINES:
            self._tell(self._untold)
            self._untold = []

    def _numbers(self, at: int, count: int) -> tuple[Any, int]:
        """The numbers of so many rows from `at` on, malformed lines left out, and the number after them."""
        import numpy as np

        pieces = [np.arange(0)]
        while count:
            if self._runs and self._runs[0][0] == at:
                at += self._runs.popleft()[1]
                continue
            free = min(count, self._runs[0][0] - at) if self._runs else count
            pieces.append(np.arange(at, at + free))
            at, count = at + free, count - free
        return np.concatenate(pieces), at

    def values(self, cells: pa.RecordBatch) -> tuple[pa.RecordBatch, dict[str, Any]]:
        """The rows as the sweep takes them, and by column which cells are not numbers."""
        import pyarrow.compute as pc

        unread = {}
        for at, name in enumerate(cells.schema.names):
            if name.removeprefix("duty.") in NUMBERS:
                column, bad = numbers(cells.column(at))
                cells = cells.set_column(at, name, column)
                if bad is not None:
                    unread[name] = bad
            elif name == "shelter":
                cells = cells.set_column(at, name, pc.utf8_trim_whitespace(cells.column(at)))
        return cells, unread


def _open_quote(column: str, row: int, text: str) -> Exception:
    start = (text.splitlines() or [""])[0][:60]
    reason = f'the quotation mark before "{start}" is never closed in its line'
    remedy = "Close it there, double one that belongs to the text, and write a cell in one line."
    return table_error(column, row, reason, remedy)


class ParquetSource:
    """A Parquet file: columns are of the types that they have."""

    malformed = 0

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

    def batches(self, most_rows: int, tell: Tell) -> Iterator[Batch]:
        """The file in pieces of at most so many rows; there are no lines to tell."""
        import numpy as np

        for cells in self._file.iter_batches(most_rows):
            # text that is not UTF-8 must not get further
            cells.validate(full=True)
            start, self._done = self._done, self._done + cells.num_rows
            yield Batch(np.arange(start, self._done), cells)

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


def _header(path: Path, file: IO[bytes]) -> list[str]:
    """The names of the columns, read before all else so that each can be read as text."""
    start = file.read(BLOCK_BYTES)
    # a letter may be cut in two at the end of the block
    text, _ = codecs.utf_8_decode(start, "strict", len(start) < BLOCK_BYTES)
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    try:
        return next(filter(None, reader))
    except StopIteration:
        raise invalid("sites", path, "a header and a line for each place", "Fill the file.") from None
    except csv.Error as error:
        raise invalid("sites", path, "a header", f"Write it again ({error}).") from error


def empty(schema: pa.Schema) -> pa.RecordBatch:
    """A batch without rows."""
    import pyarrow as pa

    return pa.RecordBatch.from_arrays([pa.array([], kind) for kind in schema.types], schema=schema)


def _check(schema: pa.Schema) -> None:
    # what is missing is told by the sweep, which knows like names; here only why all of it is
    if len(schema.names) == 1 and any(mark in schema.names[0] for mark in ";\t"):
        raise table_error(NUMBERS[0], None, "missing", "Separate the fields by commas.")
    for name, times in Counter(schema.names).items():
        if times > 1:
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
    kind = "CSV" if path.suffix.lower() == ".csv" else "Parquet"
    return invalid("sites", path, f"a whole {kind} file", f"Write it again ({' '.join(text.split())}).")
