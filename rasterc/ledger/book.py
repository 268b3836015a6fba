"""The ledger: prints of counters, each issued once.

>>> import tempfile, uuid
>>> from pathlib import Path
>>> folder = tempfile.TemporaryDirectory()
>>> where = Path(folder.name) / "plant.ledger"
>>> Ledger.create(where)
>>> with Ledger.open(where) as ledger:
...     held = ledger.reserve("case", "2027-11-25", 100, "night run", uuid.uuid4())
...     done = ledger.confirm(held, 60)
...     list(held.numbers())[:3], done.printed, done.open
([1, 2, 3], 60, 40)
>>> folder.cleanup()
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from types import TracebackType

from rasterc.ledger import refusals, standing
from rasterc.ledger import witness as witnesses
from rasterc.ledger.asking import Request, refuse_odd, request_of, text_of
from rasterc.ledger.model import (
    Draft,
    Entry,
    Head,
    Kind,
    Range,
    Refused,
    Series,
    Wanted,
    Why,
)
from rasterc.ledger.standing import Issued, Standing
from rasterc.ledger.store import Store
from rasterc.ledger.verify import Fault, faults_of
from rasterc.ledger.where import create, open_store, path_of

_TRIES = 50


class Ledger:
    """The issued prints of a plant's counters; open it with `open`, and close it.

    A reservation is on the disk before it is returned. Prints that were issued are never issued
    again, confirmed or not. Use a ledger in the thread that opened it.

    Raises:
        InputError: the ledger cannot be used, may not be the newest, or what is asked for cannot
            be; from all methods.
    """

    def __init__(self, store: Store, witness_file: Path | None) -> None:
        self._store, self._witness = store, witness_file

    @classmethod
    def create(
        cls,
        where: str | Path,
        *,
        wal: bool = False,
        witness: str | Path | None = None,
        backup: str | Path | None = None,
    ) -> None:
        """Make a new ledger: a file, or tables in the database of ``postgres://...``.

        Args:
            where: a file that is not there, or the database.
            wal: of a file: keep a write-ahead log beside it while it is open.
            witness: a file to make that will know what was issued last.
            backup: another ledger, or a backup, that it begins as; `advance` it before its use. It
                has a witness already, or gets one then.
        """
        if backup is not None:
            with cls.open(backup) as old:
                create(where, wal=wal, backup=old._store)
            return
        path = None if witness is None else path_of(witness)
        if path is not None:
            witnesses.refuse_there(path)
        create(where, wal=wal)
        if path is not None:
            with cls.open(where) as ledger:
                witnesses.write_witness(path, ledger._store)

    @classmethod
    def open(cls, where: str | Path, *, witness: str | Path | None = None) -> Ledger:
        """Open a ledger.

        Args:
            where: its file, or ``postgres://...``.
            witness: a file, kept elsewhere, that knows what was issued last.
        """
        return cls(open_store(where), None if witness is None else path_of(witness))

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        self.close()

    def close(self) -> None:
        """Leave the ledger."""
        self._store.close()

    @property
    def where(self) -> str:
        """Where it lies; without a password."""
        return self._store.where

    @property
    def ledger_id(self) -> str:
        """What tells this ledger from all others."""
        return self._store.ledger_id

    def head(self) -> Head:
        """The number and the hash of the last entry."""
        return self._store.head()

    def reserve(self, counter: str, epoch: str, count: int, job: str, request: Request) -> Range:
        """Issue prints of a counter that counts 1, 2, 3 ... in each of its epochs.

        See `take`, which knows counters of messages.
        """
        return self.take(Series(counter, epoch=epoch), count, job, request)

    def take(
        self, series: Series, count: int, job: str, request: Request, *, earlier: bool = False
    ) -> Range:
        """Issue the next prints of a series to a job.

        Args:
            series: where they are counted: see `rasterc.ledger.declared.series_of`.
            count: how many.
            job: what they are for.
            request: an id of this reservation: asked again with it, the same prints come.
            earlier: also when the series lies before the newest of its counter.
        """
        wanted = Wanted(request_of(request), series, count, text_of("the job", job), earlier)
        refuse_odd(wanted)
        self._refuse(self._denied())
        found = self._store.reserve(wanted)
        if isinstance(found, Refused) and found.why is Why.DOUBT:
            self._refuse(self._store.doubt())
        if isinstance(found, Refused):
            raise refusals.refusal(found, wanted)
        if (found.counter, found.part, found.epoch, found.count) != (
            series.counter, series.part, series.epoch, count,
        ):  # fmt: skip
            raise refusals.request_used(found)
        self._renew()
        return standing.range_of(found)

    def confirm(self, reserved: Range | Request, printed: int | None = None) -> Issued:
        """Say that prints of a reservation were printed: all, or so many from its first on."""
        self._refuse(self.doubt())
        for _ in range(_TRIES):
            entries, issued = self._of(reserved)
            count = issued.range.count if printed is None else printed
            if count == issued.printed:
                return issued
            if issued.void or not issued.printed < count <= issued.range.count:
                raise refusals.cannot_confirm(issued, count)
            first = issued.range.first
            upto = first + count - 1
            if done := self._noted(Kind.CONFIRM, entries, issued, first, upto, ""):
                return done
        raise refusals.contended()

    def void(self, reserved: Range | Request, reason: str) -> Issued:
        """Say that what is not confirmed of a reservation will not be printed; frees nothing."""
        self._refuse(self.doubt())
        for _ in range(_TRIES):
            entries, issued = self._of(reserved)
            if issued.void:
                return issued
            if not issued.open:
                raise refusals.nothing_to_void(issued)
            first, last = issued.range.first + issued.printed, issued.range.last
            why = text_of("the reason", reason)
            if done := self._noted(Kind.VOID, entries, issued, first, last, why):
                return done
        raise refusals.contended()

    def advance(
        self, past: Iterable[tuple[Series, int]], reason: str, *, more: bool = False
    ) -> list[Entry]:
        """Use a ledger from now on that may not be the newest: a person has looked.

        Nothing is issued any more in series before those that are named. The witness, if there is
        one, follows the ledger from now on.

        Args:
            past: series, and how many of their prints, from the first on, nobody may get.
            reason: why, and who says so.
            more: other counters will be advanced yet: a ledger in doubt stays in doubt.
        """
        why = text_of("the reason", reason)
        known = list(past) if self._witness is None else [*past, *witnesses.known(self._witness)]
        if self._witness is not None:
            witnesses.refuse_strange(self._witness, self._store)
        for _ in range(_TRIES):
            head = self.head()
            drafts = [*self._advances(known, why)]
            drafts = drafts or [Draft(Kind.ADVANCE, "", Series(""), 0, -1, why)]
            if entries := self._store.append(drafts, head.seq):
                if not more:
                    self._settle()
                return entries
        raise refusals.contended()

    def entries(self) -> Iterator[Entry]:
        """Every entry, in order."""
        return self._store.entries()

    def standings(self) -> list[Standing]:
        """Every series, and what became of its prints."""
        return standing.standings(self.entries())

    def issued(self, series: Series) -> int:
        """How many prints of a series, from 0 on, nobody gets any more."""
        return self._store.issued(series)

    def entry(self, seq: int) -> Entry | None:
        """One entry, counted from 1."""
        return self._store.entry(seq)

    def denied_by(self, path: str | Path) -> str:
        """What in the ledger cannot be by a file that names its head; "" when all of it can.

        The file is a witness, or JSON the first line of which has the key ``ledger`` with ``id``,
        ``seq`` and ``hash``, such as the manifest of an output.
        """
        return witnesses.contradiction(self._store, witnesses.read_claim(Path(path)))

    def verify(self) -> list[Fault]:
        """What is wrong with the ledger; nothing when it is whole."""
        return faults_of(self._store)

    def doubt(self) -> str:
        """Why this may not be the newest ledger; "" when nothing says so."""
        return self._store.doubt() or self._denied()

    def backup(self) -> bytes:
        """The whole ledger as a file; others may go on writing. It says that it is a backup."""
        return self._store.copy()

    def _settle(self) -> None:
        self._store.settle()
        if self._witness is not None:
            witnesses.write_witness(self._witness, self._store)

    def _advances(self, known: Iterable[tuple[Series, int]], why: str) -> Iterator[Draft]:
        """An entry for each series, an empty one too: it closes the series before."""
        most: dict[tuple[str, str, str], tuple[Series, int]] = {}
        for series, prints in known:
            key = series.counter, series.part, series.epoch
            most[key] = series, max(prints, most[key][1] if key in most else 0)
        for series, prints in most.values():
            issued = self.issued(series)
            yield Draft(Kind.ADVANCE, "", series, issued, max(prints, issued) - 1, why)

    def _of(self, reserved: Range | Request) -> tuple[list[Entry], Issued]:
        request = reserved.request if isinstance(reserved, Range) else request_of(reserved)
        entries = self._store.of_request(request)
        issued = standing.issued_of(entries)
        if issued is None:
            raise refusals.unknown_request(request)
        return entries, issued

    def _noted(
        self, kind: Kind, entries: list[Entry], issued: Issued, first: int, last: int, why: str
    ) -> Issued | None:
        """What becomes of a reservation by another entry; None when somebody was before us."""
        reserved = issued.range
        draft = Draft(kind, reserved.request, reserved.series, first, last, why)
        added = self._store.append([draft], entries[-1].seq)
        if not added:
            return None
        self._renew()
        return standing.issued_of([*entries, *added])

    def _denied(self) -> str:
        """What the witness says against the ledger."""
        return "" if self._witness is None else witnesses.doubt(self._witness, self._store)

    def _refuse(self, doubt: str) -> None:
        if doubt:
            raise refusals.in_doubt(self._store.where, doubt)

    def _renew(self) -> None:
        """Numbers are given away only when the witness knows of them."""
        if self._witness is not None:
            self._refuse(witnesses.renew(self._witness, self._store))
