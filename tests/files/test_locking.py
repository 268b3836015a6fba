"""Turns: one at a time, also after somebody was killed, and nobody waits for ever."""

import os
import signal
import threading
import time

import pytest

from rasterc.diagnostics import InputError
from rasterc.files.locking import turn


def test_one_at_a_time(tmp_path):
    inside, most = 0, []

    def work():
        nonlocal inside
        for _ in range(30):
            with turn(tmp_path / "n"):
                inside += 1
                most.append(inside)
                time.sleep(0.0005)
                inside -= 1

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == [1] * 120


def test_the_turn_of_one_who_is_killed_ends(tmp_path):
    ready, begun = os.pipe()
    child = os.fork()
    if not child:
        with turn(tmp_path / "n"):
            os.write(begun, b"x")
            time.sleep(60)
    os.read(ready, 1)
    with pytest.raises(InputError) as error, turn(tmp_path / "n", wait_s=0.05):
        pass
    [said] = error.value.diagnostics
    assert said.code == "busy"
    assert said.help
    waits = threading.Thread(target=lambda: turn(tmp_path / "n").__enter__())
    waits.start()
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    waits.join()
    os.close(ready)
    os.close(begun)


def test_one_who_gave_up_keeps_nothing(tmp_path):
    with turn(tmp_path / "n"), pytest.raises(InputError), turn(tmp_path / "n", wait_s=0.01):
        pass
    with turn(tmp_path / "n", wait_s=10):
        pass


def test_links_to_one_file_share_its_turn(tmp_path):
    (tmp_path / "n").touch()
    (tmp_path / "link").symlink_to("n")
    with turn(tmp_path / "n"), pytest.raises(InputError), turn(tmp_path / "link", wait_s=0.01):
        pass


def test_where_no_lock_can_be_is_told(tmp_path):
    for name in ("no/n", "a\0b"):
        with pytest.raises(InputError, match="cannot-write"), turn(tmp_path / name):
            pass
