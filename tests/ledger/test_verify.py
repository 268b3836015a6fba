"""What was changed in a ledger, or damaged, or written by a program of somebody's own."""

import random
import sqlite3
import uuid
from contextlib import closing

import pytest

from rasterc.diagnostics import InputError
from rasterc.ledger import Ledger, Series
from rasterc.ledger.model import Draft, Kind

CASE = Series("case", epoch="2027-11-25")


def taken(ledger, series=CASE, count=10):
    return ledger.take(series, count, "job", uuid.uuid4())


@pytest.fixture
def place(tmp_path):
    """A file."""
    Ledger.create(tmp_path / "n.ledger")
    return tmp_path / "n.ledger"


@pytest.mark.parametrize(
    "harm",
    [
        "update entry set last = last + 1 where seq = 2",
        "update entry set at = '2027-01-01T00:00:00.000Z' where seq = 1",
        "delete from entry where seq = 2",
        "delete from entry where seq = 1",
        "update ledger set id = 'another'",
        "update entry set seq = 9 where seq = 4",
        "update entry set request = '' where kind = 'confirm'",
    ],
)
def test_what_was_changed_is_found(place, harm):
    where = place
    with Ledger.open(where) as ledger:
        held = taken(ledger)
        taken(ledger)
        ledger.confirm(held, 3)
        ledger.void(held, "torn")
        assert ledger.verify() == []
    database = sqlite3.connect(where)
    with database:
        database.execute(harm)
    database.close()
    with Ledger.open(where) as ledger:
        assert ledger.verify()


@pytest.mark.parametrize("size", [1, 40, 5000])
def test_a_damaged_file_is_told_and_never_a_traceback(place, size):
    where = place
    with Ledger.open(where) as ledger:
        for _ in range(30):
            ledger.confirm(taken(ledger), 3)
        ledger.advance([(CASE, 500)], "seen")
    whole = where.read_bytes()
    dice, told = random.Random(size), 0
    for _ in range(60):
        at = dice.randrange(100, len(whole) - size)
        where.write_bytes(whole[:at] + dice.randbytes(size) + whole[at + size :])
        for work in (Ledger.verify, Ledger.standings, taken, Ledger.backup):
            try:
                with Ledger.open(where) as ledger:
                    told += bool(work(ledger)) and work is Ledger.verify
            except InputError as error:
                assert error.diagnostics[0].help
                told += 1
    assert told > 20


@pytest.mark.parametrize(
    "harm",
    [
        "update entry set rule = '{'",
        "update entry set rule = '{\"repeat\": 0}'",
        "update entry set kind = 'confirm' where seq = 1",
        "update entry set kind = 'what'",
        "update entry set first = 'x' where seq = 1",
        "update entry set last = x'00' where seq = 2",
        "update entry set job = null",
        "update ledger set home = null, id = 7",
        "delete from ledger",
        "drop table entry",
        "update ledger set form = 2",
    ],
)
def test_what_no_ledger_holds_is_told_in_words(place, harm):
    where = place
    with Ledger.open(where) as ledger:
        ledger.confirm(taken(ledger), 3)
        taken(ledger)
    database = sqlite3.connect(where)
    with database:
        for line in ("pragma writable_schema = on", "update sqlite_schema set sql = "
                     "replace(sql, 'not null', '')", "pragma writable_schema = reset"):  # fmt: skip
            database.execute(line)
        database.execute(harm)
    database.close()
    told = 0
    for work in (Ledger.verify, Ledger.standings, taken, lambda one: list(one.entries())):
        try:
            with Ledger.open(where) as ledger:
                told += bool(work(ledger)) and work is Ledger.verify
        except InputError as error:
            assert error.diagnostics[0].help
            told += 1
    assert told


HELD, OTHER = "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11", "1b9d6bcd-bbfd-4b2d-9b5d-ab8dfbbd4bed"


@pytest.mark.parametrize(
    ("kind", "request_", "first", "last", "said"),
    [
        (Kind.RESERVE, OTHER, 5, 12, "do not go on at 10"),
        (Kind.RESERVE, OTHER, 11, 12, "do not go on at 10"),
        (Kind.RESERVE, OTHER, 10, 9, "do not go on at 10"),
        (Kind.ADVANCE, "", 9, 12, "do not go on at 10"),
        (Kind.ADVANCE, "", 10, 8, "do not go on at 10"),
        (Kind.RESERVE, HELD, 10, 12, "two reservations"),
        (Kind.CONFIRM, OTHER, 0, 3, "which reserved nothing"),
        (Kind.CONFIRM, HELD, 1, 7, "do not fit"),
        (Kind.CONFIRM, HELD, 0, 10, "do not fit"),
        (Kind.CONFIRM, HELD, 0, 2, "do not fit"),
        (Kind.VOID, HELD, 3, 9, "do not fit"),
        (Kind.VOID, HELD, 4, 8, "do not fit"),
        (Kind.VOID, HELD, 4, 10, "do not fit"),
    ],
)
def test_entries_that_no_ledger_writes_are_found(place, kind, request_, first, last, said):
    """Their hashes are right: somebody wrote them with a program of his own."""
    where = place
    with Ledger.open(where) as ledger:
        ledger.take(CASE, 10, "job", HELD)
        ledger.confirm(HELD, 4)
        with closing(sqlite3.connect(where)) as database, database:
            for index in ("reserved", "once"):
                database.execute(f"drop index {index}")
        assert ledger.verify() == []
        guard = ledger._store.of_request(request_)[-1:] or [ledger.entry(ledger.head().seq)]
        draft = Draft(kind, request_, CASE, first, last, "why")
        assert ledger._store.append([draft], guard[0].seq)
        assert [(fault.seq, said in fault.message) for fault in ledger.verify()] == [(3, True)]


@pytest.mark.parametrize(("kind", "first", "last"), [(Kind.VOID, 4, 9), (Kind.CONFIRM, 0, 5)])
def test_nothing_may_become_of_what_is_void(place, kind, first, last):
    where = place
    with Ledger.open(where) as ledger:
        ledger.take(CASE, 10, "job", HELD)
        ledger.confirm(HELD, 4)
        ledger.void(HELD, "torn")
        assert ledger._store.append([Draft(kind, HELD, CASE, first, last, "why")], 3)
        assert [fault.seq for fault in ledger.verify()] == [4]


def test_entries_that_are_missing_are_named(place):
    where = place
    with Ledger.open(where) as ledger:
        for _ in range(5):
            taken(ledger)
        with closing(sqlite3.connect(where)) as database, database:
            database.execute("delete from entry where seq in (2, 3)")
        assert "entries 2 to 3 are missing" in [fault.message for fault in ledger.verify()]
