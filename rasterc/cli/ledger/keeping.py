"""`rasterc ledger`: what keeps a ledger whole: verify, export, backup, advance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from rasterc.cli.common import (
    EXIT_FINDINGS,
    STANDARD_OUTPUT,
    AtOption,
    JsonOption,
    MessageOption,
    SetOption,
    reporting,
)
from rasterc.cli.ledger.asked import (
    Asked,
    AsOption,
    LedgerOption,
    PerOption,
    ReasonOption,
    WitnessOption,
    opened,
)
from rasterc.cli.piped import PipedOption, misfits, printed_twice, suffix_of
from rasterc.cli.say import say
from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.files import check_outputs, write_file

if TYPE_CHECKING:
    from rasterc.ledger.book import Ledger
    from rasterc.ledger.model import Entry, Series


def verify(
    where: LedgerOption,
    witnesses: Annotated[
        list[Path] | None,
        typer.Option(
            "--witness",
            metavar="FILE",
            help="A witness, or the manifest of an output, that the ledger must agree with. May "
            "be repeated.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Check that no entry was changed or taken out, and no number issued twice.

    That entries were cut off at the end cannot be seen in the ledger itself: a witness tells. Exits
    with 1 when something is wrong.
    """
    with reporting(as_json) as teller, opened(where, None) as ledger:
        from rasterc.cli.documents.ledger import LedgerVerifyDocument
        from rasterc.cli.ledger.shown import entries, head_part
        from rasterc.ledger.verify import Fault

        found = ledger.verify()
        for path in witnesses or ():
            said = ledger.denied_by(path)
            found += [Fault(None, f"{path}: {said}")] * bool(said)
        if as_json:
            faults = [{"seq": one.seq, "message": one.message} for one in found]
            document = {"where": ledger.where, "head": head_part(ledger), "faults": faults}
            teller.document(LedgerVerifyDocument, document)
        else:
            head = ledger.head()
            say(*map(_fault, found))
            if not found:
                say(f"{ledger.where}: {entries(head.seq)}, all whole; head {head.hash[:16]}")
    if found:
        raise typer.Exit(EXIT_FINDINGS)


def _fault(fault: object) -> str:
    seq, message = fault.seq, fault.message  # type: ignore[attr-defined]
    return message if seq is None else f"entry {seq}: {message}"


def export(
    where: LedgerOption,
    out: Annotated[
        Path,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Its suffix decides: .jsonl or .csv; - is standard output.",
            show_default=False,
        ),
    ],
    kind: PipedOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write every entry for other programs: JSON lines or CSV."""
    with reporting(as_json) as teller:
        from rasterc.cli.documents.ledger import LedgerExportDocument
        from rasterc.cli.ledger.shown import entries
        from rasterc.ledger.export import KINDS, encoded

        fail_on_errors([*misfits([out], kind, KINDS, as_json)])
        check_outputs([out])
        with opened(where, None) as ledger:
            found = list(ledger.entries())
        write_file(out, encoded(found, suffix_of(out, kind)))
        if as_json:
            document = {"file": str(out), "entries": len(found)}
            teller.document(LedgerExportDocument, document)
        elif out != STANDARD_OUTPUT:
            say(f"wrote {entries(len(found))} to {out}")


def backup(
    where: LedgerOption,
    out: Annotated[
        Path,
        typer.Option(
            "--out", metavar="FILE", help="The file; - is standard output.", show_default=False
        ),
    ],
    as_json: JsonOption = False,
) -> None:
    """Write the whole ledger to one file; others may go on using it.

    The file says of itself that it is a backup: put in the ledger's place, it is refused until
    `advance` says which numbers were issued since.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.documents.ledger import LedgerBackupDocument
        from rasterc.cli.ledger.shown import head_part

        fail_on_errors([*printed_twice([out], as_json)])
        check_outputs([out])
        with opened(where, None) as ledger:
            head = head_part(ledger)
            write_file(out, ledger.backup())
        if as_json:
            teller.document(LedgerBackupDocument, {"file": str(out), "head": head})
        elif out != STANDARD_OUTPUT:
            say(f"wrote {out}: entries up to {head['seq']:,} at least")


class Past(Struct, frozen=True):
    """``--past case=5000``: the last number that may have been printed."""

    counter: str
    number: str

    @classmethod
    def read(cls, text: str) -> Past:
        """An option's text; raises `InputError`."""
        counter, equals, number = text.partition("=")
        if not equals or not counter.strip():
            help = "write --past case=5000"
            raise InputError.one("bad-setting", f'--past "{text}" is not NAME=NUMBER', help=help)
        return cls(counter.strip(), number.strip())


def advance(
    where: LedgerOption,
    reason: ReasonOption,
    file: Annotated[
        Path | None,
        typer.Argument(metavar="[MESSAGE-FILE]", help="The message of --past.", show_default=False),
    ] = None,
    past: Annotated[
        list[str] | None,
        typer.Option(
            "--past",
            metavar="COUNTER=NUMBER",
            help="The last number of a counter that may have been printed since its restart: a "
            "whole number, or as printed in double quotes. May be repeated.",
            show_default=False,
        ),
    ] = None,
    more: Annotated[
        bool,
        typer.Option("--more", help="Other messages come yet: stay in doubt until then."),
    ] = False,
    as_it_is: Annotated[
        bool,
        typer.Option(
            "--as-it-is", help="Nothing was issued that the ledger does not know; I have looked."
        ),
    ] = False,
    at: AtOption = None,
    settings: SetOption = None,
    per: PerOption = None,
    name: AsOption = None,
    message: MessageOption = None,
    witness: WitnessOption = None,
    as_json: JsonOption = False,
) -> None:
    """Use a ledger again that was put back, copied, or lags behind its witness.

    A person says which numbers may have been issued since: with --past, or with the witness, which
    knows. They are passed over, and the counter's series before are closed. Also for a counter of
    which numbers were printed before there was a ledger.
    """
    with reporting(as_json) as teller:
        from rasterc.cli.documents.ledger import LedgerAdvanceDocument
        from rasterc.cli.ledger.shown import head_part

        pasts = [Past.read(text) for text in past or ()]
        fail_on_errors([*_unsaid(file, pasts, witness, as_it_is)])
        with opened(where, witness) as ledger:
            known = []
            if file is not None:
                asked = Asked(file, message, at, settings or (), per or (), name)
                known = [*_known(asked, pasts, ledger)]
            entries = ledger.advance(known, reason, more=more)
            parts = [_advanced(one) for one in entries if one.counter]
            document = {"where": ledger.where, "advanced": parts, "head": head_part(ledger)}
            doubt = ledger.doubt()
        if as_json:
            teller.document(LedgerAdvanceDocument, document)
            return
        say(*map(_line, entries), f"still in doubt: {doubt}" if doubt else "it is used from now on")


def _unsaid(
    file: Path | None, pasts: Sequence[Past], witness: Path | None, as_it_is: bool
) -> Iterator[Diagnostic]:
    """What a person must say, and has not."""
    if (file is None) != (not pasts):
        said = "--past needs the message of its counter, and a message needs --past"
        yield Diagnostic("bad-option", said, help="rasterc ledger advance FILE --past case=5000")
    from rasterc.files import is_there

    told = pasts or as_it_is or (witness is not None and is_there(witness))
    if not told:
        said = "which numbers were issued since is not said"
        help = (
            "say it with --past COUNTER=NUMBER for each counter, or with --witness; --as-it-is "
            "when none was"
        )
        yield Diagnostic("not-said", said, help=help)


def _known(asked: Asked, pasts: Sequence[Past], ledger: Ledger) -> Iterator[tuple[Series, int]]:
    """Series, and how many of their prints may have been issued."""
    from rasterc.values.expects import counter_value

    plan = asked.plan()
    for one in pasts:
        series = asked.series(plan, one.counter)
        quoted = len(one.number) > 1 and one.number[0] == one.number[-1] == '"'
        declared = plan.message.counters[one.counter]
        value = counter_value(declared, one.number.strip('"') if quoted else one.number, quoted)
        issued = ledger.issued(series)
        prints = None if value is None else series.numbering.prints_to(value, issued)
        if prints is None or prints > series.limit:
            said = f"--past {one.counter}={one.number}: the counter never prints that number"
            help = "write a number that it prints, or as printed in double quotes"
            raise InputError.one("bad-counter-value", said, declared.span, help)
        yield series, prints


def _advanced(entry: Entry) -> dict[str, object]:
    from rasterc.cli.ledger.shown import prints_part, series_part

    over = prints_part(entry.numbering, entry.first, entry.last) if entry.count else None
    return {"series": series_part(entry.series), "passed_over": over}


def _line(entry: Entry) -> str:
    from rasterc.cli.ledger.shown import prints, span

    if not entry.counter:
        return f"noted: {entry.job}"
    if not entry.count:
        return f"{entry.series.name}: nothing had to be passed over"
    numbers = span(entry.numbering, entry.first, entry.last)
    return f"{entry.series.name}: passed over {numbers}, {prints(entry.count)}"
