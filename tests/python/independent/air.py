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


def class_by_factor(chloride: float | None, so2: float, controlled: bool, washed: bool) -> int:
    """EN 1993-1-4, Annex A, with deposition in place of the distance to the sea."""
    if controlled:
        f1 = 1
    elif chloride is None or chloride <= 3:
        f1 = 0
    elif chloride <= 60:
        f1 = -3
    else:
        f1 = -7 if chloride <= 300 else -15
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


def air_of(duty: dict, catalog: dict) -> Air:
    place = catalog["places"][duty["place"]] if "place" in duty else None
    names = ("temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day")
    own = [name for name in names if name in duty]
    value = {
        name: duty[name] if name in duty else (place[name]["value"] if place else None) for name in names
    }
    if "first_year_steel_loss_um" in duty:
        loss, firmness = duty["first_year_steel_loss_um"], "from_memory"
        log_sd = math.hypot(math.log(1.02), 0.17)
    elif place and place["first_year_steel_loss_um"] and not own:
        low, high = (place["first_year_steel_loss_um"][end] for end in ("low", "high"))
        loss, log_sd, firmness = math.sqrt(low * high), math.log(high / low) / (2 * Z90), "assumption"
    else:
        loss = steel_loss_um(*(value[name] for name in names))
        log_sd, firmness = (0.5, "derived") if len(own) == 4 else (0.7, "assumption")
    shelter = duty.get("shelter") or (place["shelter"] if place else "open")
    washed = duty.get("rain_washed", shelter == "open")
    controlled = bool(place and place["climate_controlled"])
    chloride = value["chloride_mg_m2_day"]
    needed = (
        class_by_factor(chloride, value["so2_mg_m2_day"] or 0.0, controlled, washed)
        if chloride is not None or controlled
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
