"""Rankings and swept tables against a second implementation of their numbers, over random briefs.

`OVERCOAT_INDEPENDENT_BRIEFS` sets how many briefs are compared (150 unless set; the whole check: 10000), each
with up to ten builds, once by ranking and once by a swept table of three rows.
"""

import json
import math
import os
import random
from collections import Counter

import pytest
from independent.desirability import option_of
from independent.money import class_hardness
from independent.thread import INCH, INTERNAL, THREADS

import overcoat

BRIEFS = int(os.environ.get("OVERCOAT_INDEPENDENT_BRIEFS", "150"))
AGREEMENT = 1e-9
SIZED = [
    "hexagon_head_screw",
    "socket_cap_screw",
    "button_head_screw",
    "countersunk_screw",
    "hexagon_nut",
    "lock_nut",
    "plain_washer",
]
FORMS = [*SIZED, "set_screw", "bracket", "pin", "other"]
FINISHES = [
    "zinc_plate",
    "hot_dip_zinc",
    "phosphate",
    "black_oxide",
    "paint",
    "nickel_plate",
    "cadmium_plate",
]


@pytest.fixture(scope="module")
def catalog() -> dict:
    return json.loads(overcoat.Catalog.default().to_json())


def some(rng: random.Random, share: float, options: dict) -> dict:
    """Each entry with this probability; values are functions, so that only chosen ones draw."""
    return {key: value() for key, value in options.items() if rng.random() < share}


def random_build(rng: random.Random, catalog: dict) -> dict:
    """Any build, mostly one whose treatment is not refused, so that many stay open."""
    metal = rng.choice(list(catalog["base_metals"]))
    family = catalog["base_metals"][metal]["family"]
    suited = [
        name
        for name, treatment in catalog["treatments"].items()
        if treatment["substrates"].get(family, {}).get("verdict", "refused") != "refused"
    ]
    return {
        "base_metal": metal,
        "treatment": rng.choice(suited if suited and rng.random() < 0.95 else list(catalog["treatments"])),
        "films": rng.choice(list(catalog["stacks"].values()))["films"],
    }


def random_brief(rng: random.Random, catalog: dict) -> dict:
    """A brief without contradictions: one with any is drawn again."""
    for _ in range(1000):
        brief = any_brief(rng, catalog)
        one = brief | {"wants": brief.get("wants", {}) | {"builds": [{"treatment": "none", "films": []}]}}
        try:
            overcoat.rank(one)
        except overcoat.InvalidValueError:
            continue
        return brief
    raise AssertionError("a thousand briefs in a row were refused")


def any_brief(rng: random.Random, catalog: dict) -> dict:
    part: dict = {"form": rng.choice(FORMS)}
    if part["form"] in SIZED or rng.random() < 0.5:
        part["thread"] = rng.choice(THREADS)
        inch, internal = part["thread"] in INCH, part["form"] in INTERNAL
        tolerances = {
            (False, False): ["6e", "6f", "6g", "6h", "4g"],
            (False, True): ["6H", "6G"],
            (True, False): ["1A", "2A", "3A"],
            (True, True): ["2B", "3B"],
        }[inch, internal]
        part |= some(
            rng,
            0.4,
            {
                "tolerance": lambda: rng.choice(tolerances),
                "mass_g": lambda: rng.uniform(1, 2000),
                "surface_dm2": lambda: rng.uniform(0.02, 20),
            },
        )
        part |= some(rng, 0.8, {"length_mm": lambda: rng.choice([rng.uniform(0.5, 12), rng.uniform(5, 300)])})
    else:
        part |= some(
            rng, 0.7, {"mass_g": lambda: rng.uniform(1, 2000), "surface_dm2": lambda: rng.uniform(0.02, 20)}
        )
    part |= some(
        rng,
        0.4,
        {
            "base_metal": lambda: rng.choice(list(catalog["base_metals"])),
            "hardness_hv": lambda: rng.uniform(120, 600),
            "lot_pieces": lambda: rng.randint(1, 50_000),
            "present_finish": lambda: rng.choice(FINISHES),
            "condition": lambda: rng.choice(["clean", "oiled", "rust", "light_scale", "heavy_scale"]),
            "polymer_insert": lambda: rng.random() < 0.5,
        },
    )
    metal = catalog["base_metals"].get(part.get("base_metal"))
    least = metal and class_hardness(part, metal)
    if least and part.get("hardness_hv", 999) < least[0]:  # a contradiction, which is refused
        del part["hardness_hv"]
    inputs = {
        "temperature_c": lambda: rng.uniform(-15, 30),
        "relative_humidity_pct": lambda: rng.uniform(20, 100),
        "so2_mg_m2_day": lambda: rng.choice([0.0, rng.uniform(0, 150)]),
        "chloride_mg_m2_day": lambda: rng.choice([0.0, rng.uniform(0, 5), rng.uniform(0, 700)]),
    }
    # distances on a bound of EN 1993-1-4 or of a fit are drawn too
    salts = {
        "sea_distance_m": lambda: rng.choice(
            [math.exp(rng.uniform(math.log(10), math.log(2e6))), rng.choice([250, 1000, 10_000, 50_000])]
        ),
        "road_salt": lambda: (
            {"months_per_year": rng.choice([0, rng.uniform(0, 12), 12])}
            | some(rng, 0.6, {"distance_m": lambda: rng.choice([rng.uniform(0, 300), 10, 100])})
            | some(rng, 0.3, {"season_chloride_mg_m2_day": lambda: rng.uniform(0, 600)})
        ),
    }
    duty: dict = {"required_years": math.exp(rng.uniform(math.log(0.05), math.log(100)))}
    way = rng.random()
    if way < 0.4:
        duty |= some(rng, 1.0, inputs) | some(rng, 0.3, salts)
        if "sea_distance_m" in duty and rng.random() < 0.6:
            del duty["chloride_mg_m2_day"]
    elif way < 0.5:
        duty["first_year_steel_loss_um"] = math.exp(rng.uniform(math.log(1e-3), math.log(700)))
        duty |= some(rng, 0.3, {"chloride_mg_m2_day": inputs["chloride_mg_m2_day"]} | salts)
        duty |= some(rng, 0.3, {"place": lambda: rng.choice(list(catalog["places"]))})
    elif way < 0.6:
        duty["corrosivity"] = rng.choice(["C1", "C2", "C3", "C4", "C5", "CX"])
        # a category stands for what was measured, so that nothing measured stands beside it
        duty |= some(rng, 0.4, salts) | some(rng, 0.4, {"place": lambda: rng.choice(list(catalog["places"]))})
    else:
        duty["place"] = rng.choice(list(catalog["places"]))
        indoor = catalog["places"][duty["place"]]["shelter"] == "indoor"
        if not indoor and rng.random() < 0.5:
            duty |= some(rng, 0.4, inputs | salts)
    if "place" not in duty or catalog["places"][duty["place"]]["shelter"] != "indoor":
        duty |= some(rng, 0.4, {"shelter": lambda: rng.choice(["open", "sheltered"])})
    duty |= some(
        rng,
        0.4,
        {
            "rain_washed": lambda: rng.random() < 0.5,
            "sunlight": lambda: rng.choice(["none", "partial", "full"]),
            "handling": lambda: rng.choice(["none", "occasional", "frequent"]),
        },
    )
    hot = rng.random()  # seldom: heat that destroys a layer blocks the build, and open ones are scored
    if hot < 0.2:
        lasting = rng.choice([rng.uniform(-40, 120), rng.uniform(50, 500)])
        duty |= {"heat_continuous_c": lasting, "heat_peak_c": lasting + rng.uniform(0, 150)}
    elif hot < 0.3:
        duty["heat_peak_c"] = rng.uniform(-20, 400)
    failures = {
        "rusted_area_pct": lambda: math.exp(rng.uniform(math.log(0.05), math.log(50))),
        "loss_um": lambda: math.exp(rng.uniform(math.log(0.01), math.log(20_000))),
    } | ({"strength_loss_pct": lambda: rng.uniform(0.1, 90)} if "thread" in part else {})
    failure = rng.choice(["first_rust", *failures])
    if failure != "first_rust":
        duty["failure"] = {failure: failures[failure]()}
    elif rng.random() < 0.5:
        duty["failure"] = failure
    builds = [random_build(rng, catalog) for _ in range(10)]
    wants: dict = {"builds": builds} | some(
        rng,
        0.3,
        {
            "black": lambda: rng.random() < 0.5,
            "gloss": lambda: rng.choice(["matte", "satin", "gloss"]),
            "uniform_shade": lambda: rng.random() < 0.5,
            "cost_limit_per_thousand": lambda: rng.uniform(50, 20_000),
            "target_probability": lambda: rng.uniform(0.01, 0.999),
            "weights": lambda: {
                "durability": rng.uniform(0.1, 5),
                "cost": rng.choice([0.0, rng.uniform(0, 5)]),
                "confidence": rng.uniform(0, 5),
            },
        },
    )
    return {"schema": "overcoat.brief.v1", "name": "random", "part": part, "duty": duty, "wants": wants}


# Shares that are 1 less another share: of small ones only so many digits are left.
SHARES = {"probability_ok", "never_fails", "desirability of durability"}


def relative(name: str, found: float, expected: float) -> float:
    """Deviation relative to the expected value, of shares no less than 1e-5."""
    least = 1e-5 if name in SHARES else 1e-290
    return abs(found - expected) / max(abs(expected), least)


def compare(
    brief: dict, catalog: dict, met: Counter, own: overcoat.Catalog | None = None
) -> tuple[int, dict[str, float]]:
    """Options compared, and the largest deviation of each number; counts in `met` what they met."""
    duty = brief["duty"]
    ranking = json.loads(overcoat.rank(overcoat.Brief.from_json(json.dumps(brief)), own).to_json())
    worst: dict[str, float] = {}

    def note(name: str, found: float, expected: float) -> None:
        deviation = relative(name, found, expected)
        assert deviation <= AGREEMENT, (name, found, expected, brief, option["build"])
        worst[name] = max(worst.get(name, 0.0), deviation)

    for option in ranking["options"]:
        expected = option_of(brief, option["build"], catalog)
        met["lost layers"] += bool(expected["lost_layers"])
        met["blocked"] += option["blocked"]
        met["replaced"] += expected["replacements"] > 0
        met[option["outlook"]["basis"]] += 1
        met["failure later than first rust"] += duty.get("failure", "first_rust") != "first_rust"
        met["sea"] += "sea_distance_m" in duty
        met["road"] += "road_salt" in duty
        met["category"] += "corrosivity" in duty
        met["standard size"] += brief["part"].get("form") in SIZED and "mass_g" not in brief["part"]
        note("first-year loss", ranking["atmosphere"]["first_year_steel_loss_um"], expected["loss_um"])
        assert ranking["atmosphere"]["category"] == expected["category"]
        note("spread of the air", ranking["atmosphere"]["log_sd"], expected["air_log_sd"])
        for name in (
            "median_years",
            "p10_years",
            "p90_years",
            "log_sd",
            "probability_ok",
            "never_fails",
            "horizon_years",
        ):
            note(name, option["outlook"][name], expected[name])
        assert option["outlook"]["lost_layers"] == expected["lost_layers"]
        assert option["met"] == (expected["reaches"] and not option["blocked"]), (brief, option["build"])
        met["beyond the evidence"] += expected["beyond_evidence"]
        for name in ("per_thousand", "purchase_per_thousand", "replacements"):
            note(name, option["cost"][name], expected[name])
        for share in option["score"]["shares"]:
            name = share["criterion"]
            note(f"desirability of {name}", share["desirability"], expected["desirabilities"][name])
        if not option["blocked"]:
            note("score", option["score"]["value"], expected["score"])
    return len(ranking["options"]), worst


def test_random_briefs_agree(catalog):
    rng = random.Random(20_261_125)
    met: Counter = Counter()
    worst: dict[str, float] = {}
    for _ in range(BRIEFS):
        met["options"] += (found := compare(random_brief(rng, catalog), catalog, met))[0]
        for name, deviation in found[1].items():
            worst[name] = max(worst.get(name, 0.0), deviation)
    # the cases must reach what they are for
    for what in (
        "staining",
        "dose_and_age",
        "lost layers",
        "blocked",
        "replaced",
        "failure later than first rust",
        "sea",
        "road",
        "category",
        "standard size",
        "beyond the evidence",
    ):
        assert met[what] > 0.05 * met["options"], (what, met)
    # what is blocked has no score to compare: enough stay open
    assert met["blocked"] < 0.9 * met["options"]
    print(f"{BRIEFS} briefs, {dict(met)}; largest relative deviations:")
    for name, deviation in sorted(worst.items(), key=lambda item: -item[1]):
        print(f"  {name}: {deviation:.1e}")


def test_demo_briefs_agree(catalog, demo):
    paths = sorted([*(demo / "briefs").glob("*.json"), *(demo / "blocked").glob("*.json")])
    assert len(paths) > 12
    for path in paths:
        brief = json.loads(path.read_text(encoding="utf-8"))
        assert compare(brief, catalog, Counter())[0] >= 1, path


def test_own_prices_and_hours_agree(catalog, demo):
    own = {
        "schema": "overcoat.catalog.v1",
        "name": "own",
        "films": {"hard_wax": {"capacity_h": {"median": 140, "log_sd": 0.0, "source": "hours_wax"}}},
        "prices": {
            "discount_rate_pct": {"value": 0, "source": "default_prices"},
            "replacement_labour_per_piece": {"value": 2.5, "source": "default_prices"},
        },
    }
    extended = overcoat.Catalog.from_json(json.dumps(own))
    data = json.loads(extended.to_json())
    assert data["films"]["hard_wax"]["capacity_h"]["median"] == 140
    rng = random.Random(7)
    for _ in range(20):
        compare(random_brief(rng, data), data, Counter(), extended)


@pytest.mark.filterwarnings("ignore:not in the results")
def test_swept_tables_agree(catalog):
    """The columnar engine has a kernel of its own, so it is compared on its own."""
    rng = random.Random(4)
    rows, worst, compared, beyond = 3, 0.0, 0, 0
    for _ in range(BRIEFS):
        brief = random_brief(rng, catalog)
        # the columns bring the air, and rows indoors are computed with the outdoor function
        for name in ("place", "first_year_steel_loss_um", "corrosivity", "shelter"):
            brief["duty"].pop(name, None)
        columns = {
            "temperature_c": [rng.uniform(-15, 30) for _ in range(rows)],
            "relative_humidity_pct": [rng.uniform(20, 100) for _ in range(rows)],
            "so2_mg_m2_day": [rng.choice([0.0, rng.uniform(0, 150)]) for _ in range(rows)],
            "chloride_mg_m2_day": [rng.choice([0.0, rng.uniform(0, 700)]) for _ in range(rows)],
            "required_years": [math.exp(rng.uniform(-3, 4.5)) for _ in range(rows)],
            "shelter": [rng.choice(["open", "sheltered"]) for _ in range(rows)],
        }
        asked = brief | {"duty": brief["duty"] | {name: column[0] for name, column in columns.items()}}
        ranked = overcoat.rank(overcoat.Brief.from_json(json.dumps(asked)))
        names = {str(o.build): o.build for o in ranked}
        swept = overcoat.sweep(columns, brief=overcoat.Brief.from_json(json.dumps(asked)), threads=2)
        each = len(swept["score"]) // rows
        for i in range(len(swept["score"])):
            build = names[str(swept["build"][i])]
            row = {name: column[i // each] for name, column in columns.items()}
            expected = option_of(
                brief | {"duty": brief["duty"] | row},
                {"base_metal": build.base_metal, "treatment": build.treatment, "films": build.films},
                catalog,
            )
            assert swept["category"][i] == expected["category"]
            assert bool(swept["met"][i]) == (expected["reaches"] and not swept["blocked"][i])
            assert swept["row_status"][i].endswith("_beyond_evidence") == expected["beyond_evidence"]
            beyond += expected["beyond_evidence"]
            pairs = {"first_year_loss_um": expected["loss_um"]}
            pairs |= {name: expected[name] for name in ("median_years", "p10_years", "p90_years")}
            pairs["probability_ok"] = expected["probability_ok"]
            if not swept["blocked"][i]:
                pairs["score"] = expected["score"]
            for name, value in pairs.items():
                deviation = relative(name, float(swept[name][i]), value)
                assert deviation <= AGREEMENT, (name, swept[name][i], value, row, str(build))
                worst = max(worst, deviation)
        compared += len(swept["score"])
    assert beyond > 0.05 * compared
    print(f"{BRIEFS} briefs, {compared} swept options; largest relative deviation {worst:.1e}")
