"""Worker processes are started whole, or not at all."""

import os
import signal
import threading
import time

import pytest

from rasterc.processes import work_off


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_a_stop_while_workers_start_leaves_no_half_started_one(stop, monkeypatch, capfd):
    """Any thread may take a signal that the main one holds back, those of libraries too."""
    from multiprocessing import popen_spawn_posix, resource_tracker

    resource_tracker.ensure_running()  # a process too, but no worker
    start, started = popen_spawn_posix.util.spawnv_passfds, []

    def started_and_stopped(*given):
        started.append(start(*given))
        os.kill(os.getpid(), stop)
        time.sleep(0.2)  # the other thread takes it
        return started[-1]

    monkeypatch.setattr(popen_spawn_posix.util, "spawnv_passfds", started_and_stopped)
    before = signal.signal(stop, signal.default_int_handler)
    done = threading.Event()
    threading.Thread(target=done.wait, daemon=True).start()
    try:
        with pytest.raises(KeyboardInterrupt):
            list(work_off(abs, [-1, -2], 2))
        assert signal.getsignal(stop) is signal.default_int_handler
    finally:
        done.set()
        signal.signal(stop, before)
    assert len(started) >= 2
    for pid in started:
        with pytest.raises(ChildProcessError):  # it was waited for
            os.waitpid(pid, 0)
    assert capfd.readouterr().err == ""
