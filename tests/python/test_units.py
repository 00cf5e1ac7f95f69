"""Text with units in a brief: converted to the unit of the field's name, or refused with the field named."""

import json

import pytest

import overcoat
from overcoat import read_brief

BRIEF = {
    "schema": "overcoat.brief.v1",
    "name": "manifold bracket",
    "part": {"form": "bracket", "mass_g": 180, "surface_dm2": 1.3},
    "duty": {"place": "coastal", "required_years": 5},
}


def with_field(path: str, value) -> dict:
    document = json.loads(json.dumps(BRIEF))
    *folders, name = path.split(".")
    entry = document
    for folder in folders:
        entry = entry.setdefault(folder, {})
    entry[name] = value
    if "road_salt" in document["duty"]:
        document["duty"]["road_salt"].setdefault("months_per_year", 4)
    return document


def converted(path: str, text: str) -> float:
    entry = json.loads(overcoat.Brief.from_json(json.dumps(with_field(path, text))).to_json())
    for name in path.split("."):
        entry = entry[name]
    return entry


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        # exact by definition: 1 in = 25.4 mm, 1 lb = 453.59237 g, 0 °C = 32 °F = 273.15 K
        ("duty.heat_peak_c", "285 °F", (285 - 32) / 1.8),
        ("duty.heat_peak_c", "285°F", (285 - 32) / 1.8),
        ("duty.heat_peak_c", "285 deg F", (285 - 32) / 1.8),
        ("duty.heat_peak_c", "285 degF", (285 - 32) / 1.8),
        ("duty.temperature_c", "-40 °F", -40),
        ("duty.temperature_c", "−4 °C", -4),
        ("duty.temperature_c", "283.15 K", 10),
        ("part.tempering_temperature_c", "425 °C", 425),
        ("duty.first_year_steel_loss_um", "0.4 mil", 10.16),
        ("duty.first_year_steel_loss_um", "2 mils", 50.8),
        ("duty.first_year_steel_loss_um", "50 µm", 50),
        ("duty.first_year_steel_loss_um", "50 μm", 50),
        ("duty.first_year_steel_loss_um", "0.05 mm", 50),
        ("part.length_mm", "6 in", 152.4),
        ("part.length_mm", '6"', 152.4),
        ("part.length_mm", "6 in.", 152.4),
        ("part.length_mm", "1/4 in", 6.35),
        ("part.length_mm", "1 1/2 in", 38.1),
        ("part.length_mm", "1-1/2 in", 38.1),
        ("part.length_mm", ".5 inch", 12.7),
        ("part.length_mm", "2e1 mm", 20),
        ("part.mass_g", "0.5 lb", 226.796185),
        ("part.mass_g", "2 oz", 56.69904625),
        ("part.surface_dm2", "20 sq in", 20 * 0.254**2),
        ("part.surface_dm2", "20 square inches", 20 * 0.254**2),
        ("part.surface_dm2", "20 sq. inches", 20 * 0.254**2),
        ("part.surface_dm2", "130 sq cm", 1.3),
        ("part.surface_dm2", "130 cm2", 1.3),
        ("part.surface_dm2", "130 cm²", 1.3),
        ("part.hardness_hv", "320 HV", 320),
        ("duty.required_years", "18 months", 1.5),
        ("duty.required_years", "3 weeks", 21 / 365.25),
        ("duty.required_years", "8766 h", 1),
        ("duty.required_years", "5 a", 5),
        ("duty.required_years", "5 yr", 5),
        ("duty.sea_distance_m", "300 ft", 91.44),
        ("duty.sea_distance_m", "2 km", 2000),
        ("duty.road_salt.months_per_year", "0.25 year", 3),
        ("duty.road_salt.months_per_year", "5 months", 5),
        ("duty.road_salt.months_per_year", "5 months/year", 5),
        ("duty.road_salt.months_per_year", "5 months per year", 5),
        ("duty.road_salt.distance_m", "20'", 6.096),
        ("duty.chloride_mg_m2_day", "80 mg/(m²·d)", 80),
        ("duty.chloride_mg_m2_day", "80 mg/m2/day", 80),
        ("duty.chloride_mg_m2_day", "80 mg m-2 d-1", 80),
        ("duty.chloride_mg_m2_day", "36.525 g/(m²·a)", 100),
        ("duty.road_salt.season_chloride_mg_m2_day", "0.1 g/m^2/d", 100),
        ("duty.relative_humidity_pct", "80%", 80),
        ("duty.relative_humidity_pct", "80%", 80),
        ("duty.failure.loss_um", "1 mil", 25.4),
        ("duty.failure.rusted_area_pct", "1%", 1),
    ],
)
def test_text_becomes_a_number_in_the_unit_of_the_name(path, text, value):
    assert converted(path, text) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        ("duty.heat_peak_c", "285 F", "°F"),
        ("duty.heat_peak_c", "285 C", "°C"),
        ("duty.heat_peak_c", "285 deg", "°C or °F"),
        ("duty.heat_peak_c", "285°", "°C or °F"),
        ("duty.heat_peak_c", "20 delta_degF", "Write °C, °F or K."),
        ("duty.heat_peak_c", "20 Δ°C", "Write °C, °F or K."),
        ("duty.heat_peak_c", "6 in", "Write °C, °F or K."),
        ("duty.heat_peak_c", "140 °F/h", ""),
        ("duty.required_years", "18 m", "another quantity"),
        ("duty.required_years", "5", "Add the unit"),
        ("duty.required_years", "", "one number and one unit"),
        ("duty.required_years", "five years", "one number and one unit"),
        ("duty.required_years", "3 to 5 years", "There is no unit"),
        ("duty.required_years", "1,5 years", "point"),
        ("duty.required_years", "1/0 years", "one number and one unit"),
        ("duty.required_years", "1e999 years", "finite"),
        ("duty.required_years", "nan years", "one number"),
        ("duty.required_years", "5 yeers", "no unit"),
        ("duty.sea_distance_m", "2 miles", "nautical"),
        ("part.mass_g", "1 ton", "kg or lb"),
        ("part.mass_g", "1 Mg", "Write mg."),
        # grains or grams
        ("part.mass_g", "300 gr", "There is no unit"),
        ("part.mass_g", "1 lbf", "There is no unit"),
        ("part.length_mm", "20 Mm", "Write mm."),
        ("part.length_mm", "6 sq in", "another quantity"),
        ("part.length_mm", "6 in^9^9^9^9", "There is no unit"),
        ("part.length_mm", "6 in^4^4^4^4", "There is no unit"),
        ("part.length_mm", "6 in(((", "There is no unit"),
        ("part.length_mm", "6 " + "i" * 5000, "one number and one unit"),
        ("part.length_mm", "6 __import__('os')", "There is no unit"),
        ("part.surface_dm2", "20 in", "another quantity"),
        ("part.hardness_hv", "32 HRC", "ISO 18265"),
        ("duty.relative_humidity_pct", "0.8", "Add the unit"),
        ("duty.relative_humidity_pct", "800 ppm", "%"),
        ("duty.chloride_mg_m2_day", "80 mg/m²", "another quantity"),
        ("duty.first_year_steel_loss_um", "50 µm/a", "another quantity"),
    ],
)
def test_what_is_wrong_or_ambiguous_is_refused_by_name(path, text, words):
    with pytest.raises(overcoat.InvalidValueError) as caught:
        overcoat.Brief.from_json(json.dumps(with_field(path, text)))
    error = caught.value
    assert (error.kind, error.field) == ("value", path)
    assert path in str(error)
    assert words in error.remedy
    assert text[:40] in error.value.replace('\\"', '"')
    assert error.allowed
    assert len(str(error)) < 400


def test_a_dictionary_is_left_as_it_was():
    document = with_field("duty.required_years", "18 months")
    before = json.dumps(document)
    assert overcoat.Brief.from_dict(document).duty.required_years == 1.5
    assert json.dumps(document) == before


def test_a_brief_with_units_is_the_brief_without():
    said = BRIEF | {
        "part": {"form": "bracket", "mass_g": "0.18 kg", "surface_dm2": "130 cm²"},
        "duty": {"place": "coastal", "required_years": "60 months"},
    }
    assert read_brief(json.dumps(said)) == overcoat.Brief.from_json(json.dumps(BRIEF))


def test_words_in_other_fields_stay_words():
    document = BRIEF | {"name": "6 in", "remarks": "285 °F"}
    assert read_brief(json.dumps(document)).name == "6 in"


@pytest.mark.parametrize("kind", [str, lambda path: path])
def test_a_file_is_read_too(kind, tmp_path):
    path = tmp_path / "brief.json"
    path.write_text("\ufeff" + json.dumps(with_field("duty.required_years", "60 months")), encoding="utf-8")
    assert read_brief(kind(path)) == overcoat.Brief.from_json(json.dumps(BRIEF))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"schema": "overcoat.brief.v1"}',
        json.dumps(BRIEF).replace('"name"', '"nmae"'),
        json.dumps(BRIEF).replace('"place"', '"required_years": "5 a", "place"'),
        "{" * 100_000,
        '{"a":' * 100_000,
        json.dumps(with_field("part.lot_pieces", "many")),
    ],
)
def test_what_is_no_brief_is_refused_by_the_core(text):
    with pytest.raises(overcoat.OvercoatError):
        read_brief(text)


def test_a_file_that_is_not_there_or_no_text_is_refused_as_by_the_core(tmp_path):
    with pytest.raises(FileNotFoundError):
        read_brief(tmp_path / "absent.json")
    (tmp_path / "latin.json").write_bytes(b'{"name": "\xe4"}')
    with pytest.raises(overcoat.DocumentError, match="UTF-8"):
        read_brief(tmp_path / "latin.json")


def test_the_core_still_checks_the_range():
    with pytest.raises(overcoat.InvalidValueError, match=r"duty\.required_years"):
        read_brief(json.dumps(with_field("duty.required_years", "2000 years")))


def test_the_core_reads_units_as_the_command_does_and_nothing_else():
    read = overcoat.Brief.from_json(json.dumps(with_field("duty.required_years", "18 months")))
    assert read.duty.required_years == pytest.approx(1.5)
    for text in ("5 parsecs", "five", "5"):
        with pytest.raises(overcoat.InvalidValueError) as caught:
            overcoat.Brief.from_json(json.dumps(with_field("duty.required_years", text)))
        assert caught.value.field == "duty.required_years"


def test_every_numeric_field_of_a_brief_has_a_unit_or_none_to_have():
    """A new field of the schema whose name ends in a unit unknown here is found."""
    numeric = set()

    def walk(entry) -> None:
        if isinstance(entry, dict):
            for name, value in entry.get("properties", {}).items():
                kinds = value.get("type", [])
                if "number" in ([kinds] if isinstance(kinds, str) else kinds):
                    numeric.add(name)
            entry = list(entry.values())
        if isinstance(entry, list):
            for value in entry:
                walk(value)

    walk(json.loads(overcoat.schema("brief")))

    def takes_text(name: str) -> bool:
        """Whether text in such a field is refused for its unit, not for being text."""
        with pytest.raises(overcoat.OvercoatError) as caught:
            overcoat.Brief.from_json(json.dumps(BRIEF | {"duty": BRIEF["duty"] | {name: "1 x"}}))
        return caught.value.kind == "value"

    without = {name for name in numeric if not takes_text(name)}
    weights = {"durability", "cost", "appearance", "heat", "assembly", "confidence", "low", "high"}
    assert without - weights == {
        "mating_area_ratio",
        "cost_limit_per_thousand",
        "target_probability",
        "cold_share",
    }
