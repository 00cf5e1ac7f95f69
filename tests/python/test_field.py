"""Parts in the field: updates by shelter, the backtest, and logs in any kind of table."""

import csv
import json
import math
from pathlib import Path

import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from commanding import refuses, succeeds
from scipy import optimize, stats

import overcoat

ROOT = Path(__file__).resolve().parents[2]
LOG = ROOT / "demo-data" / "field_log.csv"
SPRAY = ROOT / "demo-data" / "salt_spray_log.csv"

ROW = {
    "base_metal": "steel_8_8",
    "treatment": "hot_alkaline",
    "films": "hard_wax",
    "first_year_steel_loss_um": 10.0,
    "shelter": "sheltered",
}


def kinds_of(path):
    """The same log as every kind of table."""
    frame = pd.read_csv(path)
    with path.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {
        "pandas": frame,
        "polars": pl.read_csv(path),
        "pyarrow": pa.Table.from_pandas(frame),
        "dict": {name: frame[name].tolist() for name in frame.columns},
        "rows": rows,
        "text": path.read_text(encoding="utf-8"),
    }


@pytest.mark.parametrize("kind", ["pandas", "polars", "pyarrow", "dict", "rows", "text"])
def test_a_log_is_the_same_in_every_kind_of_table(kind):
    assert overcoat.backtest(kinds_of(LOG)[kind]) == overcoat.backtest(LOG)
    fitted = overcoat.fit_records(kinds_of(SPRAY)[kind], film="hard_wax")
    wanted = overcoat.fit_records(SPRAY, film="hard_wax")
    assert (fitted.median_hours, fitted.log_sd, fitted.rows) == (
        wanted.median_hours,
        wanted.log_sd,
        wanted.rows,
    )


@pytest.mark.parametrize("kind", [pd.DataFrame, pl.DataFrame, pa.table, dict])
def test_a_bad_row_is_named_in_every_kind_of_table(kind):
    log = kind({"hours": [48.0, -1.0], "failed": [True, True]})
    with pytest.raises(overcoat.TableError) as caught:
        overcoat.fit_records(log)
    assert (caught.value.column, caught.value.row) == ("hours", 2)
    field = kind({**{k: [v] * 2 for k, v in ROW.items()}, "years": [2.0, 3.0], "outcome": ["failed", "lost"]})
    with pytest.raises(overcoat.TableError) as caught:
        overcoat.update_field(field, "hard_wax")
    assert (caught.value.column, caught.value.row) == ("outcome", 2)


def test_the_update_of_complete_records_is_linear():
    """Three independent normals seen as a sum, by hand, once what the wax ages by is taken off."""
    film = json.loads(overcoat.Catalog.default().to_json())["films"]["hard_wax"]
    years = [0.2, 0.3, 0.45]
    [update] = overcoat.update_field([{**ROW, "years": y, "failed": True} for y in years], "hard_wax")
    treatment = json.loads(overcoat.Catalog.default().to_json())["treatments"]["hot_alkaline"]
    hours = film["capacity_h"]["median"] * treatment["film_hold_factor"]["value"]
    base = math.log(hours * 70 / 48 / (10 * 7.86))
    f2, h2 = film["field_factor"]["log_sd"] ** 2, film["capacity_h"]["log_sd"] ** 2
    air = math.log(1.02) ** 2 + 0.17**2
    total = f2 + h2 + (math.log(9 / 5) / 3.92) ** 2 + air + 0.25 / 3
    # under a roof wax ages as indoors: 1/t = 1/t_dose + 1/A
    by_dose = [1 / (1 / t - 1 / film["ageing"]["indoor_years"]["value"]) for t in years]
    surprise = sum(map(math.log, by_dose)) / 3 - base - math.log(film["field_factor"]["median"])
    median, log_sd = update.field_factor
    expected = math.log(film["field_factor"]["median"]) + f2 / total * surprise
    assert math.log(median) == pytest.approx(expected, rel=1e-9)
    assert log_sd == pytest.approx(math.sqrt(f2 - f2 * f2 / total), rel=1e-9)
    assert (update.rows, update.failed) == (3, 3)


def test_a_capacity_of_ones_own_leaves_the_surprise_to_the_field_factor():
    log = [{**ROW, "years": 1.5, "failed": True}] * 5
    own = overcoat.fit_records([60.0] * 20 + [58.0, 62.0] * 20, [True] * 60, film="hard_wax").estimate
    [loose] = overcoat.update_field(log, "hard_wax")
    [firm] = overcoat.update_field(log, "hard_wax", capacity=own)
    assert firm.field_factor[0] > loose.field_factor[0]
    assert firm.field_factor[1] < loose.field_factor[1]
    assert firm.capacity_h[1] < 0.1 < loose.capacity_h[1]


def test_entries_of_shelters_extend_each_other_and_reach_the_answer():
    catalog = overcoat.Catalog.default()
    updates = overcoat.update_field(LOG, "hard_wax")
    assert [update.shelter for update in updates] == ["open", "sheltered"]
    for update in updates:
        catalog = catalog.extended(update.catalog_entry("field", "2018", "2024"))
    film = json.loads(catalog.to_json())["films"]["hard_wax"]
    assert set(film["field_factors"]) == {"open", "sheltered"}

    def outlook(shelter, known):
        document = {
            "schema": "overcoat.brief.v1",
            "name": "x",
            "part": {"form": "bracket", "base_metal": "steel_8_8"},
            "duty": {"first_year_steel_loss_um": 20, "shelter": shelter, "required_years": 3},
            "wants": {"builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]}]},
        }
        return overcoat.rank(overcoat.Brief.from_json(json.dumps(document)), known).best.outlook

    for shelter in ("open", "sheltered"):
        assert outlook(shelter, catalog).log_sd < outlook(shelter, None).log_sd
    assert outlook("indoor", catalog) == outlook("indoor", None)
    sources = outlook("open", catalog).variance_sources
    assert "own records" in sources["field factor of hard_wax"]


def share_failed(curve: dict, years: float) -> float:
    """Φ of the deviate at which the cubic, straight beyond three deviates, has the logarithm of the years."""

    def away(z: float) -> float:
        inner = min(max(z, -3.0), 3.0)
        slope = curve["linear"] + 2 * curve["square"] * inner + 3 * curve["cube"] * inner**2
        value = curve["constant"] + inner * (
            curve["linear"] + inner * (curve["square"] + inner * curve["cube"])
        )
        return value + slope * (z - inner) - math.log(years)

    return stats.norm.cdf(optimize.brentq(away, -40, 40, xtol=1e-13))


def test_the_log_score_and_the_coverage_are_those_of_scipy():
    judged = overcoat.backtest(LOG)
    rows = json.loads(judged.to_json())["parts"]
    scores, inside = [], 0.0
    for row in rows:
        seen, fails = row["seen"], 1 - row["never_fails"]
        low = fails * share_failed(row["ln_years"], seen["years"]) if seen["years"] > 0 else 0.0
        between = seen["outcome"] == "between"
        high = fails * share_failed(row["ln_years"], seen["until_years"]) if between else 1.0
        scores.append(math.log(high - low))
        inside += (min(high, 0.9) - max(low, 0.1)) / (high - low) if min(high, 0.9) > max(low, 0.1) else 0
    assert judged.outlook.log_score == pytest.approx(sum(scores) / len(scores), rel=1e-6)
    assert judged.outlook.coverage_80 == pytest.approx(inside / len(rows), rel=1e-6)


def test_the_demo_log_is_foretold_better_than_naively():
    judged = overcoat.backtest(LOG)
    assert judged.outlook.log_score > judged.category_alone.log_score
    assert judged.outlook.log_score > judged.hours_at_face_value.log_score
    assert judged.sites == 18
    assert len(judged.outlook.calibration) == 9


def test_cabinets_correct_hours():
    log = {"hours": [48.0, 60.0, 72.0, 96.0], "failed": [True] * 4, "cabinet": ["1", "1", "2", "2"]}
    plain = overcoat.fit_records(log)
    corrected = overcoat.fit_records(log, cabinets={"1": [70.0], "2": [105.0]})
    assert corrected.median_hours > plain.median_hours
    assert [check.in_window for check in corrected.cabinets] == [True, False]
    assert any("cabinet 2" in line for line in corrected.remarks)
    assert overcoat.records.check_cabinet([70.0]).hours_factor == 1.0
    with pytest.raises(overcoat.InvalidValueError):
        overcoat.records.check_cabinet([])


def test_shops_exchange_estimates_as_text():
    ours = overcoat.fit_records([48.0, 60.0, 72.0, 90.0], [True] * 4, film="hard_wax").estimate
    theirs = overcoat.fit_records([70.0, 75.0, 90.0, 120.0], [True] * 4, film="hard_wax").estimate
    assert overcoat.types.Estimate.from_json(theirs.to_json()) == theirs
    merged = overcoat.records.merge_estimates([ours, theirs])
    assert ours.median < merged.median < theirs.median
    assert merged.rows == 8
    catalog = overcoat.Catalog.from_json(merged.catalog_entry("hard_wax", "two shops", "2024-01", "2024-12"))
    assert "merged of 2 shops" in catalog.sources["own_records_hard_wax_capacity_h"][1]
    with pytest.raises(overcoat.InvalidValueError):
        overcoat.records.merge_estimates([ours])


def test_lots_of_one_panel_each_are_left_out_with_a_remark():
    fitted = overcoat.fit_records([48.0, 60.0, 72.0, 90.0], [True] * 4, lot=["a", "b", "c", "d"])
    assert fitted.lot_log_sds is None
    assert any("lots were not fitted" in line for line in fitted.remarks)


def test_the_command_prints_the_three_ways(tmp_path):
    said = succeeds("backtest", LOG)
    for words in ("outlook", "face value", "category alone", "162 rows from 18 sites"):
        assert words in said
    assert len(json.loads(succeeds("backtest", LOG, "--json"))["parts"]) == 162
    bad = tmp_path / "bad.csv"
    bad.write_text(
        "base_metal,treatment,films,years,failed\nsteel_8_8,hot_alkaline,hard_wax,x,yes\n", "utf-8"
    )
    assert "row 1" in refuses("backtest", bad)


def test_the_demo_logs_are_written_again_alike(tmp_path):
    import subprocess
    import sys

    script = ROOT / "demo-data" / "generate_logs.py"
    subprocess.run([sys.executable, str(script), str(tmp_path)], check=True)
    for path in (LOG, SPRAY):
        assert (tmp_path / path.name).read_bytes() == path.read_bytes()


def test_years_typed_as_months_are_remarked_on():
    head = "base_metal,treatment,films,years,outcome,place,shelter\n"
    build = "steel_4_6,hot_alkaline,hard_wax"
    years = [1.0, 1.4, 2.1]

    def remarks(times):
        text = head + "".join(f"{build},{times * y},failed,rural,sheltered\n" for y in years)
        updates = overcoat.update_field(text, "hard_wax")
        return overcoat.backtest(text).remarks, [remark for update in updates for remark in update.remarks]

    for found in remarks(12):
        assert any("months, divide by 12" in remark for remark in found), found
    for found in remarks(1):
        assert not any("Check that the years are years" in remark for remark in found), found
