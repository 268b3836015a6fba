"""The same figures wherever they are worked out, and kept through a kill."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import msgspec
import pytest
from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.sweep.cluster import on_cluster
from rasterc.sweep.extras import needed
from rasterc.sweep.model import Case, Charges
from rasterc.sweep.results import Results
from rasterc.sweep.run import fly_chunk, in_pool, one_by_one, run_cases

CASES = [Case(speed, 10.0, Charges.ALONE) for speed in (0.8, 1.0, 1.3, 1.5, 1.8, 2.0)]


@pytest.fixture(scope="module")
def alone(job):
    return run_cases(job, CASES)


def test_cases_are_flown_once_and_in_order(job, alone):
    calls = []
    found = run_cases(job, CASES[:1] * 3, progress=lambda done, total: calls.append((done, total)))
    assert list(alone) == CASES
    assert found == {CASES[0]: alone[CASES[0]]}
    assert calls == [(0, 1), (1, 1)]


def test_a_pool_finds_the_same_bit_for_bit(job, alone):
    found = run_cases(job, CASES, runner=in_pool(2), workers=2)
    assert msgspec.json.encode(list(found.values())) == msgspec.json.encode(list(alone.values()))
    assert list(found) == CASES


@pytest.mark.parametrize("workers", [0, -2, 1000])
def test_a_number_of_workers_that_makes_no_sense(workers):
    with pytest.raises(InputError):
        in_pool(workers)


def test_faults_of_a_case_come_through_a_pool(job):
    with pytest.raises(InputError, match="not a line speed"):
        run_cases(job, [Case(99.0, 10.0)], runner=in_pool(1))


def test_what_is_done_is_not_flown_again(job, alone, tmp_path):
    flown = []

    def breaks_off(encoded, chunks):
        for chunk, done in one_by_one(encoded, chunks[:2]):
            flown.extend(chunk)
            yield chunk, done
        raise KeyboardInterrupt

    def counts(encoded, chunks):
        for chunk, done in one_by_one(encoded, chunks):
            flown.extend(chunk)
            yield chunk, done

    results = Results(tmp_path / "r.sqlite", job)
    with pytest.raises(KeyboardInterrupt):
        run_cases(job, CASES, runner=breaks_off, workers=2, results=results)
    results.close()
    kept = len(flown)
    assert 0 < kept < len(CASES)
    results = Results(tmp_path / "r.sqlite", job)
    found = run_cases(job, CASES, runner=counts, workers=2, results=results)
    assert flown == CASES
    assert found == alone
    assert results.known(CASES) == alone
    results.close()


def test_a_results_file_belongs_to_one_job(job, tmp_path):
    Results(tmp_path / "r.sqlite", job).close()
    Results(tmp_path / "r.sqlite", job).close()
    with pytest.raises(InputError, match="another message, profile"):
        Results(tmp_path / "r.sqlite", structs.replace(job, speed_m_s=0.5))


def test_files_of_something_else_are_left_alone(job, tmp_path):
    text = tmp_path / "notes.txt"
    text.write_text("not a database, and longer than a header" * 50)
    other = tmp_path / "other.sqlite"
    with sqlite3.connect(other) as database:
        database.execute("create table stock (item text)")
    database.close()
    before = text.read_bytes(), other.read_bytes()
    for path in (text, other, tmp_path / "no" / "folder.sqlite"):
        with pytest.raises(InputError) as caught:
            Results(path, job)
        assert caught.value.diagnostics[0].help
    assert (text.read_bytes(), other.read_bytes()) == before


def kept(job, alone, path):
    results = Results(path, job)
    results.add(alone.items())
    results.close()
    return path.read_bytes()


def test_a_flipped_bit_is_found_or_changes_nothing(job, alone, tmp_path):
    path = tmp_path / "r.sqlite"
    good = kept(job, alone, path)
    rng, refused = random.Random(3), 0
    for _ in range(250):
        at = rng.randrange(len(good))
        path.write_bytes(good[:at] + bytes([good[at] ^ 1 << rng.randrange(8)]) + good[at + 1 :])
        try:
            results = Results(path, job)
            try:
                found = results.known(CASES)
            finally:
                results.close()
        except InputError as error:
            assert error.diagnostics[0].help
            refused += 1
        else:
            assert all(alone[case] == figures for case, figures in found.items())
    assert refused > 20


@pytest.mark.parametrize(
    "change",
    [
        "update result set figures = replace(figures, '1', '2')",
        "update result set figures = 7",
        "update result set figures = x'00ff'",
        "update result set spec = null",
        "update job set key = 3",
        "delete from job",
        "insert into job select * from job",
        "drop table result",
        "alter table result drop column figures",
        "drop table job; create view job as select 1 as key",
    ],
)
def test_rows_that_were_not_written_so_are_refused(job, alone, tmp_path, change):
    kept(job, alone, tmp_path / "r.sqlite")
    with sqlite3.connect(tmp_path / "r.sqlite") as database:
        database.executescript(change)
    database.close()
    with pytest.raises(InputError) as caught:
        results = Results(tmp_path / "r.sqlite", job)
        try:
            results.known(CASES)
        finally:
            results.close()
    assert caught.value.diagnostics[0].code in ("damaged-results", "cannot-keep-results")


def test_a_file_that_cannot_be_used_is_left_as_it_is(job, alone, tmp_path, monkeypatch):
    path = tmp_path / "r.sqlite"
    good = kept(job, alone, path)
    monkeypatch.setattr("rasterc.sweep.results._WAIT_S", 0.1)
    other = sqlite3.connect(path)
    other.execute("begin exclusive")
    with pytest.raises(InputError, match="locked"):
        Results(path, job)
    other.rollback()
    other.close()
    path.chmod(0o444)
    with pytest.raises(InputError, match="write-protected"):
        Results(path, job)
    os.mkfifo(tmp_path / "pipe")
    for odd in (tmp_path / "pipe", tmp_path, "/dev/null", tmp_path / ("n" * 300)):
        with pytest.raises(InputError, match="cannot write"):
            Results(Path(odd), job)
    assert path.read_bytes() == good
    assert sorted(p.name for p in tmp_path.iterdir()) == ["pipe", "r.sqlite"]


WORKER = """
import sys
from pathlib import Path
import msgspec
from rasterc.sweep.model import Case, Job
from rasterc.sweep.results import Results
from rasterc.sweep.run import run_cases
if __name__ == "__main__":
    job = msgspec.json.decode(Path(sys.argv[1]).read_bytes(), type=Job)
    cases = msgspec.json.decode(Path(sys.argv[2]).read_bytes(), type=list[Case])
    run_cases(job, cases, results=Results(Path(sys.argv[3]), job))
"""


def test_a_killed_study_goes_on_from_its_file(job, alone, tmp_path):
    (tmp_path / "work.py").write_text(WORKER)
    (tmp_path / "job").write_bytes(msgspec.json.encode(job))
    (tmp_path / "cases").write_bytes(msgspec.json.encode(CASES * 1))
    kept = tmp_path / "r.sqlite"
    process = subprocess.Popen(
        [sys.executable, tmp_path / "work.py", tmp_path / "job", tmp_path / "cases", kept]
    )
    try:
        deadline = time.monotonic() + 600
        while process.poll() is None and _rows(kept) < 1 and time.monotonic() < deadline:
            time.sleep(0.02)
    finally:
        process.kill()
        process.wait()
    results = Results(kept, job)
    before = len(results.known(CASES))
    assert before >= 1
    assert run_cases(job, CASES, results=results) == alone
    results.close()


def _rows(path):
    if not path.exists():
        return 0
    database = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    try:
        return database.execute("select count(*) from result").fetchone()[0]
    except sqlite3.OperationalError:  # not made yet, or being written
        return 0
    finally:
        database.close()


def test_an_extra_that_is_missing_is_named():
    with pytest.raises(InputError) as caught:
        needed("no_such_package_here.part", "plots", "a diagram")
    assert 'pip install "rasterc[plots]"' in caught.value.diagnostics[0].help


def test_chunks_are_plain_text(job, alone):
    encoded = fly_chunk(msgspec.json.encode(job), msgspec.json.encode(CASES[:1]))
    assert msgspec.json.decode(encoded, type=list[type(alone[CASES[0]])]) == [alone[CASES[0]]]


@pytest.fixture
def scheduler(tmp_path):
    """A Dask scheduler on this machine only, and its two worker processes."""
    pytest.importorskip("distributed", reason="the extra cluster is not installed")
    contact = tmp_path / "scheduler.json"
    environment = {**os.environ, "DASK_DISTRIBUTED__WORKER__USE_FILE_LOCKING": "false"}

    def start(*arguments):
        return subprocess.Popen(
            [sys.executable, "-m", "distributed.cli." + arguments[0], *map(str, arguments[1:])],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=tmp_path, env=environment,
        )  # fmt: skip

    here = ("--host", "127.0.0.1", "--no-dashboard", "--scheduler-file", contact)
    processes = [start("dask_scheduler", *here, "--port", 0)]
    try:
        deadline = time.monotonic() + 600
        while not contact.exists() and time.monotonic() < deadline:
            time.sleep(0.05)
        processes += [
            start("dask_worker", *here, "--no-nanny", "--nthreads", 1, "--name", f"worker-{k}")
            for k in range(2)
        ]
        yield msgspec.json.decode(contact.read_bytes())["address"], processes[1:]
    finally:
        for process in processes:
            process.kill()
            process.wait()


@pytest.mark.filterwarnings("default")  # those of Dask are not ours to repair
def test_a_cluster_finds_the_same_when_a_worker_is_killed(job, alone, scheduler, tmp_path):
    distributed = pytest.importorskip("distributed")
    address, workers = scheduler
    with distributed.Client(address, timeout=600, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=600)
    results = Results(tmp_path / "r.sqlite", job)
    seen = []

    def kill_one(done, total):
        seen.append((done, total))
        if done >= 1 and workers[0].poll() is None:
            workers[0].send_signal(signal.SIGKILL)

    found = run_cases(
        job, CASES, runner=on_cluster(address), workers=2, results=results, progress=kill_one
    )
    results.close()
    workers[0].wait(timeout=600)
    assert workers[0].returncode == -signal.SIGKILL
    assert workers[1].poll() is None
    assert seen[-1] == (len(CASES), len(CASES))
    assert msgspec.json.encode(list(found.values())) == msgspec.json.encode(list(alone.values()))


@pytest.mark.filterwarnings("default")
def test_no_scheduler_is_said(job, monkeypatch):
    pytest.importorskip("distributed", reason="the extra cluster is not installed")
    monkeypatch.setattr("rasterc.sweep.cluster.CONNECT_S", 1)
    with pytest.raises(InputError, match="no scheduler answers"):
        run_cases(job, CASES, runner=on_cluster("tcp://127.0.0.1:1"))


def _end(encoded, cases):
    os._exit(1)


def test_a_worker_that_ends_is_said(job, monkeypatch):
    monkeypatch.setattr("rasterc.sweep.run._flown", _end)
    with pytest.raises(InputError, match="ended from outside"):
        run_cases(job, CASES[:1], runner=in_pool(1))
