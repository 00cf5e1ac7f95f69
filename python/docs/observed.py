"""The observations behind the numbers of an entry: a table, a picture, what is computed from them."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from html import escape
from typing import Any

TESTS = {
    "salt_spray": "neutral salt spray",
    "humidity": "humidity cabinet",
    "cyclic": "cyclic test",
    "indoors": "indoors",
    "outdoors": "outdoors",
    "erosion": "erosion",
    "service": "service",
}
# Hours in the cabinet, and years of life: one axis each.
AXES = {"hours in the cabinet": {"h": 1.0}, "years": {"a": 1.0, "months": 1 / 12, "d": 1 / 365.25}}
UNITS = {
    "ratio": "",
    "share": "%",
    "exponent": "",
    "a": " years",
    "d": " days",
    "C": " °C",
    "g/m2": " g/m²",
    "um/a": " µm/yr",
    "mg/(dm2 d)": " mg/(dm²·d)",
}
WIDTH, LEFT, STEP = 720, 300, 22


@cache
def documents() -> dict[str, Any]:
    """Observations, and the numbers computed from them."""
    words = (sys.executable, "-m", "overcoat", "sources", "--json")
    done = subprocess.run(words, capture_output=True, encoding="utf-8", check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def figures(low: float | None, high: float | None, unit: str) -> str:
    """A value, a range or a bound."""
    times = 100.0 if unit == "share" else 1.0
    low, high = (end and times * end for end in (low, high))
    unit = UNITS.get(unit, f" {unit}")
    if low is None:
        return f"at most {high:g}{unit}"
    if high is None:
        return f"at least {low:g}{unit}"
    return f"{low:g}{unit}" if low == high else f"{low:g} to {high:g}{unit}"


def sentence(observation: dict[str, Any]) -> str:
    """What was observed with its figures and its source; words that have the figures stand alone."""
    known = figures(observation["low"], observation["high"], observation["unit"])
    what = observation["what"]
    said = what if known in what else f"{what}{';' if ':' in what else ':'} {known}"
    return f"{said} ({observation['source']['citation']})"


def picture(title: str, scale: dict[str, float], rows: list[dict[str, Any]]) -> str:
    """Ranges as bars, values as dots, bounds as bars that fade, on a logarithmic axis."""
    ends = [
        (o["low"] and o["low"] * scale[o["unit"]], o["high"] and o["high"] * scale[o["unit"]], o["what"])
        for o in rows
    ]
    values = [end for low, high, _ in ends for end in (low, high) if end]
    first = math.floor(math.log10(min(values)))
    last = max(math.ceil(math.log10(max(values))), first + 1)

    def x(value: float) -> float:
        return LEFT + (math.log10(value) - first) / (last - first) * (WIDTH - LEFT - 20)

    height = STEP * len(rows) + 44
    parts = [
        f'<svg viewBox="0 0 {WIDTH} {height}" role="img" aria-label="{escape(title)}: what was observed" '
        'font-size="12" fill="currentColor">'
    ]
    for power in range(first, last + 1):
        at = x(10.0**power)
        parts.append(
            f'<line x1="{at:.0f}" x2="{at:.0f}" y1="6" y2="{height - 34}" '
            'stroke="currentColor" opacity="0.25"/>'
        )
        parts.append(f'<text x="{at:.0f}" y="{height - 20}" text-anchor="middle">{10.0**power:g}</text>')
    for place, (low, high, what) in enumerate(ends):
        y = 16 + STEP * place
        short = what if len(what) <= 46 else what[:45] + "…"
        parts.append(f'<text x="2" y="{y + 4}">{escape(short)}</text>')
        start, end = x(low) if low else LEFT, x(high) if high else WIDTH - 20
        faint = "" if low and high else ' opacity="0.45" stroke-dasharray="5 4"'
        parts.append(
            f'<line x1="{start:.0f}" x2="{end:.0f}" y1="{y}" y2="{y}" '
            f'stroke="currentColor" stroke-width="4"{faint}/>'
        )
        for edge in (low, high):
            if edge:
                parts.append(f'<circle cx="{x(edge):.0f}" cy="{y}" r="4"/>')
    parts.append(f'<text x="{WIDTH - 20}" y="{height - 4}" text-anchor="end">{escape(title)}</text></svg>')
    caption = "Bars are ranges, dots their ends or single values; a broken bar goes on beyond a bound."
    return (
        f'<figure class="observed" tabindex="0">{"".join(parts)}<figcaption>{caption}</figcaption></figure>'
    )


def cell(text: str) -> str:
    """Text for a cell of a table."""
    return text.replace("|", "\\|").replace("<", "&lt;").replace("*", "\\*").replace("_", "\\_")


def section(kind: str, name: str, spoken: Callable[[str], str]) -> list[str]:
    """What was observed of an entry of the catalog, and what follows for its numbers; fields are `spoken`."""
    rows = [o for o in documents()["observations"] if name in re.split(r"[ /+]+", o["build"])]
    lines = ["## Observations", ""]
    if not rows:
        return [*lines, "None was found: its numbers rest on what the table above says.", ""]
    for title, scale in AXES.items():
        drawn = [o for o in rows if o["unit"] in scale]
        if drawn:
            lines += [picture(title, scale, drawn), ""]
    lines += [
        "| observed | how | figures | source | read | computed from it |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for o in rows:
        lines.append(
            f"| {cell(o['what'])} | {TESTS[o['test']]} | {figures(o['low'], o['high'], o['unit'])} "
            f"| {cell(o['source']['citation'])} | {cell(o['read'])} | {'yes' if o['fitted'] else 'no'} |"
        )
    lines.append("")
    computed = [
        (number, entry)
        for number in documents()["computed"]
        for entry in number["sets"]
        if entry["path"].startswith(f"{kind}.{name}.")
    ]
    if computed:
        what = {o["key"]: o["what"] for o in documents()["observations"]}
        lines += [
            "Computed from observations, before and after:",
            "",
            "| number | before any observation | after | moved by |",
            "| --- | --- | --- | --- |",
        ]
        for number, entry in computed:
            field = entry["path"].split(".", 2)[2].removesuffix(".median").removesuffix(".value")
            before, after = math.exp(number["prior_log_sd"]), math.exp(number["log_sd"])
            moved = "; ".join(cell(what[key]) for key in number["observations"]) or "nothing"
            lines.append(
                f"| {': '.join(map(spoken, field.split('.')))} | within a factor of {before:.1f} "
                f"| {entry['value']:.3g}, within a factor of {after:.1f} | {moved} |"
            )
        lines.append("")
    return lines
