"""Cost of a thousand pieces: blank, preparation, finish, lot charges, and replacements at present value."""

from __future__ import annotations

import math
from dataclasses import dataclass

from independent.pieces import size_of
from independent.thread import INCH, INTERNAL, filling_um, head_only, renews_zinc, room

RUSTING = {"carbon_steel", "alloy_steel", "weathering_steel", "cast_iron"}
BLASTED = {"zinc_flake", "phosphate", "nitrocarburize"}
HARDENABLE = RUSTING | {"martensitic", "precipitation_hardening"}


# Least and greatest hardness by ISO 898-1, and by ISO 898-2 and 898-5 (from memory) for nuts and set screws.
BOLTS = {"4.6": (120, 220), "5.8": (160, 220), "10.9": (320, 380), "12.9": (385, 435)}
NUTS = {"4.6": (130, 302), "5.8": (130, 302), "10.9": (272, 353), "12.9": (272, 353)}
SET_SCREWS = {"4.6": (140, 290), "5.8": (140, 290), "8.8": (220, 300), "10.9": (330, 440), "12.9": (450, 560)}


def class_hardness(part: dict, metal: dict) -> tuple[float, float] | None:
    """Hardness that the class of the part asks for; 8.8 and nut class 8 have a step at 16 mm."""
    name, form = metal["property_class"], part.get("form")
    if metal["family"] in ("martensitic", "precipitation_hardening"):
        return condition_hardness(part, metal)
    if name not in SET_SCREWS:
        return None
    if form == "set_screw":
        return SET_SCREWS[name]
    nut = form in INTERNAL
    if name == "8.8":
        thread = part.get("thread")
        if thread is None:
            return (200, 353) if nut else (250, 335)
        diameter = 25.4 * INCH[thread][0] if thread in INCH else float(thread[1:])
        if nut:
            return (200, 302) if diameter <= 16 else (233, 353)
        return (250, 320) if diameter <= 16 else (255, 335)
    return NUTS[name] if nut else BOLTS[name]


# ASTM A564 grade 630 (from memory): aging temperature of each condition, least and greatest hardness.
AGED = [(482, 388, 450), (552, 330, 400), (579, 310, 380), (621, 280, 360), (760, 250, 330)]


def condition_hardness(part: dict, metal: dict) -> tuple[float, float]:
    """Hardness of stainless steel that heat hardens, by its tempering or aging where that is stated."""
    usual = (metal["hardness_hv"]["low"], metal["hardness_hv"]["high"])
    heat = part.get("tempering_temperature_c")
    if heat is None:
        return usual
    if metal["family"] == "martensitic":
        return (350, max(440, usual[1])) if heat <= 450 else usual
    least = next((low for aging, low, _ in AGED if heat <= aging + 8), AGED[-1][1])
    most = next((high for aging, _, high in reversed(AGED) if heat >= aging - 8), AGED[0][2])
    return (least, most)


def hardness_hv(part: dict, metal: dict) -> float | None:
    """Hardness of the piece unless its class cannot have it; else the upper end of class or grade."""
    of_class = class_hardness(part, metal)
    own = part.get("hardness_hv")
    if own is not None and (of_class is None or own >= of_class[0]):
        return own
    if of_class:
        return of_class[1]
    return metal["hardness_hv"] and metal["hardness_hv"]["high"]


def hydrogen_hv(part: dict, metal: dict) -> float | None:
    """Hardness that hydrogen is judged by: a lot spreads over its class, whatever a reading says."""
    hv, of_class = hardness_hv(part, metal), class_hardness(part, metal)
    classed = metal["property_class"] in SET_SCREWS or part.get("property_class") is not None
    return max(hv, of_class[1]) if hv is not None and of_class and classed else hv


@dataclass(frozen=True)
class Money:
    purchase: float
    total: float
    replacements: float


def steps(part: dict, build: dict, catalog: dict) -> list[str]:
    """The priced steps that come before or between: strip, pickle, blast, bake, mask, insert."""
    metal = catalog["base_metals"][build["base_metal"]]
    treatment = catalog["treatments"][build["treatment"]]
    masked = head_only(part, build, catalog)
    if part.get("base_metal", build["base_metal"]) != build["base_metal"]:  # made anew, not the piece at hand
        own = ("hardness_hv", "tempering_temperature_c", "present_finish", "condition")
        part = {key: value for key, value in part.items() if key not in own}
    hv = hydrogen_hv(part, metal)
    hard_family = metal["family"] in HARDENABLE and hv is not None
    no_acid = hard_family and hv > 390
    found, acid = [], False
    present = part.get("present_finish", "none")
    condition = part.get("condition")
    # sound zinc stays under a new passivate, or beneath films that do not need bare metal
    zinc = present in ("zinc_plate", "hot_dip_zinc") and condition in (None, "clean", "oiled")
    bare = any(catalog["films"][f].get("needs_bare_metal", False) for f in build["films"])
    beneath = treatment["kind"] == "none" and not bare
    stays = zinc and (beneath or renews_zinc(part, build, catalog))
    if present != "none" and not stays:
        found.append("strip")
        # zinc, phosphate and black come off in acid on soft steel; other platings have strippers of their own
        in_acid = present in ("zinc_plate", "hot_dip_zinc", "phosphate", "black_oxide")
        acid |= in_acid and not (hard_family and hv >= 360)
        # a plating that comes off hard steel charged it, or its strip does: baked as after acid
        plated = present in ("zinc_plate", "hot_dip_zinc", "cadmium_plate", "nickel_plate", "chromium_plate")
        acid |= plated and hard_family and hv >= 360
        # what spares steel the acid in the strip spares it in the pickle
        no_acid |= hard_family and hv >= 360
    # pores of castings keep acid; flake, phosphate and nitrocarburizing are prepared by blasting
    # so is bare metal for paint
    painted = treatment["kind"] == "none" and any(
        catalog["films"][f]["kind"] in ("primer", "paint", "powder", "electrocoat") for f in build["films"]
    )
    blasted = painted or metal["family"] == "cast_iron" or treatment["kind"] in BLASTED
    if condition in ("rust", "light_scale") and not no_acid and not blasted:
        found.append("pickle")
        acid = True
    elif condition in ("rust", "light_scale", "heavy_scale"):
        found.append("blast")
    # phosphate is relieved below the heat of a bake, which destroys it
    hydrogen = acid or (treatment["evolves_hydrogen"] and treatment["kind"] != "phosphate")
    if hard_family and hv >= 360 and part.get("form") != "set_screw" and hydrogen and 3.2 * hv > 1000:
        found.append("bake")
    if part.get("polymer_insert", part.get("form") == "lock_nut"):
        bath, oven = treatment["bath_temperature_c"], treatment.get("oven_temperature_c")
        stoves = [catalog["films"][f]["cure_temperature_c"] for f in build["films"]]
        heats = [
            bath["high"] if bath else 0.0,
            oven["high"] if oven else 0.0,
            220.0 if "bake" in found else 0.0,
        ]
        hottest = max(heats + [s["value"] for s in stoves if s])
        if hottest >= 121:
            found.append("insert")
    if room(part, filling_um(part, build, catalog))[0] == "mask" or masked:
        found.append("mask")
    return found


def purchase(part: dict, build: dict, catalog: dict, priced: list[str]) -> float:
    prices = {k: v["value"] for k, v in catalog["prices"].items() if k != "currency"}
    mass_g, surface_dm2 = size_of(part)
    kg, dm2 = mass_g, 1000 * surface_dm2  # per thousand
    pieces = part.get("lot_pieces", 1000)
    metal = catalog["base_metals"][build["base_metal"]]
    treatment = catalog["treatments"][build["treatment"]]
    finishing = kg * treatment["price_per_kg"]["value"]
    finishing += math.fsum(dm2 * catalog["films"][f]["price_per_dm2"]["value"] for f in build["films"])
    for step in priced:
        if step in ("mask", "insert"):
            finishing += 1000 * prices[f"{step}_per_piece"]
        else:
            finishing += kg * prices[f"{step}_per_kg"]
    blank = kg * prices["blank_per_kg"] * metal["price_factor"]["value"]
    if finishing == 0:
        return blank
    least = prices["minimum_lot_charge"] * 1000 / pieces
    return blank + max(finishing, least) + prices["inspection_per_lot"] * 1000 / pieces


def money_of(part: dict, build: dict, catalog: dict, median_years: float, required_years: float) -> Money:
    bought = purchase(part, build, catalog, steps(part, build, catalog))
    # the last life may end with the required years
    count = min(max(math.ceil(required_years / median_years * (1 - 1e-12)) - 1, 0), 100)
    rate = catalog["prices"]["discount_rate_pct"]["value"] / 100
    if rate > 0:
        life = math.exp(-median_years * math.log1p(rate))
        # geometric series of the discount factors, stable for very short lives
        shorten = -math.expm1(-median_years * math.log1p(rate))
        worth = life * -math.expm1(-count * median_years * math.log1p(rate)) / shorten
    else:
        worth = float(count)
    each = bought + 1000 * catalog["prices"]["replacement_labour_per_piece"]["value"]
    return Money(bought, bought + worth * each, count)
