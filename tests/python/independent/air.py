"""First-year loss of steel, its spread, its category, and the salt of the place with its spread."""

from __future__ import annotations

import math
from dataclasses import dataclass

Z90 = 1.2815515655446004


@dataclass(frozen=True)
class Air:
    loss_um: float
    bias: float
    log_sd: float
    firmness: str
    measured: bool
    salt: float
    salt_log_sd: float
    cold_share: float
    shelter: str
    rain_washed: bool
    sunlight: float
    handling: float


def steel_loss_um(t: float, rh: float, so2: float, chloride: float) -> float:
    """ISO 9223:2012, equation 1."""
    warm = 0.150 * (t - 10) if t <= 10 else -0.054 * (t - 10)
    by_so2 = 1.77 * so2**0.52 * math.exp(0.020 * rh + warm) if so2 > 0 else 0.0
    by_chloride = 0.102 * chloride**0.62 * math.exp(0.033 * rh + 0.040 * t) if chloride > 0 else 0.0
    return by_so2 + by_chloride


def bias(temperature_c: float) -> float:
    """Loss of steel at measured sites over the computed one: straight between four temperatures in its ln."""
    knots = [(-5.0, 0.31), (5.0, 0.54), (11.0, -0.11), (23.0, 0.22)]
    t = min(max(temperature_c, -5.0), 23.0)
    for (t0, y0), (t1, y1) in zip(knots, knots[1:], strict=False):
        if t <= t1:
            return math.exp(y0 + (y1 - y0) * (t - t0) / (t1 - t0))
    raise AssertionError(t)


# ISO 9223:2012, table 2, steel: greatest first-year loss in µm, inclusive.
UPPER_UM = {"C1": 1.3, "C2": 25.0, "C3": 50.0, "C4": 80.0, "C5": 200.0, "CX": 700.0}


def category(loss_um: float) -> str:
    """The mildest category that reaches the loss; what is above the table is CX too."""
    return next((name for name, upper in UPPER_UM.items() if loss_um <= upper), "CX")


def range_of(name: str) -> tuple[float, float]:
    """From the bound of the category below; C1 from a tenth of its own."""
    names = list(UPPER_UM)
    at = names.index(name)
    return UPPER_UM[names[at - 1]] if at else UPPER_UM[name] / 10, UPPER_UM[name]


def middle_and_spread(low: float, high: float) -> tuple[float, float]:
    """Of a lognormal with these 10 and 90% points."""
    return math.sqrt(low * high), math.log(high / low) / (2 * Z90)


def sea_chloride(distance_m: float) -> tuple[float, float]:
    """Median and spread by the distance: 26.9·d^-0.376, d in km."""
    return 26.9 * (distance_m / 1000) ** -0.376, 0.87


def road_chloride(salt: dict) -> float:
    """Annual mean of a season: measured, or splash and spray by the distance to the edge of the road."""
    d = salt.get("distance_m", 0.0)
    season = salt.get("season_chloride_mg_m2_day", 400 * math.exp(-d / 10) + 10 * math.exp(-d / 100))
    return season * salt["months_per_year"] / 12


def chloride_of(duty: dict, place: dict | None) -> tuple[float | None, float, float]:
    """Annual mean deposition, none where unknown; its spread where the distance to the sea gives it, and
    where anything but a measurement does."""
    salt, by_distance, spread = duty.get("road_salt"), 0.0, 0.0
    if "chloride_mg_m2_day" in duty:
        background = duty["chloride_mg_m2_day"]
    elif "sea_distance_m" in duty:
        background, by_distance = sea_chloride(duty["sea_distance_m"])
        spread = by_distance
        # the sea stands for the salt of a place, but for that of its roads
        if place is not None and place["road_salt_months"] is not None and salt is None:
            background += place["chloride_mg_m2_day"]["value"]
    elif place is None:
        return None, 0.0, 0.0
    else:
        spread = 0.7
        # a place of salted roads has their dose in its own figure; a season given with it stands instead
        replaced = salt is not None and place["road_salt_months"] is not None
        background = 0.0 if replaced else place["chloride_mg_m2_day"]["value"]
    return background + (road_chloride(salt) if salt else 0.0), by_distance, spread


def air_of(duty: dict, catalog: dict) -> Air:
    place = catalog["places"][duty["place"]] if "place" in duty else None
    names = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
    own = [name for name in names if name in duty]
    value = {
        name: duty[name] if name in duty else (place[name]["value"] if place else None) for name in names
    }
    chloride, chloride_spread, salt_log_sd = chloride_of(duty, place)
    ranged = bool(place and place["first_year_steel_loss_um"])
    ratio = 1.0
    if "first_year_steel_loss_um" in duty:
        loss, firmness = duty["first_year_steel_loss_um"], "from_memory"
        log_sd = math.hypot(math.log(1.02), 0.17)
    elif "corrosivity" in duty:
        (loss, log_sd), firmness = middle_and_spread(*range_of(duty["corrosivity"])), "assumption"
    elif ranged and not own and "sea_distance_m" not in duty and "road_salt" not in duty:
        low, high = (place["first_year_steel_loss_um"][end] for end in ("low", "high"))
        loss, firmness = math.sqrt(low * high), "assumption"
        log_sd = max(0.7, math.log(high / low) / (2 * Z90))
    else:
        climate = tuple(value[name] for name in names[:3])
        loss = steel_loss_um(*climate, chloride)
        measured = place is None or len(own) == 4
        ratio = bias(value["temperature_c"])
        log_sd, firmness = (0.41, "derived") if measured else (0.7, "assumption")
        # first order of ln r in ln Sd: the exponent times the share of the chloride term
        if chloride > 0:
            share = 1 - steel_loss_um(*climate, 0.0) / loss
            log_sd = math.hypot(log_sd, 0.62 * share * chloride_spread)
        if ranged and not measured:  # what the inputs given change, on the loss known of such places
            low, high = (place["first_year_steel_loss_um"][end] for end in ("low", "high"))
            usual = steel_loss_um(*(place[name]["value"] for name in names))
            loss *= math.sqrt(low * high) / usual
            ratio /= bias(place["temperature_c"]["value"])
            log_sd = math.hypot(math.sqrt(log_sd**2 - 0.7**2), max(0.7, math.log(high / low) / (2 * Z90)))
    shelter = duty.get("shelter") or (place["shelter"] if place else "open")
    washed = duty.get("rain_washed", shelter == "open")
    sunlight = duty.get("sunlight") or ("full" if shelter == "open" else "none")
    return Air(
        loss_um=loss,
        bias=ratio,
        log_sd=log_sd,
        firmness=firmness,
        measured="first_year_steel_loss_um" in duty,
        salt=3 * (loss / 10) ** 1.75 if chloride is None else chloride,
        salt_log_sd=1.5 if chloride is None else salt_log_sd,
        cold_share=duty.get("cold_share", 1.0),
        shelter=shelter,
        rain_washed=washed,
        sunlight={"none": 0.0, "partial": 0.5, "full": 1.0}[sunlight],
        handling={"none": 0.0, "occasional": 1 / 3, "frequent": 1.0}[duty.get("handling", "none")],
    )


def heat_of(duty: dict) -> tuple[float, float]:
    """Lasting and peak temperature of the part, °C."""
    lasting, peak = duty.get("heat_continuous_c"), duty.get("heat_peak_c")
    if lasting is None:
        lasting = 40.0 if peak is None else min(peak, 40.0)
    return lasting, lasting if peak is None else peak
