"""The file of a ledger in SQLite: its tables, how it is made, and how it is told from others."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Iterable
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files import claim_file, rewrite_file
from rasterc.files.locking import turn
from rasterc.ledger.model import COLUMNS, Entry
from rasterc.ledger.store import FORM, unusable

_APPLICATION = b"RQLG"
_MAGIC = b"SQLite format 3\0"  # SQLite file format, section 1.3: the header, of 100 bytes
_ID = slice(68, 72)  # the application id in it
BACKUP = "backup"
_TABLES = """
create table ledger (id text not null, form integer not null, home text not null);
create table entry (
  seq integer primary key, kind text not null, request text not null,
  counter text not null, part text not null, epoch text not null, form text not null,
  rule text not null, first integer not null, last integer not null,
  job text not null, at text not null, previous text not null unique, hash text not null
);
create unique index reserved on entry (request) where kind = 'reserve';
create index requested on entry (request);
create unique index once on entry (counter, part, epoch, last)
  where kind in ('reserve', 'advance') and last >= first;
create index issued on entry (counter, part, epoch, last) where kind in ('reserve', 'advance');
create index used on entry (counter, seq) where kind in ('reserve', 'advance');
create index closed on entry (counter, part, epoch) where kind = 'advance';
"""
INSERT = f"insert into entry values ({', '.join('?' * len(COLUMNS))})"


def create(path: Path, *, wal: bool = False, contents: bytes | None = None) -> None:
    """Make a new ledger in a file.

    Args:
        path: where there is nothing yet.
        wal: keep a write-ahead log beside the file while it is open.
        contents: a backup that the ledger begins as; without, it has no entry.

    Raises:
        InputError: something is there, or it cannot be written.
    """
    _refuse_there(path)
    with turn(path):
        _refuse_there(path)
        rewrite_file(path, _empty() if contents is None else contents)
        if wal:
            database = sqlite3.connect(path)
            database.execute("pragma journal_mode = wal")
            database.close()


def _refuse_there(path: Path) -> None:
    if claim_file(path):
        said = f"{path} is there already"
        raise InputError.one("ledger-exists", said, help="give the new ledger another name")


def backup_of(ledger_id: str, entries: Iterable[Entry]) -> bytes:
    """The entries of another database as a file that says of itself that it is a backup."""
    database = sqlite3.connect(":memory:", isolation_level=None)
    try:
        _fill(database, ledger_id)
        rows = ([getattr(entry, name) for name in COLUMNS] for entry in entries)
        database.executemany(INSERT, rows)
        return as_backup(database)
    finally:
        database.close()


def _empty() -> bytes:
    database = sqlite3.connect(":memory:", isolation_level=None)
    try:
        _fill(database, str(uuid.uuid4()))
        return database.serialize()
    finally:
        database.close()


def _fill(database: sqlite3.Connection, ledger_id: str) -> None:
    database.execute(f"pragma application_id = {int.from_bytes(_APPLICATION)}")
    database.executescript(_TABLES)
    database.execute("insert into ledger values (?, ?, '')", (ledger_id, FORM))


def as_backup(database: sqlite3.Connection) -> bytes:
    """A ledger in memory as a file that says of itself that it is a backup."""
    database.execute("pragma journal_mode = delete")
    database.execute("update ledger set home = ?", (BACKUP,))
    return database.serialize()


def is_ours(path: Path) -> bool:
    """Whether a regular file begins as our databases do."""
    try:
        with path.open("rb") as file:
            header = file.read(_ID.stop)
    except OSError as error:
        raise unusable(str(path), str(error.strerror), "may you read it?") from None
    return header.startswith(_MAGIC) and header[_ID] == _APPLICATION
