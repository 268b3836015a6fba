"""What a change that git knows of touches.

Touched is a task that asked the file system anything about a file that changed: what is in it, or
whether it is there. So a new font beside a message counts, which takes the place of another one.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import cache
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files.answers import Noted, Question, noting
from rasterc.inspection.kept import Memory
from rasterc.inspection.tasks import Task
from rasterc.programs import Ended, run_program

MOST_S = 60
_LONGEST = 200  # characters of what git says
# Nothing of the repository's own is run: no hooks, monitors, pagers or other programs.
_SAFE = ("--no-pager", "-c", "core.fsmonitor=false", "-c", f"core.hooksPath={os.devnull}")
_ENVIRONMENT = {"GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C"}
_LISTS = ("names", "entries")


class Change:
    """Files that changed: their paths, links followed; also of files that are there no more."""

    def __init__(self, paths: frozenset[str]) -> None:
        self.paths = paths
        self._about = cache(self._is_about)

    def touches(self, noted: Noted) -> bool:
        """Whether any of these questions is about one of the files."""
        return any(map(self._about, noted))

    def touched(self, tasks: Sequence[Task], memory: Memory | None) -> Iterator[Task]:
        """The tasks that the change touches.

        What a task asks is remembered, or found by reading its files.
        """
        asks = cache(_asks)
        for task in tasks if self.paths else ():
            noted = memory.noted(task) if memory else None
            if noted is None:
                noted = asks(task.file, task.held.profile, task.asked.fonts)
            if self.touches(noted):
                yield task

    def _is_about(self, question: Question) -> bool:
        if question.what in _LISTS:
            below = os.path.realpath(question.path) + os.sep
            return any(one.startswith(below) for one in self.paths)
        return not self.paths.isdisjoint(_places(question.path))


def changed_since(folder: Path, revision: str) -> Change:
    """The files of a checkout that differ from a revision, also those that git does not follow.

    Args:
        folder: a folder of the checkout.
        revision: a commit, a branch or a tag.

    Raises:
        InputError: there is no git, the folder is in no checkout, or there is no such revision.
    """
    top = Path(os.fsdecode(_git(folder, "rev-parse", "--show-toplevel").removesuffix(b"\n")))
    commit = _commit(folder, revision)
    known = _git(top, "diff", "--name-only", "-z", "--no-renames", "--no-ext-diff", commit, "--")
    new = _git(top, "ls-files", "--others", "--exclude-standard", "-z")
    names = [os.fsdecode(name) for name in (known + new).split(b"\0") if name]
    return Change(frozenset(place for name in names for place in _places(str(top / name))))


def _places(path: str) -> tuple[str, str]:
    """Where a path is, and where it leads: a link may have changed itself."""
    folder, name = os.path.split(path)
    return str(Path(os.path.realpath(folder), name)), os.path.realpath(path)


def _commit(folder: Path, revision: str) -> str:
    """The commit that a name stands for; raises `InputError`."""
    if not revision.startswith("-") and "\0" not in revision:
        words = ("rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
        found = _run(folder, *words)
        if not found.code:
            return found.out.decode("ascii").strip()
    help = "name a commit, a branch or a tag, HEAD say"
    raise InputError.one("unknown-revision", f'git knows no revision "{revision}"', help=help)


def _git(folder: Path, *words: str) -> bytes:
    done = _run(folder, *words)
    if done.code:
        said = done.said.decode(errors="replace").strip().partition("\n")[0][:_LONGEST]
        help = "--changed is for files in a checkout of git"
        raise InputError.one("no-checkout", f"git cannot tell what changed: {said}", help=help)
    return done.out


def _run(folder: Path, *words: str) -> Ended:
    try:
        return run_program(("git", "-C", str(folder), *_SAFE, *words), _ENVIRONMENT, MOST_S)
    except TimeoutError as error:
        said, help = f"git gives no answer: {error}", "does git status answer in this folder?"
        raise InputError.one("no-checkout", said, help=help) from None
    except OSError:
        said, help = "--changed needs git, which cannot be run", "install it, or leave it out"
        raise InputError.one("no-git", said, help=help) from None


def _asks(file: str, profile: str | None, fonts: tuple[str, ...]) -> Noted:
    """What reading a file and its profile asks."""
    from rasterc.api import load_all
    from rasterc.profile.load import load_profile

    with noting() as noted:
        with suppress(InputError):
            load_all(file, fonts=fonts)
        if profile is not None:
            with suppress(InputError):
                load_profile(profile)
    return noted
