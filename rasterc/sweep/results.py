"""Results kept in a file as they come, so that a study goes on after a kill.

The file is a SQLite database with an application id of its own. It is looked at before SQLite
opens it, so that a database of something else is not touched; and every row carries a check sum,
so that what the disk has changed is found.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

import msgspec

from rasterc.diagnostics import InputError
from rasterc.files import claim_file, write_file
from rasterc.sweep.model import Band, Case, Job

_APPLICATION = b"QRR2"
"""Of our own making; the second, with check sums."""
_TABLES = """
create table job (key text not null, check_sum text not null);
create table result (spec text primary key, figures text not null, check_sum text not null);
"""
_MAGIC = b"SQLite format 3\0"  # SQLite file format, section 1.3: the header, of 100 bytes
_ID = slice(68, 72)  # the application id in it
_WAIT_S = 10.0  # for another program that writes to the file


class Results:
    """A results file: SQLite, one row for each case flown.

    Each `add` is one transaction: after a kill the file holds all or nothing of it.

    Raises:
        InputError: a file that is no results file, is damaged, or of another job; from all methods.
    """

    def __init__(self, path: Path, job: Job) -> None:
        self._path, self._key = path, job.key()
        if not claim_file(path):
            write_file(path, _empty(self._key))
        elif not _is_ours(path):
            raise _unusable(path, "it is no results file")
        with self._guarded():
            self._database = sqlite3.connect(path, timeout=_WAIT_S)
        try:
            self._refuse_others()
        except BaseException:
            self._database.close()
            raise

    def _refuse_others(self) -> None:
        with self._guarded():
            rows = self._database.execute("select key, check_sum from job").fetchall()
        if len(rows) != 1 or rows[0][1] != _check_sum(rows[0][0]):
            raise _damaged(self._path)
        if rows[0][0] != self._key:
            raise InputError.one(
                "other-results",
                f"{self._path} holds results of another message, profile, speed or release",
                help="give another file name to --results, or delete the file",
            )

    def known(self, cases: Iterable[Case]) -> dict[Case, Band]:
        """The results there are of these cases."""
        with self._guarded():
            rows = self._database.execute("select spec, figures, check_sum from result").fetchall()
        if any(check != _check_sum(self._key, spec, figures) for spec, figures, check in rows):
            raise _damaged(self._path)
        kept = {spec: figures for spec, figures, _ in rows}
        found = {case: kept.get(_spec(case)) for case in cases}
        return {
            case: msgspec.json.decode(text, type=Band)
            for case, text in found.items()
            if text is not None
        }

    def add(self, found: Iterable[tuple[Case, Band]]) -> None:
        """Keep results, all of them or none."""
        rows = [(_spec(case), msgspec.json.encode(figures).decode()) for case, figures in found]
        checked = [(*row, _check_sum(self._key, *row)) for row in rows]
        with self._guarded(), self._database:
            self._database.executemany("insert or replace into result values (?, ?, ?)", checked)

    def close(self) -> None:
        """Close the file."""
        self._database.close()

    @contextmanager
    def _guarded(self) -> Iterator[None]:
        """Say in our words what SQLite says."""
        try:
            yield
        except sqlite3.OperationalError as error:  # locked, full, read-only; also broken schemas
            raise _unusable(self._path, str(error)) from None
        except (sqlite3.Error, ValueError, OverflowError):  # texts that are none, absurd numbers
            raise _damaged(self._path) from None


def _empty(key: str) -> bytes:
    """A results file without results."""
    database = sqlite3.connect(":memory:")
    try:
        database.execute(f"pragma application_id = {int.from_bytes(_APPLICATION)}")
        database.executescript(_TABLES)
        with database:
            database.execute("insert into job values (?, ?)", (key, _check_sum(key)))
        return database.serialize()
    finally:
        database.close()


def _is_ours(path: Path) -> bool:
    """Whether a regular file begins as our databases do."""
    try:
        with path.open("rb") as file:
            header = file.read(_ID.stop)
    except OSError as error:
        raise _unusable(path, str(error.strerror)) from None
    return header.startswith(_MAGIC) and header[_ID] == _APPLICATION


def _check_sum(*parts: object) -> str:
    """Tells whether texts are as they were written; other types never are."""
    return sha256("\n".join(map(repr, parts)).encode()).hexdigest()[:32]


def _spec(case: Case) -> str:
    return msgspec.json.encode(case).decode()


def _damaged(path: Path) -> InputError:
    return InputError.one(
        "damaged-results",
        f"{path} is damaged: what it holds is not what was written",
        help="delete it and fly again, or give another file name to --results",
    )


def _unusable(path: Path, why: str) -> InputError:
    return InputError.one(
        "cannot-keep-results",
        f"cannot keep results in {path}: {why}",
        help="give --results a new file name in a folder that you may write to",
    )
