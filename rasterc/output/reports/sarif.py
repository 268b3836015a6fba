"""Findings as SARIF 2.1.0 (OASIS Static Analysis Results Interchange Format, 2020).

The same findings always give the same bytes: no time, no machine, no absolute path of its own.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import PurePath
from urllib.parse import quote

from rasterc.diagnostics import Severity, Span
from rasterc.output.reports.results import MessageResults, Result, RuleFacts

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
VERSION = "2.1.0"

_LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}


def sarif(messages: Sequence[MessageResults], rules: Sequence[RuleFacts], version: str) -> bytes:
    """A SARIF log with one run.

    Args:
        messages: the findings and faults, in the order they are to stand in.
        rules: every rule that was applied.
        version: this program's version.
    """
    index = {rule.id: number for number, rule in enumerate(rules)}
    run = {
        "tool": {
            "driver": {
                "name": "rasterc",
                "version": version,
                "rules": [_rule(rule) for rule in rules],
            }
        },
        "columnKind": "unicodeCodePoints",
        "invocations": [{"executionSuccessful": not any(m.faults for m in messages)}],
        "results": [
            _result(result, index.get(result.rule), message)
            for message in messages
            for result in (*message.results, *message.faults)
        ],
    }
    log = {"$schema": SCHEMA, "version": VERSION, "runs": [run]}
    return (json.dumps(log, ensure_ascii=False, indent=2) + "\n").encode(errors="replace")


def _rule(rule: RuleFacts) -> dict[str, object]:
    return {
        "id": rule.id,
        "shortDescription": {"text": rule.title},
        "help": {"text": rule.help},
        "defaultConfiguration": {"level": _LEVELS[rule.severity]},
        "properties": {"family": rule.family},
    }


def _result(result: Result, index: int | None, message: MessageResults) -> dict[str, object]:
    """A finding; a fault has no rule among the tool's, so only its id is given."""
    out: dict[str, object] = {"ruleId": result.rule}
    if index is not None:
        out["ruleIndex"] = index
    out["level"] = _LEVELS[result.severity]
    out["message"] = {"text": result.text}
    if result.span is not None:
        out["locations"] = [_location(result.span, message)]
    elif index is None:
        file = {"artifactLocation": {"uri": _uri(message.file)}}
        out["locations"] = [{"physicalLocation": file}]
    if message.line is not None:
        out["properties"] = {"line": message.line}
    if result.because is not None:
        out["suppressions"] = [
            {"kind": "external" if result.outside else "inSource", "justification": result.because}
        ]
    return out


def _location(span: Span, message: MessageResults) -> dict[str, object]:
    end_line, end_column = span.source.line_column(max(span.start, span.end))
    out: dict[str, object] = {
        "physicalLocation": {
            "artifactLocation": {"uri": _uri(span.source.name)},
            "region": {
                "startLine": span.line,
                "startColumn": span.column,
                "endLine": end_line,
                "endColumn": end_column,
            },
        },
    }
    if message.message:
        out["logicalLocations"] = [{"name": message.message, "kind": "module"}]
    return out


def _uri(name: str) -> str:
    """A file's name as a URI reference (RFC 3986)."""
    path = PurePath(name)
    return path.as_uri() if path.is_absolute() else quote(os.fsencode(path.as_posix()))
