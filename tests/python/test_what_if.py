"""The panel: what its controls say goes into a brief, and the answer is that of the brief."""

import html
import json
import sys

import pytest

import overcoat

pytest.importorskip("ipywidgets")


@pytest.fixture
def deck(demo):
    return overcoat.Brief.from_json(demo / "briefs" / "deck-fitting.json")


def duty(panel) -> dict:
    return json.loads(panel.brief.to_json())["duty"]


def shown(panel) -> str:
    return panel._answer.value


def test_untouched_it_shows_the_answer_of_the_brief(deck):
    panel = overcoat.panels.panel(deck)
    assert panel.brief == deck
    assert panel.ranking.verdict == overcoat.rank(deck).verdict
    assert shown(panel) == overcoat.rank(deck).fragment(6)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("place", "rural"),
        ("shelter", "sheltered"),
        ("required_years", 15.0),
        ("temperature_c", 20.0),
        ("relative_humidity_pct", 90.0),
        ("so2_mg_m2_day", 60.0),
        ("chloride_mg_m2_day", 300.0),
    ],
)
def test_each_control_reaches_the_answer(field, value, deck):
    panel = overcoat.panels.panel(deck)
    before = shown(panel)
    panel.controls[field].value = value
    document = json.loads(deck.to_json())
    document["duty"][field] = value
    asked = overcoat.rank(overcoat.Brief.from_json(json.dumps(document)))
    assert duty(panel) == document["duty"]
    assert panel.ranking.to_json() == asked.to_json()
    assert shown(panel) == asked.fragment(6) != before
    # and back
    usual = "" if field == "shelter" else panel._usual("coastal", field)
    panel.controls[field].value = duty(overcoat.panels.panel(deck)).get(field, usual)
    assert panel.brief == deck
    assert shown(panel) == before


def test_a_place_brings_its_air(deck):
    panel = overcoat.panels.panel(deck)
    panel.controls["temperature_c"].value = 25.0
    panel.controls["place"].value = "splash"
    assert panel.controls["chloride_mg_m2_day"].value == 600.0
    assert duty(panel)["place"] == "splash"
    assert not {"temperature_c", "chloride_mg_m2_day"} & set(duty(panel))


def test_without_a_place_the_four_numbers_count_as_measured(deck):
    panel = overcoat.panels.panel(deck)
    panel.controls["place"].value = ""
    assert "place" not in duty(panel)
    assert duty(panel)["chloride_mg_m2_day"] == 80.0
    assert json.loads(panel.ranking.to_json())["atmosphere"]["determination"] == "dose_response"


def test_what_the_brief_says_of_its_place_stays_said(deck):
    document = json.loads(deck.to_json())
    document["duty"] |= {"temperature_c": 12.0, "sea_distance_m": 50.0}  # 12 °C is also the place's
    brief = overcoat.Brief.from_json(json.dumps(document))
    panel = overcoat.panels.panel(brief)
    assert panel.brief == brief
    panel.controls["required_years"].value = 8.0
    assert duty(panel)["temperature_c"] == 12.0 and duty(panel)["sea_distance_m"] == 50.0


def test_a_measured_loss_has_a_slider_of_its_own(deck):
    document = json.loads(deck.to_json())
    document["duty"] = {"first_year_steel_loss_um": 30.0, "required_years": 5.0}
    panel = overcoat.panels.panel(overcoat.Brief.from_json(json.dumps(document)))
    assert "chloride_mg_m2_day" not in panel.controls
    panel.controls["first_year_steel_loss_um"].value = 60.0
    assert panel.ranking.first_year_steel_loss_um == 60.0


def test_a_value_beyond_the_slider_widens_it(deck):
    document = json.loads(deck.to_json())
    document["duty"] |= {"chloride_mg_m2_day": 1500.0, "required_years": 60.0}
    brief = overcoat.Brief.from_json(json.dumps(document))
    assert overcoat.panels.panel(brief).brief == brief


def test_a_panel_knows_the_words_of_the_industry():
    brief = overcoat.Brief(
        name="gangway",
        part={"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "A4"},
        duty={"place": "sea", "required_years": 5},
    )
    panel = overcoat.panels.panel(brief)
    assert panel.controls["base_metal"].value == "stainless_316"
    assert panel.controls["place"].value == "coastal"
    panel.controls["required_years"].value = 6
    assert panel.ranking.verdict == overcoat.rank(brief.replace(required_years=6)).verdict


def test_what_a_front_end_rounds_is_the_number_that_was_meant(deck):
    document = json.loads(deck.to_json())
    document["duty"]["temperature_c"] = 11.123456789
    brief = overcoat.Brief.from_json(json.dumps(document))
    panel = overcoat.panels.panel(brief)
    panel.controls["required_years"].value = 4.999999999999999
    assert panel.brief == brief
    panel.controls["temperature_c"].value = 17.000000000000004
    assert duty(panel)["temperature_c"] == 17.0


def test_a_refusal_stands_where_the_answer_was(deck):
    panel = overcoat.panels.panel(deck)
    last = panel.ranking
    panel.controls["temperature_c"].min = -80.0
    panel.controls["temperature_c"].value = -70.0
    assert 'role="alert"' in shown(panel) and "temperature_c" in shown(panel)
    assert "<table" not in shown(panel) and panel.ranking is last
    panel.controls["temperature_c"].value = 12.0
    assert panel.brief == deck and 'role="alert"' not in shown(panel)


@pytest.mark.parametrize(
    ("section", "field", "written", "value"),
    [
        ("part", "form", "hexagon_head_screw", "hexagon_head_screw"),
        ("part", "base_metal", "steel_8_8", "steel_8_8"),
        ("part", "mass_g", "6 oz", "6 oz"),
        ("part", "lot_pieces", "250", 250),
        ("part", "safety_critical", True, True),
        ("duty", "handling", "frequent", "frequent"),
        ("duty", "heat_peak_c", "390 °F", "390 °F"),
        ("wants", "black", False, False),
        ("wants", "gloss", "matte", "matte"),
        ("wants", "target_probability", "0.97", 0.97),
        ("wants", "cost_limit_per_thousand", "1700", 1700),
    ],
)
def test_part_and_wants_reach_the_answer_too(section, field, written, value, deck):
    panel = overcoat.panels.panel(deck)
    panel.controls[field].value = written
    document = json.loads(deck.to_json())
    document[section][field] = value
    asked = overcoat._core.brief_with_units(json.dumps(document))
    assert panel.brief == asked != deck
    assert panel.ranking.to_json() == overcoat.rank(asked).to_json()


@pytest.mark.parametrize(
    ("field", "written"),
    [("mass_g", "-3"), ("mass_g", "a handful"), ("thread", "M7.3"), ("target_probability", "90")],
)
def test_a_box_refuses_as_a_file_does(field, written, deck):
    panel = overcoat.panels.panel(deck)
    panel.controls[field].value = written
    document = json.loads(deck.to_json())
    section = "wants" if field == "target_probability" else "part"
    document[section][field] = written if field == "thread" else overcoat.panels._entered(written)
    with pytest.raises(overcoat.OvercoatError) as refused:
        overcoat.rank(overcoat._core.brief_with_units(json.dumps(document)))
    assert html.escape(str(refused.value)) in shown(panel)


def test_a_price_moves_the_cost_and_is_named(deck):
    panel = overcoat.panels.panel(deck)
    before = {str(option.build): option.cost.per_thousand for option in panel.ranking}
    panel.controls["price_of"].value = "treatments.hot_alkaline"
    was = float(panel.controls["price"].value)
    panel.controls["price"].value = str(3 * was)
    for option in panel.ranking:
        if not option.blocked and option.build.treatment == "hot_alkaline":
            assert option.cost.per_thousand > before[str(option.build)]
        elif option.build.treatment == "none":
            assert option.cost.per_thousand == before[str(option.build)]
    assert ("treatments.hot_alkaline.price_per_kg.value", "prices of the panel") in panel.ranking.overrides
    panel.controls["price"].value = "-1"
    assert 'role="alert"' in shown(panel)


def test_nothing_in_the_panel_is_a_catalog_key(deck):
    panel = overcoat.panels.panel(deck)
    for name, control in panel.controls.items():
        assert "_" not in control.description, name
        assert all("_" not in words for words, _ in getattr(control, "options", [])), name


def test_a_catalog_of_ones_own_and_a_hostile_name(deck):
    words = "<img src=x onerror=alert(1)>"
    document = json.loads(deck.to_json()) | {"name": words}
    prices = overcoat.Catalog.from_json(
        '{"schema": "overcoat.catalog.v1", "name": "mine", "prices": {"currency": "GBP"}}'
    )
    panel = overcoat.panels.panel(overcoat.Brief.from_json(json.dumps(document)), prices)
    assert "GBP" in shown(panel)
    assert "<img" not in shown(panel)


def test_a_notebook_shows_the_widget_and_without_one_the_answer(deck):
    bundle = overcoat.panels.panel(deck)._repr_mimebundle_()
    assert bundle["application/vnd.jupyter.widget-view+json"]["model_id"]
    assert bundle["text/html"] == overcoat.rank(deck).fragment(6)


def test_without_ipywidgets_the_extra_is_named(deck, monkeypatch):
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    with pytest.raises(ImportError, match=r"overcoat\[notebook\]"):
        overcoat.panels.panel(deck)
