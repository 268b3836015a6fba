"""What every command shares: its options, what it was asked for, reporting mistakes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from rasterc import files
from rasterc.cli import complete
from rasterc.cli.exits import EXIT_BAD_INPUT as EXIT_BAD_INPUT
from rasterc.cli.exits import EXIT_FINDINGS as EXIT_FINDINGS
from rasterc.cli.say import Teller
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.output.code.kinds import KINDS
from rasterc.values.settings import instant_of as instant_of
from rasterc.values.settings import settable as settable
from rasterc.values.settings import split_settings as split_settings
from rasterc.values.settings import unknown_settings as unknown_settings

if TYPE_CHECKING:
    from rasterc.api import Code, Print
    from rasterc.profile.model import LineProfile

STANDARD_OUTPUT = Path("-")

MessageFile = Annotated[
    Path, typer.Argument(help="A message file, or - for standard input.", show_default=False)
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]
AtOption = Annotated[
    str | None,
    typer.Option(
        "--at",
        metavar="TIME",
        help='The moment, such as "2027-11-25 14:05"; wall time of the message\'s zone unless it '
        "carries an offset. Now when left out.",
        show_default=False,
    ),
]
SetOption = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME=VALUE",
        help="A counter's value (a number, or as printed in double quotes) or an input's text. "
        "May be repeated.",
        show_default=False,
        autocompletion=complete.settings,
    ),
]
ProfileOption = Annotated[
    Path | None,
    typer.Option("--profile", metavar="FILE", help="Line profile (TOML).", show_default=False),
]
MessageOption = Annotated[
    str | None,
    typer.Option(
        "--message",
        metavar="NAME",
        help="Which message, when the file holds several.",
        show_default=False,
        autocompletion=complete.messages,
    ),
]
FontsOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--fonts",
        metavar="FOLDER",
        help="Another folder to look for fonts in. May be repeated.",
        show_default=False,
    ),
]
SpeedOption = Annotated[
    float | None,
    typer.Option(
        "--speed",
        metavar="M/S",
        help="Line speed the picture is drawn at; the profile's first when left out.",
        show_default=False,
    ),
]
OutOption = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="FILE",
        help=f"Write to a file; its suffix decides: .{' .'.join(KINDS)}; - is standard output.",
        show_default=False,
    ),
]
FormatOption = Annotated[
    str | None,
    typer.Option(
        "--format",
        metavar="KIND",
        help="The kind of file where its name does not tell, with --out - say: "
        f"{', '.join(KINDS[:-1])} or {KINDS[-1]}.",
        show_default=False,
        autocompletion=complete.kinds,
    ),
]
StrictOption = Annotated[
    bool,
    typer.Option(
        "--strict", help="Write nothing when an `expect` of the message does not hold; exit 1."
    ),
]


@contextmanager
def reporting(as_json: bool) -> Iterator[Teller]:
    """What a command says; an `InputError` becomes a refusal and exit code 2."""
    teller = Teller(as_json)
    try:
        with files.command():
            yield teller
    except InputError as error:
        teller.refuse(*error.diagnostics)
        raise typer.Exit(EXIT_BAD_INPUT) from None


class Request(Struct, frozen=True):
    """What a command that prints a message was asked for."""

    file: Path
    at: str | None = None
    settings: Sequence[str] = ()
    profile: Path | None = None
    message: str | None = None
    fonts: Sequence[Path] = ()

    def codes(self) -> dict[str, Code]:
        """The messages asked for; raises `InputError`."""
        from rasterc.api import load, load_all

        if self.message is not None:
            return {self.message: load(self.file, self.message, fonts=self.fonts)}
        return load_all(self.file, fonts=self.fonts)

    def line_profile(self) -> LineProfile | None:
        """The line profile, None when not given; raises `InputError`."""
        if self.profile is None:
            return None
        from rasterc.profile.load import load_profile

        return load_profile(self.profile)

    def codes_and_profile(self) -> tuple[dict[str, Code], LineProfile | None]:
        """Both; raises `InputError` with the faults of both."""
        try:
            profile = self.line_profile()
        except InputError as error:
            with _beside(error):
                self.codes()
            raise
        return self.codes(), profile

    def prints(self, teller: Teller, codes: Mapping[str, Code] | None = None) -> list[Print]:
        """Every message asked for, at the instant asked for; raises `InputError`.

        What was taken for granted is noted. The faults of all messages are reported together. The
        clock of this computer is read once, and only when no moment was given.
        """
        from rasterc.cli.notes import noted_twice

        codes = self.codes() if codes is None else codes
        when, pairs, faults = self.given(codes.values())
        prints: list[Print] = []
        for code in codes.values() if when else ():
            try:
                prints.append(code.resolve_at(instant_of(code.message, when, pairs)))
            except InputError as error:
                faults += error.diagnostics
        if faults:
            raise InputError(faults)
        if not prints:
            raise no_message(self.file)
        teller.note(*noted_twice(when, prints))
        return prints

    def given(
        self, codes: Iterable[Code]
    ) -> tuple[datetime | None, dict[str, str], list[Diagnostic]]:
        """The moment and the settings asked for, and what is wrong with them.

        The moment is None when it cannot be read; now, taken once, when it was not given.
        """
        from rasterc.api import parse_when

        pairs, faults = split_settings(self.settings)
        faults += unknown_settings(pairs, settable(code.message for code in codes))
        if self.at is None:
            return datetime.now(UTC).replace(microsecond=0), pairs, faults
        try:
            return parse_when(self.at), pairs, faults
        except InputError as error:
            return None, pairs, [*error.diagnostics, *faults]


@contextmanager
def _beside(first: InputError) -> Iterator[None]:
    """Report what is wrong in the block together with what was wrong before."""
    try:
        yield
    except InputError as error:
        found = dict.fromkeys((*first.diagnostics, *error.diagnostics))
        raise InputError(tuple(found)) from None


def no_message(file: Path | str) -> InputError:
    """The report that files or folders hold nothing to work with."""
    help = "write message NAME { ... } in it"
    return InputError.one("no-message", f"{file} holds no message", help=help)
