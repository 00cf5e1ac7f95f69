"""Which build is truly first, and what to measure: against a plain simulation, and what a user sees."""

import json
import math

import numpy as np
import pytest
from scipy import stats

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


def simulated_scores(films, ranking, required_years, draws=200_000):
    """ln score by durability of each build at random truths: the model written out anew."""
    catalog = json.loads(overcoat.Catalog.default().to_json())
    rng = np.random.default_rng(11)
    air = json.loads(ranking.to_json())["atmosphere"]
    rate = air["first_year_steel_loss_um"] * 7.86
    shared = rng.normal(0, math.log(9 / 5) / 3.92, draws) - rng.normal(0, air["log_sd"], draws)
    treatment = catalog["treatments"]["hot_alkaline"]

    def layer(hours, field):
        moved = rng.normal(0, hours["log_sd"] * math.sqrt(0.5), draws) + rng.normal(0, field["log_sd"], draws)
        median = hours["median"] * 70 / 48 * field["median"] / rate * np.exp(moved + shared)
        return median, 0.5 * hours["log_sd"] ** 2

    own = layer(treatment["capacity_h"], treatment["field_factor"])
    scores = {}
    for film in films:
        entry = catalog["films"][film]
        hours = dict(entry["capacity_h"])
        hours["median"] *= treatment["film_hold_factor"]["value"]
        terms = [layer(hours, entry["field_factor"]), own]
        mean = sum(m * math.exp(v / 2) for m, v in terms)
        variance = sum((m * math.exp(v / 2)) ** 2 * math.expm1(v) for m, v in terms)
        log_variance = np.log1p(variance / mean**2)
        z = (np.log(mean / required_years) - log_variance / 2) / np.sqrt(log_variance)
        scores[film] = stats.norm.cdf(z)
    return scores


@pytest.mark.parametrize("films", [("hard_wax", "soft_wax"), ("hard_wax", "heavy_oil", "acrylic_lacquer")])
def test_the_shares_are_those_of_a_plain_simulation(films):
    ranking = overcoat.rank(brief(films, weights=DURABILITY_ALONE, target_probability=0.9999))
    scores = simulated_scores(films, ranking, 3.0)
    best = np.argmax(np.array([np.minimum(scores[film] / 0.9999, 1) for film in films]), axis=0)
    shares = {share.build.films[0]: share for share in ranking.truly_first()}
    for place, film in enumerate(films):
        share = shares[film]
        assert share.probability == pytest.approx(np.mean(best == place), abs=0.01)
        assert share.probability_at_given_weights == share.probability  # one weight alone cannot move
        assert share.probability_se < 0.01


def test_the_chance_to_be_wrong_is_that_of_a_plain_simulation():
    films = ("hard_wax", "soft_wax")
    ranking = overcoat.rank(brief(films, weights=DURABILITY_ALONE, target_probability=0.9999))
    scores = simulated_scores(films, ranking, 3.0)
    first, second = (option.build.films[0] for option in ranking)
    better = np.mean(scores[first] >= scores[second])
    found = ranking.what_to_measure()
    assert found.probability_best[0] == pytest.approx(better, abs=0.015)
    assert found.chance_wrong == pytest.approx(min(better, 1 - better), abs=0.015)
    gap = np.maximum(scores[first], scores[second]).mean() - max(scores[first].mean(), scores[second].mean())
    assert found.score_at_stake == pytest.approx(gap, rel=0.05)


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
        films = ["hard_wax", "displacing_oil"]
        ranking = overcoat.rank(brief(films, 0.3, weights=even, weight_ranges=ranges))
        return {share.build.films[0]: share.probability for share in ranking.truly_first()}[films[0]]

    assert dearest_first(0.01) < dearest_first(1) < dearest_first(50)


def test_nonsense_is_refused_by_name():
    ranking = overcoat.rank(brief(["hard_wax", "soft_wax"]))
    for arguments, field in [({"among": 1}, "among"), ({"panels": 0}, "panels")]:
        with pytest.raises(overcoat.InvalidValueError) as caught:
            ranking.what_to_measure(**arguments)
        assert caught.value.field == field


def test_the_page_says_it_once():
    ranking = overcoat.rank(brief(["hard_wax", "soft_wax"]))
    assert ranking.page().count("really is the best choice") == 1
