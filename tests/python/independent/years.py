"""Years to failure: dose and age side by side, the share of stainless surfaces that stains, the horizon.

Every layer lasts 1/(c·s·r/D + a) years. ln t of their sum is not normal: at five points of the rate its mean,
variance and third cumulant are taken, the mixture's four moments give a cubic in a normal deviate, and the
cubic is read between points of the rate a quarter of ln apart, and between three states of salt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from statistics import NormalDist

from independent.air import Z90, Air
from independent.thread import stress_diameter_mm

STAINLESS = {"austenitic", "ferritic", "martensitic", "precipitation_hardening", "duplex"}
PAINT = {"primer", "paint", "powder", "electrocoat"}
UM_PER_HOUR = 70 / 48 / 7.86
CABINET_LOG_SD = math.log(90 / 50) / (2 * 1.96)
LEAST_LOSS_UM = 0.0009
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
ROOT_3 = math.sqrt(3)
# Gauss-Hermite, five points: the roots of z^5 - 10 z^3 + 15 z, with their weights.
NEAR, FAR = math.sqrt(5 - math.sqrt(10)), math.sqrt(5 + math.sqrt(10))
NODES = [0.0, NEAR, -NEAR, FAR, -FAR]
WEIGHTS = [8 / 15] + [(7 + 2 * math.sqrt(10)) / 60] * 2 + [(7 - 2 * math.sqrt(10)) / 60] * 2


@dataclass
class Term:
    """One layer. Each uncertain number has a spread and a firmness; a dose has two, which act together."""

    dose_um: float  # inf where nothing uses the layer up
    fixed_age: float
    weather_age: float
    heat_limit_c: float | None
    dose_parts: list[tuple[float, str]]
    age_part: tuple[float, str]

    @property
    def dose_log_sd(self) -> float:
        return math.sqrt(math.fsum(sd * sd for sd, _ in self.dose_parts))


@dataclass
class Life:
    terms: list[Term] = field(default_factory=list)
    growth: tuple[float, float] | None = None  # loss, exponent of the metal in the open away from salt
    later: float = 1.0
    horizon: float = 0.0
    horizon_at_sea: float = 0.0
    ln_threshold: float | None = None
    lost: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Cubic:
    k: float
    b: float
    c: float
    d: float

    def ln_at(self, z: float) -> float:
        inner = min(max(z, -3.0), 3.0)
        slope = self.b + 2 * self.c * inner + 3 * self.d * inner**2
        straight = (z - inner) * slope if z != inner else 0.0
        return self.k + self.b * inner + self.c * inner**2 + self.d * inner**3 + straight

    def deviate(self, ln: float) -> float:
        """By halving: the curve rises everywhere."""
        low, high = -1.0, 1.0
        while self.ln_at(low) > ln:
            low *= 2
        while self.ln_at(high) < ln:
            high *= 2
        for _ in range(200):
            middle = 0.5 * (low + high)
            if middle in (low, high):
                break
            if self.ln_at(middle) < ln:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)

    def beyond(self, years: float) -> float:
        return 0.5 * math.erfc(self.deviate(math.log(years)) / math.sqrt(2))

    @property
    def log_sd(self) -> float:
        return math.sqrt(self.b**2 + 6 * self.b * self.d + 2 * self.c**2 + 15 * self.d**2)


@dataclass(frozen=True)
class Years:
    median: float
    p10: float
    p90: float
    log_sd: float
    probability_ok: float
    never: float
    horizon: float
    confidence: float
    lost: list[str]


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


# Salt and shelter.


def character(chloride: float) -> float:
    """How far salt rules the place."""
    return 0.0 if chloride == 0 else 1 / (1 + (10 / chloride) ** 2)


def chloride_where(x: float) -> float:
    """The deposition at which it does so."""
    return 1e30 if x >= 1 else 10 * math.sqrt(x / (1 - x))


def weather(shelter: str, x: float) -> float:
    return {"open": 1.0, "indoor": 0.0, "sheltered": 0.5 + 0.5 * x}[shelter]


def roof(shelter: str, x: float) -> float:
    return 0.85 + 0.35 * x if shelter == "sheltered" else 1.0


def exponent_there(b: float, shelter: str, x: float) -> float:
    """What an alloy takes off the exponent of plain steel fades with salt; a roof and salt raise it."""
    b += (0.523 - b) * x
    return min(b * {"open": 1 + 0.17 * x, "sheltered": 1.2 + 0.7 * x, "indoor": 1.0}[shelter], 1.0)


def wet_share(lasting: float, cold: float) -> float:
    y = min(max((140 - lasting) / 100, 0.0), 1.0)
    return cold + (1 - cold) * (3 * y**2 - 2 * y**3)


# What a life consists of.


def rate_of_age(ageing: dict, air: Air, by_weather: float, by_sun: float) -> tuple[float, float, str]:
    """Rates of ageing without and by the weather, and the source of the fastest cause."""
    shares = {
        "indoor_years": 1.0,
        "rain_years": 1.0 if air.rain_washed else 0.0,
        "sun_years": air.sunlight / by_sun,
        "handling_years": air.handling,
    }
    rates = [
        (share / ageing[name]["value"], ageing[name]["source"])
        for name, share in shares.items()
        if ageing.get(name)
    ]
    fixed = sum(rate for rate, _ in rates)
    fastest, key = max(rates, key=lambda rate: rate[0])
    in_weather = ageing.get("weather_years")
    if not in_weather:
        return fixed, 0.0, key
    rate = 1 / (in_weather["value"] * by_weather)
    if air.shelter != "indoor" and rate > fastest:
        key = in_weather["source"]
    return fixed, rate, key


def hot(rate: float, lasting: float, limit: float | None) -> float:
    """Rises as a straight line of its logarithm from 40 °C to 1/2.3 a at the limit for long."""
    if limit is None or lasting <= 40:
        return rate
    share = min(max((lasting - 40) / (limit - 40), 0.0), 1.0)
    return rate * (max(rate, 1 / 2.3) / rate) ** share


def growth_exponent(metal: dict) -> float:
    """ISO 9224 b1 of steel; a weathering steel moves it by each element's distance from a plain steel."""
    if metal["family"] != "weathering_steel" or metal["composition_pct"] is None:
        return 0.523
    effect = {"C": -0.084, "P": -0.490, "S": 1.440, "Si": -0.163, "Ni": -0.066, "Cr": -0.124, "Cu": -0.069}
    plain = {"C": 0.05, "P": 0.01, "S": 0.02, "Si": 0.02, "Ni": 0.02, "Cr": 0.03, "Cu": 0.05}
    content = metal["composition_pct"]["elements"]
    return 0.523 + math.fsum(effect[e] * (content.get(e, plain[e]) - plain[e]) for e in plain)


def failing_loss_um(failure: dict, part: dict) -> float | None:
    """Loss of metal that counts as failure; a loss of strength is a loss of area on the stress diameter."""
    if "strength_loss_pct" in failure:
        kept = math.sqrt(1 - failure["strength_loss_pct"] / 100)
        return 1000 * stress_diameter_mm(part["thread"]) / 2 * (1 - kept)
    return failure.get("loss_um")


def pren(metal: dict) -> float:
    """Cr + 3.3 Mo, with 16 N of austenitic and duplex grades; by the class without a composition."""
    content = (metal["composition_pct"] or {"elements": {}})["elements"]
    if content.get("Cr", 0.0) > 0:
        nitrogen = content.get("N", 0.0) if metal["family"] in ("austenitic", "duplex") else 0.0
        return content["Cr"] + 3.3 * content.get("Mo", 0.0) + 16 * nitrogen
    by_class = [12.0, 16.5, 18.1, 24.0, 35.0, 43.0]
    at = metal["resistance_class"]["value"] if metal["resistance_class"] else 0.0
    below = min(int(at), 4)
    return by_class[below] + (at - below) * (by_class[below + 1] - by_class[below])


def life_of(
    build: dict, air: Air, heat: tuple[float, float], catalog: dict, failure: dict, part: dict
) -> Life:
    treatment = catalog["treatments"][build["treatment"]]
    metal = catalog["base_metals"][build["base_metal"]]
    kept, lost = split_by_heat(build["films"], catalog, *heat)
    life = Life(lost=lost)

    def firmness(key: str) -> str:
        return catalog["sources"][key]["firmness"]

    def add(layer: dict, transfer: dict, multiple: float, age: tuple[float, float, str], limit) -> None:
        hours = layer["capacity_h"]
        life.terms.append(
            Term(
                hours["median"] * transfer["median"] * UM_PER_HOUR * multiple,
                age[0],
                age[1],
                limit["value"] if limit else None,
                [(part["log_sd"], firmness(part["source"])) for part in (hours, transfer)],
                (layer["ageing"]["log_sd"]["value"], firmness(age[2])),
            )
        )
        life.horizon = max(life.horizon, layer["horizon_years"]["value"])

    bare = treatment["heat_limit_c"] is not None and heat[1] > treatment["heat_limit_c"]["value"]
    for i, name in enumerate(kept):
        film = catalog["films"][name]
        paint = film["kind"] in PAINT
        hold = treatment["paint_hold_factor" if paint else "film_hold_factor"]["value"]
        hold = hold if i == 0 and not bare else 1.0
        usual = math.sqrt(film["thickness_um"]["low"] * film["thickness_um"]["high"])
        thick = usual / film["reference_thickness_um"]["value"]
        age = rate_of_age(film["ageing"], air, thick**0.75 * (hold if paint else 1.0), thick)
        transfer = film.get("field_factors", {}).get(air.shelter, film["field_factor"])
        add(film, transfer, hold * thick**0.75, age, film["continuous_limit_c"])
    if metal["family"] in STAINLESS:
        # the stain ages alone, at no temperature
        weathers = metal["family"] == "martensitic" and air.shelter != "indoor"
        median, firm = (0.2, "assumption") if weathers else (0.4, "derived")
        life.terms.append(Term(math.inf, 1 / median, 0.0, None, [], (0.8, firm)))
        sulfides = 0.5 if metal["free_machining"] else 1.0
        threshold = math.exp(-10.03 + 0.391 * pren(metal)) * (0.25 if weathers else 1.0)
        life.ln_threshold = math.log(threshold * treatment["stain_threshold_factor"]["value"] * sulfides)
        life.horizon_at_sea = max(life.horizon, 15.0)
        life.horizon = max(life.horizon, 32.0)
        return life
    if bare:
        life.terms.append(
            Term(
                0.1 * UM_PER_HOUR,
                1 / 0.5 + air.handling / 0.1,
                0.0,
                None,
                [(0.7, "assumption")],
                (0.8, "assumption"),
            )
        )
        life.horizon = max(life.horizon, 5.0)
    else:
        age = rate_of_age(treatment["ageing"], air, 1.0, 1.0)
        add(treatment, treatment["field_factor"], 1.0, age, treatment["heat_limit_c"])
    if "rusted_area_pct" in failure:
        normal = NormalDist()
        later = normal.inv_cdf(failure["rusted_area_pct"] / 100) - normal.inv_cdf(0.0005)
        life.later = math.exp(0.5 * later)
    loss_um = failing_loss_um(failure, part)
    if loss_um is not None:
        life.growth = (loss_um, growth_exponent(metal))
        life.horizon = max(life.horizon, 100.0)
    life.horizon_at_sea = life.horizon
    return life


# The sum of lives at one rate.


def growing_years(loss_um: float, rate_um: float, b: float) -> float:
    """Years until r·t^b, straight on after 20 years, is the loss."""
    multiple, at_20 = loss_um / rate_um, 20**b
    return multiple ** (1 / b) if multiple <= at_20 else 20 + (multiple - at_20) / (b * 20 ** (b - 1))


def answers_of_growth(loss_um: float, rate_um: float, b: float) -> tuple[float, float]:
    """d ln(years) / d ln(r) and / d ln(b), the loss staying the same."""
    years = growing_years(loss_um, rate_um, b)
    if years <= 20:
        return -1 / b, -math.log(years)
    slope = b * 20 ** (b - 1)
    by_exponent = 20**b * math.log(20) + (years - 20) * 20 ** (b - 1) * (1 + b * math.log(20))
    return -loss_um / rate_um / (slope * years), -by_exponent / slope * b / years


@dataclass(frozen=True)
class Numbers:
    """A term at one rate: years, those with each number moved by ±√3 spreads, gradients, the joint bend."""

    years: float
    moved: list[tuple[float, float]]
    gradients: list[float]
    joint: float


GROWTH_LOG_SD = 0.26


def numbers_at(life: Life, rate: float, x: float, shelter: str, lasting: float) -> list[Numbers]:
    found = []
    for term in life.terms:
        q = rate / term.dose_um
        a = hot(term.fixed_age + weather(shelter, x) * term.weather_age, lasting, term.heat_limit_c)
        sd, sa = term.dose_log_sd, term.age_part[0]
        up = [math.exp(ROOT_3 * s) for s in (sd, sa)]
        years = 1 / (q + a)
        v = q * years
        found.append(
            Numbers(
                years,
                # a larger dose is a smaller q
                [(1 / (q / up[0] + a), 1 / (q * up[0] + a)), (1 / (q + a / up[1]), 1 / (q + a * up[1]))],
                [sd * v, sa * (1 - v)],
                2 * sd * sa * v * (1 - v),
            )
        )
    if life.growth:
        loss, b0 = life.growth
        b = exponent_there(b0, shelter, x)
        ends = tuple(growing_years(loss, rate, b * math.exp(s * ROOT_3 * GROWTH_LOG_SD)) for s in (-1, 1))
        gradient = -GROWTH_LOG_SD * answers_of_growth(loss, rate, b)[1]
        found.append(Numbers(growing_years(loss, rate, b), [ends], [gradient], 0.0))
    return found


def moments(numbers: list[Numbers]) -> tuple[float, float, float]:
    """Mean, variance and third cumulant of the logarithm of the sum.

    Three points along each uncertain number; between them the second order, by gradient g and Hessian H.
    """
    t = math.fsum(n.years for n in numbers)
    mean, variance, third = math.log(t), 0.0, 0.0
    g: list[float] = []
    joint: dict[tuple[int, int], float] = {}
    slopes = 0.0
    for n in numbers:
        p = n.years / t
        first = len(g)
        for (longer, shorter), gradient in zip(n.moved, n.gradients, strict=True):
            up, down = math.log1p((longer - n.years) / t), math.log1p((shorter - n.years) / t)
            mean += (up + down) / 6
            variance += (up**2 + down**2) / 6 - ((up + down) / 6) ** 2
            b = (up - down) / (2 * ROOT_3)
            third += b * b * (up + down)
            slopes += b * b
            g.append(p * gradient)
        if len(n.gradients) == 2:
            joint[first, first + 1] = p * n.joint
    # everything off the diagonal, term by term
    squares, crossed = 0.0, 0.0
    for j in range(len(g)):
        for k in range(len(g)):
            if j != k:
                h = joint.get((min(j, k), max(j, k)), 0.0) - g[j] * g[k]
                squares += h * h
                crossed += g[j] * h * g[k]
    whole = math.fsum(x * x for x in g)
    variance += squares / 2
    if whole > 0:
        third += 3 * crossed * slopes / whole
    return mean, variance, third


def solve_3(rows: list[list[float]], right: list[float]) -> list[float]:
    """Three equations, by elimination with pivots."""
    m = [[*row, value] for row, value in zip(rows, right, strict=True)]
    for i in range(3):
        pivot = max(range(i, 3), key=lambda r: abs(m[r][i]))
        m[i], m[pivot] = m[pivot], m[i]
        for r in range(3):
            if r != i:
                factor = m[r][i] / m[i][i]
                m[r] = [x - factor * y for x, y in zip(m[r], m[i], strict=True)]
    return [m[i][3] / m[i][i] for i in range(3)]


def fleishman(skew: float, excess: float) -> tuple[float, float, float]:
    """b, c, d of b·z + c·(z² - 1) + d·z³ of variance 1, this skew and excess (Fleishman 1978), by Newton."""
    b, c, d = 0.0, skew / 6, excess / 24 - skew**2 / 18
    b = 1 - 3 * d
    for _ in range(6):
        lack = [
            1 - (b * b + 6 * b * d + 2 * c * c + 15 * d * d),
            skew - 2 * c * (b * b + 24 * b * d + 105 * d * d + 2),
            excess
            - 24
            * (
                b * d
                + c * c * (1 + b * b + 28 * b * d)
                + d * d * (12 + 48 * b * d + 141 * c * c + 225 * d * d)
            ),
        ]
        rows = [
            [2 * b + 6 * d, 4 * c, 6 * b + 30 * d],
            [
                2 * c * (2 * b + 24 * d),
                2 * (b * b + 24 * b * d + 105 * d * d + 2),
                2 * c * (24 * b + 210 * d),
            ],
            [
                24 * (d + c * c * (2 * b + 28 * d) + 48 * d**3),
                24 * (2 * c * (1 + b * b + 28 * b * d) + 282 * c * d * d),
                24 * (b + 28 * b * c * c + 24 * d + 144 * b * d * d + 282 * c * c * d + 900 * d**3),
            ],
        ]
        step = solve_3(rows, lack)
        b, c, d = b + step[0], c + step[1], d + step[2]
    return (b, c, d) if b > 0.1 else (1.0, 0.0, 0.0)


def curve_of(parts: list[tuple[float, float, float]], weights: list[float]) -> Cubic:
    """The cubic with the first four moments of a mixture."""
    mean = math.fsum(w * m for w, (m, _, _) in zip(weights, parts, strict=True))
    variance = third = fourth = 0.0
    for w, (m, v, k) in zip(weights, parts, strict=True):
        e = m - mean
        variance += w * (v + e**2)
        third += w * (k + 3 * v * e + e**3)
        own = 3 * v * v + 4 * k * k / (3 * v) if v > 0 else 0.0
        fourth += w * (own + 4 * k * e + 6 * v * e * e + e**4)
    sd = math.sqrt(variance)
    skew = third / sd**3
    excess = max(fourth / variance**2 - 3, 1.5 * skew**2 - 0.6)
    b, c, d = fleishman(skew, excess)
    # slope b + 2cz + 3dz² at least 0.1 over |z| ≤ 3: its least value is at an end or at the vertex
    places = [-3.0, 3.0] + ([-c / (3 * d)] if d != 0 and abs(c / (3 * d)) < 3 else [])
    fall = max(0.0, *(-(2 * c * z + 3 * d * z * z) for z in places))
    if fall > b - 0.1:
        c, d = (x * (b - 0.1) / fall for x in (c, d))
    return Cubic(mean - sd * c, sd * b, sd * c, sd * d)


def confidence_at(life: Life, numbers: list[Numbers], air: Air, rate: float, shelter: str, x: float) -> float:
    """Confidence of each source by its share of the variance at the medians."""
    t = math.fsum(n.years for n in numbers)
    carried: list[tuple[float, str]] = []
    to_rate = 0.0
    for term, n in zip(life.terms, numbers, strict=False):
        p, v = n.years / t, rate / term.dose_um * n.years
        to_rate -= p * v
        carried += [((p * v * sd) ** 2, firm) for sd, firm in term.dose_parts]
        carried.append(((p * (1 - v) * term.age_part[0]) ** 2, term.age_part[1]))
    if life.growth:
        loss, b0 = life.growth
        p = numbers[-1].years / t
        by_rate, by_exponent = answers_of_growth(loss, rate, exponent_there(b0, shelter, x))
        to_rate += p * by_rate
        carried.append(((p * by_exponent * GROWTH_LOG_SD) ** 2, "derived"))
    carried += [
        ((to_rate * air.log_sd) ** 2, air.firmness),
        ((to_rate * CABINET_LOG_SD) ** 2, "derived"),
    ]
    whole = math.fsum(share for share, _ in carried)
    return math.fsum(share * CONFIDENCE[firm] for share, firm in carried) / whole


def between(
    life: Life, air: Air, weights: list[float], ln_rate: float, lasting: float
) -> tuple[Cubic, float]:
    """Cubics through four points around the rate, a parabola in log2(1 + x) through three states of salt."""
    place = (ln_rate - math.log(1e-6)) * 4
    place = min(max(place, 1.0), 110 - 1e-9)
    below = math.floor(place)
    steps = [below - 1, below, below + 1, below + 2]
    by_rate = lagrange(steps, place)
    by_salt = {0.0: 1.0}
    moved = any(term.weather_age for term in life.terms) and air.shelter == "sheltered"
    if moved or (life.growth and air.shelter != "indoor"):
        states = [0.0, 0.5, 1.0]
        by_salt = dict(
            zip(
                (2**y - 1 for y in states),
                lagrange(states, math.log2(1 + character(air.salt))),
                strict=True,
            )
        )
    sd = math.hypot(air.log_sd, CABINET_LOG_SD)
    sums = [0.0] * 5
    for x, of_salt in by_salt.items():
        for step, of_rate in zip(steps, by_rate, strict=True):
            rate = math.exp(math.log(1e-6) + step / 4)
            parts = [
                moments(numbers_at(life, rate * math.exp(sd * node), x, air.shelter, lasting))
                for node in NODES
            ]
            curve = curve_of(parts, weights)
            numbers = numbers_at(life, rate, x, air.shelter, lasting)
            confidence = confidence_at(life, numbers, air, rate, air.shelter, x)
            row = [curve.k + math.log(life.later), curve.b, curve.c, curve.d, confidence]
            sums = [total + of_salt * of_rate * value for total, value in zip(sums, row, strict=True)]
    return Cubic(*sums[:4]), sums[4]


def lagrange(places: list[float], at: float) -> list[float]:
    return [math.prod((at - other) / (here - other) for other in places if other != here) for here in places]


def phi(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))


def staining(life: Life, air: Air, wet: float) -> tuple[float, list[float]]:
    """Share of surfaces that ever stain, and the weights of the points of the rate among those."""
    if life.ln_threshold is None:
        return 1.0, WEIGHTS
    if air.salt == 0:
        return 0.0, WEIGHTS
    x, washed = character(air.salt), 1.0 if air.rain_washed else 0.0
    ln_salt = math.log(air.salt / 550 * 1.43 * wet) + x * (1 - washed) * math.log(13)
    away, s = ln_salt - life.ln_threshold, air.salt_log_sd
    if s == 0:
        return phi(away / 1.23), WEIGHTS
    rest = math.hypot(1.23, s * math.sqrt(1 - 0.8**2))
    joint = [w * phi((away + 0.8 * s * node) / rest) for w, node in zip(WEIGHTS, NODES, strict=True)]
    share = math.fsum(joint)
    return (share, [w / share for w in joint]) if share > 0 else (0.0, WEIGHTS)


def years_of(
    build: dict,
    air: Air,
    heat: tuple[float, float],
    catalog: dict,
    failure: dict,
    part: dict,
    required_years: float,
) -> Years:
    life = life_of(build, air, heat, catalog, failure, part)
    x = character(air.salt)
    wet = wet_share(heat[0], air.cold_share)
    rate = max(air.loss_um * air.bias, LEAST_LOSS_UM) * wet * (1.0 if air.measured else roof(air.shelter, x))
    stains, weights = staining(life, air, wet)
    curve, confidence = between(life, air, weights, math.log(rate), heat[0])
    horizon = life.horizon - (life.horizon - life.horizon_at_sea) * x

    def at(q: float) -> float:
        if q >= stains:
            return horizon
        z = {0.1: -Z90, 0.5: 0.0, 0.9: Z90}[q] if stains >= 1 else NormalDist().inv_cdf(q / stains)
        ln = curve.ln_at(z)
        return horizon if ln >= math.log(horizon) else math.exp(ln)

    of_those = curve.beyond(required_years)
    never = 1 - stains
    if life.ln_threshold is not None:
        rest = never * (1 - of_those)
        by_salt = rest / (of_those + rest) if of_those + rest > 0 else 0.0
        confidence += by_salt * (CONFIDENCE["derived"] - confidence)
    return Years(
        median=at(0.5),
        p10=at(0.1),
        p90=at(0.9),
        log_sd=curve.log_sd,
        probability_ok=of_those if stains >= 1 else 1 - stains * (1 - of_those),
        never=never,
        horizon=horizon,
        confidence=confidence,
        lost=life.lost,
    )
