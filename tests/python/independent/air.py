"""First-year loss of steel, its spread, its category, and the stainless class that the place asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass

Z90 = 1.2815515655446004


@dataclass(frozen=True)
class Air:
    loss_um: float
    log_sd: float
    firmness: str
    chloride: float | None
    shelter: str
    rain_washed: bool
    sunlight: float
    handling: float
    required_class: int


def steel_loss_um(t: float, rh: float, so2: float, chloride: float) -> float:
    """ISO 9223:2012, equation 1."""
    warm = 0.150 * (t - 10) if t <= 10 else -0.054 * (t - 10)
    by_so2 = 1.77 * so2**0.52 * math.exp(0.020 * rh + warm) if so2 > 0 else 0.0
    by_chloride = 0.102 * chloride**0.62 * math.exp(0.033 * rh + 0.040 * t) if chloride > 0 else 0.0
    return by_so2 + by_chloride


def class_by_loss(loss_um: float) -> int:
    """C1 I, C2 II, C3 and C4 III, C5 IV, CX V."""
    for upper, needed in ((1.3, 1), (25, 2), (50, 3), (80, 3), (200, 4)):
        if loss_um <= upper:
            return needed
    return 5


def class_by_factor(
    chloride: float | None,
    sea_m: float | None,
    road_m: float | None,
    so2: float,
    controlled: bool,
    washed: bool,
) -> int:
    """EN 1993-1-4, Annex A: the worst of the sea, a salted road, and chloride in place of the distance."""
    penalties = [0]
    if chloride is not None:
        penalties.append(0 if chloride <= 3 else -3 if chloride <= 60 else -7 if chloride <= 300 else -15)
    if sea_m is not None:
        penalties.append(-15 if sea_m <= 250 else -7 if sea_m <= 1000 else -3 if sea_m <= 10_000 else 0)
    if road_m is not None:
        penalties.append(-7 if road_m <= 10 else -3 if road_m <= 100 else 0)
    f1 = 1 if controlled else min(penalties)
    so2_ug_m3 = min(so2 / 0.8, 250)
    f2 = 0 if so2_ug_m3 < 10 else (-5 if so2_ug_m3 < 90 else -10)
    f3 = -7 if f1 + f2 < 0 and not washed else 0
    factor = f1 + f2 + f3
    if factor >= 1:
        return 1
    if factor > -7:
        return 2
    if factor > -15:
        return 3
    return 4 if factor >= -20 else 5


def category(loss_um: float) -> str:
    """ISO 9223:2012, table 2, steel."""
    for upper, name in ((1.3, "C1"), (25, "C2"), (50, "C3"), (80, "C4"), (200, "C5")):
        if loss_um <= upper:
            return name
    return "CX"


def sea_chloride(distance_m: float) -> tuple[float, float]:
    """Median and spread by the distance: 26.9·d^-0.376, d in km."""
    return 26.9 * (distance_m / 1000) ** -0.376, 0.87


def road_chloride(salt: dict) -> float:
    """Annual mean of a season: measured, or splash and spray by the distance to the edge of the road."""
    d = salt.get("distance_m", 0.0)
    season = salt.get("season_chloride_mg_m2_day", 400 * math.exp(-d / 10) + 10 * math.exp(-d / 100))
    return season * salt["months_per_year"] / 12


def chloride_of(duty: dict, place: dict | None) -> tuple[float | None, float]:
    """Annual mean deposition, none where nothing is known of it, and its spread."""
    salt, spread = duty.get("road_salt"), 0.0
    if "chloride_mg_m2_day" in duty:
        background = duty["chloride_mg_m2_day"]
    elif "sea_distance_m" in duty:
        background, spread = sea_chloride(duty["sea_distance_m"])
    elif place is None:
        return None, 0.0
    else:
        # a place of salted roads has their dose in its own figure; a season given with it stands instead
        replaced = salt is not None and place["road_salt_months"] is not None
        background = 0.0 if replaced else place["chloride_mg_m2_day"]["value"]
    return background + (road_chloride(salt) if salt else 0.0), spread


def air_of(duty: dict, catalog: dict) -> Air:
    place = catalog["places"][duty["place"]] if "place" in duty else None
    names = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
    own = [name for name in names if name in duty]
    value = {
        name: duty[name] if name in duty else (place[name]["value"] if place else None) for name in names
    }
    chloride, chloride_spread = chloride_of(duty, place)
    ranged = bool(place and place["first_year_steel_loss_um"])
    if "first_year_steel_loss_um" in duty:
        loss, firmness = duty["first_year_steel_loss_um"], "from_memory"
        log_sd = math.hypot(math.log(1.02), 0.17)
    elif ranged and not own and "sea_distance_m" not in duty and "road_salt" not in duty:
        low, high = (place["first_year_steel_loss_um"][end] for end in ("low", "high"))
        loss, firmness = math.sqrt(low * high), "assumption"
        log_sd = max(0.7, math.log(high / low) / (2 * Z90))
    else:
        climate = tuple(value[name] for name in names[:3])
        loss = steel_loss_um(*climate, chloride)
        measured = place is None or len(own) == 4
        log_sd, firmness = (0.5, "derived") if measured else (0.7, "assumption")
        # first order of ln r in ln Sd: the exponent times the share of the chloride term
        if chloride > 0:
            share = 1 - steel_loss_um(*climate, 0.0) / loss
            log_sd = math.hypot(log_sd, 0.62 * share * chloride_spread)
        if ranged and not measured:  # what the inputs given change, on the loss known of such places
            low, high = (place["first_year_steel_loss_um"][end] for end in ("low", "high"))
            usual = steel_loss_um(*(place[name]["value"] for name in names))
            loss *= math.sqrt(low * high) / usual
            log_sd = math.hypot(math.sqrt(log_sd**2 - 0.7**2), max(0.7, math.log(high / low) / (2 * Z90)))
    shelter = duty.get("shelter") or (place["shelter"] if place else "open")
    washed = duty.get("rain_washed", shelter == "open")
    controlled = bool(place and place["climate_controlled"])
    salt = duty.get("road_salt")
    judged = chloride is not None or "sea_distance_m" in duty or salt is not None or controlled
    needed = (
        class_by_factor(
            chloride,
            duty.get("sea_distance_m"),
            None if salt is None else salt.get("distance_m", 0.0),
            value["so2_mg_m2_day"] or 0.0,
            controlled,
            washed,
        )
        if judged
        else class_by_loss(loss)
    )
    sunlight = duty.get("sunlight") or ("full" if shelter == "open" else "none")
    return Air(
        loss_um=loss,
        log_sd=log_sd,
        firmness=firmness,
        chloride=chloride,
        shelter=shelter,
        rain_washed=washed,
        sunlight={"none": 0.0, "partial": 0.5, "full": 1.0}[sunlight],
        handling={"none": 0.0, "occasional": 1 / 3, "frequent": 1.0}[duty.get("handling", "none")],
        required_class=needed,
    )


def heat_of(duty: dict) -> tuple[float, float]:
    """Lasting and peak temperature of the part, °C."""
    lasting, peak = duty.get("heat_continuous_c"), duty.get("heat_peak_c")
    if lasting is None:
        lasting = 40.0 if peak is None else min(peak, 40.0)
    return lasting, lasting if peak is None else peak
