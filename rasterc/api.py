"""The Python API: load a message, resolve it at an instant, take its strokes.

>>> code = load_text('''message demo { raster 7 font upright-7
...   clock packed in "Europe/Dublin"
...   block { line: "L" packed(yyDDD) } }''')
>>> code.resolve("2027-11-25 14:05").lines
('L27329',)
>>> len(code.resolve("2027-11-25 14:05").strokes())
35
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.layout import Composer, compile_strokes, lay_out, orient
from rasterc.loading import make_ready
from rasterc.source.analyse import choose
from rasterc.source.load import Read, read_messages, read_messages_in
from rasterc.values import Plan
from rasterc.values.model import Instant, ResolvedMessage

if TYPE_CHECKING:
    from rasterc.checks.model import Finding, Subject
    from rasterc.checks.registry import Report
    from rasterc.fonts.model import Font
    from rasterc.layout.model import Layout, Strokes
    from rasterc.profile.model import LineProfile
    from rasterc.source.message import Message


@dataclass(frozen=True, slots=True)
class Code:
    """A message ready to be resolved, with the fonts it prints in.

    Keep it and resolve it as often as you like: what does not change between two instants (date
    patterns, time zones, glyphs) is worked out once.
    """

    message: Message
    plan: Plan
    fonts: Mapping[str, Font]
    composer: Composer = field(default_factory=Composer, repr=False, compare=False)

    def resolve(
        self,
        when: datetime | str | None = None,
        *,
        counters: Mapping[str, int] | None = None,
        inputs: Mapping[str, str] | None = None,
    ) -> Print:
        """The message at a moment.

        Args:
            when: the moment, or ISO 8601 text such as ``2027-11-25 14:05``. Without an offset it
                is wall time in the zone of the message's clocks. May be left out when the message
                reads no clock.
            counters: the value each counter prints; its first value when not given.
            inputs: the text of each input; its default when not given.

        Raises:
            InputError: with everything that is missing or wrong.
        """
        moment = parse_when(when) if isinstance(when, str) else when
        if moment is not None and not isinstance(moment, datetime):
            help = "give a datetime, or text such as '2027-11-25 14:05'"
            raise InputError.one("not-a-time", f"{moment!r} is not a date and time", help=help)
        return self.resolve_at(Instant(moment, dict(counters or {}), dict(inputs or {})))

    def resolve_at(self, instant: Instant) -> Print:
        """The message at an `Instant`."""
        return Print(self, self.plan.resolve(instant))

    def check_many(
        self, prints: Iterable[Print], profile: LineProfile | None = None
    ) -> Iterator[Report]:
        """What the rules find in each of many prints of this message.

        What is the same at every instant (fields, patterns, fonts, the year ahead, flights) is
        looked at once, at the first print; texts, dates and strokes are looked at in each.
        """
        from rasterc.checks.registry import Checker

        checker: Checker | None = None
        for printed in prints:
            subject = printed.subject(profile)
            checker = checker or Checker(subject)
            yield checker.report(subject)


@dataclass(frozen=True, slots=True)
class Print:
    """A message at an instant: its texts, and its layout and strokes on demand."""

    code: Code
    resolved: ResolvedMessage

    @property
    def lines(self) -> tuple[str, ...]:
        """The texts of all lines, block by block, top to bottom."""
        return self.resolved.lines

    def layout(self) -> Layout:
        """Every line at its place; raises `InputError` when it does not fit."""
        return lay_out(self.resolved, self.code.fonts, self.code.composer)

    def strokes(self, profile: LineProfile | None = None) -> Strokes:
        """The strokes as thrown: turned and mirrored as the profile says."""
        strokes = compile_strokes(self.layout())
        if profile is None:
            return strokes
        return orient(strokes, profile.line.upside_down, profile.line.mirrored)

    def check(self, profile: LineProfile | None = None) -> tuple[Finding, ...]:
        """What the rules find: in this print, and in the message's own examples."""
        from rasterc.checks.registry import check

        return check(self.subject(profile))

    def subject(self, profile: LineProfile | None = None) -> Subject:
        """What the rules look at."""
        from rasterc.checks.model import Subject

        code, layout = self.code, None
        faults: Sequence[Diagnostic] = ()
        try:
            layout = self.layout()
        except InputError as error:
            faults = error.diagnostics
        return Subject(
            code.plan, self.resolved, code.fonts, layout, tuple(faults), profile, code.composer
        )


def load(path: str | Path, message: str | None = None, *, fonts: Iterable[str | Path] = ()) -> Code:
    """Load a message file.

    Args:
        path: a message file.
        message: which of its messages; needed when it holds several.
        fonts: more folders to look for fonts in.

    Raises:
        InputError: with every fault found.
    """
    return choose(load_all(path, fonts=fonts), message, str(path))


def load_all(path: str | Path, *, fonts: Iterable[str | Path] = ()) -> dict[str, Code]:
    """Load every message of a file, by name."""
    return _codes(read_messages(path), fonts)


def load_text(
    text: str,
    message: str | None = None,
    *,
    name: str = "message.rasterc",
    folder: str | Path = ".",
    fonts: Iterable[str | Path] = (),
) -> Code:
    """Load a message from text; ``folder`` is where its relative paths start."""
    return choose(_codes(read_messages_in(text, name, folder), fonts), message, name)


def parse_when(text: str) -> datetime:
    """A moment from ISO 8601 text, with or without an offset.

    A date alone is refused: at midnight many a production day is still the day before.

    Raises:
        InputError: the text is no date and time.
    """
    written = text.strip().replace(" +", "+").replace(" Z", "Z")
    try:
        moment = datetime.fromisoformat(written)
    except ValueError:
        help = (
            'write it as "2027-11-25 14:05", with an offset if you like: "2027-11-25 14:05+01:00"'
        )
        raise InputError.one("not-a-time", f'"{text}" is not a date and time', help=help) from None
    if ":" not in written and "T" not in written:
        help = f'say the time too: "{moment.date()} 12:00"'
        raise InputError.one("not-a-time", f'"{text}" is a date without a time', help=help)
    return moment


def _codes(read: Read, fonts: Iterable[str | Path]) -> dict[str, Code]:
    ready = make_ready(read, [Path(folder) for folder in fonts])
    return {one.message.name: Code(one.message, one.plan, one.fonts, one.composer) for one in ready}
