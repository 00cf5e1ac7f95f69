"""`import overcoat` is light: what only some calls need is loaded by them; examples in the docs run."""

import doctest
import importlib
import pkgutil
import subprocess
import sys

import pytest

import overcoat

HEAVY = {"numpy", "pandas", "polars", "pyarrow", "matplotlib", "rich", "jinja2", "click", "scipy"}


def loaded_after(code: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", f"{code}\nimport sys\nprint(*sys.modules)"],
        capture_output=True,
        encoding="utf-8",
        check=True,
        timeout=120,
    )
    return set(done.stdout.splitlines()[-1].split())


def test_import_loads_nothing_heavy():
    loaded = loaded_after("import overcoat")
    assert "overcoat._core" in loaded
    assert not HEAVY & loaded


def test_numbers_for_one_place_load_nothing_heavy():
    loaded = loaded_after(
        "import overcoat\n"
        "loss = overcoat.first_year_loss('steel', 10.0, 80.0, 5.0, 10.0)\n"
        "overcoat.corrosivity('steel', loss), overcoat.long_term_loss('steel', loss, 10.0)\n"
        "overcoat.rank(overcoat.Brief.from_json(overcoat.Brief.from_json('''"
        '{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "bracket", "base_metal": "steel_4_6", '
        '"mass_g": 300, "surface_dm2": 2.5}, "duty": {"place": "urban", "required_years": 5}}'
        "''').to_json())).best.outlook.median_years"
    )
    assert not HEAVY & loaded


MODULES = ["overcoat"] + [
    module.name
    for module in pkgutil.walk_packages(overcoat.__path__, "overcoat.")
    if module.name not in ("overcoat.__main__", "overcoat._core")
]


def test_every_module_is_known():
    assert {"overcoat.atmosphere", "overcoat.choices", "overcoat.panels"} <= set(MODULES)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name):
    found = doctest.testmod(importlib.import_module(name))
    assert found.failed == 0


@pytest.mark.parametrize(
    "name", ["overcoat", "overcoat.atmosphere", "overcoat.plots.answer", "overcoat.plots.air"]
)
def test_the_documented_modules_have_examples(name):
    assert doctest.testmod(importlib.import_module(name)).attempted > 0
