"""Results kept in a file as they come, so that a study goes on after a kill."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from pathlib import Path

import msgspec

from rasterc.diagnostics import InputError
from rasterc.files import note_read
from rasterc.sweep.model import Case, Figures, Job

_TABLES = """
create table if not exists job (key text not null);
create table if not exists result (spec text primary key, figures text not null);
"""


class Results:
    """A results file: SQLite, one row for each case flown.

    Each `add` is one transaction: after a kill the file holds all or nothing of it.

    Raises:
        InputError: a file that is no results file, or of another job; from all methods.
    """

    def __init__(self, path: Path, job: Job) -> None:
        self._path = path
        note_read(path)
        try:
            self._database = sqlite3.connect(path)
        except sqlite3.Error as error:
            raise _unusable(path, error) from None
        try:
            self._claim(job.key())
        except sqlite3.Error as error:
            self._database.close()
            raise _unusable(path, error) from None
        except InputError:
            self._database.close()
            raise

    def _claim(self, key: str) -> None:
        known = {name for (name,) in self._database.execute("select name from sqlite_master")}
        if known and "job" not in known:
            raise sqlite3.DatabaseError("it is a database of something else")
        self._database.executescript(_TABLES)
        owner = self._database.execute("select key from job").fetchone()
        if owner is None:
            with self._database:
                self._database.execute("insert into job values (?)", (key,))
        elif owner != (key,):
            raise InputError.one(
                "other-results",
                f"{self._path} holds results of another message, profile, speed or release",
                help="give another file name to --results, or delete the file",
            )

    def known(self, cases: Iterable[Case]) -> dict[Case, Figures]:
        """The results there are of these cases."""
        rows = dict(self._database.execute("select spec, figures from result").fetchall())
        found = {case: rows.get(_spec(case)) for case in cases}
        return {
            case: msgspec.json.decode(text, type=Figures)
            for case, text in found.items()
            if text is not None
        }

    def add(self, found: Iterable[tuple[Case, Figures]]) -> None:
        """Keep results, all of them or none."""
        rows = [(_spec(case), msgspec.json.encode(figures).decode()) for case, figures in found]
        try:
            with self._database:
                self._database.executemany("insert or replace into result values (?, ?)", rows)
        except sqlite3.Error as error:
            raise _unusable(self._path, error) from None

    def close(self) -> None:
        """Close the file."""
        self._database.close()


def _spec(case: Case) -> str:
    return msgspec.json.encode(case).decode()


def _unusable(path: Path, error: sqlite3.Error) -> InputError:
    return InputError.one(
        "cannot-keep-results",
        f"cannot keep results in {path}: {error}",
        help="give --results a new file name in a folder that you may write to",
    )
