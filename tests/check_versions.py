#!/usr/bin/env python3
"""Tries the lowest versions of the dependencies that pyproject.toml declares, and the newest: both answer
the same.

    python3 tests/check_versions.py [--wheel FILE] [--python PROGRAM ...]

Makes a wheel by the quick profile unless one is given, and installs it into environments that are thrown
away: one with each dependency at the version after `>=` (by Python 3.10 or 3.11, for which these versions
exist), one with the newest that the index has, and one more of these for each Python that is named. Each
ranks the demo briefs, makes a table of each kind, sweeps it, writes units, draws, opens a panel, runs a
cell, takes gridded arrays and goes over a cluster; the answers have to be equal to the last digit. The extras
tried are those that users install, but for Spark, which is large and needs Java.
"""

import argparse
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
EXTRAS = ("plots", "frames", "dask", "maps", "notebook")

# run by the Python of each environment
TRIAL = r"""
import importlib.metadata, io, json, sys, warnings
from pathlib import Path

warnings.simplefilter("ignore")  # old packages under a newer Python warn about each other
import matplotlib
matplotlib.use("agg")
import numpy, pandas, polars, pyarrow
import overcoat, overcoat.plots

import dask.dataframe, distributed, nbclient, nbformat, xarray

root = Path(sys.argv[1])
said = {}
prices = overcoat.Catalog.from_json(str(root / "demo-data" / "workshop_catalog.json"))
for path in sorted((root / "demo-data" / "briefs").glob("*.json")):
    ranking = overcoat.rank(overcoat.Brief.from_json(str(path)), prices)
    said[path.stem] = ranking.to_json()
    said[path.stem + " papers"] = ranking.best.papers().to_text()
    assert len(ranking.to_pandas()) == len(ranking.to_polars()) == ranking.to_arrow().num_rows

brief = overcoat.Brief.from_json(str(root / "demo-data" / "briefs" / "deck-fitting.json"))
columns = {
    "temperature_c": numpy.array([5.0, 11.0, 24.0]),
    "relative_humidity_pct": numpy.array([70.0, 79.0, 85.0]),
    "so2_mg_m2_day": numpy.array([1.0, 3.0, 20.0]),
    "chloride_mg_m2_day": numpy.array([3.0, 80.0, 400.0]),
}
builds = [str(option.build) for option in list(overcoat.rank(brief))[:2]]
for name, kind in {
    "dict": dict, "pandas": pandas.DataFrame, "polars": polars.DataFrame, "pyarrow": pyarrow.table
}.items():
    swept = overcoat.sweep(kind(columns), builds=builds, brief=brief)
    years = swept["median_years"]
    said["sweep " + name] = repr([float(str(value)) for value in years])

document = json.loads((root / "demo-data" / "briefs" / "deck-fitting.json").read_text("utf-8"))
document["part"]["mass_g"] = "6 oz"
said["units"] = overcoat.rank(overcoat.Brief.from_json(json.dumps(document))).to_json()

def swept(part):
    (found,) = overcoat.sweep_batches(pyarrow.RecordBatch.from_pandas(part), brief, builds=builds)
    return found.to_pandas()

places = pandas.DataFrame(columns)
with distributed.Client(processes=False, n_workers=1, dashboard_address=None):
    parts = dask.dataframe.from_pandas(places, npartitions=2).map_partitions(swept, meta=swept(places[:0]))
    said["dask"] = repr(parts["median_years"].compute().tolist())

sites = xarray.Dataset({name: ("site", values) for name, values in columns.items()})
said["maps"] = repr(xarray.apply_ufunc(overcoat.first_year_loss, "steel", *sites.values()).values.tolist())

said["panel"] = overcoat.panels.panel(brief).ranking.to_json()
overcoat.grid(brief, builds=builds, required_years=[1, 2]).run(progress=True)
cell = nbformat.v4.new_code_cell("import overcoat; overcoat.__version__")
notebook = nbformat.v4.new_notebook(cells=[cell])
done = nbclient.NotebookClient(notebook, startup_timeout=600).execute()
said["notebook"] = done.cells[0].outputs[0]["data"]["text/plain"]

figure = overcoat.plots.survival(overcoat.rank(brief))
getattr(figure, "figure", figure).savefig(io.BytesIO(), format="svg")
versions = {name: importlib.metadata.version(name) for name in sys.argv[2].split(",")}
print(json.dumps({"said": said, "versions": versions}))
"""


def declared() -> dict[str, str]:
    """Each dependency of users with its lowest version, from pyproject.toml."""
    text = (ROOT / "pyproject.toml").read_text("utf-8")
    lists = re.findall(rf"^(?:dependencies|{'|'.join(EXTRAS)}) = \[(.*)\]$", text, re.MULTILINE)
    assert len(lists) == 1 + len(EXTRAS), "a list of dependencies that is read stands in one line"
    return dict(re.findall(r'"([\w-]+)(?:\[\w+\])?>=([\d.]+)[^"]*"', " ".join(lists)))


def run(*command: object) -> str:
    """What a command prints; a failure ends everything."""
    return subprocess.run(
        [str(word) for word in command], cwd=ROOT, check=True, stdout=subprocess.PIPE, encoding="utf-8"
    ).stdout


def answers(folder: Path, python: str, wheel: Path, pins: list[str], names: list[str]) -> dict:
    """What the package says in an environment with these pins."""
    run(python, "-m", "venv", folder)
    inside = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    package = f"{wheel}[{','.join(EXTRAS)}]"
    run(inside, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", package, *pins)
    return json.loads(run(inside, "-c", TRIAL, ROOT, ",".join(names)))


def python_for_lowest() -> str | None:
    """A Python for which the lowest versions were released, if there is one."""
    probe = "import sys; sys.exit(not (3, 10) <= sys.version_info < (3, 12))"
    for python in ("python3.10", "python3.11", sys.executable):
        program = shutil.which(python)
        if program and subprocess.run([program, "-c", probe], capture_output=True).returncode == 0:
            return program
    return None


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--wheel", type=Path, help="a wheel that exists; one is made without it")
    parser.add_argument("--python", nargs="*", default=[], help="further Pythons for the newest")
    options = parser.parse_args()
    lowest = declared()
    with tempfile.TemporaryDirectory() as name:
        made = Path(name)
        wheel = options.wheel
        if wheel is None:
            run(sys.executable, "-m", "maturin", "build", "--profile", "inplace", "--locked", "--out", made)
            (wheel,) = made.glob("*.whl")
        wheel = wheel.resolve()
        found = {}
        if old_python := python_for_lowest():
            pins = [f"{package}=={version}" for package, version in lowest.items()]
            found[f"lowest, {old_python}"] = answers(made / "lowest", old_python, wheel, pins, list(lowest))
        else:
            print("skipped: the lowest versions need Python 3.10 or 3.11")
        for number, python in enumerate([sys.executable, *options.python]):
            folder = made / f"newest{number}"
            found[f"newest, {Path(python).name}"] = answers(folder, python, wheel, [], list(lowest))
    for name, one in found.items():
        versions = ", ".join(" ".join(pair) for pair in one["versions"].items())
        print(f"{name}: {versions}")
    *others, new = found.values()
    different = sorted({key for old in others for key in new["said"] if old["said"][key] != new["said"][key]})
    for key in different:
        print(f"error: {key} differs between these environments", file=sys.stderr)
    if not others:
        print("skipped: one environment alone, nothing to compare it with")
        return 0
    total = hashlib.sha256(json.dumps(new["said"], sort_keys=True).encode()).hexdigest()
    print(
        f"{len(found)} environments, {len(new['said'])} answers, {len(different)} different; sum {total[:16]}"
    )
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
