"""A scheduler without workers, or one that falls silent, is given up after a while."""

import os
import signal
import subprocess
import sys
import time
from threading import Timer

import msgspec
import pytest

from rasterc.diagnostics import InputError
from rasterc.sweep import cluster
from rasterc.sweep.model import Case, Charges
from rasterc.sweep.run import run_cases

IDLE = {"n_workers": 0, "processes": False, "dashboard_address": "127.0.0.1:0"}  # any free port
CASE = Case(1.0, 10.0, Charges.ALONE)


def test_a_scheduler_without_workers_is_given_up(job, monkeypatch):
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr(cluster, "WORKERS_S", 0.5)
    with distributed.LocalCluster(**IDLE) as scheduler:
        runner = cluster.on_cluster(scheduler.scheduler_address)
        with pytest.raises(InputError, match=r"has no worker after 0\.5 s"):
            run_cases(job, [CASE], runner=runner)


def test_workers_that_are_all_gone_are_not_waited_for(job, monkeypatch):
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr(cluster, "WORKERS_S", 0.5)
    monkeypatch.setattr(cluster, "ASK_S", 0.1)
    monkeypatch.setattr(cluster, "wait_for_worker", lambda *_: None)  # there was one
    with distributed.LocalCluster(**IDLE) as scheduler:
        runner = cluster.on_cluster(scheduler.scheduler_address)
        with pytest.raises(InputError, match=r"has no worker after 0\.5 s"):
            run_cases(job, [CASE], runner=runner)


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="suspends a process")
@pytest.mark.filterwarnings("default")  # those of Dask are not ours to repair
@pytest.mark.parametrize("how", ["SIGSTOP", "SIGKILL"])
def test_a_scheduler_that_falls_silent_is_given_up(job, monkeypatch, tmp_path, how):
    pytest.importorskip("distributed")
    monkeypatch.setattr(cluster, "ASK_S", 0.5)
    monkeypatch.setattr(cluster, "ANSWER_S", 0.5)
    monkeypatch.setattr(cluster, "CLOSE_S", 0.5)
    contact = tmp_path / "scheduler.json"
    scheduler = subprocess.Popen(
        [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1",
         "--no-dashboard", "--port", "0", "--scheduler-file", contact],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=tmp_path,
    )  # fmt: skip
    try:
        end = time.monotonic() + 600
        while not contact.exists() and time.monotonic() < end:
            time.sleep(0.05)
        address = msgspec.json.decode(contact.read_bytes())["address"]
        monkeypatch.setattr(
            cluster,
            "wait_for_worker",
            lambda *_: Timer(1, os.kill, (scheduler.pid, getattr(signal, how))).start(),
        )
        with pytest.raises(InputError) as caught:
            run_cases(job, [CASE], runner=cluster.on_cluster(address))
        assert caught.value.diagnostics[0].code in ("no-cluster", "cluster-failed")
    finally:
        scheduler.kill()
        scheduler.wait()
