"""First-year losses against measured sites: bias, spread, coverage and category hits."""

from __future__ import annotations

import json
import math
import warnings
from functools import cache
from pathlib import Path

import numpy as np
from statistics_of_sites import Agreement, Exposure, agreement, number, read_rows

import overcoat

# Lower bounds of validity of ISO 9223:2012 (from memory), where a deposition was not measured.
LEAST_SO2, LEAST_CHLORIDE = 0.7, 0.4
ALUMINIUM_G_CM3 = 2.70
# One standard deviation of the logarithm: what ISO 9223:2012, table A.1 states (from memory), and what
# overcoat uses (atmosphere::Determination::DoseResponse).
STANDARD_LOG_SD = {
    "steel": math.log(1.5),
    "zinc": math.log(1.5),
    "copper": math.log(1.5),
    "aluminium": math.log(2),
}
OUR_LOG_SD = {"steel": 0.41, "zinc": 0.5, "copper": 0.5, "aluminium": math.log(2)}

NOTES = {
    "ICP Materials": "chloride was not measured: 0.4 mg/(m²·d), the lower validity bound, stands in for it",
    "MICAT": "chloride as stored, taken as Cl; the same figures may be NaCl, see the second line; values "
    "that stand for *insignificant* (SO2, chloride) are taken as they are stored, in ISO CORRAG too",
    "MICAT, chloride read as NaCl": "the same rows with the stored chloride divided by 1.65",
    "ISO CORRAG": "only exposures with measured humidity; suspect temperatures left out",
    "ISO CORRAG, humidity from wetness": "humidity estimated from time of wetness and temperature by a plane "
    "fitted to MICAT sites, so part of the scatter is that of the estimate",
    "Russian sites": "SO2 from concentration, Pd = 0.8·Pc, at many sites itself an estimate; chloride as "
    "given, else 0.4, which promises too little attack where there is more; ranges by their geometric middle",
}


def computed_um(metal: str, columns: list[list[float]]) -> list[float]:
    """First-year losses by overcoat; being outside validity is reported by climate, so not warned of here."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", overcoat.ExtrapolationWarning)
        return list(overcoat.first_year_loss(metal, *[np.array(column) for column in columns]))


@cache
def bias_ln(temperature_c: float) -> float:
    """ln of what an outlook multiplies the computed loss of steel by, at an annual mean temperature."""
    inputs = {"relative_humidity_pct": 70, "so2_mg_m2_day": 5, "chloride_mg_m2_day": 3}
    brief = {
        "schema": "overcoat.brief.v1",
        "name": "bias",
        "part": {"form": "bracket", "base_metal": "steel_4_6"},
        "duty": {"temperature_c": temperature_c, "required_years": 1} | inputs,
        "wants": {"builds": [{"treatment": "hot_alkaline", "films": []}]},
    }
    ranking = json.loads(overcoat.rank(overcoat.Brief.from_json(json.dumps(brief))).to_json())
    return math.log(ranking["atmosphere"]["measured_over_computed"])


def exposures(programme: str, metal: str, points: list[tuple[str, float, float, float, float, float]]):
    """Exposures from (site, T, RH, SO2, Cl, measured loss)."""
    if not points:
        return []
    columns = [[point[i] for point in points] for i in range(1, 5)]
    return [
        Exposure(
            programme,
            point[0],
            metal,
            *point[1:5],
            point[5],
            loss,
            bias_ln(point[1]) if metal == "steel" else 0.0,
        )
        for point, loss in zip(points, computed_um(metal, columns), strict=True)
    ]


def icp(folder: Path) -> list[Exposure]:
    points = [
        (
            row["site_code"],
            float(row["T_C"]),
            float(row["RH_pct"]),
            max(float(row["SO2_dep_mg_per_m2_d"]), LEAST_SO2),
            LEAST_CHLORIDE,
            float(row["steel_loss_um"]),
        )
        for row in read_rows(folder / "icp_unece_steel_firstyear.csv")
    ]
    return exposures("ICP Materials", "steel", points)


def micat(folder: Path, chloride_column: str, programme: str) -> list[Exposure]:
    points = [
        (
            row["site_code"],
            float(row["T_C"]),
            float(row["RH_pct"]),
            max(float(row["SO2_dep_mg_per_m2_d"]), LEAST_SO2),
            max(float(row[chloride_column]), LEAST_CHLORIDE),
            float(row["steel_loss_um"]),
        )
        for row in read_rows(folder / "micat_steel_firstyear.csv")
    ]
    return exposures(programme, "steel", points)


def corrag(folder: Path, humidity_of=None) -> list[Exposure]:
    """Rows with measured humidity, or with `humidity_of` those without it."""
    points = []
    for row in read_rows(folder / "isocorrag_steel_firstyear.csv"):
        if row["T_suspect"] == "True":
            continue
        temperature, humidity, wet = (number(row[c]) for c in ("T_C", "RH_pct", "TOW_h_per_y"))
        if humidity_of is not None:
            if humidity is not None or wet is None or temperature is None:
                continue
            humidity = humidity_of(temperature, wet)
        elif humidity is None:
            continue
        so2, chloride = number(row["SO2_dep_mg_per_m2_d"]), number(row["Cl_dep_mg_per_m2_d"])
        points.append(
            (
                row["site_code"],
                temperature,
                humidity,
                max(so2 or 0.0, LEAST_SO2),
                max(chloride or 0.0, LEAST_CHLORIDE),
                float(row["steel_loss_um"]),
            )
        )
    name = "ISO CORRAG" if humidity_of is None else "ISO CORRAG, humidity from wetness"
    return exposures(name, "steel", points)


def humidity_from_wetness(folder: Path):
    """Relative humidity as a plane over temperature and time of wetness, fitted to MICAT site means."""
    sites: dict[str, list[tuple[float, float, float]]] = {}
    for row in read_rows(folder / "micat_steel_firstyear.csv"):
        values = [number(row[c]) for c in ("T_C", "TOW_h_per_y", "RH_pct")]
        if None not in values:
            sites.setdefault(row["site_code"], []).append(tuple(values))
    means = np.array([np.mean(values, axis=0) for values in sites.values()])
    plane = np.column_stack([np.ones(len(means)), means[:, 0], means[:, 1]])
    coefficients, *_ = np.linalg.lstsq(plane, means[:, 2], rcond=None)

    def humidity_of(temperature_c: float, wet_hours: float) -> float:
        return float(np.clip(coefficients @ [1.0, temperature_c, wet_hours], 30.0, 95.0))

    return humidity_of


def russia(folder: Path) -> list[Exposure]:
    rows = read_rows(folder / "russia_sites_4metals_firstyear.csv")
    columns = {
        "steel": ("steel_um", 1.0),
        "zinc": ("zinc_um", 1.0),
        "copper": ("copper_um", 1.0),
        "aluminium": ("al_g_per_m2", ALUMINIUM_G_CM3),
    }
    found = []
    for metal, (column, divisor) in columns.items():
        points = []
        for row in rows:
            low, high = number(row[f"{column}_lo"]), number(row[f"{column}_hi"])
            if not low or not high:
                continue
            cl_low, cl_high = number(row["Cl_dep_mg_per_m2_d_lo"]), number(row["Cl_dep_mg_per_m2_d_hi"])
            chloride = math.sqrt(cl_low * cl_high) if cl_low and cl_high else LEAST_CHLORIDE
            points.append(
                (
                    row["site"],
                    float(row["T_C"]),
                    float(row["RH_pct"]),
                    max(0.8 * float(row["SO2_ug_per_m3"]), LEAST_SO2),
                    max(chloride, LEAST_CHLORIDE),
                    math.sqrt(low * high) / divisor,
                )
            )
        found += exposures("Russian sites", metal, points)
    return found


def read_all(folder: Path) -> dict[str, list[Exposure]]:
    """Exposures by programme, of those whose file is there."""
    found: dict[str, list[Exposure]] = {}

    def add(exposures: list[Exposure]) -> None:
        if exposures:
            found[exposures[0].programme] = exposures

    if (folder / "icp_unece_steel_firstyear.csv").is_file():
        add(icp(folder))
    has_micat = (folder / "micat_steel_firstyear.csv").is_file()
    if has_micat:
        add(micat(folder, "Cl_or_NaCl_dep_raw_mg_per_m2_d", "MICAT"))
        add(micat(folder, "Cl_if_raw_is_NaCl_mg_per_m2_d", "MICAT, chloride read as NaCl"))
    if (folder / "isocorrag_steel_firstyear.csv").is_file():
        add(corrag(folder))
        if has_micat:
            add(corrag(folder, humidity_from_wetness(folder)))
    if (folder / "russia_sites_4metals_firstyear.csv").is_file():
        add(russia(folder))
    return found


# What counts once in pooled figures: each exposure by its primary reading.
PRIMARY = ["ICP Materials", "MICAT", "ISO CORRAG", "Russian sites"]

CLIMATES = [
    ("cold, mean below 0 °C", lambda e: e.temperature_c < 0),
    ("cool, 0 to 10 °C", lambda e: 0 <= e.temperature_c < 10),
    ("warm temperate, 10 to 20 °C", lambda e: 10 <= e.temperature_c < 20),
    ("hot, 20 °C and above", lambda e: e.temperature_c >= 20),
    ("dry, humidity below 65 %", lambda e: e.relative_humidity_pct < 65),
    ("humid, 80 % and above", lambda e: e.relative_humidity_pct >= 80),
    ("clean, SO2 to 4 mg/(m²·d)", lambda e: e.so2_mg_m2_day <= 4),
    ("SO2 4 to 24", lambda e: 4 < e.so2_mg_m2_day <= 24),
    ("SO2 above 24", lambda e: e.so2_mg_m2_day > 24),
    ("inland, chloride to 3 mg/(m²·d)", lambda e: e.chloride_mg_m2_day <= 3),
    ("marine, chloride 3 to 60", lambda e: 3 < e.chloride_mg_m2_day <= 60),
    ("sea shore, chloride above 60", lambda e: e.chloride_mg_m2_day > 60),
]


def of(exposures: list[Exposure]) -> Agreement | None:
    """Agreement of exposures of one metal."""
    if not exposures:
        return None
    metal = exposures[0].metal
    return agreement(exposures, STANDARD_LOG_SD[metal], OUR_LOG_SD[metal], overcoat.corrosivity)


def by_programme(found: dict[str, list[Exposure]]):
    """(programme, metal, agreement) of each."""
    for programme, exposures in found.items():
        for metal in ("steel", "zinc", "copper", "aluminium"):
            yield programme, metal, of([e for e in exposures if e.metal == metal])


def primary(found: dict[str, list[Exposure]], metal: str = "steel") -> list[Exposure]:
    return [e for name in PRIMARY for e in found.get(name, []) if e.metal == metal]


# All steel sites behind the bias: those with humidity estimated from wetness too.
BEHIND_THE_BIAS = [*PRIMARY[:3], "ISO CORRAG, humidity from wetness", PRIMARY[3]]
KNOTS_C = (-5.0, 5.0, 11.0, 23.0)


def site_ratios(found: dict[str, list[Exposure]]) -> list[tuple[str, float, float]]:
    """(programme, temperature, ln measured over computed) of each steel site, its years averaged."""
    sites: dict[tuple[str, str], list[Exposure]] = {}
    for name in BEHIND_THE_BIAS:
        for e in found.get(name, []):
            if e.metal == "steel":
                sites.setdefault((name, e.site), []).append(e)
    return [
        (name, float(np.mean([e.temperature_c for e in s])), float(np.mean([e.log_ratio for e in s])))
        for (name, _), s in sites.items()
    ]


def fitted_bias(sites: list[tuple[str, float, float]]) -> np.ndarray:
    """ln bias at the knots: straight lines by least squares, ends drawn to the mean with an ln SD of 0.3."""
    shares = np.array([[np.interp(t, KNOTS_C, unit) for unit in np.eye(4)] for _, t, _ in sites])
    ratios = np.array([ratio for *_, ratio in sites])
    spread, ends = OUR_LOG_SD["steel"], 0.3
    curvature = shares.T @ shares / spread**2 + np.eye(4) / ends**2
    return ratios.mean() + np.linalg.solve(curvature, shares.T @ (ratios - ratios.mean()) / spread**2)


def sides(sites: list[tuple[str, float, float]], knots: np.ndarray) -> tuple[float, float]:
    """Shares of sites above and below the 80 % band about a bias."""
    away = np.array([ratio - np.interp(t, KNOTS_C, knots) for _, t, ratio in sites])
    limit = 1.2816 * OUR_LOG_SD["steel"]
    return float(np.mean(away > limit)), float(np.mean(away < -limit))


def left_out_sides(sites: list[tuple[str, float, float]]) -> tuple[float, float]:
    """The same where the bias is fitted to all other programmes."""
    above = below = 0.0
    for programme in {name for name, *_ in sites}:
        own = [site for site in sites if site[0] == programme]
        high, low = sides(own, fitted_bias([site for site in sites if site[0] != programme]))
        above, below = above + high * len(own), below + low * len(own)
    return above / len(sites), below / len(sites)


CLIMATES_BY_TEMPERATURE = (
    ("below 0 °C", -60.0, 0.0),
    ("0 to 10 °C", 0.0, 10.0),
    ("10 to 20 °C", 10.0, 20.0),
    ("20 °C and above", 20.0, 60.0),
)


def fitted_spread(away: list[tuple[float, float]], prior: float) -> np.ndarray:
    """Log sd at the knots for (temperature, ln away from the bias).

    Straight lines of its logarithm at the top of the likelihood, drawn to the one spread of all sites with an
    ln SD of `prior`; by Fisher scoring, half a step at a time.
    """
    shares = np.array([[np.interp(t, KNOTS_C, unit) for unit in np.eye(4)] for t, _ in away])
    squares = np.array([e * e for _, e in away])
    common = 0.5 * math.log(squares.mean())
    ln_sd = np.full(4, common)
    for _ in range(60):
        over = squares * np.exp(-2 * shares @ ln_sd) - 1
        slope = shares.T @ over - (ln_sd - common) / prior**2
        ln_sd = ln_sd + 0.5 * np.linalg.solve(2 * shares.T @ shares + np.eye(4) / prior**2, slope)
    return np.exp(ln_sd)


def gain_of_spreads(sites: list[tuple[str, float, float]], prior: float) -> tuple[float, float]:
    """What a spread by temperature adds to the log likelihood, against one spread for all, and its error.

    Each programme in turn is left out of the fits of bias and spread; the error is of the sum over sites.
    """
    gains = []
    for programme in {name for name, *_ in sites}:
        others = [site for site in sites if site[0] != programme]
        knots = fitted_bias(others)
        spread = fitted_spread([(t, ratio - np.interp(t, KNOTS_C, knots)) for _, t, ratio in others], prior)
        one = OUR_LOG_SD["steel"]
        for _, t, ratio in (site for site in sites if site[0] == programme):
            away = ratio - np.interp(t, KNOTS_C, knots)
            here = math.exp(np.interp(t, KNOTS_C, np.log(spread)))
            gains.append(math.log(one / here) + (away / one) ** 2 / 2 - (away / here) ** 2 / 2)
    return float(np.sum(gains)), float(np.std(gains, ddof=1) * math.sqrt(len(gains)))


def chance_of_a_tenth(sites: int, low: float = 0.06, high: float = 0.14) -> float:
    """Chance that shares from `low` to `high` lie on each side of a band whose sides hold a tenth each."""
    fits = [k for k in range(sites + 1) if low <= k / sites <= high]
    return sum(
        math.comb(sites, a) * math.comb(sites - a, b) * 0.1 ** (a + b) * 0.8 ** (sites - a - b)
        for a in fits
        for b in fits
        if a + b <= sites
    )


def chance_of_so_many(sites: int, outside: int) -> float:
    """Chance that at least so many sites lie outside a band that holds 80%."""
    return sum(math.comb(sites, k) * 0.2**k * 0.8 ** (sites - k) for k in range(outside, sites + 1))


def spread_from_the_others(found: dict[str, list[Exposure]]):
    """(programme, spread of the sites of all others, share of its own within that spread), for steel."""
    pooled = primary(found)
    for programme in PRIMARY:
        own = [e for e in pooled if e.programme == programme]
        others = of([e for e in pooled if e.programme != programme])
        if others is None or of(own) is None:
            continue
        # about zero, as the model is used, not about the mean of the others
        spread = math.hypot(others.bias, others.spread)
        within = agreement(own, spread, spread, overcoat.corrosivity)
        yield programme, spread, within.within_standard, within.sites
