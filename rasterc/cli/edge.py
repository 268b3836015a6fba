"""The edge of the program: every way in which a run can end, and the exit code of each.

User mistakes are `InputError` and are said where the command is. What else arrives here is a wrong
command line, an output that takes no more, a stop from outside, or a fault of ours.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence
from contextlib import suppress

import typer

from rasterc.cli.exits import EXIT_BAD_INPUT, EXIT_FINE, EXIT_OURS, EXIT_STOPPED
from rasterc.cli.say import CannotPrintError, Teller, tell
from rasterc.diagnostics import Diagnostic, InputError

UsageError: type[Exception] = typer.BadParameter.__mro__[2]
"""What all that can be wrong with a command line descends from; typer gives it no public name."""
_REPORT_IT = (
    "please report it with the command and its files, and the output of the same command "
    "with --debug"
)
_OUTPUT_ENDS = (errno.EPIPE, errno.ENOSPC, errno.EBADF, errno.EIO, errno.EFBIG, errno.EDQUOT)


def run(arguments: Sequence[str]) -> int:
    """Run the program; returns its exit code."""
    _settle_streams()
    given, debug = _without_debug(_in_front(arguments))
    teller = Teller("--json" in _options(given))
    try:
        code = _guarded(given, debug, teller)
        if sys.stdout is not None:
            sys.stdout.flush()  # here, where a failure can still be reported
    except KeyboardInterrupt:
        return EXIT_STOPPED
    except CannotPrintError as error:
        return _output_ended(str(error))
    except OSError as error:
        return _output_ended("" if error.errno == errno.EPIPE else error.strerror or "?")
    return code


def _guarded(arguments: Sequence[str], debug: bool, teller: Teller) -> int:
    """Run the command; what it raises that is none of its answers is a fault of ours."""
    try:
        return _command(arguments, teller)
    except CannotPrintError:
        raise
    except Exception as error:
        if isinstance(error, OSError) and not error.filename and error.errno in _OUTPUT_ENDS:
            raise
        if debug:
            _show(error)
        fault = _fault(error)
        if teller.as_json:
            teller.refuse(fault)
        tell(f"rasterc: {fault.message}", f"  help: {fault.help}")
        return EXIT_OURS


def _command(arguments: Sequence[str], teller: Teller) -> int:
    from rasterc.cli.app import app

    if "_RASTERC_COMPLETE" in os.environ:  # a shell asks for completions: typer answers, and exits
        app(prog_name="rasterc")
    try:
        command = typer.main.get_command(app)
        with command.make_context("rasterc", list(arguments)) as context:
            command.invoke(context)
    except typer.Exit as end:
        return end.exit_code
    except InputError as error:  # of what a command does outside `reporting`
        teller.refuse(*error.diagnostics)
        return EXIT_BAD_INPUT
    except UsageError as error:
        _refuse_usage(error, teller)
        return EXIT_BAD_INPUT
    return EXIT_FINE


def _refuse_usage(error: Exception, teller: Teller) -> None:
    """Say what is wrong with the command line; of a command alone, its help."""
    said = error.format_message()  # type: ignore[attr-defined]
    context = getattr(error, "ctx", None)
    if type(error).__name__ == "NoArgsIsHelpError" and not teller.as_json:
        tell(*said.splitlines())
        return
    path = context.command_path if context is not None else "rasterc"
    teller.refuse(Diagnostic("bad-usage", said.rstrip("."), help=f"{path} --help says more"))


def _fault(error: Exception) -> Diagnostic:
    """A fault of ours as a diagnostic."""
    if isinstance(error, MemoryError):
        said = "this takes more memory than there is"
        help = "ask for less at once, such as fewer years or a smaller picture; if it is little, "
        return Diagnostic("fault-of-ours", f"a fault of ours: {said}", help=help + _REPORT_IT)
    if isinstance(error, RecursionError):
        said = "the input is nested more deeply than can be followed"
        return Diagnostic("fault-of-ours", f"a fault of ours: {said}", help=_REPORT_IT)
    text = str(error)
    what = type(error).__name__ + (f": {text}" if text else "")
    return Diagnostic("fault-of-ours", f"a fault of ours: {what}", help=_REPORT_IT)


def _show(error: Exception) -> None:
    import traceback

    tell(*(line for part in traceback.format_exception(error) for line in part.splitlines()))


def _options(arguments: Sequence[str]) -> Sequence[str]:
    """What stands before ``--``, behind which nothing is an option."""
    return arguments[: arguments.index("--")] if "--" in arguments else arguments


def _in_front(arguments: Sequence[str]) -> list[str]:
    """The arguments with the options of every command before it, wherever they stood."""
    options = list(_options(arguments))
    front: list[str] = []
    for at in range(len(options) - 1, -1, -1):
        if options[at] == "--no-pager" or options[at].startswith("--color="):
            front += [options.pop(at)]
        elif options[at] == "--color" and at + 1 < len(options):
            front += [f"--color={options.pop(at + 1)}"]
            del options[at]
    return [*reversed(front), *options, *arguments[len(_options(arguments)) :]]


def _without_debug(arguments: Sequence[str]) -> tuple[list[str], bool]:
    """The arguments without ``--debug``, which may stand before or behind a command."""
    options = _options(arguments)
    kept = [one for one in options if one != "--debug"]
    return [*kept, *arguments[len(options) :]], len(kept) < len(options)


def _settle_streams() -> None:
    """Let every character through, and no file of the user take the place of a closed stream."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None and hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    with suppress(OSError):
        while (free := os.open(os.devnull, os.O_RDWR)) <= 2:
            pass  # 0, 1 or 2 was closed: it stays open on the null device
        os.close(free)


def _output_ended(why: str) -> int:
    """Say why standard output takes no more, unless its reader just went away."""
    with suppress(OSError, AttributeError, ValueError):  # else Python fails on what is left of it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    if why:
        tell(f"error[cannot-write]: cannot write to standard output: {why}")
    return EXIT_BAD_INPUT
