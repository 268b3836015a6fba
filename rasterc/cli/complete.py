"""What a shell may complete: names of rules, fonts, measures, messages and settings.

A word that cannot be completed is no mistake: what cannot be read completes nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

import typer

from rasterc.diagnostics import InputError

_MESSAGE = re.compile(r"^\s*message\s+([\w-]+)", re.MULTILINE)
_SETTING = re.compile(r"^\s*(counter|input)\s+([\w-]+)", re.MULTILINE)
_FONT_SUFFIXES = (".bdf", ".pcf", ".ttf", ".otf")

Found = list[tuple[str, str]]
"""Words, each with a line that says what it is."""


def topics(incomplete: str) -> Found:
    """What can be explained."""
    from rasterc.checks.registry import all_rules

    rules = [(name, rule.title) for name, rule in all_rules().items()]
    others = [
        ("profile", "the keys of a line profile"),
        ("plant", "the keys of a plant file"),
        ("json", "what --json prints"),
    ]
    return _beginning([*rules, *others], incomplete)


def measures(incomplete: str) -> Found:
    """What `extremes` can measure."""
    from rasterc.extremes.kinds import KINDS

    return _beginning([(name, "") for name in KINDS], incomplete)


def kinds(incomplete: str) -> Found:
    """What strokes can be written as."""
    from rasterc.output.code.kinds import KINDS

    return _beginning([(name, "") for name in KINDS], incomplete)


def fonts(incomplete: str) -> Found:
    """The fonts that come with rasterc, and those in the folder ``fonts`` here."""
    from rasterc.resources import resource_dir

    folders = (resource_dir("fonts-demo"), Path("fonts"))
    found = (path for folder in folders if folder.is_dir() for path in sorted(folder.iterdir()))
    names = dict.fromkeys(path.stem for path in found if path.suffix in _FONT_SUFFIXES)
    return _beginning([(name, "") for name in names], incomplete)


def messages(context: typer.Context, incomplete: str) -> Found:
    """The messages of the files named so far."""
    texts = _texts(context)
    found = dict.fromkeys(name for text in texts for name in _MESSAGE.findall(text))
    return _beginning([(name, "") for name in found], incomplete)


def lines(context: typer.Context, incomplete: str) -> Found:
    """The lines of the plant that is named so far, or that somebody stands in."""
    from rasterc.cli.plants import chosen_plant

    places = (Path(word) for word in _words(context))
    named = next((path for path in places if path.suffix == ".toml" or path.is_dir()), None)
    with suppress(InputError):
        found = [(line.name, str(line.profile)) for line in chosen_plant(named).lines]
        return _beginning(found, incomplete)
    return []


def settings(context: typer.Context, incomplete: str) -> Found:
    """The counters and inputs of the files named so far, ready for their values."""
    found = dict.fromkeys(pair for text in _texts(context) for pair in _SETTING.findall(text))
    return _beginning([(f"{name}=", kind) for kind, name in found], incomplete)


def _beginning(found: Iterable[tuple[str, str]], incomplete: str) -> Found:
    return [(word, said) for word, said in found if word.startswith(incomplete)]


def _texts(context: typer.Context) -> Iterator[str]:
    from rasterc.source.load import SUFFIX, read_source

    for path in filter(lambda word: word.endswith(SUFFIX), _words(context)):
        with suppress(InputError):
            yield read_source(path).text


def _words(context: typer.Context) -> list[str]:
    """The words typed so far."""
    given = [*context.params.values(), *context.args]  # in the latter while a word is not done
    listed = (one if isinstance(one, tuple | list) else [one] for one in given)
    return [str(word) for words in listed for word in words if word is not None]
