"""`rasterc ledger`: numbers that are never issued twice."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.cli.common import (
    AtOption,
    JsonOption,
    MessageFile,
    MessageOption,
    SetOption,
    reporting,
)
from rasterc.cli.ledger.asked import (
    Asked,
    AsOption,
    CounterOption,
    JobOption,
    LedgerOption,
    PerOption,
    ReasonOption,
    RequestArgument,
    RequestOption,
    WitnessOption,
    counter_of,
    opened,
    take,
)
from rasterc.cli.ledger.keeping import advance, backup, export, verify
from rasterc.cli.say import Teller, say

if TYPE_CHECKING:
    from rasterc.cli.documents.common import Document
    from rasterc.ledger.book import Ledger
    from rasterc.ledger.model import Range, Series
    from rasterc.ledger.standing import Issued

app = typer.Typer(
    help="Reserve numbers that are never issued twice, and say what became of them.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
)


@app.command("init")
def init(
    where: LedgerOption,
    wal: Annotated[
        bool,
        typer.Option(
            "--wal",
            help="Several times as many reservations a second; only for a file on a disk of this "
            "computer. While it is open, a second file belongs to it.",
        ),
    ] = False,
    backup: Annotated[
        str | None,
        typer.Option(
            "--from",
            metavar="WHERE",
            help="Begin as this backup, or as another ledger: `advance` it then. For a move to a "
            "server, and for what was lost there.",
            show_default=False,
        ),
    ] = None,
    witness: WitnessOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make a new ledger, in which every counter begins at its first number."""
    with reporting(as_json) as teller:
        from rasterc.cli.documents.ledger import LedgerInitDocument
        from rasterc.cli.ledger.shown import entries, head_part
        from rasterc.ledger.book import Ledger

        Ledger.create(where, wal=wal, witness=witness, backup=backup)
        with opened(where, None) as ledger:
            if not as_json:
                more = f": {entries(ledger.head().seq)}; advance it before its use"
                say(f"made the ledger {ledger.where}{more if backup else ''}")
                return
            document = {
                "where": ledger.where,
                "head": head_part(ledger),
                "witness": None if witness is None or backup else str(witness),
            }
            teller.document(LedgerInitDocument, document)


@app.command("reserve")
def reserve(
    file: MessageFile,
    where: LedgerOption,
    count: Annotated[
        int, typer.Option("--count", metavar="N", help="How many prints.", show_default=False)
    ],
    counter: CounterOption = None,
    job: JobOption = None,
    request: RequestOption = None,
    at: AtOption = None,
    settings: SetOption = None,
    per: PerOption = None,
    name: AsOption = None,
    message: MessageOption = None,
    witness: WitnessOption = None,
    as_json: JsonOption = False,
) -> None:
    """Reserve the next numbers of a counter for a job.

    They go on behind the last that were reserved since the counter's restart, and are refused past
    its end. Nobody else gets them, printed or not.
    """
    with reporting(as_json) as teller:
        asked = Asked(file, message, at, settings or (), per or (), name)
        plan = asked.plan()
        series = asked.series(plan, counter_of(plan, counter))
        wanted, what = request or str(uuid.uuid4()), job or plan.message.name
        with opened(where, witness) as ledger:
            held = take(ledger, series, count, what, wanted, teller, at is not None)
            _reserved(teller, ledger, series, held)


def _reserved(teller: Teller, ledger: Ledger, series: Series, held: Range) -> None:
    """What was reserved, and what is left."""
    from rasterc.cli.documents.ledger import LedgerReserveDocument
    from rasterc.cli.ledger import shown
    from rasterc.ledger.standing import Issued

    left, issued = shown.left_in(ledger, series), Issued(held)
    if teller.as_json:
        document = {
            "series": shown.series_part(series),
            "reserved": shown.reserved_part(issued),
            "left": left,
            "head": shown.head_part(ledger),
        }
        teller.document(LedgerReserveDocument, document)
        return
    lines = [next(shown.issued_lines(issued))]
    if left is not None:
        lines.append(f"  {shown.prints(left)} left")
    say(*lines, f"  request {held.request}")


@app.command("confirm")
def confirm(
    request: RequestArgument,
    where: LedgerOption,
    printed: Annotated[
        int | None,
        typer.Option(
            "--printed",
            metavar="N",
            help="How many were printed, from the first of the reservation on; all when left out.",
            show_default=False,
        ),
    ] = None,
    witness: WitnessOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say that the numbers of a reservation were printed, or so many of them."""
    with reporting(as_json) as teller, opened(where, witness) as ledger:
        from rasterc.cli.documents.ledger import LedgerConfirmDocument

        _tell(teller, LedgerConfirmDocument, ledger, ledger.confirm(request, printed))


@app.command("void")
def void(
    request: RequestArgument,
    where: LedgerOption,
    reason: ReasonOption,
    witness: WitnessOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say that what is left of a reservation will not be printed.

    That frees nothing: nobody gets these numbers any more.
    """
    with reporting(as_json) as teller, opened(where, witness) as ledger:
        from rasterc.cli.documents.ledger import LedgerVoidDocument

        _tell(teller, LedgerVoidDocument, ledger, ledger.void(request, reason))


@app.command("list")
def list_(
    where: LedgerOption,
    only_open: Annotated[
        bool, typer.Option("--open", help="Only series with numbers of which nothing is said yet.")
    ] = False,
    whole: Annotated[bool, typer.Option("--all", help="Every reservation.")] = False,
    counter: Annotated[
        str | None,
        typer.Option(
            "--counter",
            metavar="NAME",
            help="Only this counter, as the ledger calls it.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """List what was issued, and what became of it: what is open, void, or passed over."""
    with reporting(as_json) as teller, opened(where, None) as ledger:
        from rasterc.cli.documents.ledger import LedgerListDocument
        from rasterc.cli.ledger.shown import head_part, standing_lines, standing_part
        from rasterc.cli.pager import say_long

        found = [one for one in ledger.standings() if counter in (None, one.series.counter)]
        if only_open:
            found = [one for one in found if any(issued.open for issued in one.issued)]
        if as_json:
            series = [standing_part(one) for one in found]
            document = {"where": ledger.where, "head": head_part(ledger), "series": series}
            teller.document(LedgerListDocument, document)
            return
        lines = [line for one in found for line in standing_lines(one, whole)]
        say_long(lines or [f"nothing is {'open' if only_open else 'issued'} in {ledger.where}"])


app.command("verify")(verify)
app.command("export")(export)
app.command("backup")(backup)
app.command("advance")(advance)


def _tell(teller: Teller, of: type[Document], ledger: Ledger, issued: Issued) -> None:
    """What became of a reservation."""
    from rasterc.cli.ledger.shown import head_part, issued_lines, reserved_part, series_part

    if not teller.as_json:
        say(*issued_lines(issued))
        return
    document = {
        "series": series_part(issued.range.series),
        "reserved": reserved_part(issued),
        "head": head_part(ledger),
    }
    teller.document(of, document)
