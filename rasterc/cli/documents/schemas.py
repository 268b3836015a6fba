"""JSON Schemas (2020-12) of all that the program prints as JSON, made from the types."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Union

import msgspec

from rasterc.cli.documents import (
    batch,
    cache,
    common,
    diff,
    explain,
    extremes,
    find,
    fly,
    fmt,
    font,
    jet,
    ledger,
    listing,
    page,
    reading,
    repeats,
    strokes,
    trace,
    watch,
)
from rasterc.cli.documents import check as check_
from rasterc.diagnostics import InputError, did_you_mean

DIALECT = "https://json-schema.org/draft/2020-12/schema"
DOCUMENTS: Mapping[str, type[common.Document]] = {
    "show": strokes.ShowDocument,
    "compile": strokes.CompileDocument,
    "batch": batch.BatchDocument,
    "check": check_.CheckDocument,
    "extremes": extremes.ExtremesDocument,
    "repeats": repeats.RepeatsDocument,
    "trace": trace.TraceDocument,
    "find": find.FindDocument,
    "diff": diff.DiffDocument,
    "reading": reading.ReadingDocument,
    "fly": fly.FlyDocument,
    "jet": jet.JetDocument,
    "list": listing.ListDocument,
    "watch": watch.WatchDocument,
    "ledger-init": ledger.LedgerInitDocument,
    "ledger-reserve": ledger.LedgerReserveDocument,
    "ledger-confirm": ledger.LedgerConfirmDocument,
    "ledger-void": ledger.LedgerVoidDocument,
    "ledger-list": ledger.LedgerListDocument,
    "ledger-verify": ledger.LedgerVerifyDocument,
    "ledger-export": ledger.LedgerExportDocument,
    "ledger-backup": ledger.LedgerBackupDocument,
    "ledger-advance": ledger.LedgerAdvanceDocument,
    "page": page.PageDocument,
    "fmt": fmt.FmtDocument,
    "explain": explain.ExplainDocument,
    "cache": cache.CacheDocument,
    "explain-profile": explain.ProfileDocument,
    "explain-plant": explain.PlantDocument,
    "explain-json": explain.SchemasDocument,
    "font-show": font.FontShowDocument,
    "font-audit": font.FontAuditDocument,
    "font-import": font.FontImportDocument,
    "font-export": font.FontExportDocument,
}
"""By command. Each of them prints its own document or a `common.Refusal`."""

SAID: Mapping[str, str] = {
    **{name: f"rasterc {name.replace('-', ' ')} --json" for name in DOCUMENTS},
    "explain-json": "rasterc explain json NAME --json",
    "diagnostics": "any command that cannot do what was asked",
    "strokes": "the files that rasterc compile --out FILE.json writes",
    "profile": "a line profile",
    "plant": "a plant file",
}
"""What there is a schema of, in words."""


def schema_of(name: str) -> dict[str, Any]:
    """The JSON Schema of a command's documents, or of another of `SAID`; raises `InputError`."""
    if name == "profile":
        from rasterc.profile.model import json_schema

        return {"$schema": DIALECT, **json_schema()}
    if name == "plant":
        from rasterc.plant import file

        return {"$schema": DIALECT, **file.json_schema()}
    if name in DOCUMENTS:
        described: Any = Union[DOCUMENTS[name], common.Refusal]  # noqa: UP007 - made at run time
    elif name in SAID:
        described = common.Refusal if name == "diagnostics" else strokes.StrokesFile
    else:
        said = f'"{name}" prints no JSON'
        raise InputError.one("unknown-document", said, help=did_you_mean(name, SAID))
    return {"$schema": DIALECT, **msgspec.json.schema(described)}
