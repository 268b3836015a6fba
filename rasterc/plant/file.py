"""The keys of a plant file. Paths start at its folder and stay inside."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, Struct

from rasterc.plant.model import DEFAULT_HORIZON_YEARS, MAX_HORIZON_YEARS
from rasterc.profile.model import MAX_SPEED_M_S, MIN_SPEED_M_S, RuleSet

MAX_LINES = 500
MAX_MESSAGES = 20_000
MAX_SILENCES = 1_000
MAX_TABLES = 1_000

_Name = Annotated[str, Meta(min_length=1, max_length=80)]
_PathText = Annotated[str, Meta(min_length=1, max_length=400)]
_Lines = Annotated[list[_Name], Meta(min_length=1, max_length=MAX_LINES)]
_RULES = Meta(
    max_length=len(RuleSet),
    description="Sets of rules to check by, beside those that the profile and the plant name.",
)


class SilenceEntry(Struct, frozen=True, forbid_unknown_fields=True):
    """Findings that are known and accepted, of a line or a message."""

    rule: Annotated[str, Meta(description="The rule whose findings are known and accepted.")]
    because: Annotated[
        str, Meta(min_length=1, max_length=400, description="Why; the report keeps saying so.")
    ]


class PlantSilenceEntry(SilenceEntry, frozen=True, forbid_unknown_fields=True):
    """Findings that are known and accepted, anywhere in the plant."""

    lines: Annotated[
        _Lines | None, Meta(description="Only on these lines; on all when left out.")
    ] = None
    messages: Annotated[
        Annotated[list[_PathText], Meta(min_length=1, max_length=MAX_MESSAGES)] | None,
        Meta(description="Only of these message files, * as in file; of all when left out."),
    ] = None


class LineEntry(Struct, frozen=True, forbid_unknown_fields=True, rename={"silences": "silence"}):
    """A line of the plant."""

    name: Annotated[str, Meta(min_length=1, max_length=80, description="How people call the line.")]
    profile: Annotated[
        str, Meta(min_length=1, max_length=400, description="The file of its line profile.")
    ]
    speeds_m_s: Annotated[
        Annotated[
            list[Annotated[float, Meta(ge=MIN_SPEED_M_S, le=MAX_SPEED_M_S)]],
            Meta(min_length=1, max_length=32),
        ]
        | None,
        Meta(description="Speeds this line runs at, instead of those of the profile."),
    ] = None
    rules: Annotated[list[RuleSet], _RULES] = msgspec.field(default_factory=list)
    silences: Annotated[
        list[SilenceEntry],
        Meta(max_length=MAX_SILENCES, description="What is known and accepted on this line."),
    ] = msgspec.field(default_factory=list)


class MessageEntry(
    Struct,
    frozen=True,
    forbid_unknown_fields=True,
    rename={"settings": "set", "silences": "silence"},
):
    """A message file, or many, and where it runs."""

    file: Annotated[
        str,
        Meta(
            min_length=1,
            max_length=400,
            description="A message file; or many: * stands for any part of a name, ** for folders.",
        ),
    ]
    lines: Annotated[
        _Lines | None,
        Meta(description="Names of the lines it runs on; every line when left out."),
    ] = None
    at: Annotated[
        str | None,
        Meta(description="The moment to show it at, such as 2027-11-25 14:05; now when left out."),
    ] = None
    settings: Annotated[
        list[Annotated[str, Meta(max_length=400)]],
        Meta(max_length=100, description='Values of counters and inputs, "NAME=VALUE" each.'),
    ] = msgspec.field(default_factory=list)
    rules: Annotated[list[RuleSet], _RULES] = msgspec.field(default_factory=list)
    silences: Annotated[
        list[SilenceEntry],
        Meta(max_length=MAX_SILENCES, description="What is known and accepted of this message."),
    ] = msgspec.field(default_factory=list)


class DefaultsTable(Struct, frozen=True, forbid_unknown_fields=True):
    """What holds where nothing else is said."""

    zone: Annotated[
        str | None, Meta(description="Time zone of moments of messages that read no clock.")
    ] = None
    language: Annotated[str | None, Meta(description="Language of the plant's people.")] = None
    horizon_years: Annotated[
        int, Meta(ge=1, le=MAX_HORIZON_YEARS, description="Years that are looked ahead.")
    ] = DEFAULT_HORIZON_YEARS


class PlantFile(
    Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    rename={"lines": "line", "messages": "message", "silences": "silence"},
):
    """A whole plant file."""

    name: Annotated[
        _Name | None,
        Meta(description="How people call the plant; its folder's name when left out."),
    ] = None
    rules: Annotated[
        list[RuleSet],
        Meta(max_length=len(RuleSet), description="Sets of rules for the whole plant."),
    ] = msgspec.field(default_factory=list)
    tables: Annotated[
        list[_PathText],
        Meta(max_length=MAX_TABLES, description="The files of the product tables, CSV."),
    ] = msgspec.field(default_factory=list)
    defaults: Annotated[
        DefaultsTable, Meta(description="What holds where nothing else is said.")
    ] = msgspec.field(default_factory=DefaultsTable)
    lines: Annotated[
        list[LineEntry],
        Meta(max_length=MAX_LINES, description="The lines, one [[line]] each."),
    ] = msgspec.field(default_factory=list)
    messages: Annotated[
        list[MessageEntry],
        Meta(
            min_length=1,
            max_length=MAX_MESSAGES,
            description="The messages, one [[message]] for each file or pattern of files.",
        ),
    ]
    silences: Annotated[
        list[PlantSilenceEntry],
        Meta(max_length=MAX_SILENCES, description="What is known and accepted in the plant."),
    ] = msgspec.field(default_factory=list)


def json_schema() -> dict[str, object]:
    """JSON Schema (2020-12) of a plant file, for editors and for the reference."""
    return msgspec.json.schema(PlantFile)
