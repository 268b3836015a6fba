"""A scheduler that has no workers is given up after a while, and said to have none."""

import pytest

from rasterc.diagnostics import InputError
from rasterc.sweep import cluster
from rasterc.sweep.model import Case, Charges
from rasterc.sweep.run import run_cases


def test_a_scheduler_without_workers_is_given_up(job, monkeypatch):
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr(cluster, "WORKERS_S", 0.5)
    idle = {"n_workers": 0, "processes": False, "dashboard_address": None}
    with distributed.LocalCluster(**idle) as scheduler:
        runner = cluster.on_cluster(scheduler.scheduler_address)
        with pytest.raises(InputError, match=r"has no worker after 0\.5 s"):
            run_cases(job, [Case(1.0, 10.0, Charges.ALONE)], runner=runner)
