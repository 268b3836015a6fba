"""Which database a ledger lies in, by what it is called."""

from __future__ import annotations

from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.ledger.store import Store

_SERVERS = ("postgres://", "postgresql://")


def is_server(where: str | Path) -> bool:
    """Whether it is a database on a server, not a file."""
    return isinstance(where, str) and where.startswith(_SERVERS)


def open_store(where: str | Path) -> Store:
    """The database of a ledger; raises `InputError`."""
    if is_server(where):
        from rasterc.ledger.postgres import PostgresStore

        return PostgresStore(str(where))
    from rasterc.ledger.sqlite import SqliteStore

    return SqliteStore(path_of(where))


def create(where: str | Path, *, wal: bool = False, backup: Store | None = None) -> None:
    """Make a new ledger, of a backup if there is one; raises `InputError`."""
    if is_server(where):
        from rasterc.ledger import postgres

        postgres.create(str(where), backup)
        return
    from rasterc.ledger import sqlite_file

    sqlite_file.create(path_of(where), wal=wal, contents=backup.copy() if backup else None)


def path_of(name: str | Path) -> Path:
    """A file that is kept: no standard input or output; raises `InputError`."""
    if str(name) in ("-", ""):
        said = f'"{name}" is no file that a ledger can be kept in'
        raise InputError.one("ledger-unusable", said, help="name a file")
    return Path(name)
