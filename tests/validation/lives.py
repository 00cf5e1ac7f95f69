"""Published lives predicted from the others, stainless exposures, sheltered and hot cases."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from functools import cache

import overcoat


@cache
def sources() -> dict:
    """Observations, numbers computed from them, and each observation left out."""
    words = (sys.executable, "-m", "overcoat", "sources", "--json")
    done = subprocess.run(words, capture_output=True, encoding="utf-8", check=True)
    return json.loads(done.stdout)


def figures(low: float | None, high: float | None, unit: str) -> str:
    if low is None:
        return f"at most {high:g} {unit}"
    if high is None:
        return f"at least {low:g} {unit}"
    return f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"


@cache
def predictions() -> tuple[dict, ...]:
    """Each fitted observation with its prediction from all others."""
    found = []
    for one in sources()["left_out"]:
        o = one["observation"]
        low, high = o["low"], o["high"]
        bound = low is None or high is None
        middle = low or high if bound else math.sqrt(low * high)
        inside = 0.1 <= one["place"] <= 0.9
        if bound:
            inside = one["place"] >= 0.1 if low is None else one["place"] <= 0.9
        found.append(
            {
                "what": o["what"],
                "figures": figures(low, high, o["unit"]),
                "unit": o["unit"],
                "predicted": one["predicted"],
                "factor": math.exp(one["log_sd"]),
                "off": math.log(middle / one["predicted"]),
                "bound": bound,
                "inside": inside,
            }
        )
    return tuple(found)


def never_stains(metal: str, duty: dict, treatment: str = "none") -> float:
    brief = {
        "schema": "overcoat.brief.v1",
        "name": "exposure",
        "part": {"form": "bracket", "base_metal": metal},
        "duty": {"required_years": 10} | duty,
        "wants": {"builds": [{"treatment": treatment, "films": []}], "black": False},
    }
    return overcoat.rank(overcoat.Brief.from_json(json.dumps(brief)))[0].outlook.never_fails


INLAND = {"temperature_c": 12, "relative_humidity_pct": 72, "so2_mg_m2_day": 5, "chloride_mg_m2_day": 1.5}
LOT_250_M = {"temperature_c": 17, "relative_humidity_pct": 75, "so2_mg_m2_day": 2, "chloride_mg_m2_day": 48}


@cache
def stainless() -> tuple[tuple[str, str, str, float, bool], ...]:
    """(grade, place, what was observed, share that ever stains by the law, whether they agree).

    Kearns, Johnson & Pavik 1987 (doi:10.1520/STP25834S, abstract); chloride of the places by us.
    """
    cases = [
        (
            "304",
            "stainless_304",
            "marine lot 250 m from the sea, 15 a",
            LOT_250_M,
            "none",
            "tarnished after one year",
            0.7,
            1,
        ),
        (
            "430",
            "stainless_430",
            "marine lot 250 m from the sea, 15 a",
            LOT_250_M,
            "none",
            "tarnished after one year",
            0.7,
            1,
        ),
        (
            "410",
            "stainless_410",
            "marine lot 250 m from the sea, 15 a",
            LOT_250_M,
            "none",
            "tarnished after one year",
            0.7,
            1,
        ),
        ("304", "stainless_304", "semi-rural, 32 a", INLAND, "none", "no corrosion", 0, 0.1),
        ("430", "stainless_430", "semi-rural, 32 a", INLAND, "none", "no corrosion", 0, 0.1),
        ("410", "stainless_410", "semi-rural, 32 a", INLAND, "none", "showed corrosion", 0.3, 1),
        (
            "316, blackened",
            "stainless_316",
            "harbor (trade)",
            {"place": "coastal"},
            "stainless_alkaline",
            "a minority within two years",
            0.05,
            0.4,
        ),
        (
            "2205",
            "stainless_2205",
            "harbor",
            {"place": "coastal"},
            "none",
            "hardly any (by its class)",
            0,
            0.1,
        ),
    ]
    metals = json.loads(overcoat.Catalog.default().to_json())["base_metals"]
    found = []
    for grade, key, place, duty, treatment, said, low, high in cases:
        if key in metals:
            share = 1 - never_stains(key, duty, treatment)
            found.append((grade, place, said, share, low <= share <= high))
    return tuple(found)


def character(chloride: float) -> float:
    return 1 / (1 + (10 / chloride) ** 2)


def median(films: list[str], duty: dict, treatment: str = "hot_alkaline") -> float:
    brief = {
        "schema": "overcoat.brief.v1",
        "name": "case",
        "part": {"form": "bracket", "base_metal": "steel_4_6"},
        "duty": {"required_years": 1} | duty,
        "wants": {
            "builds": [{"treatment": treatment, "films": films}],
            "black": False,
            "outside_blackening": True,
        },
    }
    return overcoat.rank(overcoat.Brief.from_json(json.dumps(brief)))[0].outlook.median_years


@cache
def sheltered_and_hot() -> tuple[tuple[str, str, str, bool], ...]:
    """(what, observed, model, whether they agree); rates and exponents by the formulas of the method page."""
    found = []
    for what, chloride, low, high in (
        ("loss under a roof against the open, inland (Benarie & Lipfert 1986; Tsukuba)", 1.0, 0.75, 1.04),
        ("the same at a marine site, first year to third (Choshi)", 28.0, 1.05, 1.45),
    ):
        own = 0.85 + 0.35 * character(chloride)
        found.append((what, f"{low} to {high}", f"{own:.2f}", low <= own <= high))
    for what, chloride, sheltered, low, high in (
        ("growth exponent under a roof at the sea (Choshi)", 28.0, True, 1.0, 1.21),
        ("growth exponent under a roof, inland (five European sites, Tsukuba)", 1.0, True, 0.54, 1.13),
        ("growth exponent in the open inland (Japan)", 1.0, False, 0.49, 0.76),
        ("growth exponent in the open at a subtropical sea (Miyakojima)", 44.0, False, 0.83, 1.52),
    ):
        x = character(chloride)
        own = min(0.523 * ((1.2 + 0.7 * x) if sheltered else (1 + 0.17 * x)), 1.0)
        # an exponent of 1, the most that the model has, stands for the end of a range that reaches it
        found.append((what, f"{low} to {high}", f"{own:.2f}", low - 0.02 <= own <= high))
    sea = {"place": "coastal"}
    ratio = median(["air_dry_paint"], sea | {"shelter": "sheltered"}) / median(["air_dry_paint"], sea)
    found.append(
        (
            "life of paint under a roof at the sea against the open",
            "no better (Tochihara 1997)",
            f"{ratio:.2f}",
            ratio <= 1.05,
        )
    )
    hot, cold = (median([], {"place": "rural", "heat_continuous_c": c}) for c in (200, 20))
    found.append(
        (
            "bare black oxide outdoors at 200 °C against 20 °C",
            "dry while hot, rusts when it stands cold (a coating maker)",
            f"{hot / cold:.0f} times the life",
            hot > cold,
        )
    )
    return tuple(found)
