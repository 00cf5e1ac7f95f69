"""Tables of places in files and in streams of record batches, however long, in the memory of one batch.

`sweep_file` goes from file to file; `sweep_batches` is the same over record batches, for engines that spread
them over machines. Both need pyarrow: `pip install "overcoat[frames]"`.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from overcoat import _core
from overcoat._builds import builds_and_catalog
from overcoat._core import TableError
from overcoat._extras import needs
from overcoat._refusal import check_called, invalid, one_of, path_of, threads_of, truth, whole_number, wrong
from overcoat._swept import Remarks, brief_or_plain, obeyed_of, result_names, swept_of, untold_of
from overcoat._table import Given
from overcoat.files.reading import empty, opened
from overcoat.files.whole import WholeFile, same_file
from overcoat.files.writing import GROUP_ROWS, BadRows, CsvSink, ParquetSink, in_plain_text

if TYPE_CHECKING:
    import pyarrow as pa

    from overcoat._swept import BriefLike, BuildLike, CatalogLike
    from overcoat.files.reading import Batch

_BATCHES = "Take `to_batches()` of a pyarrow table."
_SINKS: dict[str, type[CsvSink | ParquetSink]] = {".csv": CsvSink, ".parquet": ParquetSink}


class SweptFile(NamedTuple):
    """What became of a file of places."""

    out: Path
    """The file of results."""
    rows: int
    """Rows of the input, the bad ones included."""
    results: int
    """Rows of `out`."""
    bad_rows: int
    """Rows without a result."""
    bad_rows_file: Path | None
    """The side file that lists them; None where every row has a result."""
    extrapolated_rows: int
    """Rows whose air is outside the validity of the dose-response function; their results are weaker."""
    seconds: float
    """Time taken."""
    remarks: tuple[str, ...] = ()
    """What `rank` remarks on of the rows, each once, and how many builds have findings at the first."""


def sweep_batches(
    batches: Any,
    brief: BriefLike | None = None,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | None = None,
    threads: int = 1,
    best_only: bool = False,
    columns: Sequence[str] | None = None,
) -> Iterator[pa.RecordBatch]:
    """The years, cost and score of every build at every row of a stream of record batches.

    This is what goes past one machine: an engine calls it on each partition (`mapInArrow` of Spark,
    `map_partitions` of Dask). A row has the same results, bit for bit, whatever batch or machine it is in.

    Parameters
    ----------
    batches : iterable of pyarrow.RecordBatch, or a table
        With the columns of `sweep`. A pyarrow.Table, a RecordBatch or a data frame counts as its batches.
    brief, builds, catalog, best_only, columns
        See `sweep`. Briefs and catalogs can be pickled, so that they reach the workers.
    threads : int
        Threads to use within a batch: one by default, since engines run one task per processor.

    Yields
    ------
    pyarrow.RecordBatch
        For each batch one with all its columns, repeated for each build, and the results of `sweep`; words
        are plain text.

    Raises
    ------
    TableError
        A missing column, one of another type, or one that is named like a result.

    Examples
    --------
    >>> import pyarrow
    >>> batch = pyarrow.RecordBatch.from_pydict(
    ...     {
    ...         "site": ["quay", "pass"],
    ...         "temperature_c": [12.0, -0.1],
    ...         "relative_humidity_pct": [80.0, 86.2],
    ...         "so2_mg_m2_day": [4.0, 2.3],
    ...         "chloride_mg_m2_day": [80.0, 1.0],
    ...     }
    ... )
    >>> (found,) = sweep_batches(batch, builds=["steel_4_6 / hot_alkaline / hard_wax"])
    >>> found["site"].to_pylist(), found["category"].to_pylist()
    (['quay', 'pass'], ['C4', 'C2'])
    """
    with needs("frames", "a stream of places"):
        import pyarrow  # noqa: F401
    wanted = _Wanted(brief, builds, catalog, threads, best_only, columns)
    return _swept_batches(wanted, _each(batches))


def _swept_batches(wanted: _Wanted, batches: Iterator[Any]) -> Iterator[Any]:
    remarks, before = Remarks(), 0
    for batch in batches:
        batch = _batch_of(batch)
        found, swept = wanted.of(batch)
        remarks.warn(remarks.add(swept, before=before), stacklevel=2)
        before += batch.num_rows
        yield in_plain_text(found)


def _each(batches: Any) -> Iterator[Any]:
    """The batches of a table, or those that can be walked through."""
    import pyarrow as pa

    if isinstance(batches, pa.RecordBatch):
        return iter([batches])
    if isinstance(batches, pa.Table):
        return iter(batches.to_batches())
    if type(batches).__module__.partition(".")[0] == "pandas":
        # its index would become a column
        obeyed_of(Given.of(batches), False)
    try:
        if not isinstance(batches, pa.RecordBatchReader) and (
            hasattr(batches, "__arrow_c_stream__") or hasattr(type(batches), "columns")
        ):
            frame = Given.of(batches).columns
            return iter(frame.to_arrow().to_batches())  # type: ignore[union-attr]
        return iter(batches)
    except (TypeError, TableError) as error:
        raise wrong("batches", batches, "record batches or a table", _BATCHES) from error


def sweep_file(
    sites: str | os.PathLike[str],
    out: str | os.PathLike[str],
    brief: BriefLike | None = None,
    *,
    builds: Iterable[BuildLike] | None = None,
    catalog: CatalogLike | None = None,
    threads: int | None = None,
    best_only: bool = False,
    columns: Sequence[str] | None = None,
    batch_rows: int | None = None,
    progress: Callable[[float, int], None] | None = None,
) -> SweptFile:
    """The years, cost and score of every build at every row of a file, written to another, batch by batch.

    Memory is that of one batch, however long the file. `out` is whole or absent: it is written beside as
    `.NAME.part-PID` and takes its place at the end with the mode and owner of what was there before, so that
    a fault or an interruption leaves that. What a killed run leaves beside is removed by the next one to the
    same place. A device or a pipe is written into as it is.

    Parameters
    ----------
    sites : path
        A `.csv` file (comma, UTF-8, a header) or a `.parquet` file with the columns of `sweep`. In CSV an
        empty cell, `nan`, `na` and `null` are gaps, and other columns are text, carried over as it stands. A
        quoted field that is not closed in its line is rejected: it can take in whole rows.
    out : path
        A `.csv` or `.parquet` file: all columns of `sites` repeated for each build, and the results of
        `sweep`. In CSV, text that a spreadsheet would run as a formula (it begins with `=`, `+`, `-`, `@`, a
        tab or a line break, and is not a number) gets an apostrophe before it.
    brief, builds, catalog, threads, best_only, columns
        See `sweep`.
    batch_rows : int, optional
        Rows at a time; by default as many as give half a million results. No result depends on it.
    progress : callable, optional
        Called after each batch with the share of the input that is done, 0 to 1, and the rows so far.

    Returns
    -------
    SweptFile
        Counts, time and files; `extrapolated_rows` counts the rows outside the validity of the dose-response
        function, as a humidity in fractions is. Bad rows stop nothing. Those with a missing, impossible or
        unreadable value are in `out` without results; they and lines with too many or too few fields are
        listed in `OUT.bad-rows.csv` with their row, the reason and their cells. It is there only if there are
        some.

    Raises
    ------
    TableError
        A missing column, one of another type, one named twice or like a result.
    InvalidValueError
        Files that are not CSV or Parquet, not in UTF-8, damaged, one and the same, or that changed while they
        were read.
    OSError
        What the system says of a file: not there, not readable, no room, read-only.

    Examples
    --------
    >>> done = sweep_file("sites.csv", "finishes.parquet", best_only=True)  # doctest: +SKIP
    >>> print(f"{done.rows} rows, {done.bad_rows} bad, {done.seconds:.0f} s")  # doctest: +SKIP
    """
    with needs("frames", "a file of places"):
        import pyarrow  # noqa: F401
    start = time.perf_counter()
    sites, out = path_of("sites", sites), path_of("out", out)
    if any(sign in sites.name for sign in "*?[") and not sites.exists():
        remedy = "Call `sweep_file` once for each file that `glob.glob` finds."
        raise invalid("sites", sites, "the path of one file that exists", remedy)
    side = out.with_name(f"{out.name}.bad-rows.csv")
    _check_places(
        sites, out, side, [path for path in (brief, catalog) if isinstance(path, (str, os.PathLike))]
    )
    if batch_rows is not None:
        batch_rows = whole_number(
            "batch_rows", batch_rows, 1, 2**31 - 1, "Leave it out for a fitting number."
        )
    check_called("progress", progress, "Pass one that accepts the share done and the rows so far.")
    wanted = _Wanted(brief, builds, catalog, threads, best_only, columns)
    most_rows = batch_rows or max(1, GROUP_ROWS // wanted.builds_of_a_row())
    unchanged = _Unchanged(sites)
    rows = results = extrapolated = 0
    remarks, untold = Remarks(), None
    with ExitStack() as files:
        with unchanged, opened(sites) as source:
            none, _ = source.values(empty(source.schema))
            schema = wanted.of(none)[0].schema
            whole = WholeFile(out)
            files.callback(whole.drop)
            bad = BadRows(side, source.schema)
            files.callback(bad.drop)
            with whole.faults_named():
                sink = _SINKS[out.suffix.lower()](whole.file, schema)
            files.callback(sink.drop)
            for batch in source.batches(most_rows, bad.add_malformed):
                values, unread = source.values(batch.cells)
                found, swept = wanted.of(values)
                with whole.faults_named():
                    sink.write(found)
                rows += len(batch.rows)
                results += found.num_rows
                status, known, outside = _status_of_rows(swept, len(batch.rows))
                extrapolated += int(outside.sum())
                with_result = known.nonzero()[0]
                remarks.add(swept, batch.rows)
                if untold is None and len(with_result):
                    untold = wanted.untold(values.slice(int(with_result[0]), 1))
                bad.add(*_without_result(batch, unread, status, ~known))
                if progress is not None:
                    progress(source.share_done(), rows + source.malformed)
            with whole.faults_named():
                sink.close()
            whole.flush()
            bad.close()
        # the side file first: where there is a new output, its bad rows are there too
        bad.keep()
        whole.keep()
    bad_rows_file = side if bad.count else None
    return SweptFile(
        out,
        rows + source.malformed,
        results,
        bad.count,
        bad_rows_file,
        extrapolated,
        time.perf_counter() - start,
        (*remarks.lines(), *(untold or ())),
    )


def _batch_of(value: Any) -> pa.RecordBatch:
    import pyarrow as pa

    return one_of("batches", value, pa.RecordBatch, _BATCHES)


class _Wanted:
    """What is swept, ready for any number of batches."""

    def __init__(
        self,
        brief: Any,
        builds: Iterable[BuildLike] | None,
        catalog: Any,
        threads: int | None,
        best_only: bool,
        columns: Any,
    ) -> None:
        self._brief = brief_or_plain(brief)
        self._builds, self._catalog = builds_and_catalog(builds, catalog)
        self._threads = threads_of(threads)
        self._best_only, self._columns = truth("best_only", best_only), result_names(columns)

    def of(self, batch: pa.RecordBatch) -> tuple[pa.RecordBatch, _core.SweptTable]:
        """The batch with its results, rows one after the other; and the results alone."""
        given = Given.of(batch)
        swept = swept_of(
            given, self._brief, self._builds, self._catalog, self._threads, self._best_only, self._columns
        )
        return given.answer(swept), swept

    def untold(self, row: pa.RecordBatch) -> tuple[str, ...]:
        """What a ranking of one row says and its results do not."""
        return tuple(untold_of(Given.of(row), self._brief, self._builds, self._catalog))

    def builds_of_a_row(self) -> int:
        """How many builds are swept; rejects what cannot be swept before a file is touched."""
        air = (
            ("temperature_c", 9.0),
            ("relative_humidity_pct", 78.0),
            ("so2_mg_m2_day", 3.0),
            ("chloride_mg_m2_day", 2.0),
        )
        place = Given({name: [value] for name, value in air})
        return len(swept_of(place, self._brief, self._builds, self._catalog, 1, False, ["row_status"]))


class _Unchanged:
    """Rejects the results of a file that another program wrote to, or put another in its place."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._before = self._state()

    def _state(self) -> tuple[int, ...] | None:
        try:
            found = os.stat(self._path)
        except OSError:
            return None  # what is wrong is told by opening it
        return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: object) -> None:
        # half a file reads like a damaged one: that it changed is what to tell
        if (error is None or isinstance(error, Exception)) and self._state() != self._before:
            raise invalid(
                "sites",
                self._path,
                "a file that stays as it is while it is read",
                "It changed: sweep it again when nothing writes to it.",
            ) from error


def _status_of_rows(swept: _core.SweptTable, rows: int) -> tuple[Any, Any, Any]:
    """The status of each row as text; whether it has results, and whether they are extrapolated."""
    import numpy as np

    codes, words = swept.status()
    first = np.arange(rows) * (len(swept) // max(rows, 1))
    if swept.row is not None:
        first = np.searchsorted(swept.row, np.arange(rows))
    outside = np.array([word.startswith("extrapolated") for word in words])
    return np.array(words, dtype=object)[codes[first]], swept.valid()[first], outside[codes[first]]


def _without_result(
    batch: Batch, unread: dict[str, Any], status: Any, without: Any
) -> tuple[Any, Any, pa.RecordBatch]:
    """Rows without a result: their numbers, why, and their cells."""
    import pyarrow as pa
    import pyarrow.compute as pc

    refused = pa.array(without, pa.bool_())
    reasons = pa.array(status, pa.string())
    if unread:
        said = [pc.if_else(bad, f"; {name} is not a number", "") for name, bad in unread.items()]
        words = pc.utf8_slice_codeunits(pc.binary_join_element_wise(*said, ""), 2)
        reasons = pc.if_else(pc.equal(words, ""), reasons, words)
    return (
        pa.array(batch.rows, pa.int64()).filter(refused),
        reasons.filter(refused),
        batch.cells.filter(refused),
    )


def _check_places(sites: Path, out: Path, side: Path, documents: list[str | os.PathLike[str]]) -> None:
    for field, path in (("sites", sites), ("out", out)):
        if path.suffix.lower() not in _SINKS:
            raise invalid(field, path, "a file that ends in .csv or .parquet", "Convert or rename it.")
    for path in (out, side):
        for read in [sites, *documents]:
            if same_file(path, read):
                raise invalid("out", out, "a separate file", f"{path.name} is a file to read: name another.")
