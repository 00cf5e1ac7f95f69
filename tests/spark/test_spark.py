"""Spark on this machine: the bits of one process, and a failed task done again."""

import os
import signal
from functools import partial

import pandas as pd
import pytest
from pyarrow import csv

import overcoat

pytest.importorskip("pyspark")
# of Spark, not of ours
pytestmark = pytest.mark.filterwarnings("default")


@pytest.fixture(scope="module")
def local(demo) -> pd.DataFrame:
    """The finishes by one call in this process."""
    batches = csv.read_csv(demo / "sites.csv").combine_chunks().to_batches()
    brief = overcoat.Brief.from_json(demo / "briefs" / "gate-hinge.json")
    catalog = overcoat.Catalog.from_json(demo / "workshop_catalog.json")
    (found,) = overcoat.sweep_batches(batches, catalog=catalog, brief=brief, best_only=True)
    return found.to_pandas()


def sites_of(spark, demo):
    return spark.read.csv(str(demo / "sites.csv"), header=True, inferSchema=True).repartition(5)


def assert_same_bits(found, local: pd.DataFrame) -> None:
    rows = [row.asDict() for row in found.collect()]
    pd.testing.assert_frame_equal(
        pd.DataFrame(rows).sort_values("site", ignore_index=True),
        local.sort_values("site", ignore_index=True),
        check_exact=True,
        check_dtype=False,
    )


def test_the_example_has_the_bits_of_one_process(example, spark, demo, local):
    assert_same_bits(example.finishes(sites_of(spark, demo)), local)


def failing_once(batches, marker, swept, how):
    """Fails the first time that it comes to a certain site, in the middle of a partition."""
    for batch in batches:
        if "Voskomoth Pass" in batch["site"].to_pylist():
            try:
                os.close(os.open(marker, os.O_CREAT | os.O_EXCL))
            except FileExistsError:
                pass
            else:
                if how == "killed":
                    os.kill(os.getpid(), signal.SIGKILL)
                raise RuntimeError("a fault of the worker")
        yield from swept([batch])


@pytest.mark.parametrize("how", ["raised", "killed"])
def test_a_failed_task_is_done_again(example, spark, demo, local, tmp_path, how):
    marker = tmp_path / "failed"
    sites = sites_of(spark, demo)
    swept = partial(
        overcoat.sweep_batches,
        catalog=overcoat.Catalog.from_json(demo / "workshop_catalog.json"),
        brief=overcoat.Brief.from_json(demo / "briefs" / "gate-hinge.json"),
        best_only=True,
    )
    # by value: the workers cannot import this file
    from pyspark import cloudpickle

    cloudpickle.register_pickle_by_value(__import__(__name__))
    shape = example.finishes(sites).schema
    found = sites.mapInArrow(partial(failing_once, marker=str(marker), swept=swept, how=how), shape)
    assert_same_bits(found, local)
    assert marker.exists()


def test_types_of_results_are_plain(example, spark, demo):
    kinds = {
        field.name: field.dataType.simpleString() for field in example.finishes(sites_of(spark, demo)).schema
    }
    assert kinds["build"] == kinds["category"] == kinds["row_status"] == "string"
    assert kinds["score"] == kinds["median_years"] == "double"
    assert kinds["blocked"] == "boolean"
