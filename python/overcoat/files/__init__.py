"""Tables of places in files and in streams of record batches, however long, in the memory of one batch.

`sweep_file` goes from file to file; `sweep_batches` is the same over record batches, for engines that spread
them over machines. Both need pyarrow: `pip install "overcoat[frames]"`.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from overcoat import _core
from overcoat._builds import build_texts
from overcoat._columns import is_frame, table_error
from overcoat._extras import needs
from overcoat._refusal import check_called, invalid, one_of, path_of, threads_of, truth, whole_number, wrong
from overcoat._tables import NEEDED
from overcoat.files.reading import empty, opened
from overcoat.files.whole import WholeFile
from overcoat.files.writing import GROUP_ROWS, BadRows, CsvSink, ParquetSink, in_plain_text
from overcoat.sweeping import sweep

if TYPE_CHECKING:
    import pyarrow as pa

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
    seconds: float
    """Time taken."""


def sweep_batches(
    batches: Iterable[pa.RecordBatch],
    builds: Iterable[_core.Build | str] | None = None,
    catalog: _core.Catalog | None = None,
    threads: int = 1,
    *,
    brief: _core.Brief | None = None,
    best_only: bool = False,
) -> Iterator[pa.RecordBatch]:
    """The outlook and score of every build at every row of a stream of record batches.

    This is what goes past one machine: an engine calls it on each partition (`mapInArrow` of Spark,
    `map_partitions` of Dask). A row has the same results, bit for bit, whatever batch or machine it is in.

    Parameters
    ----------
    batches : iterable of pyarrow.RecordBatch
        With the columns of `sweep`.
    builds, catalog, brief
        As in `sweep`. Briefs and catalogs can be pickled, so that they reach the workers.
    threads : int
        Threads to use within a batch: one by default, since engines run one task per processor.
    best_only : bool
        Keep the best build of each row, by score, then by probability; blocked ones stand behind. A row
        without a result keeps one line with its reason and no build.

    Yields
    ------
    pyarrow.RecordBatch
        For each batch one with all its columns, repeated for each build, and the results of `sweep`; words
        are plain text. There is no `row`: rows are told by columns of their own.

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
    >>> (found,) = sweep_batches([batch], ["steel_4_6 / hot_alkaline / hard_wax"])
    >>> found["site"].to_pylist(), found["category"].to_pylist()
    (['quay', 'pass'], ['C4', 'C2'])
    """
    with needs("frames", "a stream of places"):
        import pyarrow  # noqa: F401
    wanted = _Wanted(builds, catalog, threads, brief, best_only)
    try:
        # a lazy frame begins like what can be walked through
        each = iter(() if is_frame(batches) else batches)
    except TypeError as error:
        raise wrong("batches", batches, "an iterable of record batches", _BATCHES) from error
    return (in_plain_text(wanted.of(_batch_of(batch))) for batch in each)


def sweep_file(
    sites: str | os.PathLike[str],
    out: str | os.PathLike[str],
    builds: Iterable[_core.Build | str] | None = None,
    catalog: _core.Catalog | None = None,
    threads: int | None = None,
    *,
    brief: _core.Brief | None = None,
    batch_rows: int | None = None,
    best_only: bool = False,
    progress: Callable[[float, int], None] | None = None,
) -> SweptFile:
    """The outlook and score of every build at every row of a file, written to another, batch by batch.

    Memory is that of one batch, however long the file. `out` is whole or absent: it is written beside as
    `.NAME.part-PID` and takes its place at the end, so that a fault or an interruption leaves what was there
    before. What a killed run leaves beside is removed by the next one to the same place.

    Parameters
    ----------
    sites : path
        A `.csv` file (comma, UTF-8, a header) or a `.parquet` file with the columns of `sweep`. In CSV an
        empty cell, `nan`, `na` and `null` are gaps, and other columns are text, carried over as it stands.
    out : path
        A `.csv` or `.parquet` file: `row` (from 0), all columns of `sites` repeated for each build, and the
        results of `sweep`. In CSV, text that a spreadsheet would run as a formula (it begins with `=`, `+`,
        `-`, `@`, a tab or a line break, and is no number) gets an apostrophe before it.
    builds, catalog, threads, brief
        As in `sweep`.
    batch_rows : int, optional
        Rows at a time; by default as many as give half a million results. No result depends on it.
    best_only : bool
        Keep the best build of each row, as in `sweep_batches`.
    progress : callable, optional
        Called after each batch with the share of the input that is done, 0 to 1, and the rows so far.

    Returns
    -------
    SweptFile
        Counts, time and files. Bad rows stop nothing. Those with a missing, impossible or unreadable value
        are in `out` without results; they and lines with too many or too few fields are listed in
        `OUT.bad-rows.csv` with their row, the reason and their cells. It is there only if there are some.

    Raises
    ------
    TableError
        A missing column, one of another type, one named twice or like a result.
    InvalidValueError
        Files that are no CSV or Parquet, not in UTF-8, damaged, one and the same, or that changed while they
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
    side = out.with_name(f"{out.name}.bad-rows.csv")
    _check_places(sites, out, side)
    if batch_rows is not None:
        batch_rows = whole_number(
            "batch_rows", batch_rows, 1, 2**31 - 1, "Leave it out for a fitting number."
        )
    check_called("progress", progress, "Give one that takes the share done and the rows so far.")
    wanted = _Wanted(builds, catalog, threads, brief, best_only)
    most_rows = batch_rows or max(1, GROUP_ROWS // wanted.builds_of_a_row())
    unchanged = _Unchanged(sites)
    rows = results = 0
    with ExitStack() as files:
        with unchanged, opened(sites) as source:
            none, _ = source.values(empty(source.schema))
            schema = wanted.of(_numbered([], none)).schema
            whole = WholeFile(out)
            files.callback(whole.drop)
            bad = BadRows(side, source.schema)
            files.callback(bad.drop)
            with whole.faults_named():
                sink = _SINKS[out.suffix.lower()](whole.file, schema)
            files.callback(sink.drop)
            for batch in source.batches(most_rows, bad.add_malformed):
                values, unread = source.values(batch.cells)
                found = wanted.of(_numbered(batch.rows, values))
                with whole.faults_named():
                    sink.write(found)
                rows += len(batch.rows)
                results += found.num_rows
                bad.add(*_without_result(batch, unread, found))
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
        out, rows + source.malformed, results, bad.count, bad_rows_file, time.perf_counter() - start
    )


def _batch_of(value: Any) -> pa.RecordBatch:
    import pyarrow as pa

    return one_of("batches", value, pa.RecordBatch, _BATCHES)


class _Wanted:
    """What is swept, ready for any number of batches."""

    def __init__(
        self,
        builds: Iterable[_core.Build | str] | None,
        catalog: _core.Catalog | None,
        threads: int | None,
        brief: _core.Brief | None,
        best_only: bool,
    ) -> None:
        self._builds = build_texts(builds)
        self._catalog, self._threads, self._brief = catalog, threads_of(threads), brief
        self._best_only = truth("best_only", best_only)

    def of(self, batch: pa.RecordBatch) -> pa.RecordBatch:
        """The batch with its results, rows one after the other, each with its builds."""
        import pyarrow as pa

        found = sweep(batch, self._builds, self._catalog, self._threads, brief=self._brief)
        rows, found = found["row"], found.drop_columns(["row"])
        for name in found.schema.names:
            if name in batch.schema.names:
                raise table_error(name, None, "the results have a column of this name", "Rename yours.")
        if self._best_only:
            best = _best(found, batch.num_rows)
            rows, found = rows.take(best), _without_names(found.take(best))
        if len(rows) != batch.num_rows:
            batch = batch.take(rows)
        return pa.RecordBatch.from_arrays(
            [*batch.columns, *found.columns], schema=pa.schema([*batch.schema, *found.schema])
        )

    def builds_of_a_row(self) -> int:
        """How many builds are swept; refuses what cannot be swept before a file is touched."""
        place = dict(zip(NEEDED, ([9.0], [78.0], [3.0], [2.0]), strict=True))
        return len(sweep(place, self._builds, self._catalog, 1, brief=self._brief)["row"])


class _Unchanged:
    """Refuses the results of a file that another program wrote to, or put another in its place."""

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


def _best(found: pa.RecordBatch, rows: int) -> Any:
    """Places of the best build of each row: open before blocked, by score, then by probability."""
    import numpy as np

    if rows == 0:
        return np.arange(0)

    def of_rows(name: str) -> Any:
        return np.nan_to_num(found[name].to_numpy(False).astype(np.float64)).reshape(rows, -1)

    score = of_rows("score") - of_rows("blocked")
    first = score == score.max(axis=1, keepdims=True)
    best = np.where(first, of_rows("probability_ok"), -1.0).argmax(axis=1)
    return best + np.arange(rows) * score.shape[1]


def _without_names(best: pa.RecordBatch) -> pa.RecordBatch:
    """No build is the best of a row without a result."""
    import pyarrow as pa
    import pyarrow.compute as pc

    build = best["build"]
    codes = pc.if_else(best["score"].is_valid(), build.indices, pa.scalar(None, build.indices.type))
    named = pa.DictionaryArray.from_arrays(codes, build.dictionary)
    return best.set_column(best.schema.get_field_index("build"), "build", named)


def _numbered(rows: Any, batch: pa.RecordBatch) -> pa.RecordBatch:
    """The batch with the numbers of its rows before it."""
    import pyarrow as pa

    if "row" in batch.schema.names:
        raise table_error("row", None, "the results have a column of this name", "Rename yours.")
    return batch.add_column(0, pa.field("row", pa.int64()), pa.array(rows, pa.int64()))


def _without_result(
    batch: Batch, unread: dict[str, Any], found: pa.RecordBatch
) -> tuple[Any, Any, pa.RecordBatch]:
    """Rows without a result: their numbers, why, and their cells."""
    import numpy as np
    import pyarrow as pa
    import pyarrow.compute as pc

    lines = len(batch.rows)
    first = np.arange(lines) * (found.num_rows // max(lines, 1))
    refused = pc.is_null(found["first_year_loss_um"].take(first))
    reasons = found["reason"].take(first).cast(pa.string())
    if unread:
        said = [pc.if_else(bad, f"; {name} is no number", "") for name, bad in unread.items()]
        words = pc.utf8_slice_codeunits(pc.binary_join_element_wise(*said, ""), 2)
        reasons = pc.if_else(pc.equal(words, ""), reasons, words)
    return (
        pa.array(batch.rows, pa.int64()).filter(refused),
        reasons.filter(refused),
        batch.cells.filter(refused),
    )


def _check_places(sites: Path, out: Path, side: Path) -> None:
    for field, path in (("sites", sites), ("out", out)):
        if path.suffix.lower() not in _SINKS:
            raise invalid(field, path, "a file that ends in .csv or .parquet", "Convert or rename it.")
    for path in (out, side):
        if path.exists() and sites.exists() and path.samefile(sites):
            raise invalid("out", out, "a place of its own", f"{path.name} is the file to read: name another.")
