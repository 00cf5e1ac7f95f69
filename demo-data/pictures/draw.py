"""Draws the picture of the README from the demo brief of the deck fitting."""

from pathlib import Path

import overcoat
from overcoat import plots

DEMO = Path(__file__).resolve().parent.parent

brief = overcoat.Brief.from_json(DEMO / "briefs" / "deck-fitting.json")
prices = overcoat.Catalog.from_json(DEMO / "workshop_catalog.json")
figure = plots.survival(overcoat.rank(brief, prices), top=3)
figure.savefig(DEMO / "pictures" / "deck-fitting.png", dpi=150, metadata={"Software": None})
