"""Spark on this machine; a group of its own, since it is large and needs Java."""

import importlib.util
import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def demo() -> Path:
    return ROOT / "demo-data"


@pytest.fixture(scope="session")
def example():
    """The documented example."""
    spec = importlib.util.spec_from_file_location(
        "scale_out_spark", ROOT / "demo-data" / "scale_out_spark.py"
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def spark():
    from pyspark.sql import SparkSession

    os.environ["PYSPARK_PYTHON"] = sys.executable
    session = (
        # two workers, each task tried up to three times
        SparkSession.builder.master("local[2,3]")
        .appName("overcoat")
        .config("spark.driver.host", "127.0.0.1")
        .config("spark.driver.bindAddress", "127.0.0.1")
        .config("spark.ui.enabled", "false")
        .config("spark.sql.execution.arrow.maxRecordsPerBatch", "7")
        .getOrCreate()
    )
    yield session
    session.stop()
