"""The validation report is written by one command and has every section; without the tables it skips."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "tests" / "validation" / "report.py"
sys.path.insert(0, str(SCRIPT.parent))

import first_year  # noqa: E402 (a folder of scripts)

SECTIONS = [
    "## Where the model is off",
    "## Films against published lives",
    "## Stainless exposures",
    "## Sheltered and hot parts",
    "## First-year losses against measured sites",
    "### By climate, steel, all programmes together",
    "### What an outlook takes, steel",
    "### Why one spread for all climates",
    "### Where the function is off",
    "## Loss over the years against measured series",
    "## Published tables reproduced",
    "## Time of wetness against independent counts",
    "## Bounds of fitted records",
]


def run(out: Path, reference: Path | None, *more: str) -> subprocess.CompletedProcess[str]:
    environment = {k: v for k, v in os.environ.items() if k != "OVERCOAT_REFERENCE"}
    if reference is not None:
        environment["OVERCOAT_REFERENCE"] = str(reference)
    command = [sys.executable, str(SCRIPT), "--out", str(out), *more]
    return subprocess.run(command, env=environment, cwd=out.parent, capture_output=True, text=True)


def test_the_report_has_every_section(reference, tmp_path):
    pytest.importorskip("matplotlib")
    done = run(tmp_path / "report", reference)
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "report" / "REPORT.md").read_text(encoding="utf-8")
    for section in SECTIONS:
        assert section in text
    if (reference / "measured").is_dir():
        assert "| ICP Materials | steel |" in text
        figures = sorted(path.name for path in (tmp_path / "report").glob("*.png"))
        assert figures and all(f"]({name})" in text for name in figures)
    if shutil.which("cargo"):
        assert "thread deviations e, f, g" in text
        assert "larger than the test allows" not in text
    assert "nan" not in text.lower().split() and " inf " not in text


def test_the_committed_copy_has_the_same_build(reference, tmp_path):
    """Figures may move with the data; headings and heads of tables only with the code."""
    if not (reference / "measured").is_dir() or not shutil.which("cargo"):
        pytest.skip("not all of the data or no cargo")
    pytest.importorskip("pvlib")
    done = run(tmp_path / "report", reference, "--without-figures")
    assert done.returncode == 0, done.stderr
    new = (tmp_path / "report" / "REPORT.md").read_text(encoding="utf-8")
    committed = (SCRIPT.parent / "REPORT.md").read_text(encoding="utf-8")

    def headings(text: str) -> list[str]:
        return [line for line in text.splitlines() if line.startswith("#")]

    again = f"write it anew: {SCRIPT} --out {SCRIPT.parent} --without-figures"
    assert headings(new) == headings(committed), again


def test_the_sites_do_not_support_a_spread_by_climate(reference):
    """Should this fail with more sites, give the atmosphere of an outlook a spread by climate."""
    sites = first_year.site_ratios(first_year.read_all(reference / "measured"))
    if len(sites) < 20:
        pytest.skip("the measured sites are not there")
    for prior in (0.2, 0.3, 0.5):
        gain, error = first_year.gain_of_spreads(sites, prior)
        assert gain < 2 * error, prior
    # an error of 4% of a share of 10% needs 57 sites
    for _, low, high in first_year.CLIMATES_BY_TEMPERATURE:
        assert len([site for site in sites if low <= site[1] < high]) < 57


def test_a_spread_by_climate_would_be_found():
    """Sites drawn with one: the fit finds it, and it predicts programmes that were left out."""
    rng = np.random.default_rng(7)
    temperatures = rng.uniform(-10, 28, 400)
    true = np.exp(np.interp(temperatures, first_year.KNOTS_C, np.log([0.4, 0.2, 0.3, 0.8])))
    drawn = [
        (f"programme {i % 4}", float(t), float(ratio))
        for i, (t, ratio) in enumerate(zip(temperatures, rng.normal(0, true), strict=True))
    ]
    spread = first_year.fitted_spread([(t, ratio) for _, t, ratio in drawn], 0.5)
    assert np.abs(np.log(spread / [0.4, 0.2, 0.3, 0.8])).max() < 0.25
    gain, error = first_year.gain_of_spreads(drawn, 0.3)
    assert gain > 2 * error
    # by hand: two sites, one or both on a side are half or all, so that no count lies between
    assert first_year.chance_of_a_tenth(2) == 0.0
    # of ten sites exactly one must lie on each side: 10 · 9 · 0.1² · 0.8⁸
    assert first_year.chance_of_a_tenth(10) == pytest.approx(90 * 0.01 * 0.8**8)
    assert first_year.chance_of_so_many(3, 2) == pytest.approx(3 * 0.2**2 * 0.8 + 0.2**3)


def test_sections_without_data_say_so(tmp_path):
    empty = tmp_path / "empty"
    empty.mkdir()
    done = run(tmp_path / "report", empty, "--without-figures")
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "report" / "REPORT.md").read_text(encoding="utf-8")
    assert text.count("Not compared") >= 2


def test_without_a_reference_folder_it_says_what_is_missing(tmp_path):
    done = run(tmp_path / "report", None)
    assert done.returncode == 2
    assert "OVERCOAT_REFERENCE" in done.stderr and not (tmp_path / "report").exists()
