"""Outlooks of films against what is published about hours and years, as far as anything is."""

from __future__ import annotations

import json
import math

import overcoat

# Steel loss in the middle (geometric) of the categories of ISO 9223:2012, Table 2, µm.
MIDDLE_UM = {
    "C2": math.sqrt(1.3 * 25),
    "C3": math.sqrt(25 * 50),
    "C4": math.sqrt(50 * 80),
    "C5": math.sqrt(80 * 200),
}
# Zinc loss by category, ISO 14713-1, µm/a, read in a reprint.
ZINC_UM_YEAR = {"C2": (0.1, 0.7), "C3": (0.7, 2.0), "C4": (2.0, 4.0), "C5": (4.0, 8.0)}
# ISO 12944-6:1998 (read) and 2018 (from memory): hours of neutral salt spray asked of a paint system, and the
# durability range of ISO 12944-1:2018 that it is then said to have, years.
PAINT_HOURS = [
    ("C3", "medium", 240, (7, 15)),
    ("C3", "high", 480, (15, 25)),
    ("C4", "medium", 480, (7, 15)),
    ("C4", "high", 720, (15, 25)),
    ("C5", "medium", 720, (7, 15)),
    ("C5", "high", 1440, (15, 25)),
]


def _catalog() -> dict:
    return json.loads(overcoat.Catalog.default().to_json())


def outlook_in(category: str, treatment: str, films: list[str], catalog=None):
    """Outlook of one build on plain steel in the middle of a category, unwashed and out of the sun."""
    brief = {
        "schema": "overcoat.brief.v1",
        "name": "comparison with published ranges",
        "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
        "duty": {
            "first_year_steel_loss_um": MIDDLE_UM[category],
            "shelter": "sheltered",
            "required_years": 10,
        },
        "wants": {"black": False, "builds": [{"treatment": treatment, "films": films}]},
    }
    brief = overcoat.Brief.from_json(json.dumps(brief))
    return (overcoat.rank(brief, catalog) if catalog else overcoat.rank(brief))[0].outlook


def zinc():
    """(category, published low and high years of the plating to base metal, our p10, median, p90)."""
    thickness = _catalog()["treatments"]["zinc_plate_black"]["thickness_um"]
    for category, (slow, fast) in ZINC_UM_YEAR.items():
        outlook = outlook_in(category, "zinc_plate_black", [])
        yield (
            category,
            thickness["low"] / fast,
            thickness["high"] / slow,
            outlook.p10_years,
            outlook.median_years,
            outlook.p90_years,
        )


def paint():
    """(category, durability, hours, published years, our p10, median, p90) of a paint that just passes."""
    for category, durability, asked, years in PAINT_HOURS:
        own = {
            "schema": "overcoat.catalog.v1",
            "name": "paint that just passes",
            "films": {"air_dry_paint": {"capacity_h": {"median": asked, "source": "hours_paint"}}},
        }
        catalog = overcoat.Catalog.from_json(json.dumps(own))
        outlook = outlook_in(category, "hot_alkaline", ["air_dry_paint"], catalog)
        yield category, durability, asked, years, outlook.p10_years, outlook.median_years, outlook.p90_years
