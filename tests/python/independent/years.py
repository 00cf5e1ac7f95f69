"""Years to first rust: equal dose, class margin, and the sum of lognormal terms by its first two moments."""

from __future__ import annotations

import math
from dataclasses import dataclass

from independent.air import Z90, Air

STAINLESS = {"austenitic", "ferritic", "martensitic", "precipitation_hardening", "duplex"}
CABINET_G_M2_H = 70 / 48
CABINET_LOG_SD = math.log(90 / 50) / (2 * 1.96)
STEEL_G_CM3 = 7.86
CONFIDENCE = {
    "standard": 1.0,
    "own_records": 1.0,
    "paper": 0.85,
    "handbook": 0.85,
    "derived": 0.75,
    "common_practice": 0.65,
    "from_memory": 0.55,
    "assumption": 0.35,
}


@dataclass(frozen=True)
class Years:
    median: float
    log_sd: float
    confidence: float
    lost: list[str]

    @property
    def p10(self) -> float:
        return self.median * math.exp(-Z90 * self.log_sd)

    @property
    def p90(self) -> float:
        return self.median * math.exp(Z90 * self.log_sd)

    def probability(self, years: float) -> float:
        """P(life > years), by the complementary error function so that tails keep their digits."""
        if self.log_sd == 0:
            return float(self.median > years)
        return 0.5 * math.erfc(-math.log(self.median / years) / self.log_sd / math.sqrt(2))


def is_lost(film: dict, lasting: float, peak: float) -> bool:
    return lasting > film["continuous_limit_c"]["value"] or peak > film["short_limit_c"]["value"]


def split_by_heat(
    names: list[str], catalog: dict, lasting: float, peak: float
) -> tuple[list[str], list[str]]:
    """Films that stay, and from the first lost one outward those that go."""
    for i, name in enumerate(names):
        if is_lost(catalog["films"][name], lasting, peak):
            return names[:i], names[i:]
    return names, []


def years_of(build: dict, air: Air, heat: tuple[float, float], catalog: dict) -> Years:
    """Each term is its median and the uncertain factors that it depends on, with their exponents."""
    treatment = catalog["treatments"][build["treatment"]]
    metal = catalog["base_metals"][build["base_metal"]]
    kept, lost = split_by_heat(build["films"], catalog, *heat)
    rate_g_m2 = max(air.loss_um, 0.0009) * STEEL_G_CM3
    variance: dict[str, tuple[float, str]] = {"air": (air.log_sd**2, air.firmness)}
    terms: list[tuple[float, dict[str, float]]] = []

    def firmness(key: str) -> str:
        return catalog["sources"][key]["firmness"]

    def dose_term(hours: float, field: float, factors: dict[str, tuple[float, str]]) -> None:
        variance.update(factors)
        variance["cabinet"] = (CABINET_LOG_SD**2, "standard")
        exponents = {name: 1.0 for name in factors} | {"cabinet": 1.0, "air": -1.0}
        terms.append((hours * CABINET_G_M2_H * field / rate_g_m2, exponents))

    for i, name in enumerate(kept):
        film = catalog["films"][name]
        transfer = film.get("field_factors", {}).get(air.shelter, film["field_factor"])
        field = transfer["median"]
        if i == len(kept) - 1:  # rain, sun and hands meet the outermost film alone
            field *= film["rain_wash_factor"]["value"] if air.rain_washed else 1.0
            field *= film["sunlight_factor"]["value"] ** air.sunlight
            field *= film["handling_factor"]["value"] ** air.handling
        capacity = film["capacity_h"]
        dose_term(
            capacity["median"] * treatment["film_hold_factor"]["value"],
            field,
            {
                f"hours {i}": (capacity["log_sd"] ** 2, firmness(capacity["source"])),
                f"field {i}": (transfer["log_sd"] ** 2, firmness(transfer["source"])),
            },
        )
    if metal["family"] in STAINLESS and metal["resistance_class"] is not None:
        margin = (
            metal["resistance_class"]["value"]
            - treatment["passivity_loss_classes"]["value"]
            - air.required_class
        )
        variance["margin"] = (1.0, "assumption")
        terms.append((50.0 * math.exp(Z90) * 20.0**margin, {"margin": 1.0}))
    elif treatment["heat_limit_c"] is not None and heat[1] > treatment["heat_limit_c"]["value"]:
        dose_term(0.1, 1.0, {"bare": (0.7**2, "assumption")})
    else:
        capacity, transfer = treatment["capacity_h"], treatment["field_factor"]
        dose_term(
            capacity["median"],
            transfer["median"],
            {
                "hours": (capacity["log_sd"] ** 2, firmness(capacity["source"])),
                "field": (transfer["log_sd"] ** 2, firmness(transfer["source"])),
            },
        )
    return fit(terms, variance, lost)


def fit(terms, variance, lost) -> Years:
    """The lognormal with the mean and the variance of the sum (Fenton 1960)."""

    def covariance(a: dict[str, float], b: dict[str, float]) -> float:
        return math.fsum(a[name] * b[name] * variance[name][0] for name in a if name in b)

    means = [median * math.exp(covariance(factors, factors) / 2) for median, factors in terms]
    mean = math.fsum(means)
    weights = [m / mean for m in means]
    second = math.fsum(
        wa * wb * math.exp(covariance(a, b))
        for wa, (_, a) in zip(weights, terms, strict=True)
        for wb, (_, b) in zip(weights, terms, strict=True)
    )
    spread2 = math.log(second)
    carried = {}
    for name, (own, _) in variance.items():
        response = math.fsum(
            w * factors.get(name, 0.0) for w, (_, factors) in zip(weights, terms, strict=True)
        )
        carried[name] = response**2 * own
    total = math.fsum(carried.values())
    confidence = math.fsum(carried[n] * CONFIDENCE[variance[n][1]] for n in carried) / total
    return Years(mean * math.exp(-spread2 / 2), math.sqrt(spread2), confidence, lost)
