"""Room in coarse metric threads, and friction of what is tightened."""

from __future__ import annotations

# ISO 965-1, fundamental deviations e, f, g in µm of six coarse threads, as printed.
DEVIATION_UM = {
    "M6": {"e": 60, "f": 40, "g": 26, "h": 0},
    "M8": {"e": 63, "f": 42, "g": 28, "h": 0},
    "M10": {"e": 67, "f": 45, "g": 32, "h": 0},
    "M12": {"e": 71, "f": 48, "g": 34, "h": 0},
    "M16": {"e": 71, "f": 52, "g": 38, "h": 0},
    "M20": {"e": 80, "f": 58, "g": 42, "h": 0},
}
NO_FASTENER = {"bracket", "pin", "other"}
INTERNAL = {"hexagon_nut", "lock_nut"}
NOT_TIGHTENED = NO_FASTENER | {"plain_washer", "set_screw"}


def filling_um(build: dict, catalog: dict) -> float:
    """Thickest that the layers come out in the thread."""
    treatment = catalog["treatments"][build["treatment"]]
    films = [catalog["films"][name] for name in build["films"]]
    plated = treatment["thickness_um"]["high"] if treatment["builds_up"] else 0.0
    return plated + sum(f["thickness_um"]["high"] for f in films if f["fills_threads"])


def room(part: dict, filling: float) -> tuple[str, float]:
    """free, fits, tolerance, mask or none, with the desirability that goes with it."""
    if part.get("thread") is None or filling == 0:
        return "free", 1.0
    internal = part.get("form") in INTERNAL
    deviations = DEVIATION_UM[part["thread"]]
    position = part.get("tolerance", "6H" if internal else "6g")[1]
    available = 0.0 if internal else deviations[position] / 4
    if filling <= available:
        return "fits", 1 - 0.3 * filling / available
    if part.get("form") in NO_FASTENER:
        return "mask", 0.5
    if not internal and 4 * filling <= deviations["e"]:
        return "tolerance", 0.5
    return "none", 0.1


def friction_desirability(part: dict, build: dict, catalog: dict) -> float:
    """1 to a greatest friction of 0.16, 0.85 to 0.24, else 0.6."""
    if part.get("thread") is None or part.get("form") in NOT_TIGHTENED:
        return 1.0
    family = catalog["base_metals"][build["base_metal"]]["family"]
    stainless = family in {"austenitic", "ferritic", "martensitic", "precipitation_hardening", "duplex"}
    treatment = catalog["treatments"][build["treatment"]]
    if build["films"]:
        film = catalog["films"][build["films"][-1]]
        greatest = film["friction"]["high"]
        if stainless and film["kind"] in ("oil", "wax"):
            greatest = {"oil": 0.35, "wax": 0.24}[film["kind"]]
    elif treatment["friction"]:
        greatest = treatment["friction"]["high"]
    elif stainless:
        greatest = float("inf")
    else:
        greatest = 0.35 if treatment["black"] else 0.24
    return 1.0 if greatest <= 0.16 else (0.85 if greatest <= 0.24 else 0.6)
