"""`rasterc check`: hold a message against every rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import typer

from rasterc.cli.common import (
    EXIT_FINDINGS,
    AtOption,
    FontsOption,
    JsonOption,
    MessageFile,
    MessageOption,
    ProfileOption,
    Request,
    SetOption,
    print_json,
    reporting,
)
from rasterc.diagnostics import Severity

if TYPE_CHECKING:
    from rasterc.api import Print
    from rasterc.checks.model import Finding
    from rasterc.profile.model import LineProfile


def check(
    file: MessageFile,
    at: AtOption = None,
    settings: SetOption = None,
    profile: ProfileOption = None,
    message: MessageOption = None,
    fonts: FontsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Check a message at an instant, its own examples and its limits; exit 1 on findings."""
    with reporting(as_json):
        request = Request(file, at, settings or (), profile, message, fonts or ())
        line_profile = request.line_profile()
        prints = request.prints()
        found = [(p, p.check(line_profile)) for p in prints]
        if as_json:
            print_json({"messages": [_document(p, f, line_profile) for p, f in found]})
        else:
            print("\n\n".join(_report(p, f, line_profile) for p, f in found))
        if any(_counts(finding) for _, findings in found for finding in findings):
            raise typer.Exit(EXIT_FINDINGS)


def _counts(finding: Finding) -> bool:
    """Notes do not fail a check."""
    return finding.severity is not Severity.NOTE


def _report(printed: Print, findings: Sequence[Finding], profile: LineProfile | None) -> str:
    message = printed.resolved.message
    when = printed.resolved.instant.when
    moment = f" at {when.isoformat(' ', 'minutes')}" if when and message.clocks else ""
    against = f' on "{profile.name}"' if profile else ", without a line profile"
    held = f"{len(message.expects)} expect, {len(message.requires)} require"
    counts = {s: sum(f.severity is s for f in findings) for s in Severity}
    total = ", ".join(f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts.items() if n)
    return "\n".join(
        [
            f"{message.name}{moment}{against}: {total or 'no findings'} ({held} checked)",
            *(finding.render() for finding in findings),
        ]
    )


def _document(
    printed: Print, findings: Sequence[Finding], profile: LineProfile | None
) -> dict[str, object]:
    when = printed.resolved.instant.when
    return {
        "message": printed.resolved.message.name,
        "at": when.isoformat() if when and printed.resolved.message.clocks else None,
        "lines": list(printed.lines),
        "profile": profile.name if profile else None,
        "timing": _timing(printed, profile),
        "findings": [finding.as_dict() for finding in findings],
    }


def _timing(printed: Print, profile: LineProfile | None) -> list[dict[str, object]]:
    """The timing at every speed of the profile, empty when it cannot be told."""
    from msgspec import to_builtins

    from rasterc.head.timing import timing

    subject = printed.subject(profile)
    if profile is None or subject.raster is None or subject.layout is None:
        return []
    return [
        to_builtins(timing(profile, subject.raster, subject.layout.length, speed))
        for speed in profile.line.speeds_m_s
    ]
