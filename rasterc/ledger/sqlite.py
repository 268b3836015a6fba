"""The ledger in one file: SQLite, one transaction at a time, in turns.

SQLite's own waiting lets some programs starve, so each takes a turn before it. A transaction is on
the disk before its answer is given, and with the rollback journal the file is whole by itself
whenever nobody writes. The file knows its own inode, so that no copy is taken for it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from rasterc.files import is_file, is_there, note_read
from rasterc.files.locking import turn
from rasterc.ledger import beside, chain, queries, sqlite_file
from rasterc.ledger.model import COLUMNS, Draft, Entry, Head, Kind, Refused, Series, Wanted, Why
from rasterc.ledger.store import FORM, PAGE, damaged, no_ledger, other_form, unusable

_NOW = "select strftime('%Y-%m-%dT%H:%M:%fZ', 'now')"


class SqliteStore:
    """See `Store`."""

    def __init__(self, path: Path) -> None:
        self.where, self._path = str(path), path
        if not is_there(path):
            raise no_ledger(self.where)
        if not is_file(path) or not sqlite_file.is_ours(path):
            raise unusable(self.where, "it is no ledger", "is the name right?")
        note_read(path)
        self._inode = path.stat().st_ino
        with self._guarded():
            self._database = sqlite3.connect(path, isolation_level=None)
        try:
            self.ledger_id = self._opened()
        except BaseException:
            self._database.close()
            raise

    def _opened(self) -> str:
        with self._guarded(), turn(self._path):
            self._database.execute("pragma synchronous = extra")
            rows = self._database.execute("select id, form, home from ledger").fetchall()
        if len(rows) != 1:
            raise damaged(self.where)
        ledger_id, form, home = rows[0]
        if form != FORM:
            raise other_form(self.where)
        self.ledger_id = str(ledger_id)
        if not home and not self.head().seq:  # made, and never used
            self.settle()
        return self.ledger_id

    def head(self) -> Head:
        """See `Store`."""
        found = self._read(queries.LAST)
        return Head(found[0].seq, found[0].hash) if found else chain.begin(self.ledger_id)

    def doubt(self) -> str:
        """See `Store`."""
        with self._reading() as lock:
            return self._doubt(lock)

    def _doubt(self, lock: int) -> str:
        [[home]] = self._database.execute("select home from ledger").fetchall()
        if home == sqlite_file.BACKUP:
            return "it is a backup"
        if home != str(self._inode):
            return "it is a copy, or was put back"
        told = beside.remembered(lock)
        if told is None or told.ledger_id != self.ledger_id or not told.head.seq:
            return ""
        last = self._found(queries.ENTRY, told.head.seq)
        same = last is not None and last.hash == told.head.hash
        return "" if same else f"its lock file has seen another entry {told.head.seq:,}"

    def settle(self) -> None:
        """See `Store`."""
        with self._writing(settles=True):
            self._database.execute("update ledger set home = ?", (str(self._inode),))

    def reserve(self, wanted: Wanted) -> Entry | Refused:
        """See `Store`."""
        with self._writing() as doubt:
            mine = self._rows(queries.OF_REQUEST, wanted.request)
            if mine:
                return Refused(Why.VOID, mine[0]) if mine[-1].kind == Kind.VOID else mine[0]
            last = self._found(queries.LAST_OF_SERIES, *_key(wanted.series))
            first = last.last + 1 if last else 0
            refused = Refused(Why.DOUBT) if doubt else self._refused(wanted, last, first)
            if refused:
                return refused
            upto = first + wanted.count - 1
            draft = Draft(Kind.RESERVE, wanted.request, wanted.series, first, upto, wanted.job)
            return self._add(draft)

    def _refused(self, wanted: Wanted, last: Entry | None, first: int) -> Refused | None:
        series = wanted.series
        used = self._found(queries.LAST_OF_COUNTER, series.counter)
        if used and used.form != series.form:
            return Refused(Why.FORM, used)
        closed = self._found(queries.CLOSED, series.counter, series.part)
        if closed and series.epoch < closed.epoch:
            return Refused(Why.CLOSED, closed)
        newest = self._found(queries.NEWEST, series.counter, series.part)
        if newest and series.epoch < newest.epoch and not wanted.earlier:
            return Refused(Why.EARLIER, newest)
        if last and last.rule != series.numbering.encoded():
            return Refused(Why.RULE, last)
        if first + wanted.count > series.limit:
            return Refused(Why.ENDED, last, first)
        return None

    def append(self, drafts: list[Draft], guard: int) -> list[Entry]:
        """See `Store`."""
        with self._writing():
            request = drafts[0].request
            rows = self._rows(queries.OF_REQUEST, request) if request else []
            last = rows[-1] if rows else self._found(queries.LAST)
            if (last.seq if last else 0) != guard:
                return []
            return [self._add(draft) for draft in drafts]

    def of_request(self, request: str) -> list[Entry]:
        """See `Store`."""
        return self._read(queries.OF_REQUEST, request)

    def entry(self, seq: int) -> Entry | None:
        """See `Store`."""
        return next(iter(self._read(queries.ENTRY, seq)), None)

    def entries(self, after: int = 0) -> Iterator[Entry]:
        """See `Store`."""
        while True:
            page = self._read(queries.PAGE, after, PAGE)
            yield from page
            if len(page) < PAGE:
                return
            after = page[-1].seq

    def issued(self, series: Series) -> int:
        """See `Store`."""
        last = next(iter(self._read(queries.LAST_OF_SERIES, *_key(series))), None)
        return last.last + 1 if last else 0

    def faults(self) -> list[str]:
        """See `Store`."""
        with self._reading():
            rows = self._database.execute("pragma integrity_check(10)").fetchall()
        return [str(row[0]) for row in rows if row[0] != "ok"]

    def close(self) -> None:
        """See `Store`."""
        self._database.close()

    def copy(self) -> bytes:
        """The whole ledger as a file that says of itself that it is a backup."""
        copied = sqlite3.connect(":memory:", isolation_level=None)
        try:
            with self._reading():
                self._database.backup(copied)
            return sqlite_file.as_backup(copied)
        finally:
            copied.close()

    def _add(self, draft: Draft) -> Entry:
        last = self._found(queries.LAST)
        head = Head(last.seq, last.hash) if last else chain.begin(self.ledger_id)
        [at] = self._database.execute(_NOW).fetchone()
        entry = chain.entry_of(draft, head, at)
        self._database.execute(sqlite_file.INSERT, [getattr(entry, name) for name in COLUMNS])
        return entry

    def _read(self, sql: str, *values: object) -> list[Entry]:
        with self._reading():
            return self._rows(sql, *values)

    def _found(self, sql: str, *values: object) -> Entry | None:
        return next(iter(self._rows(sql, *values)), None)

    def _rows(self, sql: str, *values: object) -> list[Entry]:
        rows = self._database.execute(sql, values)
        return [msgspec.convert(dict(zip(COLUMNS, row, strict=True)), Entry) for row in rows]

    @contextmanager
    def _writing(self, *, settles: bool = False) -> Iterator[str]:
        """One transaction: all of the block is written, or nothing; gives the doubt there is.

        The lock file remembers the last entry, unless there is doubt that is not settled.
        """
        with self._reading() as lock:
            doubt = self._doubt(lock)
            self._database.execute("begin immediate")
            try:
                yield doubt
                self._database.execute("commit")
            finally:
                if self._database.in_transaction:
                    self._database.execute("rollback")
            last = self._found(queries.LAST)
            if last is not None and (settles or not doubt):
                beside.remember(lock, self.ledger_id, Head(last.seq, last.hash))

    @contextmanager
    def _reading(self) -> Iterator[int]:
        with turn(self._path) as lock, self._guarded():
            self._refuse_another()
            yield lock

    def _refuse_another(self) -> None:
        """Refuse to go on with a file that nobody else finds any more."""
        try:
            if self._path.stat().st_ino == self._inode:
                return
        except OSError:
            pass
        raise unusable(self.where, "it was moved or replaced meanwhile", "start again with it")

    @contextmanager
    def _guarded(self) -> Iterator[None]:
        """Say in our words what SQLite says."""
        try:
            yield
        except sqlite3.OperationalError as error:  # full, read-only, locked by a strange program
            help = "mend that, and ask again with the same --request"
            raise unusable(self.where, str(error), help) from None
        except (sqlite3.Error, ValueError, TypeError, OverflowError):
            raise damaged(self.where) from None


def _key(series: Series) -> tuple[str, str, str]:
    return series.counter, series.part, series.epoch
