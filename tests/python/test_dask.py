"""Dask on a cluster of this machine: the bits of one process, and a lost worker's work done again."""

import importlib.util
import os
import signal
from pathlib import Path

import pandas as pd
import pytest
from pyarrow import csv

import overcoat

distributed = pytest.importorskip("distributed")
dask_dataframe = pytest.importorskip("dask.dataframe")

ROOT = Path(__file__).resolve().parents[2]
# of Dask and of what it starts, not of ours
pytestmark = pytest.mark.filterwarnings("default")


@pytest.fixture(scope="module")
def example():
    """The documented example."""
    path = ROOT / "demo-data" / "scale_out_dask.py"
    spec = importlib.util.spec_from_file_location("scale_out_dask", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def client():
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client


@pytest.fixture(scope="module")
def local(demo) -> pd.DataFrame:
    """The finishes by one call in this process."""
    batches = csv.read_csv(demo / "sites.csv").combine_chunks().to_batches()
    brief = overcoat.Brief.from_json(demo / "briefs" / "gate-hinge.json")
    catalog = overcoat.Catalog.from_json(demo / "workshop_catalog.json")
    (found,) = overcoat.sweep_batches(batches, catalog=catalog, brief=brief, best_only=True)
    return found.to_pandas()


def assert_same_bits(found: pd.DataFrame, local: pd.DataFrame) -> None:
    pd.testing.assert_frame_equal(
        found.sort_values("site", ignore_index=True),
        local.sort_values("site", ignore_index=True),
        check_exact=True,
        check_dtype=False,
    )


def test_the_example_has_the_bits_of_one_process(example, client, demo, local):
    sites = dask_dataframe.read_csv(demo / "sites.csv", blocksize="4 kB")
    assert sites.npartitions >= 4
    assert_same_bits(example.finishes(sites).compute(), local)


def swept_by_a_mortal(part: pd.DataFrame, marker: str, swept, *given) -> pd.DataFrame:
    """Kills the worker that has the first partition in hand, the first time."""
    if "Voskomoth Pass" in set(part["site"]):
        try:
            os.close(os.open(marker, os.O_CREAT | os.O_EXCL))
        except FileExistsError:
            pass
        else:
            os.kill(os.getpid(), signal.SIGKILL)
    return swept(part, *given)


@pytest.mark.skipif(os.name == "nt", reason="no such signal")
def test_the_partitions_of_a_killed_worker_are_done_again(example, client, demo, local, tmp_path):
    workers = set(client.run(os.getpid).values())
    marker = tmp_path / "killed"
    sites = dask_dataframe.read_csv(demo / "sites.csv", blocksize="4 kB")
    brief = overcoat.Brief.from_json(demo / "briefs" / "gate-hinge.json")
    catalog = overcoat.Catalog.from_json(demo / "workshop_catalog.json")
    found = sites.map_partitions(
        swept_by_a_mortal,
        str(marker),
        example.swept,
        brief,
        catalog,
        meta=example.swept(sites.head(0, npartitions=-1), brief, catalog),
    ).compute()
    assert marker.exists()
    client.wait_for_workers(2, timeout=60)
    assert set(client.run(os.getpid).values()) != workers
    assert_same_bits(found, local)
