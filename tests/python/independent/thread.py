"""Threads: their geometry, their room, and friction of what is tightened."""

from __future__ import annotations

import math

COARSE_PITCH_MM = {"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1.0, "M8": 1.25, "M10": 1.5, "M12": 1.75} | {
    "M16": 2.0,
    "M20": 2.5,
    "M24": 3.0,
}
# Nominal diameter in inches and threads per inch.
INCH = {
    "#10-24 UNC": (0.190, 24),
    "1/4-20 UNC": (0.25, 20),
    "5/16-24 UNF": (0.3125, 24),
    "3/8-16 UNC": (0.375, 16),
    "1/2-13 UNC": (0.5, 13),
    "3/4-10 UNC": (0.75, 10),
    "1/2-20 UNF": (0.5, 20),
}
# 3/4 is beyond the tables of some heads
THREADS = [*COARSE_PITCH_MM, *(name for name in INCH if name != "3/4-10 UNC")]
# ISO 965-1, fundamental deviations e, f, g in µm by pitch in mm, as printed.
DEVIATION_UM = {
    0.5: {"e": 50, "f": 36, "g": 20},
    0.7: {"e": 56, "f": 38, "g": 22},
    0.8: {"e": 60, "f": 38, "g": 24},
    1.0: {"e": 60, "f": 40, "g": 26},
    1.25: {"e": 63, "f": 42, "g": 28},
    1.5: {"e": 67, "f": 45, "g": 32},
    1.75: {"e": 71, "f": 48, "g": 34},
    2.0: {"e": 71, "f": 52, "g": 38},
    2.5: {"e": 80, "f": 58, "g": 42},
    3.0: {"e": 85, "f": 63, "g": 48},
}
NO_FASTENER = {"bracket", "pin", "other"}
INTERNAL = {"hexagon_nut", "lock_nut"}
SCREWS = {"hexagon_head_screw", "socket_cap_screw", "button_head_screw", "countersunk_screw", "set_screw"}
NOT_TIGHTENED = {"bracket", "pin", "plain_washer", "set_screw"}


def finished_before(part: dict, build: dict) -> bool:
    """Whether the piece at hand has a finish, rust or scale: its thread is not made anew."""
    here = part.get("base_metal", build["base_metal"]) == build["base_metal"]
    bare = part.get("present_finish", "none") == "none"
    return here and not (bare and part.get("condition") in (None, "clean", "oiled"))


def renews_zinc(part: dict, build: dict, catalog: dict) -> bool:
    """Whether the treatment renews the passivate of a zinc plating that is there and sound."""
    here = part.get("base_metal", build["base_metal"]) == build["base_metal"]
    sound = part.get("condition") in (None, "clean", "oiled")
    zinc = part.get("present_finish") == "zinc_plate"
    return (
        here and sound and zinc and catalog["treatments"][build["treatment"]].get("renews_zinc_plate", False)
    )


def zinc_plate_stays(part: dict, build: dict, catalog: dict) -> bool:
    """Whether a sound zinc plating stays on the piece at hand: renewed, or beneath films that keep to it."""
    here = part.get("base_metal", build["base_metal"]) == build["base_metal"]
    sound = part.get("condition") in (None, "clean", "oiled")
    bare = any(catalog["films"][name].get("needs_bare_metal", False) for name in build["films"])
    beneath = catalog["treatments"][build["treatment"]]["kind"] == "none" and not bare
    zinc = part.get("present_finish") == "zinc_plate"
    return here and sound and zinc and (beneath or renews_zinc(part, build, catalog))


def filling_um(part: dict, build: dict, catalog: dict, end: str = "high") -> float:
    """Layers in the thread, at an end of their ranges; zinc beneath a film that fills has 5 to 8 µm."""
    treatment = catalog["treatments"][build["treatment"]]
    films = [catalog["films"][name] for name in build["films"]]
    plated = (
        treatment["thickness_um"][end]
        if treatment["builds_up"] and not renews_zinc(part, build, catalog)
        else 0.0
    )
    filling = [f["thickness_um"][end] for f in films if f["fills_threads"]]
    beneath = {"low": 5.0, "high": 8.0}[end] if filling and zinc_plate_stays(part, build, catalog) else 0.0
    return beneath + plated + sum(filling)


def allowance_um(name: str) -> float:
    """ASME B1.1, allowance of classes 1A and 2A: 0.3 of the tolerance of 2A, length of engagement d."""
    d, n = INCH[name]
    tolerance_in = 0.0015 * (d ** (1 / 3) + math.sqrt(d)) + 0.015 * (1 / n) ** (2 / 3)
    return 0.3 * tolerance_in * 25_400


def deviation_um(name: str, tolerance: str) -> float:
    """How far the thread lies from the basic profile."""
    letter = tolerance[1]
    if name in INCH:
        return allowance_um(name) if tolerance in ("1A", "2A") else 0.0
    return 0.0 if letter in "hH" else DEVIATION_UM[COARSE_PITCH_MM[name]][letter.lower()]


def stress_diameter_mm(name: str) -> float:
    """Mean of the diameters d - 3/4 H (pitch) and d - 17/12 H (root, ISO 898-1) or d - 3/2 H (ASME B1.1)."""
    inch = name in INCH
    d, pitch = (
        (25.4 * INCH[name][0], 25.4 / INCH[name][1]) if inch else (int(name[1:]), COARSE_PITCH_MM[name])
    )
    height = math.sqrt(3) / 2 * pitch
    return ((d - 3 / 4 * height) + (d - (3 / 2 if inch else 17 / 12) * height)) / 2


def agreed(name: str, internal: bool, filling: float) -> bool:
    """Whether a pitch diameter by agreement has the room: up to deviation e, ISO 965-1, else 50 + 11 P."""
    if name not in INCH and not internal:
        return False
    pitch = 25.4 / INCH[name][1] if name in INCH else COARSE_PITCH_MM[name]
    return 4 * filling <= DEVIATION_UM.get(pitch, {"e": 50 + 11 * pitch})["e"]


def room(part: dict, filling: float, thinnest: float = 0.0, dipped: bool = False) -> tuple[str, float]:
    """free, fits, tolerance, limited, agreed, mask or none, with the desirability that goes with it."""
    name, internal = part.get("thread"), part.get("form") in INTERNAL
    if name is None and part.get("form") in SCREWS | INTERNAL:
        # none stated: judged as M8, with a tolerance that this size has
        metric = (
            part.get("tolerance")
            if str(part.get("tolerance"))[1:] in ("e", "f", "g", "h", "G", "H")
            else None
        )
        name, part = "M8", {**part, "tolerance": metric or ("6H" if internal else "6g")}
    if name is None or filling == 0 or part.get("form") == "plain_washer":
        return "free", 1.0
    tapped = internal or part.get("form") == "bracket"
    usual = ("2B" if tapped else "2A") if name in INCH else ("6H" if tapped else "6g")
    available = deviation_um(name, part.get("tolerance", usual)) / 4
    if filling <= available:
        return "fits", 1 - 0.3 * filling / available
    if part.get("form") in NO_FASTENER:
        return "mask", 0.5
    widest = {(False, False): "6e", (False, True): "6G", (True, False): "2A", (True, True): "2B"}
    if 4 * filling <= deviation_um(name, widest[name in INCH, internal]):
        return "tolerance", 0.5
    # the thinner half of the range fits: layers are counted at the geometric mean of their range
    counted = math.sqrt(thinnest * filling)
    available = deviation_um(name, widest[name in INCH, internal]) / 4
    if not internal and counted <= available and math.floor(available) >= counted:
        return "limited", 0.5
    return ("agreed", 0.5) if dipped and agreed(name, internal, filling) else ("none", 0.1)


def head_only(part: dict, build: dict, catalog: dict) -> bool:
    """Whether paint too thick for the thread stays on head and shank of a screw: sprayed, not over zinc."""
    if part.get("form") not in SCREWS - {"set_screw"}:
        return False
    if part.get("present_finish") in ("zinc_plate", "hot_dip_zinc"):
        return False
    films = [catalog["films"][name] for name in build["films"]]
    sprayed = all(
        film["fills_threads"]
        and film["kind"] in ("primer", "paint", "powder", "electrocoat", "lacquer")
        and not (film["kind"] == "paint" and film["friction"]["high"] <= 0.16)
        for film in films
    )
    if not films or not sprayed or catalog["treatments"][build["treatment"]]["builds_up"]:
        return False
    return room(part, *(filling_um(part, build, catalog, end) for end in ("high", "low")))[0] == "none"


def on_the_thread(part: dict, build: dict, catalog: dict) -> dict:
    """What years and friction count: of a masked thread the usual oil, where the treatment takes one."""
    if not head_only(part, build, catalog):
        return build
    accepts = catalog["treatments"][build["treatment"]].get("accepts")
    oil = ["displacing_oil"] if accepts is None or "oil" in accepts else []
    return build | {"films": oil}


def friction_desirability(part: dict, build: dict, catalog: dict) -> float:
    """1 to a greatest friction of 0.16, 0.85 to 0.24, else 0.6."""
    if part.get("thread") is None or part.get("form") in NOT_TIGHTENED:
        return 1.0
    family = catalog["base_metals"][build["base_metal"]]["family"]
    stainless = family in {"austenitic", "ferritic", "martensitic", "precipitation_hardening", "duplex"}
    galls = stainless or family in {"titanium", "aluminium"}
    treatment = catalog["treatments"][build["treatment"]]
    if build["films"]:
        film = catalog["films"][build["films"][-1]]
        greatest = film["friction"]["high"]
        if galls and film["kind"] in ("oil", "wax"):
            greatest = {"oil": 0.35, "wax": 0.24}[film["kind"]]
    elif treatment["friction"]:
        greatest = treatment["friction"]["high"]
    elif galls:
        greatest = float("inf")
    else:
        greatest = 0.35 if treatment["black"] else 0.24
    return 1.0 if greatest <= 0.16 else (0.85 if greatest <= 0.24 else 0.6)
