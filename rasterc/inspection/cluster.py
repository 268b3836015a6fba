"""Looking at files on the workers of a Dask scheduler.

The workers read the files themselves: they need the same folder at the same place, and the same
release of rasterc. Both are held to it, so that no verdict is one on another file.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Generator, Sequence
from contextlib import chdir
from functools import cache
from pathlib import Path
from queue import Queue
from threading import Lock
from typing import Any
from zoneinfo import TZPATH

from rasterc.diagnostics import InputError
from rasterc.files.answers import Answers, Noted
from rasterc.inspection.looking import Found, look_at
from rasterc.inspection.release import release
from rasterc.inspection.running import Group, Runner
from rasterc.resources import resource_dir
from rasterc.sweep.cluster import (
    CLOSE_S,
    RETRIES,
    connected,
    next_done,
    result_of,
    wait_for_worker,
)
from rasterc.sweep.extras import needed

_in_folder = Lock()


def on_cluster(address: str) -> Runner:
    """Look at groups of tasks on the workers of a scheduler, ``tcp://127.0.0.1:8786`` say.

    Raises:
        InputError: the extra is not installed; when running, as `rasterc.sweep.cluster`, or
            workers that have another release, or see other files.
    """
    distributed = needed("distributed", "cluster", "--cluster")

    def run(groups: Sequence[Group]) -> Generator[tuple[Group, list[Found]], None, None]:
        client = connected(distributed, address)
        try:
            wait_for_worker(client, address)
            given = str(Path.cwd()), release()
            futures = {
                client.submit(look_there, *given, group, pure=False, retries=RETRIES): group
                for group in groups
            }
            done: Queue[Any] = Queue()
            for future in futures:
                future.add_done_callback(done.put)
            answers = Answers()
            for _ in futures:
                future = next_done(done, client, address)
                found: list[Found] = result_of(future)
                _refuse_others(found, answers)
                yield futures[future], found
        finally:
            client.close(timeout=CLOSE_S)

    return run


def look_there(folder: str, wanted: str, group: Group) -> list[Found]:
    """What a worker does: look at a file, as one sees it who stands in the folder.

    Raises:
        InputError: the release is another one, or there is no such folder.
    """
    if release() != wanted:
        said = "a worker of the cluster has another release of rasterc, or of what it works with"
        help = "install the same where the workers run"
        raise InputError.one("cluster-failed", said, help=help)
    try:
        with _in_folder, chdir(folder):  # the folder is one of the whole process
            return look_at(group)
    except FileNotFoundError:
        raise _other_files(folder) from None


def _refuse_others(found: Sequence[Found], answers: Answers) -> None:
    """Refuse what a worker found in files that are others here; raises `InputError`."""
    for one in found:
        own = {question: said for question, said in one.noted.items() if _is_own(question.path)}
        if not answers.are(own):
            raise _other_files(_first_other(own, answers))


def _is_own(path: str) -> bool:
    """Whether a file is the user's; what comes with rasterc or the system may lie elsewhere."""
    real = Path(os.path.realpath(path))
    return not any(real.is_relative_to(place) for place in _brought())


@cache
def _brought() -> tuple[str, ...]:
    """Where fonts lie that came with rasterc, and time zones."""
    places = (str(resource_dir("fonts-demo")), sys.prefix, *TZPATH)
    return tuple(map(os.path.realpath, places))


def _first_other(noted: Noted, answers: Answers) -> str:
    return next(q.path for q, said in noted.items() if not answers.are({q: said}))


def _other_files(path: str) -> InputError:
    said = f"the workers of the cluster do not see the same {path}"
    help = "give them the same folder at the same place, and change nothing meanwhile"
    return InputError.one("cluster-failed", said, help=help)
