"""A batch whose counters a ledger numbers: reserved before the first row, then confirmed."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import msgspec
from msgspec import Struct

from rasterc.cli.ledger.asked import opened, take
from rasterc.diagnostics import InputError

if TYPE_CHECKING:
    from rasterc.api import Code
    from rasterc.batch.source import RowSource
    from rasterc.cli.batch.asked import Asked, Numbers
    from rasterc.cli.say import Teller
    from rasterc.ledger.book import Ledger
    from rasterc.ledger.model import Range, Series


class Numbering(Struct, frozen=True):
    """What the command was asked of a ledger.

    Attributes:
        where: the ledger; None without one.
        witness: its witness.
        per: inputs each text of which counts apart.
        job: what the numbers are for; the message's name when None.
        request: of the job; a new one when None.
    """

    where: str | None = None
    witness: Path | None = None
    per: tuple[str, ...] = ()
    job: str | None = None
    request: str | None = None


class Settled(Protocol):
    """What is told to the ledger."""

    def begin(self) -> None:
        """Rows are compiled from now on: whatever happens, the job may go on later."""

    def settle(self, written: bool) -> None:
        """The numbers were written, all of them, or nothing was."""


class _Nothing:
    """Without a ledger there is nobody to tell."""

    def begin(self) -> None:
        """See `Settled`."""

    def settle(self, written: bool) -> None:
        """See `Settled`."""


@dataclass(slots=True)
class _Reserved:
    """What a ledger has issued for a job."""

    where: str
    witness: Path | None
    requests: list[str] = field(default_factory=list)
    begun: bool = False

    def begin(self) -> None:
        """See `Settled`."""
        self.begun = True

    def settle(self, written: bool) -> None:
        """See `Settled`."""
        if not self.requests:
            return
        with opened(self.where, self.witness) as ledger:
            for request in self.requests:
                if written:
                    ledger.confirm(request)
                else:
                    ledger.void(request, "nothing was written")


@contextmanager
def numbered(
    asked: Asked, code: Code, numbers: Numbers, left: Mapping[str, Any], teller: Teller
) -> Iterator[tuple[Numbers, Settled]]:
    """The numbers of a job, by a ledger if there is one; and who must be told what came of it.

    What was reserved is void when the job does not begin; when it is stopped later it stays open,
    and the job goes on with the same numbers.

    Args:
        asked, code, numbers: the job as the message has it.
        left: what a job that was stopped was asked.
        teller: where it is said that a moment is odd.

    Raises:
        InputError: the ledger refuses.
    """
    where, witness = asked.numbering.where, asked.numbering.witness
    if where is None:
        yield numbers, _Nothing()
        return
    _refuse_odd(asked, code)
    reserved = _Reserved(where, witness)
    try:
        with opened(where, witness) as ledger:  # not open while the rows are compiled: that is long
            found = _issued(asked, code, numbers, left, teller, ledger, reserved.requests)
        yield found, reserved
    except BaseException as error:
        if not reserved.begun or _is_of_another(error):
            with suppress(InputError):  # the ledger has gone: they stay open
                reserved.settle(False)
        raise


def _is_of_another(error: BaseException) -> bool:
    """Whether the parts that lie there are of another job: ours has not begun."""
    found = error.diagnostics if isinstance(error, InputError) else ()
    return any(one.code == "other-job" for one in found)


def _issued(
    asked: Asked,
    code: Code,
    numbers: Numbers,
    left: Mapping[str, Any],
    teller: Teller,
    ledger: Ledger,
    requests: list[str],
) -> Numbers:
    from rasterc.batch.given import Given
    from rasterc.batch.issued import issue, issue_rows
    from rasterc.batch.source import Counted
    from rasterc.cli.batch.asked import rows_of
    from rasterc.ledger.asking import request_of

    given, before = asked.numbering, left.get("ledger")
    _refuse_another(asked, left)
    base = given.request or (before["job"] if isinstance(before, dict) else str(uuid.uuid4()))
    meant = asked.request.at is not None or isinstance(before, dict)
    what = given.job or code.message.name

    def reserve(series: Series, count: int, request: str) -> Range:
        held = take(ledger, series, count, what, request, teller, meant)
        requests.append(held.request)
        return held

    rows, of = rows_of(asked, code, numbers), uuid.UUID(request_of(base))
    source: RowSource
    if isinstance(rows, Counted):
        source, held = issue(code.plan, rows, given.per, of, reserve)
    else:
        assert isinstance(rows, Given)
        source, held = issue_rows(code.plan, rows, given.per, of, reserve)
    told = {
        "id": ledger.ledger_id,
        "job": request_of(base),
        "held": [msgspec.to_builtins(one) for one in held],
    }
    return replace(numbers, source=source, ledger=told)


def _refuse_another(asked: Asked, left: Mapping[str, Any]) -> None:
    """Refuse, before anything is reserved, to go on with parts of another job."""
    if left and (left.get("count"), bool(left.get("ledger"))) != (asked.count, True):
        said = f"what lies beside {asked.out} is of another job"
        help = "delete its parts, or give --out another name"
        raise InputError.one("other-job", said, help=help)


def _refuse_odd(asked: Asked, code: Code) -> None:
    """What a ledger cannot number."""
    names = {setting.partition("=")[0].strip() for setting in asked.request.settings}
    for name in sorted(names & set(code.message.counters)):
        said = f"--set {name}=... and --ledger both say where counter {name} begins"
        raise InputError.one("two-choices", said, help="leave one of them out")
