"""Time of wetness against counts made without overcoat."""

from __future__ import annotations

import csv
import importlib.util
from pathlib import Path

import numpy as np
from statistics_of_sites import read_rows

import overcoat

# Hourly files that come with the package pvlib: name of the data set in the table of counts, file, reader.
FILES = {
    "TMY3 723170 Greensboro NC": ("723170TYA.CSV", "tmy3"),
    "TMY3 703165 Sand Point AK": ("703165TY.csv", "tmy3"),
    "TMY2 12839 Miami FL": ("12839.tm2", "tmy2"),
}


def pvlib_data() -> Path | None:
    """Folder of pvlib's data files, without importing it."""
    spec = importlib.util.find_spec("pvlib")
    return Path(spec.origin).parent / "data" if spec and spec.origin else None


def read_hours(path: Path, kind: str) -> tuple[np.ndarray, np.ndarray]:
    """Temperature (°C) and relative humidity (%) of each hour."""
    if kind == "tmy2":
        lines = path.read_text(encoding="latin-1").splitlines()[1:]
        lines = [line for line in lines if line.strip()]
        return np.array([int(x[67:71]) / 10 for x in lines]), np.array([float(x[79:82]) for x in lines])
    with path.open(encoding="latin-1", newline="") as file:
        next(file)
        rows = list(csv.DictReader(file))
    return (
        np.array([float(row["Dry-bulb (C)"]) for row in rows]),
        np.array([float(row["RHum (%)"]) for row in rows]),
    )


def compare(reference: Path):
    """(data set, hours by overcoat, by a loop here, by the table of counts, at 80 % or more, class)."""
    table = reference / "measured" / "time_of_wetness_reference.csv"
    folder = pvlib_data()
    if folder is None:
        return
    counts = {row["dataset"]: row for row in read_rows(table)} if table.is_file() else {}
    for name, (file, kind) in FILES.items():
        if not (folder / file).is_file():
            continue
        temperature, humidity = read_hours(folder / file, kind)
        plain = sum(t > 0 and h > 80 for t, h in zip(temperature, humidity, strict=True))
        at_least = sum(t > 0 and h >= 80 for t, h in zip(temperature, humidity, strict=True))
        wet = overcoat.time_of_wetness(temperature, humidity)
        known = counts.get(name)
        listed = float(known["hours_T_gt_0_RH_gt_80"]) if known else None
        yield name, wet.counted_wet_hours, plain, listed, at_least, wet.wetness_class
