"""Mass and surface of standard parts, put together from prisms, cylinders, caps and cones."""

from __future__ import annotations

import math

from independent.thread import COARSE_PITCH_MM, INCH

STEEL_G_CM3 = 7.85
FLATS = math.sqrt(3) / 2  # area of a hexagon over the square of its width

# Nominal dimensions in mm by thread diameter, as the product standards have them.
HEXAGON_HEAD = {3: (2, 5.5), 4: (2.8, 7), 5: (3.5, 8), 6: (4, 10), 8: (5.3, 13), 10: (6.4, 16)} | {
    12: (7.5, 18),
    14: (8.8, 21),
    16: (10, 24),
    18: (11.5, 27),
    20: (12.5, 30),
    22: (14, 34),
    24: (15, 36),
}  # ISO 4017: k, s
CAP_HEAD = {3: (5.5, 2.5, 1.3), 4: (7, 3, 2), 5: (8.5, 4, 2.5), 6: (10, 5, 3), 8: (13, 6, 4)} | {
    10: (16, 8, 5),
    12: (18, 10, 6),
    14: (21, 12, 7),
    16: (24, 14, 8),
    20: (30, 17, 10),
    24: (36, 19, 12),
}  # ISO 4762: dk, s, t
BUTTON_HEAD = {3: (5.7, 1.65, 2, 1.04), 4: (7.6, 2.2, 2.5, 1.3), 5: (9.5, 2.75, 3, 1.56)} | {
    6: (10.5, 3.3, 4, 2.08),
    8: (14, 4.4, 5, 2.6),
    10: (17.5, 5.5, 6, 3.12),
    12: (21, 6.6, 8, 4.16),
    16: (28, 8.8, 10, 5.2),
}  # ISO 7380-1: dk, k, s, t
COUNTERSUNK_HEAD = {3: (5.54, 1.86, 2, 1.1), 4: (7.53, 2.48, 2.5, 1.5), 5: (9.43, 3.1, 3, 1.9)} | {
    6: (11.34, 3.72, 4, 2.2),
    8: (15.24, 4.96, 5, 3),
    10: (19.22, 6.2, 6, 3.6),
    12: (23.12, 7.44, 8, 4.3),
    16: (29.01, 8.8, 10, 4.8),
    20: (36.05, 10.16, 12, 5.66),
}  # ISO 10642: dk, k, s, t
NUT = {3: (2.4, 5.5), 4: (3.2, 7), 5: (4.7, 8), 6: (5.2, 10), 8: (6.8, 13), 10: (8.4, 16)} | {
    12: (10.8, 18),
    14: (12.8, 21),
    16: (14.8, 24),
    18: (15.8, 27),
    20: (18, 30),
    22: (19.4, 34),
    24: (21.5, 36),
}  # ISO 4032: m, s
WASHER = {3: (3.2, 7, 0.5), 4: (4.3, 9, 0.8), 5: (5.3, 10, 1), 6: (6.4, 12, 1.6), 8: (8.4, 16, 1.6)} | {
    10: (10.5, 20, 2),
    12: (13, 24, 2.5),
    14: (15, 28, 2.5),
    16: (17, 30, 3),
    18: (19, 34, 3),
    20: (21, 37, 3),
    22: (23, 39, 3),
    24: (25, 44, 4),
}  # ISO 7089: d1, d2, h


def row(table: dict, d: float, inch: bool) -> tuple | None:
    """Dimensions at a diameter; an inch part lies between the metric ones next to it."""
    if not inch:
        return table.get(d)
    below = max((size for size in table if size <= d), default=None)
    above = min((size for size in table if size >= d), default=None)
    if below is None or above is None:
        return None
    share = 0 if above == below else (d - below) / (above - below)
    return tuple(low + share * (high - low) for low, high in zip(table[below], table[above], strict=True))


def ring_mean(a: float, b: float) -> float:
    """Mean of the squares of a diameter that runs evenly from a to b."""
    return (a * a + a * b + b * b) / 3


def wound(d: float, pitch: float, length: float, inch: bool) -> tuple[float, float]:
    """Surface and volume of an external thread: crest P/8 on d, root P/6 on d3, the rest flanks at 60°."""
    d3 = d - (3 / 2 if inch else 17 / 12) * math.sqrt(3) / 2 * pitch
    flanks_along = 1 - 1 / 8 - 1 / 6
    flanks_unrolled = 2 * flanks_along  # cos 60° = 1/2
    surface = math.pi * length * (d / 8 + d3 / 6 + flanks_unrolled * (d + d3) / 2)
    volume = math.pi / 4 * length * (d * d / 8 + d3 * d3 / 6 + flanks_along * ring_mean(d, d3))
    return surface, volume


def shank(d: float, pitch: float, length: float, threaded_to: float, inch: bool) -> tuple[float, float]:
    threaded = min(length, threaded_to)
    surface, volume = wound(d, pitch, threaded, inch)
    plain = length - threaded
    return surface + math.pi * d * plain, volume + math.pi / 4 * d * d * plain


def socket(s: float, t: float) -> tuple[float, float]:
    """Walls added and volume taken by a hexagon socket."""
    side = s / math.sqrt(3)
    return 6 * side * t, FLATS * s * s * t


def body_of(
    form: str, d: float, pitch: float, length: float | None, inch: bool = False
) -> tuple[float, float] | None:
    """Surface in mm² and volume in mm³; none for a size outside the tables or a screw without a length.

    What has a thread and no head is a threaded rod.
    """
    if form in ("hexagon_nut", "lock_nut"):
        nut = row(NUT, d, inch)
        if nut is None:
            return None
        m, s = nut
        d1 = d - 5 / 4 * math.sqrt(3) / 2 * pitch
        bore = math.pi * m * (d1 / 4 + d / 8 + 2 * (5 / 8) * (d1 + d) / 2)
        hollow = math.pi / 4 * m * (d1 * d1 / 4 + d * d / 8 + 5 / 8 * ring_mean(d1, d))
        faces = 2 * (FLATS * s * s - math.pi / 4 * d * d)
        return faces + 6 * s / math.sqrt(3) * m + bore, FLATS * s * s * m - hollow
    if form == "plain_washer":
        washer = row(WASHER, d, inch)
        if washer is None:
            return None
        hole, outside, h = washer
        ring = math.pi / 4 * (outside**2 - hole**2)
        return 2 * ring + math.pi * (outside + hole) * h, ring * h
    if form in ("set_screw", "other"):
        if length is None:
            return None
        walls, core = wound(d, pitch, length, inch)
        return walls + 2 * math.pi / 4 * d * d, core
    tables = {
        "hexagon_head_screw": HEXAGON_HEAD,
        "socket_cap_screw": CAP_HEAD,
        "button_head_screw": BUTTON_HEAD,
        "countersunk_screw": COUNTERSUNK_HEAD,
    }
    sizes = row(tables.get(form, {}), d, inch)
    if sizes is None or length is None or not 1 <= length <= 1000:
        return None
    threaded_to = 2 * d + 12
    if form == "hexagon_head_screw":
        k, s = sizes
        head = (2 * FLATS * s * s + 6 * s / math.sqrt(3) * k, FLATS * s * s * k)
        taken, threaded_to = (0.0, 0.0), length
    elif form == "socket_cap_screw":
        dk, s, t = sizes
        head = (math.pi * dk * (dk / 2 + d), math.pi / 4 * dk * dk * d)
        taken = socket(s, t)
    elif form == "button_head_screw":
        dk, k, s, t = sizes
        radius = dk / 2
        head = (
            math.pi * (2 * radius**2 + k**2),
            math.pi * k / 6 * (3 * radius**2 + k**2),
        )
        taken = socket(s, t)
    else:
        dk, k, s, t = sizes
        if length < k:
            return None
        length -= k
        cone = (dk - d) / 2
        land = max(k - cone, 0.0)
        slant = math.pi * (dk + d) / 2 * math.hypot(cone, cone)
        head = (
            math.pi / 4 * (dk * dk + d * d) + math.pi * dk * land + slant,
            math.pi / 4 * (dk * dk * land + cone * ring_mean(dk, d)),
        )
        taken = socket(s, t)
    walls, core = shank(d, pitch, length, threaded_to, inch)
    return head[0] + taken[0] + walls, head[1] - taken[1] + core


def size_of(part: dict) -> tuple[float, float]:
    """Mass in g and surface in dm² of one piece: its own, else of its standard, else of a usual screw."""
    standard = body = None
    name = part.get("thread")
    if name in COARSE_PITCH_MM and "form" in part:
        body = body_of(part["form"], int(name[1:]), COARSE_PITCH_MM[name], part.get("length_mm"))
    elif name in INCH and "form" in part:
        d, n = 25.4 * INCH[name][0], INCH[name][1]
        body = body_of(part["form"], d, 25.4 / n, part.get("length_mm"), inch=True)
    if body:
        standard = body[1] / 1000 * STEEL_G_CM3, body[0] / 1e4
    usual = standard or (17.0, 0.20)
    return part.get("mass_g", usual[0]), part.get("surface_dm2", usual[1])
