"""Which build is truly first, and what to measure: against a plain simulation, and what a user sees."""

import json
import re

import pytest

import overcoat

DURABILITY_ALONE = {
    "durability": 1,
    "cost": 0,
    "appearance": 0,
    "heat": 0,
    "assembly": 0,
    "confidence": 0,
}


def brief(films, required_years=3.0, **wants) -> overcoat.Brief:
    builds = [{"base_metal": "steel_8_8", "treatment": "hot_alkaline", "films": [film]} for film in films]
    return overcoat.Brief.from_json(
        json.dumps(
            {
                "schema": "overcoat.brief.v1",
                "name": "screws under a roof",
                "part": {
                    "form": "socket_cap_screw",
                    "thread": "M6",
                    "length_mm": 20,
                    "base_metal": "steel_8_8",
                },
                "duty": {"place": "rural", "shelter": "sheltered", "required_years": required_years},
                "wants": {"builds": builds, **wants},
            }
        )
    )


def test_measurements_are_ranked_by_what_they_gain():
    found = overcoat.rank(brief(["hard_wax", "soft_wax"])).what_to_measure()
    gains = [measurement.score_gain for measurement in found.measurements]
    assert gains == sorted(gains, reverse=True) and gains[0] > 0
    assert {m.kind for m in found.measurements} == {
        "yearly means",
        "steel specimens",
        "cabinet reference",
        "panels",
        "field years",
    }
    for measurement in found.measurements:
        assert 0 <= measurement.share_of_stake <= 1
        assert measurement.log_sd_after < measurement.log_sd_before
        assert measurement.source
    assert found.measurements[0].what in found.sentence
    assert json.loads(found.to_json())["score_at_stake"] == found.score_at_stake


def test_more_panels_are_worth_more():
    ranking = overcoat.rank(brief(["hard_wax", "soft_wax"]))

    def gain(panels):
        found = ranking.what_to_measure(panels=panels).measurements
        return next(m.score_gain for m in found if m.what.endswith("capacity of hard_wax"))

    assert gain(1) < gain(5) < gain(100)


def test_a_measured_place_needs_no_measuring():
    document = json.loads(brief(["hard_wax", "soft_wax"]).to_json())
    document["duty"] = {"first_year_steel_loss_um": 20, "shelter": "sheltered", "required_years": 3}
    found = overcoat.rank(overcoat.Brief.from_json(json.dumps(document))).what_to_measure()
    assert not {"yearly means", "steel specimens"} & {m.kind for m in found.measurements}


def test_ranges_of_weights_move_the_answer():
    even = {"durability": 1, "cost": 1, "appearance": 0, "heat": 0, "assembly": 0, "confidence": 0}

    def dearest_first(durability):
        ranges = {"durability": {"low": durability, "high": durability}, "cost": {"low": 1, "high": 1}}
        films = ["acrylic_lacquer", "hard_wax"]
        ranking = overcoat.rank(brief(films, 1.0, weights=even, weight_ranges=ranges))
        return {share.build.films[0]: share.probability for share in ranking.truly_first()}[films[0]]

    assert dearest_first(0.01) < dearest_first(1) < dearest_first(50)


def test_nonsense_is_refused_by_name():
    ranking = overcoat.rank(brief(["hard_wax", "soft_wax"]))
    for arguments, field in [({"among": 1}, "among"), ({"panels": 0}, "panels")]:
        with pytest.raises(overcoat.InvalidValueError) as caught:
            ranking.what_to_measure(**arguments)
        assert caught.value.field == field


def test_the_first_place_is_stated_once_and_the_same_everywhere():
    ranking = overcoat.rank(brief(["hard_wax", "soft_wax"]))
    stated = re.search(r"#1 stays first in .*|The scores of #1 .*", ranking.verdict)[0]
    flat = [" ".join(text.split()) for text in (ranking.to_text(), ranking.page())]
    on_screen, on_page = (text.count(stated) for text in flat)
    # a full screen keeps what must be done, and gives this sentence up
    assert on_page == 1 and on_screen <= 1
