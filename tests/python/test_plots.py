"""Pictures: each draws, names the unit of every axis, and says the same in grey as in color."""

import csv
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest

import overcoat

pytest.importorskip("matplotlib")

from matplotlib.figure import Figure
from matplotlib.text import Text

from overcoat import plots
from overcoat.plots._look import plain_numbers
from overcoat.whatif import BreakEven, BreakEvenLine, Crossing, Stretch

DEMO = Path(__file__).resolve().parents[2] / "demo-data"
UNIT = re.compile(r"\[[^\]]+\]")


@pytest.fixture(scope="module")
def brief(demo):
    return overcoat.Brief.from_json(demo / "briefs" / "deck-fitting.json")


@pytest.fixture(scope="module")
def ranking(brief):
    return overcoat.rank(brief)


@pytest.fixture(scope="module")
def record(demo):
    with open(demo / "climate_hourly.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    column = {
        name: [float(row[name]) if row[name] else np.nan for row in rows]
        for name in ("temperature_c", "relative_humidity_pct")
    }
    return [row["time"] for row in rows], column["temperature_c"], column["relative_humidity_pct"]


def even():
    """Paint and powder by the required years, over salt: the longer, the better the dearer one."""
    brief = overcoat.Brief.from_json(
        """{"schema": "overcoat.brief.v1", "name": "gate", "part": {"form": "bracket", "mass_g": 300,
        "surface_dm2": 2.5, "base_metal": "steel_4_6"}, "duty": {"place": "rural", "required_years": 5}}"""
    )
    black = "steel_4_6 / hot_alkaline"
    builds = [f"{black} / air_dry_paint", f"{black} / epoxy_electrocoat + polyester_powder"]
    over = {"chloride_mg_m2_day": [2, 10, 30, 100]}
    return overcoat.break_even(brief, builds, required_years=(1, 20), over=over)


def hangs_on(brief, ranking):
    return overcoat.sensitivity(brief, ranking.best.build, points=32, temperature_c=(5, 20))


DRAWINGS = {
    "survival": lambda brief, ranking, record: plots.survival(ranking),
    "shares": lambda brief, ranking, record: plots.shares(ranking),
    "cost_probability": lambda brief, ranking, record: plots.cost_probability(ranking),
    "tornado": lambda brief, ranking, record: plots.tornado(brief, ranking.best),
    "environment_map": lambda brief, ranking, record: plots.environment_map(brief, steps=4),
    "loss_growth": lambda brief, ranking, record: plots.loss_growth(48.0),
    "wetness_year": lambda brief, ranking, record: plots.wetness_year(
        *record, salt_months=[11, 12, 1], chloride_mg_m2_day=[30.0] * 12
    ),
    "break_even_line": lambda brief, ranking, record: plots.break_even_line(even()),
    "tornado_bars": lambda brief, ranking, record: plots.tornado_bars(hangs_on(brief, ranking)),
    "sobol_bars": lambda brief, ranking, record: plots.sobol_bars(hangs_on(brief, ranking)),
    "operating_characteristic": lambda brief, ranking, record: plots.operating_characteristic(
        ranking.best.papers()
    ),
    "probability_plot": lambda brief, ranking, record: plots.probability_plot(
        overcoat.fit_records([48.0, 60.0, 72.0, 90.0, 96.0], [True] * 4 + [False])
    ),
    "calibration": lambda brief, ranking, record: plots.calibration(
        overcoat.backtest(DEMO / "field_log.csv")
    ),
}


@pytest.fixture(scope="module", params=DRAWINGS)
def figure(request, brief, ranking, record) -> Figure:
    return DRAWINGS[request.param](brief, ranking, record)


def test_every_picture_is_drawn_here():
    assert set(DRAWINGS) == set(plots.__all__)


def test_a_figure_draws_and_its_axes_have_units(figure):
    assert isinstance(figure, Figure)
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=50)
    assert buffer.getvalue().startswith(b"\x89PNG")
    for axes in figure.axes:
        named = [axes.get_ylabel()] if any(axes.get_shared_x_axes().get_siblings(axes)[:-1]) else []
        bars = all(label.get_text() for label in axes.get_yticklabels()) and axes.yaxis_inverted()
        for label in named or [axes.get_xlabel(), *([] if bars else [axes.get_ylabel()])]:
            # months are words and have no unit
            worded = label == axes.get_xlabel() and axes.get_xticklabels()[0].get_text() == "Jan"
            assert worded or UNIT.search(label), (axes, label)


def test_nothing_that_a_reader_sees_is_a_catalog_key(figure):
    catalog = overcoat.Catalog.default()
    keys = [key for key in (*catalog.base_metals, *catalog.treatments, *catalog.films) if "_" in key]
    legends = [text for legend in figure.legends for text in legend.get_texts()]
    for axes in figure.axes:
        own = axes.get_legend()
        ticks = [*axes.get_xticklabels(), *axes.get_yticklabels()]
        shown = [axes.xaxis.label, axes.yaxis.label, *axes.texts, *ticks, *(own.get_texts() if own else [])]
        words = [axes.get_title(loc="left"), *(text.get_text() for text in (*shown, *legends))]
        assert not [(key, text) for text in words for key in keys if key in text]


def test_every_picture_says_what_it_shows(figure):
    assert figure.axes[0].get_title(loc="left")


def test_no_title_runs_past_the_end_of_its_plot(figure):
    figure.draw_without_rendering()
    for axes in figure.axes:
        heading = axes.get_title(loc="left")
        for text in axes.get_children():
            if isinstance(text, Text) and heading and text.get_text() == heading:
                assert text.get_window_extent().x1 <= axes.get_window_extent().x1 + 2


def test_lines_and_areas_differ_in_grey_too(figure):
    for axes in figure.axes:
        lines = [
            line for line in axes.lines if not line.get_label().startswith("_") and len(line.get_xdata())
        ]
        dashes = [str(line._unscaled_dash_pattern) for line in lines if line.get_linestyle() != "None"]
        assert len(dashes) == len(set(dashes))
        handles, labels = axes.get_legend_handles_labels()
        areas = {
            label: (handle.patches[0].get_hatch(), handle.patches[0].get_facecolor())
            for handle, label in zip(handles, labels, strict=True)
            if hasattr(handle, "patches")
        }
        looks = [
            (hatch, round(0.3 * red + 0.59 * green + 0.11 * blue, 2))
            for hatch, (red, green, blue, _) in areas.values()
        ]
        assert len(looks) == len(set(looks))


def test_a_name_with_dollar_signs_is_no_formula(brief):
    document = {
        "schema": "overcoat.catalog.v1",
        "name": "own",
        "sources": {"s": {"firmness": "assumption", "citation": "invented"}},
        "films": {
            "epoxy_electrocoat": {"name": "film $\\frac{1$", "price_per_dm2": {"value": 1, "source": "s"}}
        },
    }
    ranking = overcoat.rank(brief, overcoat.Catalog.from_json(json.dumps(document)))
    plots.tornado(brief, ranking.best).savefig(io.BytesIO())
    plots.shares(ranking).savefig(io.BytesIO())


def test_a_survival_line_says_its_probability_at_the_required_years(ranking):
    figure = plots.survival(ranking, top=1)
    label = figure.legends[0].get_texts()[0].get_text()
    chance = ranking.best.outlook.survival(ranking.brief.duty.required_years)
    assert f"{100 * chance:.0f}% after 5 years" in label
    assert figure.axes[0].get_xlim()[0] == 0


def test_no_point_lies_above_and_left_of_the_front(ranking):
    axes = plots.cost_probability(ranking).axes[0]
    lines = {line.get_label(): np.transpose(line.get_data()).tolist() for line in axes.lines}
    of = {True: [], False: []}
    for option in ranking:
        if not option.blocked:
            of[option.on_pareto_front].append([option.cost.per_thousand, 100 * option.outlook.probability_ok])
    assert sorted(lines["_front"]) == sorted(of[True]) and len(of[True]) > 1
    others = lines["beaten by an option on the line"]
    assert sorted(others) == sorted(of[False])
    for cost, probability in others:
        assert any(x <= cost and y >= probability for x, y in lines["_front"])
    best = [ranking.best.cost.per_thousand, 100 * ranking.best.outlook.probability_ok]
    assert [points for label, points in lines.items() if label.startswith("#1 ")] == [[best]]


def test_lines_that_cannot_be_told_apart_are_drawn_once(ranking):
    figure = plots.survival(ranking, top=24)
    drawn = [line for line in figure.axes[0].lines if len(line.get_xdata()) > 2]
    assert 2 <= len(drawn) < 24
    time = np.linspace(0, figure.axes[0].get_xlim()[1], 500)
    curves = [np.interp(time, *line.get_data()) for line in drawn]
    for i, one in enumerate(curves):
        assert all(np.abs(one - other).max() > 1 for other in curves[:i])


def test_records_between_two_looks_are_drawn_as_bars():
    fitted = overcoat.fit_records(DEMO / "salt_spray_log.csv", film="hard_wax")
    points = fitted.probability_plot()
    assert all(start < end for start, end, _ in points)
    axes = plots.probability_plot(fitted).axes[0]
    (bars,) = axes.containers
    spans = [segment[:, 0].tolist() for segment in bars[2][0].get_segments()]
    shown = [[start, end] for start, end, share in points if 0.015 < share < 0.985]
    assert np.array(spans) == pytest.approx(np.array(shown))


def test_the_bars_of_a_tornado_are_the_roots_of_the_shares(brief, ranking):
    option = ranking.best
    axes = plots.tornado(brief, option, least=0.0).axes[0]
    ends = sorted({round(bar.get_x() + bar.get_width(), 6) for bar in axes.patches})
    median, sd = option.outlook.median_years, option.outlook.log_sd
    share = max(option.outlook.variance_shares.values())
    assert ends[-1] == pytest.approx(median * np.exp(np.sqrt(share) * sd), rel=1e-4)
    assert ends[0] == pytest.approx(median * np.exp(-np.sqrt(share) * sd), rel=1e-4)


def test_the_map_agrees_with_a_ranking_at_the_same_air(brief):
    figure = plots.environment_map(brief, steps=2)
    question = json.loads(brief.to_json())
    (collection, *_) = figure.axes[0].collections
    left, below = collection.get_paths()[0].vertices.min(axis=0)
    right, above = collection.get_paths()[0].vertices.max(axis=0)
    question["duty"] |= {
        "chloride_mg_m2_day": float(np.sqrt(left * right)),
        "temperature_c": float((below + above) / 2),
        "so2_mg_m2_day": 3.0,
        "relative_humidity_pct": 79.0,
    }
    best = overcoat.rank(overcoat.Brief.from_json(json.dumps(question))).best
    first = figure.legends[0].get_texts()[0].get_text()
    assert first.replace("\n", ", ") == best.short_name


def test_the_map_moves_the_air_of_a_category_and_says_what_it_lacks(brief):
    known = brief.replace(place="coastal", corrosivity="C5")
    assert plots.environment_map(known, steps=1).legends[0].get_texts()
    with pytest.raises(overcoat.InvalidValueError, match="add relative_humidity_pct, so2_mg_m2_day"):
        plots.environment_map(brief.replace(place=None, corrosivity="C5"), steps=1)


def test_the_map_refuses_a_place_indoors(brief):
    question = json.loads(brief.to_json())
    question["duty"]["place"] = "indoor_heated"
    with pytest.raises(overcoat.InvalidValueError, match="indoor"):
        plots.environment_map(overcoat.Brief.from_json(json.dumps(question)), steps=1)


def test_the_map_chooses_from_the_builds_named(brief):
    figure = plots.environment_map(
        brief, steps=3, builds=[{"treatment": "hot_alkaline", "films": ["hard_wax"]}], against="so2_mg_m2_day"
    )
    assert [text.get_text() for text in figure.legends[0].get_texts()] == [
        "steel 5.8, black oxide class 1\nhard wax"
    ]


@pytest.mark.parametrize(
    ("metal", "bounds"),
    # upper bounds printed in ISO 9223:2012, Table 2
    [("steel", [1.3, 25, 50, 80, 200]), ("zinc", [0.1, 0.7, 2.1, 4.2, 8.4])],
)
def test_the_bands_meet_the_bounds_of_the_standard_after_one_year(metal, bounds):
    axes = plots.loss_growth(1.0, metal).axes[0]
    tops = []
    for band in axes.collections[:5]:
        corners = band.get_paths()[0].vertices
        upper = {x: max(y for a, y in corners if a == x) for x in corners[:, 0]}
        x = sorted(upper)
        tops.append(np.exp(np.interp(0.0, np.log(x), np.log([upper[a] for a in x]))))
    assert tops == pytest.approx(bounds, rel=1e-3)


@pytest.mark.parametrize("words", [{"first_year_loss_um": 0.0}, {"first_year_loss_um": 5.0, "years": 0.5}])
def test_growth_refuses_what_has_no_logarithm(words):
    with pytest.raises(overcoat.InvalidValueError):
        plots.loss_growth(**words)


def test_the_months_of_a_record_are_shares_of_its_readings(record):
    time, temperature, humidity = record
    axes = plots.wetness_year(time, temperature, humidity).axes[0]
    january = [i for i, stamp in enumerate(time) if stamp[5:7] == "01"]
    read = [(temperature[i], humidity[i]) for i in january if not np.isnan(temperature[i] + humidity[i])]
    wet = sum(t > 0 and h > 80 for t, h in read)
    assert axes.patches[0].get_height() == pytest.approx(100 * wet / len(read))


def test_a_record_has_the_columns_that_its_picture_takes(demo, record):
    time, temperature, humidity = record
    read = overcoat.ClimateRecord.from_csv(demo / "climate_hourly.csv")
    assert read.step_hours == 1.0 and len(read.month) == len(read)
    # the record has rows that the file lacks, as gaps
    assert np.nanmean(read.temperature_c) == pytest.approx(np.nanmean(temperature))
    assert np.nanmean(read.relative_humidity_pct) == pytest.approx(np.nanmean(humidity))
    of_file = plots.wetness_year(time, temperature, humidity).axes[0]
    of_record = plots.wetness_year(read.month, read.temperature_c, read.relative_humidity_pct).axes[0]
    heights = [[bar.get_height() for bar in axes.patches] for axes in (of_file, of_record)]
    assert heights[0] == pytest.approx(heights[1])


def test_a_month_without_readings_is_said():
    figure = plots.wetness_year(["2023-03-01T00:00"], [5.0], [90.0])
    assert sum("no" in text.get_text() for text in figure.axes[0].texts) == 11
    figure.savefig(io.BytesIO())


@pytest.mark.parametrize(
    "words",
    [
        {"temperature_c": [5.0, 6.0]},
        {"salt_months": [13]},
        {"time": [13]},
        {"time": [0]},
        {"time": None},
        {"chloride_mg_m2_day": [1.0]},
    ],
)
def test_columns_that_do_not_fit_are_refused(words):
    given = {"time": ["2023-03-01T00:00"], "temperature_c": [5.0], "relative_humidity_pct": [90.0]} | words
    with pytest.raises((overcoat.TableError, overcoat.InvalidValueError)):
        plots.wetness_year(**given)


def test_the_line_passes_through_the_crossings():
    line = even()
    axes = plots.break_even_line(line).axes[0]
    dots = next(drawn for drawn in axes.lines if drawn.get_linestyle() == "None")
    drawn = list(zip(dots.get_xdata().tolist(), dots.get_ydata().tolist(), strict=True))
    found = [
        (point.settings["chloride_mg_m2_day"], crossing.at)
        for point in line.points
        for crossing in point.crossings
    ]
    assert drawn == found
    assert len(drawn) >= 2
    # no line stands upright: a leader that comes up between two values is led to the edge by a dashed line
    joined = [drawn.get_xdata() for drawn in axes.lines if drawn.get_linestyle() != "None"]
    assert all(left < right for left, right in joined)
    with pytest.raises(overcoat.InvalidValueError, match="one further input"):
        plots.break_even_line(type(line)({}, line.points[:1]))


def test_the_bars_of_a_study_are_its_numbers(brief, ranking):
    found = hangs_on(brief, ranking)
    bars = plots.tornado_bars(found, least=0.0).axes[0].patches
    ends = [bar.get_x() + bar.get_width() for bar in bars]
    assert ends == pytest.approx([end for bar in found.tornado for end in (bar.at_low, bar.at_high)])
    widths = sorted(bar.get_width() for bar in plots.sobol_bars(found, least=-1.0).axes[0].patches)
    assert widths == pytest.approx(
        sorted(share for index in found.sobol for share in (index.first_order, index.total))
    )


def lead(across, values, moved, stretches):
    """A line over `across`; each list has the leaders from 0 to 10 of `moved`, each with its start."""
    points = []
    for value, own in zip(values, stretches, strict=True):
        ends = [*(low for _, low in own[1:]), 10.0]
        parts = [Stretch(low, end, who, False, False) for (who, low), end in zip(own, ends, strict=True)]
        crossings = [
            Crossing(after.low, "crossing", before.leader, after.leader, 0.5, 0.5)
            for before, after in zip(parts[:-1], parts[1:], strict=True)
        ]
        points.append(BreakEven("A", "B", "score", moved, 0.0, 10.0, {across: value}, crossings, parts, ""))
    return BreakEvenLine({across: values}, points, {"A": "black oxide, wax", "B": "black oxide, powder"})


@pytest.mark.parametrize(
    ("stretches", "title"),
    [
        ([[("A", 0.0)]] * 4, "Wax leads in the whole range"),
        (
            [[("A", 0.0)], [("A", 0.0), ("B", 8.0)], [("A", 0.0), ("B", 2.0)], [("B", 0.0)]],
            "Powder leads beyond 1 to 4 required years, depending on chloride deposition",
        ),
        (
            [[("A", 0.0)], [("A", 0.0)], [("B", 0.0)], [("B", 0.0)]],
            "Powder leads beyond 2 to 3 required years",
        ),
        (
            [[("A", 0.0), ("B", at)] for at in (4.0, 3.0, 2.0, 1.0)],
            "Powder leads beyond chloride deposition of 1 to 4 mg/(m²·d), depending on required years",
        ),
        (
            [[("A", 0.0), ("B", 4.0)], [("B", 0.0), ("A", 3.0)], [("A", 0.0), ("B", 2.0)], [("B", 0.0)]],
            "The lead changes at chloride deposition of 2 to 4 mg/(m²·d), depending on required years",
        ),
        (
            [[("A", 0.0)], [("B", 0.0)], [("A", 0.0)], [("B", 0.0)]],
            "The lead changes with required years, not with chloride deposition",
        ),
    ],
)
def test_the_title_of_a_line_of_break_evens_says_who_leads_where(stretches, title):
    line = lead("required_years", [1.0, 2.0, 3.0, 4.0], "chloride_mg_m2_day", stretches)
    shown = plots.break_even_line(line).axes[0].get_title(loc="left")
    assert " ".join(shown.split()).startswith(title + " The leader has the higher score")


@pytest.mark.parametrize(("low", "high"), [(3.0, 4.0), (1.2, 9.0), (0.9, 30.0), (0.01, 50.0), (1e-4, 1e4)])
def test_a_logarithmic_axis_has_enough_numbers_to_be_read_and_not_too_many(low, high):
    figure = Figure()
    axes = figure.subplots()
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    plain_numbers(axes.xaxis)
    figure.canvas.draw()
    ticks = [tick for tick in axes.xaxis.get_majorticklocs() if low <= tick <= high]
    assert 3 <= len(ticks) <= 12, ticks
