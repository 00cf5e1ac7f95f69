#!/usr/bin/env python3
"""Writes climate_hourly.csv and sites.csv of the demo scenario.

    python generate.py [FOLDER]        (default: the folder of this file)

Standard library only, Python 3.10 or later. Everything is invented: no measured series and no real place
went into it. Each file has a seed of its own, and only `random.Random.random` is drawn on (normal variates
are sums of twelve uniform ones), so that a second run writes the same bytes.

climate_hourly.csv: air temperature and relative humidity of one invented coastal site, hour by hour.
    cloud           AR(1), memory 30 h, mapped to 0..1; it damps the daily cycle and raises the humidity
    temperature     mean + yearly cosine (warmest in late July) + daily cosine (warmest at 15 h, wider in
                    summer and under clear sky) + AR(1) with a memory of 60 h (passing weather)
    humidity        base + yearly cosine (dampest in winter) - slope * daily part of temperature + cloud
                    + AR(1) with a memory of 14 h, then bent smoothly below 100 %
    fog nights      nights drawn at random, most often in autumn and winter, hours 20 to 8: the humidity is
                    drawn towards 99 %, the daily swing of temperature shrinks
    missing         one gap of 30 h and a few single rows left out altogether; single cells and runs of a few
                    hours left empty; about 2 % of the hours lack at least one of the two values

sites.csv: invented sites in five regions along a long coast from a cold north to a warm south.
    temperature     falls with a hidden northing and by region (hill colder), plus normal noise
    humidity        by region, falls towards the warm south inland, rises near the sea, plus normal noise
    SO2, chloride   log-normal by region: works and towns bring SO2, coast and harbor bring chloride;
                    nearness to the sea moves chloride and humidity together. Draws outside LIMITS are drawn
                    again.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

CLIMATE_SEED = 20230101
SITES_SEED = 320

YEAR_START = datetime(2023, 1, 1)
HOURS = 8760


def normal(rng: random.Random) -> float:
    """A nearly standard normal variate within -6..6: the sum of twelve uniform ones, less six."""
    total = 0.0
    for _ in range(12):  # not sum(), whose rounding differs between Python versions
        total += rng.random()
    return total - 6.0


class Weather:
    """AR(1) noise with standard deviation `sd` and the memory `hours` after which correlation is 1/e."""

    def __init__(self, rng: random.Random, sd: float, hours: float) -> None:
        self.rng = rng
        self.keep = math.exp(-1.0 / hours)
        self.kick = sd * math.sqrt(1.0 - self.keep**2)
        self.value = sd * normal(rng)

    def step(self) -> float:
        self.value = self.keep * self.value + self.kick * normal(self.rng)
        return self.value


def below_100(humidity: float) -> float:
    """Bends humidity smoothly so that it nears 100 % and never passes it."""
    bend = 2.5
    return 100.0 - bend * math.log1p(math.exp((100.0 - humidity) / bend))


def cycle(position: float, period: float, peak: float) -> float:
    """Cosine of the given period, 1 at `peak`."""
    return math.cos(2.0 * math.pi * (position - peak) / period)


def fog_strength(rng: random.Random) -> list[float]:
    """Per hour 0..1, how far fog has taken over; fog nights run from 20 h to 8 h."""
    strength = [0.0] * HOURS
    for day in range(365):
        chance = 0.13 + 0.08 * cycle(day, 365, 318)
        depth = 0.8 + 0.2 * rng.random()
        if rng.random() < chance:
            for i in range(13):
                hour = 24 * day + 20 + i
                if hour < HOURS:
                    strength[hour] = depth * math.sin(math.pi * (i + 1) / 14) ** 0.5
    return strength


def climate(rng: random.Random) -> list[tuple[float, float]]:
    """Temperature in °C and relative humidity in % for each hour of the year."""
    fog = fog_strength(rng)
    cloud_noise = Weather(rng, 1.3, 30)
    warm_noise = Weather(rng, 2.3, 60)
    damp_noise = Weather(rng, 7.5, 14)
    hours = []
    for hour in range(HOURS):
        day = hour / 24.0
        cloud = 1.0 / (1.0 + math.exp(-0.4 - cloud_noise.step()))
        swing = (2.9 + 1.2 * cycle(day, 365, 180)) * (1.5 - 1.1 * cloud) * (1.0 - 0.6 * fog[hour])
        daily = swing * cycle(hour % 24, 24, 15)
        temperature = 11.0 + 6.2 * cycle(day, 365, 206) + daily + warm_noise.step()
        humidity = 74.0 + 4.0 * cycle(day, 365, 5) - 3.6 * daily + 11.0 * (cloud - 0.3) + damp_noise.step()
        humidity = below_100(humidity)
        humidity += fog[hour] * max(0.0, 99.0 - humidity)
        hours.append((temperature, max(25.0, humidity)))
    return hours


def losses(rng: random.Random) -> tuple[set[int], set[int], set[int]]:
    """Hours whose row is left out, whose temperature is empty, whose humidity is empty."""
    start = (datetime(2023, 3, 18, 9) - YEAR_START) // timedelta(hours=1)
    rows = set(range(start, start + 30))
    rows |= {int(rng.random() * HOURS) for _ in range(14)}
    no_temperature: set[int] = set()
    no_humidity: set[int] = set()
    for _ in range(34):
        no_temperature.add(int(rng.random() * HOURS))
    for _ in range(48):
        no_humidity.add(int(rng.random() * HOURS))
    for _ in range(9):
        first = int(rng.random() * HOURS)
        run = set(range(first, min(HOURS, first + 3 + int(rng.random() * 6))))
        no_humidity |= run
        if rng.random() < 0.5:
            no_temperature |= run
    return rows, no_temperature, no_humidity


def climate_csv() -> str:
    rng = random.Random(CLIMATE_SEED)
    hours = climate(rng)
    left_out, no_temperature, no_humidity = losses(rng)
    lines = ["time,temperature_c,relative_humidity_pct"]
    for hour, (temperature, humidity) in enumerate(hours):
        if hour in left_out:
            continue
        time = (YEAR_START + timedelta(hours=hour)).strftime("%Y-%m-%dT%H:%M")
        cells = [
            time,
            "" if hour in no_temperature else one_decimal(temperature),
            "" if hour in no_humidity else one_decimal(humidity),
        ]
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def one_decimal(value: float) -> str:
    text = f"{value:.1f}"
    return "0.0" if text == "-0.0" else text


LIMITS = {
    "temperature_c": (-5.0, 28.0),
    "relative_humidity_pct": (45.0, 92.0),
    "so2_mg_m2_day": (0.8, 90.0),
    "chloride_mg_m2_day": (0.5, 600.0),
}


class Region(NamedTuple):
    """How the sites of a region are drawn; deposition as median and log sd in mg/(m²·d)."""

    sites: int
    warmth_c: float
    humidity_pct: float
    humidity_drop_pct: float
    so2: tuple[float, float]
    chloride: tuple[float, float]
    share_open: float
    years_chances: tuple[float, ...]
    words: tuple[str, ...]


YEARS = (2, 5, 10, 15)

REGIONS = {
    "inland hill": Region(
        52,
        -4.5,
        80,
        24,
        (1.8, 0.45),
        (1.4, 0.55),
        0.75,
        (0.1, 0.3, 0.4, 0.2),
        ("Ridge", "Moor", "Top", "Pass"),
    ),
    "town": Region(
        84,
        0.6,
        74,
        20,
        (9.0, 0.55),
        (4.0, 0.65),
        0.55,
        (0.2, 0.4, 0.3, 0.1),
        ("Cross", "Market", "Gate", "Square"),
    ),
    "works valley": Region(
        52,
        0.2,
        77,
        18,
        (30.0, 0.55),
        (3.2, 0.60),
        0.50,
        (0.2, 0.4, 0.3, 0.1),
        ("Forge", "Mill", "Sidings", "Yard"),
    ),
    "coast strip": Region(
        76,
        0.0,
        81,
        7,
        (2.8, 0.55),
        (60.0, 1.00),
        0.75,
        (0.1, 0.3, 0.4, 0.2),
        ("Strand", "Dunes", "Head", "Slip"),
    ),
    "harbor": Region(
        56,
        0.3,
        80,
        7,
        (10.0, 0.60),
        (130.0, 0.80),
        0.65,
        (0.2, 0.3, 0.3, 0.2),
        ("Quay", "Basin", "Mole", "Lock"),
    ),
}

FIRST = ("Quorv", "Threl", "Vosk", "Ombr", "Skarn", "Drus", "Yelv", "Plov", "Greth", "Zeth", "Murn", "Husk")
MIDDLE = ("e", "a", "o", "i", "u")
LAST = ("fen", "rick", "moth", "lorn", "vane", "sped", "gall", "dreth", "tarn", "wose")


def within(name: str, draw: Callable[[], float]) -> float:
    """Draws again until the value lies in its limits."""
    low, high = LIMITS[name]
    while True:
        value = draw()
        if low <= value <= high:
            return value


def pick(rng: random.Random, items, chances=None):
    """One of the items, with the given chances (which sum to 1) or all alike."""
    if chances is None:
        return items[int(rng.random() * len(items))]
    point = rng.random()
    for item, chance in zip(items, chances, strict=True):
        point -= chance
        if point < 0.0:
            return item
    return items[-1]


def shuffled(rng: random.Random, items) -> list:
    return [item for _, _, item in sorted((rng.random(), i, item) for i, item in enumerate(items))]


def site_row(rng: random.Random, stem: str, region_name: str) -> str:
    region = REGIONS[region_name]
    north = rng.random()
    near_sea = normal(rng)
    so2, so2_sd = region.so2
    chloride, chloride_sd = region.chloride
    temperature_c = within("temperature_c", lambda: 22.0 - 18.0 * north + region.warmth_c + 1.8 * normal(rng))
    humidity_pct = within(
        "relative_humidity_pct",
        lambda: (
            region.humidity_pct
            - region.humidity_drop_pct * (0.55 - north)
            + 1.5 * near_sea
            + 2.5 * normal(rng)
        ),
    )
    so2_deposition = within("so2_mg_m2_day", lambda: so2 * math.exp(so2_sd * normal(rng)))
    chloride_deposition = within(
        "chloride_mg_m2_day",
        # 0.7² + 0.714² = 1, so that nearness to the sea makes half of the variance
        lambda: chloride * math.exp(chloride_sd * (0.7 * near_sea + 0.714 * normal(rng))),
    )
    years = pick(rng, YEARS, region.years_chances)
    shelter = "open" if rng.random() < region.share_open else "sheltered"
    name = f"{stem} {pick(rng, region.words)}"
    return (
        f"{name},{region_name},{one_decimal(temperature_c)},{one_decimal(humidity_pct)},"
        f"{so2_deposition:.3g},{chloride_deposition:.3g},{years},{shelter}"
    )


def sites_csv() -> str:
    rng = random.Random(SITES_SEED)
    stems = shuffled(rng, [a + b + c for a in FIRST for b in MIDDLE for c in LAST])
    regions = shuffled(rng, [name for name, region in REGIONS.items() for _ in range(region.sites)])
    lines = [
        "site,region,temperature_c,relative_humidity_pct,so2_mg_m2_day,chloride_mg_m2_day,required_years,shelter"
    ]
    for stem, region_name in zip(stems, regions, strict=False):  # more names than sites
        lines.append(site_row(rng, stem, region_name))
    return "\n".join(lines) + "\n"


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent
    for name, text in (("climate_hourly.csv", climate_csv()), ("sites.csv", sites_csv())):
        (folder / name).write_bytes(text.encode("ascii"))


if __name__ == "__main__":
    main()
