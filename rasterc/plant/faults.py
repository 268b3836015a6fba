"""What is wrong with a plant file that types cannot tell: names, files, moments, settings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from msgspec import structs

from rasterc.checks.registry import find_rule
from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.moments import parse_when
from rasterc.plant.files import Named, files_named
from rasterc.plant.finding import Ground
from rasterc.toml.places import Path
from rasterc.toml.typed import Places, Values
from rasterc.values.dates.languages import find_names
from rasterc.values.dates.zones import find_zone

MAX_RUNS = 100_000
"""Messages on lines; each may be checked by itself."""

Fault = tuple[Path, Diagnostic]
Faults = Iterator[Fault]
Entry = tuple[Path, Values]


def faults_in(values: Values, places: Places, ground: Ground) -> Iterator[Diagnostic]:
    """All of them. Values need not be of their types: what is not, is told elsewhere."""
    lines, messages = _entries(values, "line"), _entries(values, "message")
    names = [name for _, entry in lines if (name := _text(entry, "name"))]
    silences = _silences(values, (*lines, *messages))
    named = list(files_named(ground, [_text(entry, "file") for _, entry in messages]))
    found = (
        *_lines_twice(lines),
        *_profiles(lines, ground),
        *_files(messages, named),
        *_run_twice(messages, named, names, ground),
        *_unknown_lines((*messages, *_entries(values, "silence")), names),
        *_moments(messages),
        *_settings(messages),
        *_tables(values, ground),
        *_rules(silences),
        *_silenced_twice(silences),
        *_silenced_files(values, named, ground),
        *_defaults(values),
    )
    for path, fault in found:
        yield structs.replace(fault, span=places.at(path))


def _entries(values: Values, name: str) -> list[Entry]:
    """The tables of an array, each with its path."""
    listed = values.get(name)
    tables = listed if isinstance(listed, list) else []
    return [((name, at), table) for at, table in enumerate(tables) if isinstance(table, dict)]


def _text(entry: Values, key: str) -> str | None:
    value = entry.get(key)
    return value if isinstance(value, str) and value else None


def _texts(entry: Values, key: str) -> list[str]:
    listed = entry.get(key)
    return [one for one in listed if isinstance(one, str)] if isinstance(listed, list) else []


def _tried(path: Path, work: Callable[..., object], *given: object) -> Faults:
    """What is wrong, when something does not go."""
    try:
        work(*given)
    except InputError as error:
        yield from ((path, fault) for fault in error.diagnostics)


def _twice(
    named: Iterable[tuple[Path, str, object]], what: str, help: str = "keep one of them"
) -> Faults:
    """What is there twice: of paths, names to say, and what tells two of them apart."""
    seen: set[object] = set()
    for path, name, key in named:
        if key in seen:
            said = f'the {what} "{name}" is given twice'
            yield path, Diagnostic("twice", said, help=help)
        seen.add(key)


def _lines_twice(lines: Iterable[Entry]) -> Faults:
    named = [((*path, "name"), _text(entry, "name")) for path, entry in lines]
    same = ((path, name, " ".join(name.split()).casefold()) for path, name in named if name)
    yield from _twice(same, "line", "give each another name")


def _profiles(lines: Iterable[Entry], ground: Ground) -> Faults:
    for path, entry in lines:
        if text := _text(entry, "profile"):
            yield from _tried((*path, "profile"), ground.path, text)


def _files(messages: Iterable[Entry], named: Iterable[Named]) -> Faults:
    for (path, _), one in zip(messages, named, strict=True):
        yield from (((*path, "file"), fault) for fault in one.faults)


def _run_twice(
    messages: Iterable[Entry], named: Iterable[Named], names: list[str], ground: Ground
) -> Faults:
    """Files that two entries put on the same line; and more runs than there can be."""
    seen: dict[str, set[str]] = {}  # lines by file
    runs = 0
    for (path, entry), one in zip(messages, named, strict=True):
        lines = set(_texts(entry, "lines") or names or [""])
        runs += len(one.files) * len(lines)
        if runs > MAX_RUNS:
            help = "split the plant into several"
            said = f"more than {MAX_RUNS:,} messages on lines"
            yield (*path, "file"), Diagnostic("too-large", said, help=help)
            return
        keys = [(file, ground.key(file)) for file in one.files]
        twice = ((file, min(lines & seen.get(key, set()), default=None)) for file, key in keys)
        found = next(((file, line) for file, line in twice if line is not None), None)
        if found:
            yield (*path, "file"), _given_twice(ground.name(found[0]), found[1])
        for _, key in keys:
            seen.setdefault(key, set()).update(lines)


def _given_twice(file: str, line: str) -> Diagnostic:
    on = f' on line "{line}"' if line else ""
    said = f"{file}{on} is given by an entry above already"
    return Diagnostic("twice", said, help="name it in one entry for each line")


def _unknown_lines(entries: Iterable[Entry], names: list[str]) -> Faults:
    for path, entry in entries:
        here = (*path, "lines")
        listed = _texts(entry, "lines")
        for name in dict.fromkeys(listed):
            if name not in names:
                help = did_you_mean(name, names) or "write [[line]] for each line of the plant"
                yield here, Diagnostic("unknown-line", f'there is no line "{name}"', help=help)
        yield from _twice(((here, name, name) for name in listed), "line")


def _moments(messages: Iterable[Entry]) -> Faults:
    for path, entry in messages:
        if (text := entry.get("at")) is not None and isinstance(text, str):
            yield from _tried((*path, "at"), parse_when, text)


def _settings(messages: Iterable[Entry]) -> Faults:
    for path, entry in messages:
        here = (*path, "set")
        names = [setting.partition("=") for setting in _texts(entry, "set")]
        for name, equals, value in names:
            if not equals or not name.strip():
                said = f'"{name}{equals}{value}" is not NAME=VALUE'
                yield here, Diagnostic("bad-setting", said, help='write it like "case=42"')
        given = [name.strip() for name, equals, _ in names if equals]
        yield from _twice(((here, name, name) for name in given), "value of")


def _tables(values: Values, ground: Ground) -> Faults:
    texts = _texts(values, "tables")
    for text in texts:
        yield from _tried(("tables",), ground.path, text)
    keys = [(text, ground.key(ground.folder / text)) for text in texts]
    yield from _twice(((("tables",), text, key) for text, key in keys), "table")


def _silences(values: Values, holders: Iterable[Entry]) -> list[Entry]:
    """All silences of the file, each with its path."""
    inside = [
        ((*holder, *path), silence)
        for holder, entry in holders
        for path, silence in _entries(entry, "silence")
    ]
    return [*_entries(values, "silence"), *inside]


def _rules(silences: Iterable[Entry]) -> Faults:
    for path, entry in silences:
        if name := _text(entry, "rule"):
            yield from _tried((*path, "rule"), _refuse_rule, name)


def _silenced_twice(silences: Iterable[Entry]) -> Faults:
    """Silences of the same rule at the same place, which may have two reasons."""
    rules = [
        (path, name, (path[:-1], name, *(str(entry.get(key)) for key in ("lines", "messages"))))
        for path, entry in silences
        if (name := _text(entry, "rule"))
    ]
    yield from _twice(rules, "silence of", "keep one of them, with one reason")


def _refuse_rule(name: str) -> None:
    if not find_rule(name).can_be_silenced:
        help = "mend what it finds"
        raise InputError.one("bad-silence", f'the rule "{name}" cannot be silenced', help=help)


def _silenced_files(values: Values, named: Iterable[Named], ground: Ground) -> Faults:
    """Silences of messages that the plant has not."""
    known = [file for one in named for file in one.files]
    for path, entry in _entries(values, "silence"):
        for text in _texts(entry, "messages"):
            if not any(ground.means(text, file) for file in known):
                said = f'no message of the plant is meant by "{text}"'
                help = did_you_mean(text, map(ground.name, known))
                yield (*path, "messages"), Diagnostic("unknown-message", said, help=help)


def _defaults(values: Values) -> Faults:
    table = values.get("defaults")
    defaults = table if isinstance(table, dict) else {}
    if zone := _text(defaults, "zone"):
        yield from _tried(("defaults", "zone"), lambda: find_zone(zone, None))
    if language := _text(defaults, "language"):
        yield from _tried(("defaults", "language"), lambda: find_names(language, None))
