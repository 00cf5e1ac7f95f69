"""Six desirabilities and their weighted geometric mean."""

from __future__ import annotations

import math

from independent.air import air_of, category, heat_of
from independent.money import money_of, purchase
from independent.thread import filling_um, finished_before, friction_desirability, on_the_thread, room
from independent.years import STAINLESS, split_by_heat, years_of

WEIGHTS = {
    "durability": 4.0,
    "cost": 2.0,
    "appearance": 1.5,
    "heat": 1.0,
    "assembly": 1.0,
    "confidence": 0.5,
}
BANDS = ["matte", "satin", "gloss"]


# the steel of a class that is asked for without a metal; A490 is of the strength of 10.9
STEEL_OF_CLASS = {
    "4.6": "steel_4_6",
    "5.8": "steel_5_8",
    "8.8": "steel_8_8",
    "10.9": "steel_10_9",
    "12.9": "steel_12_9",
    "A490": "steel_10_9",
}


def cost_desirability(total: float, reference: float, limit: float | None) -> float:
    top, floor = (20 * reference, 0.05) if limit is None else (limit, 0.0)
    if total > top:
        return floor
    if total <= reference or reference >= top:
        return 1.0
    return min(max(math.log(top / total) / math.log(top / reference), floor), 1.0)


def appearance(wants: dict, build: dict, catalog: dict) -> float:
    treatment = catalog["treatments"][build["treatment"]]
    metal = catalog["base_metals"][build["base_metal"]]
    films = [catalog["films"][name] for name in build["films"]]
    black = wants.get("black", True)
    opaque = any(not film["clear"] for film in films)
    gloss = 1.0
    if wants.get("gloss") and not (films and films[-1]["gloss_to_order"]):
        got = films[-1]["gloss"] if films else "matte"
        gloss = [1.0, 0.7, 0.4][abs(BANDS.index(wants["gloss"]) - BANDS.index(got))]
    if not black:
        shade = 1.0
    elif opaque:
        shade = 1.0 if treatment["black"] else 0.8
    else:
        even = treatment["shade_uniformity"]["value"]
        colored = treatment["kind"] in ("electroplate", "zinc_flake", "anodize")
        darkness = 1.0 if colored else metal["darkness"]["value"]
        shade = (even if wants.get("uniform_shade") else math.sqrt(even)) * darkness
    verdict = treatment["substrates"].get(metal["family"], {}).get("verdict")
    trial = 0.9 if black and not opaque and verdict == "trial" else 1.0
    rub_off = (0.8 if opaque else 0.6) if treatment["rubs_off"] else 1.0
    return gloss * shade * trial * rub_off


def fit(part: dict, build: dict, catalog: dict) -> float:
    films = [catalog["films"][name] for name in build["films"]]
    dried = [film for film in films if film["kind"] not in ("oil", "wax") or film["fills_threads"]]
    treatment = catalog["treatments"][build["treatment"]]
    # half of an oxide grows inward, and most of a nitrocarburized layer: 6 µm of it are left outside
    own = treatment["thickness_um"]["high"]
    if treatment["kind"] in ("black_oxide", "anodize"):
        own /= 2
    elif treatment["kind"] == "nitrocarburize":
        own = 6.0
    thickest = own + sum(film["thickness_um"]["high"] for film in dried)
    return 0.5 if part.get("functional_surfaces") and thickest >= 4 else 1.0


def heat(build: dict, lasting: float, peak: float, catalog: dict) -> float:
    if split_by_heat(build["films"], catalog, lasting, peak)[1]:
        return 0.1
    margins = [
        margin
        for name in build["films"]
        for margin in (
            catalog["films"][name]["continuous_limit_c"]["value"] - lasting,
            catalog["films"][name]["short_limit_c"]["value"] - peak,
        )
    ]
    return min(max(0.3 + 0.7 * min(margins) / 30, 0.3), 1.0) if margins else 1.0


def option_of(brief: dict, build: dict, catalog: dict) -> dict:
    """All numbers of one build of a brief; `score` is what it is worth while no finding blocks it."""
    part, duty, wants = brief.get("part", {}), brief["duty"], brief.get("wants", {})
    air, hot = air_of(duty, catalog), heat_of(duty)
    failure = duty.get("failure", "first_rust")
    required = duty["required_years"]
    counted = on_the_thread(part, build, catalog)
    years = years_of(counted, air, hot, catalog, {} if failure == "first_rust" else failure, part, required)
    probability = years.probability_ok
    money = money_of(part, build, catalog, years.median, required)
    of_class = STEEL_OF_CLASS.get(part.get("property_class"))
    usual_steel = "steel_4_6" if part.get("form") == "bracket" else "steel_8_8"
    first = part.get("base_metal") or of_class or usual_steel
    stainless = catalog["base_metals"][first]["family"] in STAINLESS
    usual = {
        "base_metal": first,
        "treatment": "stainless_alkaline" if stainless else "hot_alkaline",
        "films": ["displacing_oil"],
    }
    reference = purchase(part, usual, catalog, [])
    dipped = not (part.get("safety_critical") or finished_before(part, build)) and (
        catalog["treatments"][build["treatment"]]["kind"] == "zinc_flake"
        or any(
            catalog["films"][name]["kind"] == "paint" and catalog["films"][name]["friction"]["high"] <= 0.16
            for name in build["films"]
        )
    )
    verdict, thread = room(part, *(filling_um(part, build, catalog, end) for end in ("high", "low")), dipped)
    # a masked thread of another part is bare: what is put on it later is not known
    bare = verdict == "mask" and part.get("form") == "other"
    friction = 1.0 if bare else friction_desirability(part, counted, catalog)
    desirabilities = {
        "durability": min(max(probability, 0.01) / wants.get("target_probability", 0.9), 1.0),
        "cost": cost_desirability(money.total, reference, wants.get("cost_limit_per_thousand")),
        "appearance": appearance(wants, build, catalog),
        "heat": heat(build, *hot, catalog),
        "assembly": thread * friction * fit(part, build, catalog),
        "confidence": years.confidence,
    }
    # what a brief's own weights leave out keeps its usual one
    weights = WEIGHTS | wants.get("weights", {})
    whole = sum(weights.values())
    score = 1.0
    for name, d in desirabilities.items():
        if weights[name] > 0:
            score *= d ** (weights[name] / whole)
    return {
        "loss_um": air.loss_um,
        "category": category(air.loss_um),
        "air_log_sd": air.log_sd,
        "median_years": years.median,
        "p10_years": years.p10,
        "p90_years": years.p90,
        "log_sd": years.log_sd,
        "probability_ok": probability,
        "never_fails": years.never,
        "horizon_years": years.horizon,
        # of an open build; nothing is promised beyond the longest life that was observed
        "reaches": probability >= wants.get("target_probability", 0.9) and required <= years.horizon,
        "beyond_evidence": required > years.horizon,
        "lost_layers": years.lost,
        "per_thousand": money.total,
        "purchase_per_thousand": money.purchase,
        "replacements": money.replacements,
        "desirabilities": desirabilities,
        "score": score,
    }
