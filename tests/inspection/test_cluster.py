"""Checks on a Dask cluster: the same bytes, and none on other files."""

import pytest

from rasterc.cli.edge import run
from rasterc.diagnostics import InputError
from rasterc.inspection import cluster as cluster_module
from rasterc.inspection.cluster import look_there
from rasterc.inspection.release import release

AT = ("--at", "2027-11-25 14:05")
TEXT = (
    'message m{0} {{ raster 7 font upright-7 counter spare from 1 to 9 block {{ line: "{0}" }} }}'
)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    for number in range(3):
        (tmp_path / f"m{number}.rasterc").write_text(TEXT.format(number))
    (tmp_path / "bad.rasterc").write_text("message bad { raster 99 }")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.filterwarnings("default")  # those of Dask are not ours to repair
def test_the_same_bytes(folder, capfd, monkeypatch):
    distributed = pytest.importorskip("distributed")
    monkeypatch.setenv("RASTERC_CACHE", "off")

    def said(*arguments):
        assert run(["check", ".", *AT, *arguments]) == 2
        return capfd.readouterr()

    here = said()
    options = {"n_workers": 1, "threads_per_worker": 2, "dashboard_address": "127.0.0.1:0"}
    with distributed.LocalCluster(**options) as cluster:
        there = said("--cluster", cluster.scheduler_address)
    assert there.out == here.out
    assert there.err.startswith(here.err.splitlines()[0])
    assert "--cluster" in said("--cluster", "tcp://127.0.0.1:1", "--workers", "2").err


def tasks(folder):
    from rasterc.cli.check.wanted import Options, wanted

    return [list(wanted([folder / "m0.rasterc"], Options(at=AT[1]), None).tasks)]


def test_a_worker_that_sees_another_file_is_refused(folder):
    [group] = tasks(folder)
    found = look_there(str(folder), release(), group)
    cluster_module._refuse_others(found, cluster_module.Answers())
    (folder / "m0.rasterc").write_text(TEXT.format("another"))
    with pytest.raises(InputError, match=r"do not see the same .*m0\.rasterc"):
        cluster_module._refuse_others(found, cluster_module.Answers())


def test_a_worker_of_another_release_or_without_the_folder_refuses(folder):
    [group] = tasks(folder)
    with pytest.raises(InputError, match="another release"):
        look_there(str(folder), "0" * 64, group)
    with pytest.raises(InputError, match="do not see the same"):
        look_there(str(folder / "nowhere"), release(), group)
