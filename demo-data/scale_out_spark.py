#!/usr/bin/env python3
"""The demo sites swept by Spark, on this machine.

python demo-data/scale_out_spark.py OUT_FOLDER

Needs pyspark and Java. On real machines only the master differs, and overcoat is installed on the workers.
"""

import sys
from functools import partial
from pathlib import Path

import pyarrow
from pyspark.sql import DataFrame, SparkSession
from pyspark.sql.pandas.types import from_arrow_schema, to_arrow_schema

import overcoat

DEMO = Path(__file__).resolve().parent


def finishes(sites: DataFrame) -> DataFrame:
    """The finish for each site; Spark does a partition again where a task or a worker fails."""
    swept = partial(
        overcoat.sweep_batches,
        catalog=overcoat.Catalog.from_json(DEMO / "workshop_catalog.json"),
        brief=overcoat.Brief.from_json(DEMO / "briefs" / "gate-hinge.json"),
        best_only=True,
    )
    # a batch of no rows tells Spark the columns and types
    none = pyarrow.RecordBatch.from_pylist([], schema=to_arrow_schema(sites.schema))
    (shape,) = swept([none])
    return sites.mapInArrow(swept, from_arrow_schema(shape.schema))


def main(folder: str) -> None:
    spark = SparkSession.builder.master("local[2]").appName("finishes").getOrCreate()
    sites = spark.read.csv(str(DEMO / "sites.csv"), header=True, inferSchema=True)
    finishes(sites.repartition(4)).write.parquet(folder)
    print(f"written to {folder}")
    spark.stop()


if __name__ == "__main__":
    main(*sys.argv[1:])
