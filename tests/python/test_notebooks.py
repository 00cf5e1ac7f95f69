"""Every notebook runs from top to bottom without an error."""

import shutil
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))


@pytest.fixture(scope="module")
def copied_notebooks(tmp_path_factory: pytest.TempPathFactory, demo: Path) -> Path:
    """A copy of the notebooks and the demo data beside them, so that a run writes nothing into the clone."""
    folder = tmp_path_factory.mktemp("clone")
    shutil.copytree(demo, folder / demo.name, ignore=shutil.ignore_patterns("answers", "__pycache__"))
    shutil.copytree(
        ROOT / "notebooks", folder / "notebooks", ignore=shutil.ignore_patterns(".ipynb_checkpoints")
    )
    return folder / "notebooks"


def test_there_are_notebooks():
    assert NOTEBOOKS, "notebooks/ holds no notebook"


@pytest.mark.parametrize("name", [path.name for path in NOTEBOOKS])
def test_notebook_runs_without_an_error(name: str, copied_notebooks: Path):
    notebook = nbformat.read(copied_notebooks / name, as_version=4)
    NotebookClient(
        notebook,
        timeout=300,
        kernel_name="python3",  # of the environment of the tests, whatever the notebook was saved with
        force_raise_errors=True,  # a cell tagged as one that may fail fails too
        resources={"metadata": {"path": str(copied_notebooks)}},
    ).execute()

    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert not [output for output in outputs if output.output_type == "error"]
