#!/usr/bin/env python3
"""Writes salt_spray_log.csv and field_log.csv of the demo scenario.

    python generate_logs.py [FOLDER]        (default: the folder of this file)

Standard library only, Python 3.10 or later. Everything is invented, as in generate.py, whose normal variates
are used; fixed seeds give the same bytes.

salt_spray_log.csv: a year of panels at Zethwick Works, 2024, in two cabinets that are opened once a day.
    hours           log-normal about a median of the film, with a spread between lots (one a month) and one
                    between panels; cabinet 2 attacks a quarter harder than cabinet 1 and shortens them
    seen            the last look without rust and the first with it; panels still good after 240 h are intact

field_log.csv: parts that came back or were looked at, 18 sites, 2018 to 2024.
    years           equal dose: hours in the cabinet times a field factor of the film, by shelter, over the
                    loss of the site, which differs from the one that the log states; and a spread of parts
    seen            looks every half year; parts without rust at the last look are intact
"""

from __future__ import annotations

import csv
import math
import random
import sys
from pathlib import Path

from generate import normal

SPRAY_SEED = 2024
FIELD_SEED = 1824

# film: median hours, spread between lots, between panels, panels a month
FILMS = {
    "hard_wax": (92.0, 0.25, 0.35, 3),
    "soft_wax": (44.0, 0.30, 0.40, 1),
    "displacing_oil": (20.0, 0.20, 0.45, 2),
}
HARDER = 1.25
END_HOURS = 240

# field factor of each film under a roof and in the open, rain and sun counted
FIELD_FACTORS = {
    "hard_wax": (2.2, 0.6),
    "displacing_oil": (0.9, 0.25),
    "air_dry_paint": (5.0, 4.0),
}
HOURS = {"hard_wax": 92.0, "displacing_oil": 20.0, "air_dry_paint": 280.0}
GRAMS_PER_HOUR = 70 / 48
STEEL_G_CM3 = 7.86


def salt_spray_log() -> list[list[str]]:
    rng = random.Random(SPRAY_SEED)
    rows = [["date", "film", "treatment", "lot", "cabinet", "hours", "outcome", "until_hours"]]
    for month in range(1, 13):
        for film, (median, lot_sd, panel_sd, panels) in FILMS.items():
            lot_effect = lot_sd * normal(rng)
            for panel in range(panels):
                cabinet = 1 + (month + panel) % 2
                hours = median * math.exp(lot_effect + panel_sd * normal(rng))
                if cabinet == 2:
                    hours /= HARDER
                last = 24 * int(hours // 24)
                head = [f"2024-{month:02}-{3 + 2 * panel:02}", film, "hot_alkaline", f"{month:02}-{film}"]
                seen = [str(last), "between", str(last + 24)]
                if last >= END_HOURS:
                    seen = [str(END_HOURS), "intact", ""]
                rows.append([*head, str(cabinet), *seen])
    return rows


def field_log() -> list[list[str]]:
    rng = random.Random(FIELD_SEED)
    head = ["site", "base_metal", "treatment", "films", "first_year_steel_loss_um", "shelter"]
    rows = [[*head, "years", "outcome", "until_years"]]
    for number in range(1, 19):
        stated = 12 * 6 ** rng.random()
        loss = stated * math.exp(0.17 * normal(rng))
        shelter = "sheltered" if number % 3 else "open"
        for film, factors in FIELD_FACTORS.items():
            factor = factors[shelter == "open"]
            median = HOURS[film] * GRAMS_PER_HOUR * factor / (loss * STEEL_G_CM3)
            looked = 2.5 + math.floor(8 * rng.random()) / 2
            for _ in range(3):
                years = median * math.exp(0.45 * normal(rng))
                last = math.floor(2 * years) / 2
                place = [f"site {number:02}", "steel_8_8", "hot_alkaline", film, f"{stated:.1f}", shelter]
                if last >= looked:
                    rows.append([*place, f"{looked:g}", "intact", ""])
                else:
                    rows.append([*place, f"{last:g}", "between", f"{last + 0.5:g}"])
    return rows


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent
    for name, rows in (("salt_spray_log.csv", salt_spray_log()), ("field_log.csv", field_log())):
        with (folder / name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)


if __name__ == "__main__":
    main()
