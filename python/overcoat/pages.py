"""An answer as HTML: one self-contained page to mail, and fragments for notebooks."""

from __future__ import annotations

import io
import json
from functools import cache
from typing import TYPE_CHECKING, Any

from overcoat._core import Papers, percent_in_words
from overcoat._refusal import how_many, one_of, ranking_of

if TYPE_CHECKING:
    from jinja2 import Environment
    from matplotlib.figure import Figure

    from overcoat._core import Brief, Finding, Option, Outlook, Ranking

__all__ = ["answer_page", "papers_page"]


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    # Everything that a user wrote is escaped; only our own pictures are marked safe.
    environment = Environment(
        loader=PackageLoader("overcoat"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    # a number and its unit stay on one line
    for name, words in (
        ("years", years_in_words),
        ("percent", percent_in_words),
        ("amount", amount_in_words),
    ):
        environment.filters[name] = lambda value, words=words: words(value).replace(" ", "\u00a0")
    environment.filters["words"] = lambda name: str(name).replace("_", " ")
    environment.filters["plain"] = plain_value
    environment.globals["said"] = said_in_words
    return environment


def years_in_words(years: float) -> str:
    """Years as one would say them; beyond a century the model says no more than that."""
    if years > 100:
        return "over 100 a"
    if years >= 10:
        return f"{years:.0f} a"
    if years >= 1:
        return f"{years:.1f} a"
    if years >= 1.5 / 12:
        return f"{years * 12:.0f} months"
    if years >= 1.5 / 365.25:
        return f"{years * 365.25:.0f} days"
    return "a day or less"


def plain_value(value: Any) -> str:
    """A value of a brief as one would write it: lists with commas, numbers without trailing zeros."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, list):
        return ", ".join(plain_value(item) for item in value)
    if isinstance(value, dict):
        return "; ".join(said_in_words(key, item) for key, item in value.items())
    return str(value)


# What ends the name of a field of a brief, as it stands behind its number.
_UNITS = {
    "mg_m2_day": "mg/(m²·d)",
    "um": "µm",
    "mm": "mm",
    "m": "m",
    "dm2": "dm²",
    "g": "g",
    "hv": "HV",
    "pct": "%",
    "c": "°C",
}


def said_in_words(field: str, value: Any) -> str:
    r"""A field of a brief with its value: words, number, unit.

    Examples
    --------
    >>> said_in_words("heat_peak_c", 380.0), said_in_words("failure", "first_rust")
    ('heat peak: 380\xa0°C', 'failure: first_rust')
    """
    for end, unit in _UNITS.items():
        if field.endswith(f"_{end}"):
            name = field.removesuffix(f"_{end}").replace("_", " ")
            return f"{name}: {plain_value(value)}\u00a0{unit}"
    return f"{field.replace('_', ' ')}: {plain_value(value)}"


def amount_in_words(amount: float) -> str:
    """An amount of money with two or three significant figures."""
    if amount >= 1e6:
        return f"{amount / 1e6:.1f} M"
    return f"{amount:,.0f}".replace(",", " ")


def _svg(figure: Figure, name: str) -> str:
    """The figure as inline SVG; `name` keeps its identifiers apart from those of other figures."""
    import re

    from markupsafe import Markup
    from matplotlib import rc_context

    buffer = io.StringIO()
    # Fixed salt and no date: the same answer gives the same page.
    with rc_context({"svg.hashsalt": "overcoat", "svg.fonttype": "none"}):
        figure.savefig(buffer, format="svg", metadata={"Date": None})
    text = buffer.getvalue()
    text = re.sub(r'\bid="', f'id="{name}-', text)
    text = re.sub(r'(href="#|url\(#)', rf"\g<1>{name}-", text)
    return Markup(text[text.index("<svg") :])


def _pictures(ranking: Ranking) -> dict[str, str | None]:
    """The pictures, where matplotlib is there; a page without them is complete in words."""
    try:
        from overcoat import plots
    except ImportError:
        return {"survival": None, "shares": None}
    return {
        "survival": _svg(plots.survival(ranking), "survival"),
        "shares": _svg(plots.shares(ranking), "shares"),
    }


def _blocked_by_reason(answer: dict[str, Any]) -> list[tuple[str, list[str]]]:
    """Blocked builds under the first reason that blocks them."""
    groups: dict[str, list[str]] = {}
    for option in answer["options"]:
        if option["blocked"]:
            reason = next(f["message"] for f in option["findings"] if f["kind"] == "blocks")
            groups.setdefault(reason, []).append(option["name"])
    return sorted(groups.items(), key=lambda group: -len(group[1]))


def answer_page(ranking: Ranking, top: int = 12) -> str:
    """One self-contained page: answer, question, why, assumptions, why not the others, papers, sources."""
    from markupsafe import Markup

    from overcoat._firmness import firmness_lines

    answer = json.loads(ranking_of(ranking).to_json())
    top = how_many(top)
    best = ranking.best
    return (
        _environment()
        .get_template("answer.html")
        .render(
            answer=answer,
            options=[option for option in answer["options"] if not option["blocked"]][:top],
            open_count=sum(not option["blocked"] for option in answer["options"]),
            blocked=_blocked_by_reason(answer),
            pictures={} if best is None else _pictures(ranking),
            firmness=firmness_lines(ranking),
            # the core escapes what a user wrote, so its fragment is safe as it is
            papers=None if best is None else Markup(best.papers().to_html()),
        )
    )


def papers_page(papers: Papers, ranking: Ranking) -> str:
    """Route, order note and acceptance plan as one self-contained page."""
    from markupsafe import Markup

    # The core escapes what a user wrote, so its fragment is safe as it is.
    one_of("papers", papers, Papers, "Take `papers()` of an option.")
    ranking_of(ranking)
    return (
        _environment()
        .get_template("papers.html")
        .render(name=json.loads(ranking.to_json())["brief"]["name"], fragment=Markup(papers.to_html()))
    )


def ranking_fragment(ranking: Ranking, top: int = 8) -> str:
    """The verdict and the first builds as a table."""
    answer = json.loads(ranking.to_json())
    return (
        _environment()
        .get_template("ranking.html")
        .render(
            answer=answer,
            options=[option for option in answer["options"] if not option["blocked"]][:top],
            open_count=sum(not option["blocked"] for option in answer["options"]),
        )
    )


def survival_picture(ranking: Ranking) -> str:
    """The outlook of the first builds as inline SVG; nothing where all are blocked or without matplotlib."""
    try:
        from overcoat import plots
    except ImportError:
        return ""
    return "" if ranking.best is None else str(_svg(plots.survival(ranking), "survival"))


def refusal_fragment(message: str) -> str:
    """Why input was refused, for the place where an answer would stand."""
    from markupsafe import escape

    return f'<p role="alert"><strong>Refused:</strong> {escape(message)}</p>'


def finding_fragment(finding: Finding) -> str:
    """One finding with its mend and source."""
    text = _environment().get_template("finding.html").render(finding=finding)
    return f'<p class="overcoat">{text}</p>'


def option_fragment(option: Option) -> str:
    """One build with its outlook, findings and cost."""
    return _environment().get_template("option.html").render(option=option)


def outlook_fragment(outlook: Outlook) -> str:
    """Years and what carries the uncertainty."""
    return _environment().get_template("outlook.html").render(outlook=outlook)


def brief_fragment(brief: Brief) -> str:
    """A brief as a list of its fields."""
    return _environment().get_template("brief.html").render(brief=json.loads(brief.to_json()))
