#!/usr/bin/env python3
"""The demo sites swept by Dask, on a cluster of processes on this machine.

python demo-data/scale_out_dask.py OUT_FOLDER

Needs the extra `dask`. On real machines only the address of the cluster differs: Client("tcp://HOST:8786").
"""

import sys
from pathlib import Path

import dask.dataframe
import pandas
import pyarrow
from dask.distributed import Client, LocalCluster

import overcoat

DEMO = Path(__file__).resolve().parent


def swept(part: pandas.DataFrame, brief: overcoat.Brief, catalog: overcoat.Catalog) -> pandas.DataFrame:
    """One partition: its columns and, for each place, the best build."""
    batch = pyarrow.RecordBatch.from_pandas(part, preserve_index=False)
    (found,) = overcoat.sweep_batches([batch], catalog=catalog, brief=brief, best_only=True)
    return found.to_pandas()


def finishes(sites: dask.dataframe.DataFrame) -> dask.dataframe.DataFrame:
    """The finish for each site; Dask does a partition again where a worker fails."""
    brief = overcoat.Brief.from_json(DEMO / "briefs" / "gate-hinge.json")
    catalog = overcoat.Catalog.from_json(DEMO / "workshop_catalog.json")
    # a partition of no rows tells Dask the columns and types
    shape = swept(sites.head(0, npartitions=-1), brief, catalog)
    return sites.map_partitions(swept, brief, catalog, meta=shape)


def main(folder: str) -> None:
    with LocalCluster(n_workers=2, threads_per_worker=1) as cluster, Client(cluster):
        sites = dask.dataframe.read_csv(DEMO / "sites.csv", blocksize="8 kB")
        finishes(sites).to_parquet(folder)
        print(f"{sites.npartitions} partitions written to {folder}")


if __name__ == "__main__":
    main(*sys.argv[1:])
