"""Years to first rust: equal dose, class margin, and the sum of lognormal terms by its first two moments."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from independent.air import Z90, Air
from independent.thread import stress_diameter_mm

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


def growth_exponent(metal: dict) -> float:
    """ISO 9224 b1 of steel; a weathering steel moves it by each element's distance from a plain steel."""
    if metal["family"] != "weathering_steel" or metal["composition_pct"] is None:
        return 0.523
    effect = {"C": -0.084, "P": -0.490, "S": 1.440, "Si": -0.163, "Ni": -0.066, "Cr": -0.124, "Cu": -0.069}
    plain = {"C": 0.05, "P": 0.01, "S": 0.02, "Si": 0.02, "Ni": 0.02, "Cr": 0.03, "Cu": 0.05}
    content = metal["composition_pct"]["elements"]
    return 0.523 + math.fsum(effect[e] * (content.get(e, plain[e]) - plain[e]) for e in plain)


def years_to_loss(loss_um: float, rate_um: float, b: float) -> tuple[float, float, float]:
    """Years until r·t^b, straight on after 20 years, is the loss; d ln(years) / d ln(r) and / d ln(b)."""
    at_20 = rate_um * 20**b
    if loss_um <= at_20:
        years = (loss_um / rate_um) ** (1 / b)
        return years, -1 / b, -math.log(loss_um / rate_um) / b
    slope = rate_um * b * 20 ** (b - 1)
    years = 20 + (loss_um - at_20) / slope
    # the loss stays the same: dt/db = -(dL/db) / (dL/dt)
    by_exponent = at_20 * math.log(20) + (years - 20) * rate_um * 20 ** (b - 1) * (1 + b * math.log(20))
    return years, -loss_um / (slope * years), -by_exponent / slope * b / years


def failing_loss_um(failure: dict, part: dict) -> float | None:
    """Loss of metal that counts as failure; a loss of strength is a loss of area on the stress diameter."""
    if "strength_loss_pct" in failure:
        kept = math.sqrt(1 - failure["strength_loss_pct"] / 100)
        return 1000 * stress_diameter_mm(part["thread"]) / 2 * (1 - kept)
    return failure.get("loss_um")


def years_of(
    build: dict, air: Air, heat: tuple[float, float], catalog: dict, failure: dict, part: dict
) -> Years:
    """Each term is its median and the uncertain factors that it depends on, with their exponents."""
    treatment = catalog["treatments"][build["treatment"]]
    metal = catalog["base_metals"][build["base_metal"]]
    kept, lost = split_by_heat(build["films"], catalog, *heat)
    rate_um = max(air.loss_um, 0.0009)
    rate_g_m2 = rate_um * STEEL_G_CM3
    variance: dict[str, tuple[float, str]] = {"air": (air.log_sd**2, air.firmness)}
    terms: list[tuple[float, dict[str, float]]] = []

    def firmness(key: str) -> str:
        return catalog["sources"][key]["firmness"]

    def dose_term(hours: float, field: float, factors: dict[str, tuple[float, str]]) -> None:
        variance.update(factors)
        variance["cabinet"] = (CABINET_LOG_SD**2, "derived")
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
    by_class = metal["family"] in STAINLESS and metal["resistance_class"] is not None
    if by_class:
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
    if "rusted_area_pct" in failure:
        normal = NormalDist()
        later = 0.5 * (normal.inv_cdf(failure["rusted_area_pct"] / 100) - normal.inv_cdf(0.0005))
        terms = [(median * math.exp(later), factors) for median, factors in terms]
    loss_um = failing_loss_um(failure, part)
    if loss_um is not None and not by_class:  # stainless steel pits, so its first rust counts
        later_years, to_rate, to_exponent = years_to_loss(loss_um, rate_um, growth_exponent(metal))
        variance["growth"] = (0.3**2, "assumption")
        terms.append((later_years, {"air": to_rate, "growth": to_exponent}))
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
