#!/usr/bin/env python3
# ruff: noqa: E501 (sentences of the page)
"""How overcoat compares with measured sites, published tables and independent counts, on one page.

    python tests/validation/report.py --out DIR [--without-figures]

Reads the folder named by the environment variable OVERCOAT_REFERENCE and writes DIR/REPORT.md with its figures.
A section whose data is not there says so. Statistics only: no row of measured data leaves the folder.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

import bounds_coverage
import field_ranges
import first_year
import growth
import lives
import numpy as np
import wetness

import overcoat

ROOT = Path(__file__).resolve().parents[2]
ABSENT = "*Not compared: the data is not in the reference folder.*"


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> list[str]:
    """A Markdown table."""
    return [
        f"| {' | '.join(head)} |",
        f"| {' | '.join('---' for _ in head)} |",
        *(f"| {' | '.join(str(cell) for cell in row)} |" for row in rows),
        "",
    ]


def percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def factor(log: float) -> str:
    """A mean of logarithms as a factor."""
    return f"×{math.exp(log):.2f}"


def figure(out: Path | None, name: str, draw) -> list[str]:
    """Draws into the folder; nothing where figures are not wanted."""
    if out is None:
        return []
    draw(out / name)
    return [f"![{name.removesuffix('.png').replace('-', ' ')}]({name})", ""]


AGREEMENT_HEAD = [
    "rows",
    "sites",
    "bias",
    "± s.e.",
    "log sd",
    "in standard's band",
    "in ours",
    "above our 80 %",
    "below it",
    "category hit",
    "hit or next",
]


def agreement_cells(a: first_year.Agreement) -> list[str]:
    return [
        str(a.rows),
        str(a.sites),
        factor(a.bias),
        f"{a.standard_error:.2f}",
        f"{a.spread:.2f}",
        percent(a.within_standard),
        percent(a.within_ours),
        percent(a.above_80),
        percent(a.below_80),
        percent(a.hits),
        percent(a.hits_or_next),
    ]


def losses(reference: Path, out: Path | None) -> list[str]:
    lines = ["## First-year losses against measured sites", ""]
    found = first_year.read_all(reference / "measured")
    if not found:
        return [*lines, ABSENT, ""]
    lines += [
        "The dose-response functions of ISO 9223:2012 with the coefficients of overcoat, against specimens exposed "
        "for one year. Years of one site are not independent, so each site counts once (mean of logarithms). *Bias* "
        "is measured over computed: above 1 the model promises too little attack. *In band*: share of sites within "
        "one standard deviation, as the standard states it (-33 to +50 %; aluminium -50 to +100 %) and as overcoat "
        "uses it: of steel about the computed loss times the bias of an outlook (log sd 0.41), of other metals about the "
        "computed loss (0.5; aluminum 0.69); 68 % are expected. *Above our 80 %*, *below it*: beyond 1.28 of ours; 10 % "
        "expected on each side.",
        "",
        "A caution on independence: bias and spread of steel were fitted to these sites; the table *What an outlook takes* "
        "leaves programmes out in turn. Whether any of these sites were among those to which the standard fitted its "
        "functions is not known; ISO CORRAG and MICAT sites most likely were.",
        "",
    ]
    agreements = list(first_year.by_programme(found))
    lines += table(
        ["programme", "metal", *AGREEMENT_HEAD],
        [[name, metal, *agreement_cells(a)] for name, metal, a in agreements if a],
    )
    compared = {name for name, _, a in agreements if a}
    lines += [
        f"- {name}: {len(exposures)} rows of {len({e.site for e in exposures})} sites are too few for statistics of "
        "their own; they count in the pooled figures."
        for name, exposures in found.items()
        if name not in compared
    ]
    lines += [f"- {name}: {note}." for name, note in first_year.NOTES.items() if name in found] + [""]
    pooled = first_year.primary(found)
    lines += ["### By climate, steel, all programmes together", ""]
    rows = []
    for words, belongs in first_year.CLIMATES:
        a = first_year.of([e for e in pooled if belongs(e)])
        if a:
            rows.append([words, *agreement_cells(a)])
    lines += table(["climate", *AGREEMENT_HEAD], rows)
    if "Russian sites" in found:
        lines += ["### By climate, the other metals (Russian sites)", ""]
        rows = []
        for metal in ("zinc", "copper", "aluminium"):
            for words, belongs in first_year.CLIMATES[:3]:
                own = [e for e in found["Russian sites"] if e.metal == metal and belongs(e)]
                a = first_year.of(own)
                if a:
                    rows.append([metal, words, *agreement_cells(a)])
        lines += table(["metal", "climate", *AGREEMENT_HEAD], rows)
    lines += air_of_an_outlook(found)
    lines += one_spread_for_all_climates(found)
    others = list(first_year.spread_from_the_others(found))
    if others:
        lines += [
            "### Spread from the others, steel",
            "",
            "The spread about the model at the sites of all other programmes, and the share of a programme's own "
            "sites within it; 68 % are expected.",
            "",
        ]
        lines += table(
            ["programme", "sites", "spread at the others", "own sites within"],
            [[name, sites, f"{spread:.2f}", percent(share)] for name, spread, share, sites in others],
        )
    lines += off_words(found)
    if out is not None:
        import figures

        for name, draw in (
            ("measured-against-computed.png", figures.measured_against_computed),
            ("ratio-by-climate.png", figures.ratio_by_climate),
            ("residuals-of-sites.png", figures.residuals),
        ):
            lines += figure(out, name, lambda path, draw=draw: draw(found, path))
    return lines


def air_of_an_outlook(found) -> list[str]:
    """Bias and spread of steel: fitted anew, and the shares of sites on each side of the 80 % band."""
    sites = first_year.site_ratios(found)
    if len(sites) < 20:
        return []
    code = [first_year.bias_ln(t) for t in first_year.KNOTS_C]
    fitted = first_year.fitted_bias(sites)
    rows = [["all, bias of overcoat", len(sites), *map(percent, first_year.sides(sites, np.array(code)))]]
    rows.append(
        ["all, each programme by the others", len(sites), *map(percent, first_year.left_out_sides(sites))]
    )
    for words, low, high in first_year.CLIMATES_BY_TEMPERATURE:
        own = [site for site in sites if low <= site[1] < high]
        if own:
            rows.append([words, len(own), *map(percent, first_year.sides(own, np.array(code)))])
    return [
        "### What an outlook takes, steel",
        "",
        "The loss of steel that an outlook takes is the computed one times a bias by temperature, with one log sd of 0.41. "
        "ln of the bias, fitted anew here (straight lines, ends drawn to the mean with a log sd of 0.3):",
        "",
        *table(
            ["°C", *(f"{t:g}" for t in first_year.KNOTS_C)],
            [
                ["overcoat", *(f"{value:.2f}" for value in code)],
                ["fitted here", *(f"{value:.2f}" for value in fitted)],
            ],
        ),
        "Sites above and below the 80 % band; 10 % are expected on each side:",
        "",
        *table(["sites", "number", "above", "below"], rows),
    ]


def one_spread_for_all_climates(found) -> list[str]:
    """Why the spread of steel is one for all climates: too few sites in each, and programmes that differ by climate."""
    sites = first_year.site_ratios(found)
    if len(sites) < 20:
        return []
    code = np.array([first_year.bias_ln(t) for t in first_year.KNOTS_C])
    limit = 1.2816 * first_year.OUR_LOG_SD["steel"]
    rows = []
    for words, low, high in [*first_year.CLIMATES_BY_TEMPERATURE, ("all", -60.0, 60.0)]:
        own = [site for site in sites if low <= site[1] < high]
        if not own:
            continue
        away = np.array([ratio - np.interp(t, first_year.KNOTS_C, code) for _, t, ratio in own])
        programmes = Counter(name for name, *_ in own)
        name, most = programmes.most_common(1)[0]
        above, below = int(np.sum(away > limit)), int(np.sum(away < -limit))
        rows.append(
            [
                words,
                len(own),
                f"{name}, {most}",
                f"{math.sqrt(np.mean(away**2)):.2f}",
                f"{above} and {below}",
                percent(math.sqrt(0.09 / len(own))),
                percent(first_year.chance_of_a_tenth(len(own))),
                percent(first_year.chance_of_so_many(len(own), above + below)),
            ]
        )
    away = [(t, float(ratio - np.interp(t, first_year.KNOTS_C, code))) for _, t, ratio in sites]
    fits = []
    for prior in (0.2, 0.3, 0.5):
        gain, error = first_year.gain_of_spreads(sites, prior)
        spread = first_year.fitted_spread(away, prior)
        fits.append([f"{prior:g}", *(f"{sd:.2f}" for sd in spread), f"{gain:+.1f} ± {error:.1f}"])
    return [
        "### Why one spread for all climates",
        "",
        "Cool sites scatter less about the bias than hot ones. Whether that is the climate cannot be told from these sites:",
        "",
        "- A share of a tenth has a standard error that leaves 6 to 14 % on each side a matter of chance. The last columns say how "
        "often so many sites of a climate whose band holds exactly 80 % would show that, and how often at least as many outside as "
        "here. 57 sites of a climate are needed for an error of 4 %; no climate has them.",
        "- Climate and programme are nearly the same thing here: one programme has most of the hot sites and another all of the "
        "cold ones, so that a spread by temperature is mostly a spread by programme, its way of measuring included.",
        "- Put to the test, a spread by temperature does not predict the scatter of a programme that was left out: what it adds "
        "to the log likelihood of the sites left out is within its error of nothing.",
        "",
        *table(
            [
                "sites",
                "number",
                "most from",
                "log sd about the bias",
                "above and below the 80 % band",
                "error of a share of a tenth",
                "chance of 6 to 14 % on each side",
                "chance of so many outside",
            ],
            rows,
        ),
        "A spread by temperature, straight lines of its logarithm fitted to the same sites and drawn to the one of all; and the "
        "log likelihood that it adds at programmes left out in turn:",
        "",
        *table(["drawn with a log sd of", *(f"{t:g} °C" for t in first_year.KNOTS_C), "added"], fits),
        "So the spread stays one. It is rather too wide from 0 to 10 °C, on the side of caution; in the hot nothing shows that it is "
        "too narrow.",
        "",
    ]


def off_words(found) -> list[str]:
    """Says in words where the air is off, from the numbers: bias beyond two standard errors and a tenth."""
    lines = ["### Where the function is off", ""]
    sentences = []

    def judge(words: str, a: first_year.Agreement | None) -> None:
        if a is None:
            return
        if abs(a.bias) > max(2 * a.standard_error, math.log(1.1)):
            way = "too little" if a.bias > 0 else "too much"
            sentences.append(
                f"{words} ({a.sites} sites): the model promises {way} attack; measured losses are "
                f"{math.exp(a.bias):.2f} times the computed ones (geometric mean)."
            )
        if a.above_80 + a.below_80 > 0.35:
            sentences.append(
                f"{words} ({a.sites} sites): only {percent(1 - a.above_80 - a.below_80)} of sites lie in the band that should hold "
                "80 % of them, so the stated spread is too narrow there."
            )

    for name, metal, a in first_year.by_programme(found):
        judge(f"{name}, {metal}", a)
    pooled = first_year.primary(found)
    for words, belongs in first_year.CLIMATES:
        judge(f"Steel, {words}", first_year.of([e for e in pooled if belongs(e)]))
    if sentences:
        lines += [
            "Named are groups whose bias exceeds two standard errors and a tenth, or whose 80 % band holds less than "
            "65 %; among so many groups one is named by chance.",
            "",
        ]
    else:
        sentences.append("No group is biased by more than a tenth and two standard errors.")
    return [*lines, *(f"- {sentence}" for sentence in sentences), ""]


def years(reference: Path, out: Path | None) -> list[str]:
    lines = ["## Loss over the years against measured series", ""]
    series = growth.read_series(reference / "measured")
    if not series:
        return [*lines, ABSENT, ""]
    sites = sorted({one.site for one in series})
    exponents = [float(np.mean([one.exponent for one in series if one.site == site])) for site in sites]
    lines += [
        f"{len(series)} series of carbon steels at {len(sites)} stations of one network in China, each from its "
        "measured first year on, so only the growth is judged (ISO 9224:2012, b = 0.523 on average, 0.575 "
        "conservative). Steels at one station share its weather: the station counts once. "
        f"{len(sites)} stations are few, and all are in one region.",
        "",
        f"Exponents fitted to the series, mean per station: {min(exponents):.2f} to {max(exponents):.2f}, mean "
        f"{np.mean(exponents):.2f} with a spread of {np.std(exponents, ddof=1):.2f} between stations.",
        "",
    ]
    rows = []
    conservative = growth.site_means(series, conservative=True)
    for t, ratios in growth.site_means(series, conservative=False).items():
        safe = conservative[t]
        rows.append(
            [
                f"{t:g}",
                len(ratios),
                factor(float(np.mean(ratios))),
                f"{np.std(ratios, ddof=1):.2f}" if len(ratios) > 1 else "-",
                f"×{math.exp(min(ratios)):.2f} to ×{math.exp(max(ratios)):.2f}",
                f"{sum(r <= 0 for r in safe)} of {len(safe)}",
            ]
        )
    lines += table(
        [
            "years",
            "stations",
            "measured / computed",
            "log sd of stations",
            "range of stations",
            "at or below conservative",
        ],
        rows,
    )
    lines += [
        "### Table 3 of ISO 9224 as printed",
        "",
        "Multiples of the first year for steel, read in a transcription. The table follows t^b throughout; the text's "
        "straight line after 20 years, which overcoat takes, gives more.",
        "",
        *table(
            ["years", "printed", "overcoat", "ratio"],
            [
                [f"{t:g}", f"{printed:.3f}", f"{own:.3f}", f"{own / printed:.2f}"]
                for t, printed in growth.PRINTED
                for own in [overcoat.long_term_loss("steel", 1.0, t)]
            ],
        ),
    ]
    last = growth.site_means(series, conservative=False)
    t, ratios = list(last.items())[-1]
    lines += [
        f"**Where the model is off:** after {t:g} years single stations lie between ×{math.exp(min(ratios)):.2f} and "
        f"×{math.exp(max(ratios)):.2f} of the average curve. overcoat gives the exponent a log spread of 0.26 "
        f"(29 exposures elsewhere): a log sd of {0.26 * 0.523 * math.log(t):.2f} in the loss after {t:g} years, less than between these "
        "few stations. No series runs beyond 20 years here: the straight "
        "line that follows is untested.",
        "",
    ]
    if out is not None:
        import figures

        lines += figure(out, "growth-over-the-years.png", lambda path: figures.growth_of_series(series, path))
    return lines


# with all features, so that it is the program that the other tests use
PUBLISHED_TABLES = (
    "test --quiet --features schema,arrow,threads,command --test it published_tables -- --ignored"
)


def tables(reference: Path) -> list[str]:
    lines = ["## Published tables reproduced", ""]
    cargo = shutil.which("cargo")
    if cargo is None:
        return [*lines, "*Not compared: no cargo here to run the Rust side.*", ""]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "deviations.json"
        done = subprocess.run(
            [cargo, *PUBLISHED_TABLES.split()],
            cwd=ROOT,
            env=os.environ | {"OVERCOAT_DEVIATIONS": str(path), "OVERCOAT_REFERENCE": str(reference)},
            capture_output=True,
            text=True,
        )
        if not path.is_file():
            raise SystemExit(f"the Rust side wrote no deviations:\n{done.stdout}\n{done.stderr}")
        found = json.loads(path.read_text(encoding="utf-8"))
    if not found:
        return [*lines, ABSENT, ""]
    lines += [
        "*Printed*: read in the standard or a reprint. *From memory*: recalled twice, independently, and compared with "
        "the recollection: agreement tests the transcription and not the standard. *Computed elsewhere*: the same "
        "formula worked out by other code: agreement tests the arithmetic. Printed digits are rounded, which is most "
        "of what is left.",
        "",
    ]
    rows = []
    for d in found:
        misses = d["unit"] == "misses"
        largest = f"{d['largest']:.0f} misses" if misses else f"{d['largest']:.2g} {d['unit']}".strip()
        rows.append([d["table"], d["origin"], d["values"], largest, d["at"] or "-"])
    lines += table(["table", "origin", "values", "largest deviation", "where"], rows)
    if done.returncode != 0:
        lines += ["**A deviation is larger than the test allows.**", ""]
    return lines


def wet_hours(reference: Path) -> list[str]:
    lines = ["## Time of wetness against independent counts", ""]
    rows = list(wetness.compare(reference))
    if not rows:
        return [*lines, "*Not compared: pvlib, whose weather files are read, is not installed.*", ""]
    lines += [
        "Hours with T > 0 °C and RH > 80 % in hourly weather files that come with the package pvlib: by overcoat, by "
        "a plain loop here, and by a count made earlier with other code. The last column but one shows what `≥ 80 %` "
        "would give: the standard's strict sign is from memory, and whole-number humidities make it matter.",
        "",
    ]
    lines += table(
        ["record", "overcoat", "plain count", "earlier count", "with ≥ 80 %", "class"],
        [
            [n, f"{own:.0f}", plain, "-" if listed is None else f"{listed:.0f}", at_least, tau]
            for n, own, plain, listed, at_least, tau in rows
        ],
    )
    return lines


def short(value: float) -> str:
    """Two digits or whole numbers, never an exponent."""
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"


def years_range(low: float, high: float) -> str:
    return f"{short(low)} to {short(high)}"


def films() -> list[str]:
    found = lives.predictions()
    seen = [one for one in found if not one["bound"]]
    bounds = [one for one in found if one["bound"]]
    inside = sum(one["inside"] for one in seen)
    rms = math.sqrt(np.mean([one["off"] ** 2 for one in seen]))
    lines = [
        "## Films against published lives",
        "",
        "Hours, field factors and ageing lives of the catalog are computed from published observations and from what the "
        "trade states. Here each is predicted from all others (the fit without it, by one Newton step). No field record of "
        "a blackened part with oil, wax or lacquer was found: what is said of them comes from traders, platers, "
        "conservators and the trade.",
        "",
        f"{inside} of {len(seen)} lie in the 80 % interval of their prediction ({percent(inside / len(seen))}, so that the "
        "intervals are rather too wide than too narrow); the rms of "
        f"ln(observed / predicted) is {rms:.2f}. Of {len(bounds)} bounds, {sum(not one['inside'] for one in bounds)} "
        "lie beyond the interval.",
        "",
    ]
    lines += table(
        ["observed", "figures", "predicted from the others", "within a factor of", "inside"],
        [
            [
                one["what"].replace("|", "/"),
                one["figures"],
                f"{one['predicted']:.3g} {one['unit']}",
                f"{one['factor']:.1f}",
                "yes" if one["inside"] else "**no**",
            ]
            for one in found
        ],
    )
    lines += [
        "### Black zinc plating, years to base metal",
        "",
        "Thickness over zinc loss (ISO 14713-1, read in a reprint) against overcoat's outlook to first rust, steel "
        "loss in the middle of the category. The field factor of zinc was derived from the zinc bounds of ISO 9223, so "
        "this tests the algebra and whether the spread covers a category; it is no field evidence.",
        "",
    ]
    zinc = list(field_ranges.zinc())
    lines += table(
        ["category", "thickness / loss, a", "ours: 10 to 90 %, a", "our median, a", "median inside"],
        [
            [
                c,
                years_range(low, high),
                years_range(p10, p90),
                short(m),
                "yes" if low <= m <= high else "**no**",
            ]
            for c, low, high, p10, m, p90 in zinc
        ],
    )
    lines += [
        "### Paint that just passes ISO 12944-6",
        "",
        "A paint with exactly the hours that ISO 12944-6 asks for, in the middle of its category under a roof, against the "
        "durability of ISO 12944-1:2018. Durability is the time to first major maintenance of structural steel; the "
        "outlook is first rust of a small part finished in a shop. Ageing in the weather does not depend on the hours, so "
        "that medians differ less than the ranges.",
        "",
    ]
    paint = list(field_ranges.paint())
    lines += table(
        [
            "category",
            "durability",
            "hours",
            "range of the standard, a",
            "ours: 10 to 90 %, a",
            "our median, a",
            "median",
        ],
        [
            [
                c,
                d,
                h,
                f"{y[0]} to {y[1]}",
                years_range(p10, p90),
                short(m),
                "inside" if y[0] <= m <= y[1] else ("below" if m < y[0] else "**above**"),
            ]
            for c, d, h, y, p10, m, p90 in paint
        ],
    )
    above = [f"{c} {d}" for c, d, _, y, _, m, _ in paint if m > y[1]]
    below = [f"{c} {d}" for c, d, _, y, _, m, _ in paint if m < y[0]]
    medians = {(c, d): m for c, d, *_, m, _ in paint}
    drift = " and ".join(
        f"{100 * (medians['C5', d] / medians['C3', d] - 1):+.0f} % ({d})" for d in ("medium", "high")
    )
    if above or below:
        lines += ["**Where the model is off:**", ""]
        if above:
            lines.append(
                f"- longer than the standard's durability in {', '.join(above)}: too hopeful in mild air."
            )
        if below:
            lines.append(
                f"- shorter in {', '.join(below)}: too strict in harsh air, or first rust comes before."
            )
        lines += [
            f"- at the same durability the median changes from C3 to C5 by {drift}.",
            "",
        ]
    return lines


def exposures_of_stainless() -> list[str]:
    rows = list(lives.stainless())
    return [
        "## Stainless exposures",
        "",
        "The share of surfaces that ever stains, against published exposures and facts of the trade. The law was fitted to "
        "most of them, so agreement shows that one law holds them, and contradictions are kept in sight.",
        "",
        *table(
            ["grade", "place", "observed", "share that ever stains", "agrees"],
            [[g, p, o, percent(share), "yes" if ok else "**no**"] for g, p, o, share, ok in rows],
        ),
    ]


def hot_and_sheltered() -> list[str]:
    return [
        "## Sheltered and hot parts",
        "",
        *table(
            ["what", "observed", "model", "agrees"],
            [[w, o, m, "yes" if ok else "**no**"] for w, o, m, ok in lives.sheltered_and_hot()],
        ),
    ]


def off_first(pages: list[str]) -> list[str]:
    """What the model gets wrong, before anything that it gets right: gathered from the sections below."""
    sentences = [
        f"Films: {one['what']} was observed as {one['figures']}, and {one['predicted']:.3g} {one['unit']} is predicted "
        "from all other observations."
        for one in lives.predictions()
        if not one["inside"]
    ]
    sentences += [
        f"Stainless {grade}, {place}: observed {said}; the law gives {percent(share)} that ever stain."
        for grade, place, said, share, agrees in lives.stainless()
        if not agrees
    ]
    sentences += [
        f"{what}: observed {seen}, the model has {own}."
        for what, seen, own, agrees in lives.sheltered_and_hot()
        if not agrees
    ]
    sentences += ["No field record of a blackened part with oil, wax or lacquer was found to compare with."]
    of_air = "See also *Where the function is off* for the air, and the bold words in the sections below."
    return [
        "## Where the model is off",
        "",
        *(f"- {s[0].upper()}{s[1:]}" for s in sentences),
        "",
        of_air,
        "",
        *pages,
    ]


def bounds() -> list[str]:
    found = bounds_coverage.all_designs()
    rows = [
        [
            c.distribution,
            c.design.panels,
            c.design.words,
            c.logs,
            f"{100 * c.share:.1f} ± {100 * c.error:.1f} %",
            c.without_estimate,
        ]
        for c in found
    ]
    least = min(found, key=lambda c: c.share)
    return [
        "## Bounds of fitted records",
        "",
        f"Simulated logs of a known median ({bounds_coverage.MEDIAN_HOURS:g} h, log scale {bounds_coverage.SCALE}), {bounds_coverage.LOGS} of "
        f"each kind: how often the {100 * bounds_coverage.CONFIDENCE:.0f} % profile-likelihood bounds of the median enclose it, with the "
        "standard error of that share. Logs without an estimate have none that failed, or failures that no spread explains.",
        "",
        *table(
            [
                "distribution",
                "panels",
                "test",
                "logs with an estimate",
                "bounds enclose the median",
                "without",
            ],
            rows,
        ),
        f"The bounds are for large samples: with {least.design.panels} panels they enclose the median in {100 * least.share:.0f} % of the logs and "
        "are too narrow, which the remarks of a fit say below 6 failures.",
        "",
    ]


HEAD = f"""\
# Validation of overcoat {overcoat.__version__}

Written by `python tests/validation/report.py`; statistics only, no row of measured data is printed. What is compared:
losses of the first year and over the years against measured sites, published tables, time of wetness against other
counts, films against published lives, stainless exposures, bounds of fitted records against simulated logs. Measured data: ISO CORRAG (Knotkova, Dean & Kreislova, ASTM DS71, 2010), MICAT
(Morcillo et al. 2012, doi:10.1155/2012/824365) and UN/ECE ICP Materials, the three as integrated by Chico et al. 2017
(doi:10.3390/ma10060601); Mikhailov, Strekalov & Panchenko 2008 (doi:10.1134/S0033173208070023); the Chinese
natural-environment corrosion test network, public compilation. Part of the data of these programmes is kept back for
checks by others.
"""


def report(reference: Path, out: Path, with_figures: bool) -> Path:
    """Writes the report and its figures; returns the page."""
    out.mkdir(parents=True, exist_ok=True)
    drawn = out if with_figures else None
    lines = films()
    lines += exposures_of_stainless()
    lines += hot_and_sheltered()
    lines += losses(reference, drawn)
    lines += years(reference, drawn)
    lines += tables(reference)
    lines += wet_hours(reference)
    lines += bounds()
    lines = [HEAD, *off_first(lines)]
    page = out / "REPORT.md"
    page.write_text("\n".join(lines).rstrip() + "\n", encoding="utf-8")
    return page


def main() -> int:
    parser = argparse.ArgumentParser(description="Write the validation report.")
    parser.add_argument("--out", type=Path, required=True, help="folder to write into")
    parser.add_argument("--without-figures", action="store_true", help="text and tables only")
    options = parser.parse_args()
    folder = os.environ.get("OVERCOAT_REFERENCE")
    if not folder or not Path(folder).is_dir():
        print("error: OVERCOAT_REFERENCE names no folder of reference tables", file=sys.stderr)
        return 2
    print(report(Path(folder).resolve(), options.out, not options.without_figures))
    return 0


if __name__ == "__main__":
    sys.exit(main())
