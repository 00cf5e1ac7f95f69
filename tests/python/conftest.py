"""What several test files need."""

import os
from pathlib import Path

import pytest
from browsing import QUIET, chromium

ROOT = Path(__file__).resolve().parents[2]

# files and tests that take most of the time: processes, disks, pictures, notebooks, hostile input
LONG_FILES = {
    "test_dask",
    "test_docs",
    "test_faults",
    "test_hostile",
    "test_hostile_pictures",
    "test_notebooks",
    "test_survival_libraries",
    "test_sweep_files",
    "test_validation_report",
    "test_wrong_arguments",
}
LONG_TESTS = {"test_a_bar_shows_on_a_terminal_and_nothing_elsewhere", "test_swept_tables_agree"}


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the long tests too")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long tests are skipped, not deselected, so that a run says how many it left out."""
    if not config.getoption("--long"):
        for item in items:
            if item.path.stem in LONG_FILES or item.name.split("[")[0] in LONG_TESTS:
                item.add_marker(pytest.mark.skip(reason="long: python3 tests/run.py --all"))


@pytest.fixture(scope="session")
def reference() -> Path:
    """The folder of reference tables; a test that asks for it skips where there is none."""
    folder = os.environ.get("OVERCOAT_REFERENCE")
    if not folder:
        pytest.skip("OVERCOAT_REFERENCE names no folder of reference tables")
    path = Path(folder)
    assert path.is_dir(), f"OVERCOAT_REFERENCE is {folder}, which is not a folder: correct or unset it"
    return path


@pytest.fixture(scope="session")
def demo() -> Path:
    """The folder of the demo scenario."""
    return ROOT / "demo-data"


@pytest.fixture(scope="module")
def browser():
    """The Chromium that is installed; a test that asks for it skips where there is none."""
    playwright_api = pytest.importorskip("playwright.sync_api")
    binary = chromium()
    if binary is None:
        pytest.skip("no Chromium")
    with playwright_api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=binary, args=QUIET)
        yield started
        started.close()
