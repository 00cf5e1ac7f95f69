"""Pictures, pages and panels of what no sane inquiry holds: a right figure, or an error of our own."""

import dataclasses
import io
import json
import math
import warnings

import pytest

import overcoat
from overcoat import plots

NAMES = [
    "<img src=x onerror=alert(1)>",
    r"wax $\frac{a_b^",
    "$x$ wax_2^3 $y",
    "воск \U0001f600 שעווה",
    "\u202eturned",
    "x" * 3000,
    "$",
    "a & b \"c\" 'd'",
]


def ranking_of(name, **duty) -> overcoat.Ranking:
    """A ranking whose brief, catalog and film are called so."""
    wax = json.loads(overcoat.Catalog.default().to_json())["films"]["hard_wax"]
    catalog = {"schema": "overcoat.catalog.v1", "name": name, "films": {name: {**wax, "name": name}}}
    brief = {
        "schema": "overcoat.brief.v1",
        "name": name,
        "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
        "duty": {"place": "rural", "required_years": 5} | duty,
        "wants": {"builds": [{"treatment": "hot_alkaline", "films": [name]}]},
    }
    return overcoat.rank(
        overcoat.Brief.from_json(json.dumps(brief)), overcoat.Catalog.from_json(json.dumps(catalog))
    )


def drawn(figure) -> bytes:
    """The figure as SVG and PNG; what the font cannot write is a box, which matplotlib warns of."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph", UserWarning)
        warnings.filterwarnings("ignore", "Matplotlib currently does not support", UserWarning)
        made = io.BytesIO()
        figure.savefig(made, format="svg")
        figure.savefig(io.BytesIO(), format="png", dpi=50)
    return made.getvalue()


def study(**other) -> overcoat.types.Sensitivity:
    brief = overcoat.Brief.from_json(
        """{"schema": "overcoat.brief.v1", "name": "gate",
        "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
        "duty": {"place": "rural", "required_years": 5}}"""
    )
    found = overcoat.sensitivity(brief, "steel_4_6 / hot_alkaline / hard_wax", points=4)
    return dataclasses.replace(found, **other)


@pytest.mark.parametrize("name", NAMES)
def test_names_are_drawn_as_they_are_and_escaped_on_pages(name):
    ranking = ranking_of(name)
    brief = overcoat.Brief.from_json(json.dumps(json.loads(ranking.to_json())["brief"]))
    for figure in (
        plots.survival(ranking),
        plots.shares(ranking),
        plots.tornado(brief, ranking.best),
        plots.operating_characteristic(ranking.best.papers()),
    ):
        assert b"<script>alert" not in drawn(figure)
        for axes in figure.axes:
            # a name takes a line or two, however long
            assert all(len(label.get_text()) < 200 for label in axes.get_yticklabels())
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph|Matplotlib currently", UserWarning)
        page = ranking.page()
        shown = ranking._repr_html_() + ranking.best._repr_html_() + ranking.best.papers().to_html()
    for html in (page, shown, ranking.best.papers().page()):
        assert "<script>alert" not in html
        assert "<script>" not in name or "&lt;script&gt;" in html


@pytest.mark.parametrize("name", NAMES)
def test_names_of_factors_and_builds_are_no_formulas(name):
    found = study()
    bars = [dataclasses.replace(bar, name=name) for bar in found.tornado]
    indices = [dataclasses.replace(index, name=name) for index in found.sobol]
    other = study(tornado=bars, sobol=indices, build=f"steel_4_6 / hot_alkaline / {name}")
    assert b"<script>" not in drawn(plots.tornado_bars(other)) + drawn(plots.sobol_bars(other))


def test_a_dollar_is_a_dollar():
    svg = drawn(plots.shares(ranking_of("$x$ wax_2^3 $y")))
    with_comment = svg.decode()
    assert "<!-- $x$ wax_2^3 $y -->" in with_comment or "$x$ wax_2^3 $y" in with_comment


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_numbers_without_a_place_on_an_axis_are_refused(bad):
    found = study()
    for other in (
        study(nominal=bad),
        study(tornado=[dataclasses.replace(found.tornado[0], at_high=bad)]),
    ):
        with pytest.raises(overcoat.InvalidValueError, match="finite"):
            plots.tornado_bars(other)
    for which in ("first_order", "first_order_error", "total", "total_error"):
        other = study(sobol=[dataclasses.replace(found.sobol[0], **{which: bad})])
        with pytest.raises(overcoat.InvalidValueError, match="finite"):
            plots.sobol_bars(other)


def test_more_than_a_page_shows_is_refused_and_nothing_is_drawn_as_nothing():
    found = study()
    with pytest.raises(overcoat.InvalidValueError, match="at most 60"):
        plots.tornado_bars(study(tornado=found.tornado * 2000), least=0)
    with pytest.raises(overcoat.InvalidValueError, match="at most 60"):
        plots.sobol_bars(study(sobol=found.sobol * 2000), least=-1)
    ranking = ranking_of("wax")
    for draw, most in ((plots.survival, 24), (plots.shares, 60)):
        with pytest.raises(overcoat.InvalidValueError, match=f"1 to {most}"):
            draw(ranking, top=most + 1)
    # no bar, bars of no length, bars of one value
    for other in (
        study(tornado=[]),
        study(tornado=[dataclasses.replace(found.tornado[0], at_low=found.nominal, at_high=found.nominal)]),
        study(nominal=0.0, tornado=[dataclasses.replace(found.tornado[0], at_low=0.0, at_high=0.0)]),
    ):
        drawn(plots.tornado_bars(other))
    drawn(plots.sobol_bars(study(sobol=[])))


def test_blocked_builds_alone_make_an_empty_picture():
    ranking = ranking_of("wax", heat_continuous_c=500)
    blocked = [option.blocked for option in ranking]
    drawn(plots.survival(ranking))
    drawn(plots.shares(ranking))
    drawn(plots.cost_probability(ranking))
    assert len(plots.shares(ranking).axes[0].get_yticklabels()) == blocked.count(False)


@pytest.mark.parametrize("years", [0.01, 100])
@pytest.mark.parametrize("loss", [1e-3, 2000.0])
def test_huge_ranges(years, loss):
    ranking = ranking_of("wax", required_years=years, first_year_steel_loss_um=loss)
    brief = overcoat.Brief.from_json(json.dumps(json.loads(ranking.to_json())["brief"]))
    figure = plots.survival(ranking, top=24)
    low, high = figure.axes[0].get_xlim()
    assert 0 == low < years <= high
    drawn(figure)
    drawn(plots.tornado(brief, ranking[0]))
    for first in (1e-12, 1e12):
        drawn(plots.loss_growth(first, years=1e6))


def test_many_builds_have_lines_of_their_own():
    brief = overcoat.Brief.from_json(
        """{"schema": "overcoat.brief.v1", "name": "gate",
        "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5},
        "duty": {"place": "rural", "required_years": 5}}"""
    )
    ranking = overcoat.rank(brief)
    figure = plots.survival(ranking, top=24)
    drawn(figure)
    curves = [line for line in figure.axes[0].lines if len(line.get_xdata()) > 2]
    looks = {(line.get_color(), str(line._unscaled_dash_pattern)) for line in curves}
    assert len(looks) == len(curves) >= 12
    drawn(plots.shares(ranking, top=60))


def test_records_of_one_row_and_of_many_alike():
    for hours, failed in (
        ([48.0, 48.1], [True, True]),
        ([1e-3, 1e5, 1e5], [True, True, True]),
        ([48.0] * 300 + [49.0], [True] * 301),
    ):
        drawn(plots.probability_plot(overcoat.fit_records(hours, failed)))
    with pytest.raises(overcoat.InvalidValueError, match="none failed"):
        plots.probability_plot(overcoat.fit_records([48.0, 72.0], [False, False], film="hard_wax"))
    with pytest.raises(overcoat.TableError):
        plots.wetness_year([], [], [])
    drawn(plots.wetness_year([1], [5.0], [90.0], range(1, 13), [0.0] * 12))
