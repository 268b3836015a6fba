"""Parts done on a Dask cluster: the same bytes, also when workers are killed."""

import os
import signal
from fractions import Fraction

import pytest

from rasterc.batch.api import counted
from rasterc.batch.cluster import on_cluster
from rasterc.batch.job import run_job
from rasterc.batch.pace import Pace
from rasterc.batch.parts import Order
from rasterc.batch.setup import setup_of
from rasterc.batch.work import Job, in_process

MESSAGE = """message m { raster 16 font upright-7
  clock packed in "Europe/Dublin"
  counter case from 1 to 9999999, restart daily of packed
  block { line: "L" packed(yyDDD)  line: case(0000000) packed(HH:mm:ss) } }"""


def job_of(code, out, runner, rows=60_000):
    source = counted(code.plan, rows, Pace(1_800_000_000_000_000, Fraction(750_000)), {}, {})
    setup = setup_of(code.message, code.fonts, code.composer, None)
    order = Order(setup, ".csv", True, True, source)
    return Job(order, source, out, {"of": "a test"}, 8192, runner=runner)


@pytest.mark.filterwarnings("default")  # those of Dask are not ours to repair
def test_the_same_bytes_though_a_worker_is_killed(made, tmp_path):
    distributed = pytest.importorskip("distributed")
    code = made.load(MESSAGE)
    here = run_job(job_of(code, tmp_path / "here.csv", in_process))
    options = {"n_workers": 2, "threads_per_worker": 1, "dashboard_address": "127.0.0.1:0"}
    with distributed.LocalCluster(**options) as cluster:
        victim = next(iter(cluster.workers.values())).pid
        killed = []

        def kill(rows):
            if not killed:
                killed.append(rows)
                os.kill(victim, signal.SIGKILL)

        runner = on_cluster(cluster.scheduler_address, window=3)
        there = run_job(job_of(code, tmp_path / "there.csv", runner), kill)
    assert killed
    assert there.written and here.written
    assert [part.files for part in there.parts] == [part.files for part in here.parts]
    for path in (tmp_path / "here.csv").iterdir():
        assert (tmp_path / "there.csv" / path.name).read_bytes() == path.read_bytes()
