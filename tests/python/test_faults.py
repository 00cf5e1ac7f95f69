"""Faults of machine and user while files are swept: output whole or absent, a clear message, an exit code."""

import os
import re
import resource
import shlex
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
from pyarrow import parquet

import overcoat

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals, limits and mounts of another system")

BUILD = "steel_4_6 / hot_alkaline / hard_wax"
HEADER = "site,temperature_c,relative_humidity_pct,so2_mg_m2_day,chloride_mg_m2_day\n"
LINE = "quay,9.0,78.0,3.0,2.0\n"
LINES = "".join(f"quay,{i / 50},78.{i % 97},3.{i % 89},{i / 7}\n" for i in range(1000))
OF_YESTERDAY = "of yesterday\n"


def places(folder: Path, rows: int) -> Path:
    path = folder / "sites.csv"
    with open(path, "w", encoding="utf-8") as file:
        file.write(HEADER)
        for _ in range(rows // 1000):
            file.write(LINES)
        file.write(LINE * (rows % 1000))
    return path


# How a file of places is swept: by the command, which knows CSV alone, or by the library in its own process.
WAYS = ["command.csv", "library.csv", "library.parquet"]
IN_PYTHON = """
import sys
import overcoat
sites, out, build, rows = sys.argv[1:]
try:
    overcoat.sweep_file(sites, out, builds=[build], batch_rows=int(rows))
except OSError as error:
    sys.exit(f"{error.filename}: {error.strerror}")
"""


def words(way: str, sites: Path, out: Path, batch_rows: int = 500) -> list[str]:
    """The command line of a sweep."""
    if way.startswith("library"):
        return [sys.executable, "-c", IN_PYTHON, str(sites), str(out), BUILD, str(batch_rows)]
    return [
        *(sys.executable, "-m", "overcoat", "sweep", str(sites)),
        *("--out", str(out), "--build", BUILD, "--batch-rows", str(batch_rows)),
    ]


def told(way: str, done: subprocess.CompletedProcess, fault: str, remedy: str) -> None:
    """A fault is told in one line; the command adds what to do and has an exit code of its own."""
    assert done.returncode == (2 if way.startswith("command") else 1), done.stderr
    assert_says(way, done.stderr, fault, remedy)


def assert_says(way: str, said: str, fault: str, remedy: str) -> None:
    assert fault in said and said.count("\n") == 1, said
    assert remedy in said or way.startswith("library"), said


def files_of(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


class Started:
    """A sweep that would take long, in the middle of its work."""

    def __init__(self, folder: Path, way: str) -> None:
        self.sites = places(folder, 400_000)
        self.out = folder / "results" / f"out.{way.split('.')[1]}"
        self.out.parent.mkdir()
        self.out.write_text(OF_YESTERDAY, encoding="utf-8")
        self.process = subprocess.Popen(
            # a row at a time is slow
            words(way, self.sites, self.out, 1),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
        )
        deadline = time.monotonic() + 60
        while not self.under_way() and time.monotonic() < deadline:
            assert self.process.poll() is None, self.process.communicate()
            time.sleep(0.02)
        time.sleep(0.3)
        assert self.under_way()

    def under_way(self) -> list[Path]:
        return list(self.out.parent.glob(f".{self.out.name}.part-*"))

    def end(self, number: int) -> tuple[int, str]:
        """Exit code and standard error after a signal."""
        assert self.process.poll() is None
        self.process.send_signal(number)
        _, said = self.process.communicate(timeout=60)
        return self.process.returncode, said


@pytest.mark.parametrize(
    ("way", "number", "code"),
    [
        ("command.csv", signal.SIGINT, 130),
        ("command.csv", signal.SIGTERM, 143),
        ("command.csv", signal.SIGHUP, 129),
        # of Python: a KeyboardInterrupt that nobody caught
        ("library.csv", signal.SIGINT, -signal.SIGINT),
        ("library.parquet", signal.SIGINT, -signal.SIGINT),
    ],
)
def test_interrupted_it_leaves_what_was_there(tmp_path, way, number, code):
    started = Started(tmp_path, way)
    found, said = started.end(number)
    assert found == code, said
    if way.startswith("command"):
        assert said == f"Interrupted: {started.out} is as it was before.\n"
    else:
        assert "ignored" not in said
    assert files_of(started.out.parent) == [started.out.name]
    assert started.out.read_text("utf-8") == OF_YESTERDAY


def test_a_signal_that_whoever_started_it_has_it_ignore_does_not_end_it(tmp_path):
    out = tmp_path / "out.csv"
    script = (
        "import os, signal, sys; signal.signal(signal.SIGHUP, signal.SIG_IGN);"
        "signal.signal(signal.SIGINT, signal.SIG_IGN); os.execv(sys.argv[1], sys.argv[1:])"
    )
    line = words("command.csv", places(tmp_path, 20_000), out, 1)
    with subprocess.Popen([sys.executable, "-c", script, *line], stderr=subprocess.DEVNULL) as process:
        while not (parts := list(tmp_path.glob(".out.csv.part-*"))):
            assert process.poll() is None
            time.sleep(0.02)
        for number in (signal.SIGHUP, signal.SIGINT):
            process.send_signal(number)
        assert process.wait(timeout=120) == 0
    assert parts and out.read_text("utf-8").count("\n") == 20_001


@pytest.mark.parametrize("way", WAYS)
def test_killed_it_leaves_a_part_that_the_next_run_removes(tmp_path, way):
    started = Started(tmp_path, way)
    folder = started.out.parent
    assert started.end(signal.SIGKILL)[0] == -signal.SIGKILL
    assert started.out.read_text("utf-8") == OF_YESTERDAY
    assert files_of(folder) == [f".{started.out.name}.part-{started.process.pid}", started.out.name]
    # a run to another place leaves it alone, one to the same place takes it away
    sites = places(tmp_path, 10)
    other = folder / f"other{started.out.suffix}"
    subprocess.run(words(way, sites, other), check=True, capture_output=True, timeout=120)
    assert len(started.under_way()) == 1
    subprocess.run(words(way, sites, started.out), check=True, capture_output=True, timeout=120)
    assert files_of(folder) == [other.name, started.out.name]
    assert started.out.read_bytes() == other.read_bytes()


@pytest.mark.parametrize("way", ["command.csv", "library.csv"])
def test_a_part_that_another_run_is_writing_is_left_alone(tmp_path, way):
    started = Started(tmp_path, way)
    try:
        short = tmp_path / "short"
        short.mkdir()
        sites = places(short, 10)
        for other in ("command.csv", "library.csv"):
            subprocess.run(words(other, sites, started.out), check=True, capture_output=True, timeout=120)
            assert len(started.under_way()) == 1
            assert started.out.read_text("utf-8").count("\n") == 11
    finally:
        started.end(signal.SIGINT)
    assert started.out.read_text("utf-8").count("\n") == 11


def test_the_command_keeps_what_the_file_was(tmp_path):
    """A link keeps pointing where it points, and mode of a file and what is no file stay."""
    sites, real, link = places(tmp_path, 3), tmp_path / "real.csv", tmp_path / "link.csv"
    real.write_text(OF_YESTERDAY, encoding="utf-8")
    real.chmod(0o640)
    link.symlink_to(real)
    subprocess.run(words("command.csv", sites, link), check=True, capture_output=True, timeout=120)
    assert link.is_symlink() and real.read_text("utf-8").count("\n") == 4
    assert real.stat().st_mode & 0o777 == 0o640
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    with subprocess.Popen(words("command.csv", sites, pipe), stderr=subprocess.DEVNULL) as process:
        assert pipe.read_text("utf-8") == real.read_text("utf-8")
        assert process.wait(timeout=120) == 0
    assert pipe.is_fifo()


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("bytes_allowed", [0, 5000, 200_000])
def test_a_limit_on_the_size_of_files_is_told(tmp_path, way, bytes_allowed):
    out = tmp_path / f"out.{way.split('.')[1]}"
    done = subprocess.run(
        words(way, places(tmp_path, 20_000), out),
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (bytes_allowed, bytes_allowed)),
    )
    told(way, done, f"{out}: File too large", "ulimit -f")
    assert files_of(tmp_path) == ["sites.csv"]


def on_a_small_disk(folder: Path, options: str, line: list[str]) -> subprocess.CompletedProcess:
    """A command with `folder` as a disk of its own; prints the exit code and what is on the disk after it."""
    if shutil.which("unshare") is None:
        pytest.skip("no unshare to mount a disk with")
    quoted = " ".join(shlex.quote(word) for word in line)
    # where it cannot be mounted, say so by a code that the command never has
    script = (
        f"mount -t tmpfs -o size=200k none '{folder}' && touch '{folder}/kept.txt' && {options} || exit 77; "
    )
    script += f"{quoted}; echo \"code $?\"; ls -A '{folder}'"
    done = subprocess.run(
        ["unshare", "--user", "--map-root-user", "--mount", "sh", "-c", script],
        capture_output=True,
        encoding="utf-8",
        timeout=120,
    )
    if done.returncode == 77 or done.stderr.startswith("unshare"):
        pytest.skip(f"no disk can be mounted here: {done.stderr}")
    return done


@pytest.mark.parametrize("way", WAYS)
def test_a_full_disk_is_told(tmp_path, way):
    disk = tmp_path / "disk"
    disk.mkdir()
    out = disk / f"out.{way.split('.')[1]}"
    done = on_a_small_disk(disk, "true", words(way, places(tmp_path, 20_000), out))
    assert done.stdout.split() == ["code", "2" if way.startswith("command") else "1", "kept.txt"]
    assert_says(way, done.stderr, f"{out}: No space left on device", "Make space")


@pytest.mark.parametrize("way", WAYS)
def test_a_disk_too_full_for_the_bad_rows_is_told(tmp_path, way):
    disk = tmp_path / "disk"
    disk.mkdir()
    sites = tmp_path / "sites.csv"
    # results of bad rows are short in Parquet, their cells in the side file are long
    sites.write_text(HEADER + f"{'q' * 400},warm,78,3,2\n" * 2000, encoding="utf-8")
    out = disk / f"out.{way.split('.')[1]}"
    done = on_a_small_disk(disk, "true", words(way, sites, out, 100))
    assert done.stdout.split() == ["code", "2" if way.startswith("command") else "1", "kept.txt"]
    named = out if way.endswith("csv") else f"{out}.bad-rows.csv"
    assert_says(way, done.stderr, f"{named}: No space left on device", "Make space")


@pytest.mark.parametrize("way", WAYS)
def test_a_read_only_disk_is_told(tmp_path, way):
    disk = tmp_path / "disk"
    disk.mkdir()
    out = disk / f"out.{way.split('.')[1]}"
    done = on_a_small_disk(disk, f"mount -o remount,ro none '{disk}'", words(way, places(tmp_path, 10), out))
    assert done.stdout.split() == ["code", "2" if way.startswith("command") else "1", "kept.txt"]
    assert_says(way, done.stderr, f"{out}: Read-only file system", "Name a folder")


@pytest.mark.parametrize("way", WAYS)
def test_a_folder_without_the_right_to_write_is_told(tmp_path, way):
    folder = tmp_path / "folder"
    folder.mkdir()
    folder.chmod(0o555)
    if os.geteuid() == 0:
        folder = Path("/sys")  # where not even root can make a file
        if not folder.is_dir():
            pytest.skip("nothing is forbidden here")
    out = folder / f"out.{way.split('.')[1]}"
    done = subprocess.run(
        words(way, places(tmp_path, 10), out), capture_output=True, encoding="utf-8", timeout=120
    )
    told(way, done, f"{out}: ", "")
    assert "denied" in done.stderr or "not permitted" in done.stderr


def test_the_command_refuses_an_input_that_changes_underneath(tmp_path):
    started = Started(tmp_path, "command.csv")
    os.truncate(started.sites, started.sites.stat().st_size // 20)
    _, said = started.process.communicate(timeout=120)
    assert started.process.returncode == 2 and "changed" in said, said
    assert files_of(started.out.parent) == [started.out.name]
    assert started.out.read_text("utf-8") == OF_YESTERDAY


@pytest.mark.parametrize("change", ["grown", "cut", "touched", "replaced", "removed"])
@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_an_input_that_changes_underneath_is_refused(tmp_path, ending, change):
    sites = places(tmp_path, 100_000)
    if ending == "parquet":
        sites = tmp_path / "sites.parquet"
        of_one_row = {"temperature_c": 9.0, "relative_humidity_pct": 78.0, "so2_mg_m2_day": 3.0}
        table = pa.table({name: [value] * 100_000 for name, value in of_one_row.items()})
        parquet.write_table(
            table.append_column("chloride_mg_m2_day", pa.array(np.arange(100_000.0) / 100)), sites
        )
    changed = []

    def meddle(share: float, rows: int) -> None:
        if changed:
            return
        changed.append(rows)
        if change == "grown":
            with open(sites, "ab") as file:
                file.write(LINE.encode())
        elif change == "cut":
            os.truncate(sites, sites.stat().st_size // 2)
        elif change == "touched":
            os.utime(sites)
        elif change == "removed":
            sites.unlink()
        else:
            other = tmp_path / "other"
            shutil.copy2(sites, other)
            other.replace(sites)

    out = tmp_path / "out.csv"
    out.write_text(OF_YESTERDAY, encoding="utf-8")
    with pytest.raises(overcoat.InvalidValueError, match="It changed: sweep it again"):
        overcoat.sweep_file(sites, out, builds=[BUILD], batch_rows=10_000, progress=meddle)
    assert changed and changed[0] < 100_000
    assert out.read_text("utf-8") == OF_YESTERDAY
    assert not [name for name in files_of(tmp_path) if name.startswith(".") or "bad-rows" in name]


def test_an_error_of_the_caller_leaves_what_was_there(tmp_path):
    def stop(share: float, rows: int) -> None:
        raise RuntimeError("enough")

    with pytest.raises(RuntimeError, match="enough"):
        overcoat.sweep_file(places(tmp_path, 10), tmp_path / "out.parquet", builds=[BUILD], progress=stop)
    assert files_of(tmp_path) == ["sites.csv"]


# Bounded memory and time


def measured(folder: Path, sites: Path, ending: str = "parquet") -> tuple[float, float]:
    """Peak memory [MB] and time [s] of a sweep in a process of its own."""
    if not Path("/proc/self/status").is_file():
        pytest.skip("no peak of memory to read")
    # not ru_maxrss, which a process inherits from the one that started it
    script = (
        "import re, sys, time, overcoat; start = time.perf_counter();"
        "overcoat.sweep_file(sys.argv[1], sys.argv[2], builds=[sys.argv[3]], threads=1, batch_rows=20_000);"
        "print(re.search(r'VmHWM:\\s+(\\d+) kB', open('/proc/self/status').read())[1],"
        " time.perf_counter() - start)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(sites), str(folder / f"out.{ending}"), BUILD],
        capture_output=True,
        encoding="utf-8",
        timeout=500,
    )
    assert done.returncode == 0, done.stderr
    peak, seconds = map(float, done.stdout.split())
    return peak / 1024, seconds


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_memory_does_not_grow_with_the_file(tmp_path, ending):
    peaks = []
    # the first is longer than a batch, a block and a group of rows
    for rows in (600_000, 2_400_000):
        sites = tmp_path / f"sites.{ending}"
        if ending == "csv":
            places(tmp_path, rows)
        else:
            values = np.tile(np.linspace(1.0, 20.0, 1000), rows // 1000)
            names = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
            # one group of rows, the case in which a reader is tempted to take it all
            parquet.write_table(
                pa.table(dict.fromkeys(names, values)), sites, row_group_size=rows, use_dictionary=False
            )
        peaks.append(measured(tmp_path, sites, ending)[0])
    # four times the rows; the whole input would be some 60 MB more, the whole output some 100 MB more
    assert peaks[1] - peaks[0] < 25, peaks


def test_a_hundred_megabytes_of_csv_take_bounded_time_and_memory(tmp_path):
    sites = tmp_path / "sites.csv"
    with open(sites, "w", encoding="utf-8") as file:
        file.write(HEADER)
        for _ in range(45):
            file.write(LINE * 100_000)
    assert sites.stat().st_size > 95_000_000
    peak, seconds = measured(tmp_path, sites)
    assert peak < 500
    assert seconds < 120


@pytest.mark.parametrize(
    "line", ["x\n", ",,,,\n", "quay,warm,78,3,2\n", '"' + "q" * 500_000 + '",9,78,3,2\n'], ids=str.split
)
def test_megabytes_of_bad_lines_take_bounded_time_and_memory(tmp_path, line):
    sites = tmp_path / "sites.csv"
    sites.write_text(HEADER + line * (1_000_000 // len(line)), encoding="utf-8")
    peak, seconds = measured(tmp_path, sites)
    assert peak < 400
    assert seconds < 120


# Many threads, many interpreters


def test_many_threads_at_once_get_the_same_bits(demo):
    brief = overcoat.Brief.from_json(demo / "briefs" / "deck-fitting.json")
    random_numbers = np.random.default_rng(3)
    table = {
        "temperature_c": random_numbers.uniform(-17, 28, 20_000),
        "relative_humidity_pct": random_numbers.uniform(34, 93, 20_000),
        "so2_mg_m2_day": random_numbers.uniform(0.7, 150, 20_000),
        "chloride_mg_m2_day": random_numbers.uniform(0.4, 760, 20_000),
    }

    def bits(_: int) -> tuple[str, bytes]:
        found = overcoat.sweep(table, builds=[BUILD], threads=2)
        return overcoat.rank(brief).to_json(), np.asarray(found["score"]).tobytes()

    with ThreadPoolExecutor(8) as pool:
        answers = set(pool.map(bits, range(24)))
    assert answers == {bits(0)}


def test_many_threads_may_write_files_at_once(tmp_path):
    sites = places(tmp_path, 5000)

    def write(number: int) -> bytes:
        out = tmp_path / f"out-{number}.csv"
        overcoat.sweep_file(sites, out, builds=[BUILD], batch_rows=300)
        return out.read_bytes()

    with ThreadPoolExecutor(6) as pool:
        assert len(set(pool.map(write, range(12)))) == 1
    # to one place: each file is whole, and a run that finds the place taken says so
    out = tmp_path / "out-0.csv"
    expected = out.read_bytes()

    def write_same(_: int) -> type[Exception] | None:
        try:
            overcoat.sweep_file(sites, out, builds=[BUILD], batch_rows=300)
        except FileExistsError as error:
            return type(error)
        return None

    with ThreadPoolExecutor(4) as pool:
        assert None in set(pool.map(write_same, range(8)))
    assert out.read_bytes() == expected
    assert not [name for name in files_of(tmp_path) if name.startswith(".")]


def test_a_second_interpreter_of_a_process_gets_the_same_answer_or_a_refusal(demo):
    """Not supported: but it must not get another answer, nor harm the first."""
    script = """
import sys
import overcoat
try:
    import _interpreters as interpreters
    run = interpreters.exec
except ImportError:
    import _xxsubinterpreters as interpreters
    run = interpreters.run_string
# NumPy is of the interpreter that first imports it
overcoat.corrosivity("steel", [30.0])
code = f'''
try:
    import overcoat
    print(overcoat.rank(overcoat.Brief.from_json({sys.argv[1]!r})).to_json())
    print(overcoat.corrosivity("steel", [30.0]))
except ImportError as error:
    print("refused:", error)
'''
run(interpreters.create(), code)
print(overcoat.rank(overcoat.Brief.from_json(sys.argv[1])).to_json())
print(overcoat.corrosivity("steel", [30.0]))
"""
    brief = demo / "briefs" / "deck-fitting.json"
    done = subprocess.run(
        [sys.executable, "-c", script, str(brief)], capture_output=True, encoding="utf-8", timeout=120
    )
    assert done.returncode == 0, done.stderr
    answer = overcoat.rank(overcoat.Brief.from_json(brief)).to_json()
    assert done.stdout.endswith(f"{answer}\n['C3']\n")
    of_second = done.stdout.removesuffix(f"{answer}\n['C3']\n")
    refusal = "refused: .*\n"
    assert re.fullmatch(f"({re.escape(answer)}\n)?({refusal}|\\['C3'\\]\n)", of_second), of_second
