"""What `rasterc check` found in all that it was asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime

from msgspec import Struct

from rasterc import files
from rasterc.cli.check.wanted import STANDARD_INPUT, Wanted
from rasterc.cli.common import no_message
from rasterc.cli.progress import progress
from rasterc.diagnostics import Diagnostic, InputError, Severity, did_you_mean, fail_on_errors
from rasterc.inspection.kept import Memory
from rasterc.inspection.running import Inspector, Runner
from rasterc.inspection.verdict import Looked, Verdict
from rasterc.values.settings import settable, unknown_settings


class Outcome(Struct, frozen=True):
    """What was found.

    Attributes:
        verdicts: on each message on each of its lines, in order.
        noted: what is to be said beside them.
        many: more than one file was asked for.
        lines: the names of the plant's lines, in order.
        silences: what the plant accepts, by number: the rule, and where its file says so.
    """

    verdicts: Sequence[Verdict]
    noted: Sequence[Diagnostic] = ()
    many: bool = False
    lines: Sequence[str] = ()
    silences: Sequence[str] = ()

    @property
    def checked(self) -> Sequence[Verdict]:
        """Those of messages that could be checked."""
        return [verdict for verdict in self.verdicts if not verdict.broken]

    @property
    def broken(self) -> Sequence[Verdict]:
        """Those of messages, or whole files, that could not."""
        return [verdict for verdict in self.verdicts if verdict.broken]

    def faults(self) -> Iterable[Diagnostic]:
        """What is wrong with the input, each fault once."""
        return dict.fromkeys(fault for one in self.broken for fault in one.faults)


class Means(Struct, frozen=True):
    """How it is worked off: kept results, processes, or a cluster."""

    memory: Memory | None = None
    workers: int | None = None
    runner: Runner | None = None


def look(wanted: Wanted, means: Means) -> Outcome:
    """Check every message that is wanted.

    Raises:
        InputError: there is no message, none of the name asked for, or a setting of no message;
            or a file that was read is one that is to be written.
    """
    tasks = wanted.tasks
    _refuse_unknown(wanted)
    memory = means.memory if wanted.lasting else None
    inspector = Inspector(datetime.now(UTC), memory, means.workers, means.runner)
    with progress("files", len(tasks)) as shown:
        looked = inspector.inspect(tasks, shown)
    for path in sorted(inspector.read):
        files.note_read(path)
    _refuse_nothing(wanted, looked)
    verdicts = [verdict for one in looked for verdict in one.verdicts]
    noted = dict.fromkeys((*_left_out(wanted), *(note for one in looked for note in one.noted)))
    plan = wanted.plan
    if plan is None:
        return Outcome(verdicts, tuple(noted), wanted.many)
    noted |= dict.fromkeys(_unused(wanted, verdicts))
    places = [one.place for one in plan.silences]
    return Outcome(verdicts, tuple(noted), True, plan.lines, places)


def _refuse_unknown(wanted: Wanted) -> None:
    """Refuse, before the work, a setting that no message has.

    What cannot be read, or not twice, may have it: then it is told at the end.
    """
    names = [task.file for task in wanted.tasks]
    if not wanted.given or wanted.plan is not None or STANDARD_INPUT in names:
        return
    from rasterc.source.load import load_messages

    try:
        known = settable(one for name in names for one in load_messages(name).values())
    except InputError:
        return
    fail_on_errors(list(unknown_settings(dict(wanted.given), known)))


def _refuse_nothing(wanted: Wanted, looked: Sequence[Looked]) -> None:
    """Refuse what means no message, and settings of none; raises `InputError`."""
    broken = [one for each in looked for one in each.verdicts if one.broken]
    if all(one.message for one in broken):  # else a setting may belong to what cannot be read
        known = {name for each in looked for name in each.settable}
        fail_on_errors(list(unknown_settings(dict(wanted.given), known)))
    names = [name for each in looked for name in each.names]
    if broken or wanted.of is not None or (names and wanted.message in (None, *names)):
        return
    if names and wanted.message is not None:
        said = f'{wanted.called} holds no message "{wanted.message}"'
        raise InputError.one("unknown-message", said, help=did_you_mean(wanted.message, names))
    raise no_message(wanted.called)


def _left_out(wanted: Wanted) -> Iterator[Diagnostic]:
    """That only what a change touches was looked at."""
    if wanted.of is not None:
        what = "files" if wanted.plan is None else "runs"
        said = f"the change touches {len(wanted.tasks)} of {wanted.of} {what}; the others are left"
        yield Diagnostic("only-changed", said, severity=Severity.NOTE)


def _unused(wanted: Wanted, verdicts: Sequence[Verdict]) -> Iterator[Diagnostic]:
    """Silences of the plant that silence nothing, as far as that can be told.

    That takes all messages, and all the years: what is silenced may be found on some days only.
    """
    broken = any(verdict.broken for verdict in verdicts)
    if wanted.plan is None or not wanted.whole or broken:
        return
    used = {one.silence for verdict in verdicts for one in verdict.silenced}
    for number, silence in enumerate(wanted.plan.silences):
        if number not in used:
            said = f"{silence.place}: the silence of {silence.rule} silences nothing"
            help = "take it out, or see what it was meant for"
            yield Diagnostic("unused-silence", said, None, help, Severity.WARNING)
