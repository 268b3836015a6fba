"""The messages of a plant, made ready to print: read once, until files change."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.code import Code
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.loading import make_ready
from rasterc.moments import parse_when
from rasterc.page.keeping import Keeper, digest_of
from rasterc.source.load import Read, read_messages, read_messages_in, read_source
from rasterc.values.model import Instant

if TYPE_CHECKING:
    from rasterc.page.requests import Draft
    from rasterc.plant import Plant, Run
    from rasterc.printed import Print
    from rasterc.profile.model import LineProfile

_MOST_DRAFTS = 16
_USES = re.compile(r'\buse\s+"([^"]+)"')


class Loaded(Struct, frozen=True):
    """A message file made ready, or what is wrong with it; the digest of its bytes."""

    digest: str
    codes: Mapping[str, Code]
    faults: tuple[Diagnostic, ...] = ()


class Shelf:
    """What was read of a plant. May be used from several threads."""

    def __init__(self, plant: Plant) -> None:
        self.keeper = Keeper(plant.folder)
        self._lock = RLock()
        self.take(plant)

    def take(self, plant: Plant) -> None:
        """Take a plant, and forget all that was read."""
        with self._lock:
            self.plant = plant
            self._runs: dict[str, list[Run]] = {}
            for run in plant.runs:
                self._runs.setdefault(self.keeper.name(run.file), []).append(run)
            self._files: dict[str, Loaded] = {}
            self._drafts: OrderedDict[tuple[str, str], Loaded] = OrderedDict()
            self._profiles: dict[tuple[str, tuple[str, ...]], LineProfile | None] = {}

    def forget(self) -> None:
        """Forget what was read, since files have changed."""
        self.take(self.plant)

    def runs_of(self, file: str) -> list[Run]:
        """The runs of a file on the lines of the plant."""
        return self._runs.get(file, [])

    def unused(self) -> set[str]:
        """The message files of the plant that no file which was read uses."""
        with self._lock:
            texts = [
                code.message.span.source.text
                for loaded in self._files.values()
                for code in loaded.codes.values()
            ]
        used = {Path(name).name for text in texts for name in _USES.findall(text)}
        return {name for name in self._runs if Path(name).name not in used}

    def run_on(self, file: str, line: str) -> Run | None:
        """The run of a file on a line; its first where there is no such line."""
        runs = self.runs_of(file)
        named = (run for run in runs if run.line and run.line.name == line)
        return next(named, runs[0] if runs else None)

    def profile_of(self, run: Run | None) -> LineProfile | None:
        """The profile of a run's line, None without one; raises `InputError`."""
        if run is None or run.line is None:
            return None
        key = run.line.name, tuple(map(str, run.rules))
        with self._lock:
            if key not in self._profiles:
                self._profiles[key] = run.load_profile()
            return self._profiles[key]

    def file(self, name: str) -> Loaded:
        """A file of the plant made ready; never raises for what is in it."""
        with self._lock:
            if name not in self._files:
                self._files[name] = self._load(name)
            return self._files[name]

    def _load(self, name: str) -> Loaded:
        digest = ""
        try:
            path = self.keeper.path(name)
            digest = digest_of(read_source(path).text.encode())
            return Loaded(digest, self._codes(read_messages(path)))
        except InputError as error:
            return Loaded(digest, {}, error.diagnostics)

    def draft(self, name: str, text: str) -> Loaded:
        """A text made ready as if it stood in a file; the same text is read once."""
        key = name, text
        with self._lock:
            if key not in self._drafts:
                self._drafts[key] = self._load_draft(name, text)
                while len(self._drafts) > _MOST_DRAFTS:
                    self._drafts.popitem(last=False)
            self._drafts.move_to_end(key)
            return self._drafts[key]

    def _load_draft(self, name: str, text: str) -> Loaded:
        digest = digest_of(text.encode(errors="replace"))
        try:
            read = read_messages_in(text, name, self.keeper.path(name).parent)
            return Loaded(digest, self._codes(read))
        except InputError as error:
            return Loaded(digest, {}, error.diagnostics)

    def _codes(self, read: Read) -> dict[str, Code]:
        ready = make_ready(read)
        return {
            one.message.name: Code(one.message, one.plan, one.fonts, one.composer) for one in ready
        }


def now() -> datetime:
    """This moment, to the second."""
    return datetime.now(UTC).replace(microsecond=0)


def moment(at: str) -> datetime:
    """A moment as the page gives it, now when empty; raises `InputError`."""
    return parse_when(at) if at else now()


def settings_of(run: Run | None, code: Code) -> tuple[dict[str, int], dict[str, str]]:
    """The counters and inputs that the plant sets for a run of a message."""
    from rasterc.values.expects import counter_value

    pairs = dict(one.partition("=")[::2] for one in (run.settings if run else ()))
    counters: dict[str, int] = {}
    for name, counter in code.message.counters.items():
        text = pairs.get(name, "").strip()
        quoted = len(text) > 1 and text[0] == text[-1] == '"'
        value = counter_value(counter, text.strip('"'), quoted) if text else None
        counters |= {} if value is None else {name: value}
    return counters, {name: pairs[name] for name in code.message.inputs if name in pairs}


def print_of(code: Code, when: datetime, counters: dict[str, int], inputs: dict[str, str]) -> Print:
    """A message at a moment; inputs that are not given have a made-up text.

    Raises:
        InputError: it cannot be printed so.
    """
    from rasterc.checks.samples import sample_inputs

    return code.resolve_at(Instant(when, counters, sample_inputs(code.plan, inputs, when)))


def print_of_draft(shelf: Shelf, draft: Draft, code: Code, when: datetime | None = None) -> Print:
    """A draft at its moment, with its values, else with those of the plant; raises `InputError`."""
    counters, inputs = settings_of(shelf.run_on(draft.file, draft.line), code)
    known = code.message
    counters |= {n: v for n, v in draft.counters.items() if n in known.counters}
    inputs |= {n: v for n, v in draft.inputs.items() if n in known.inputs}
    return print_of(code, moment(draft.at) if when is None else when, counters, inputs)


def message_of(loaded: Loaded, name: str) -> Code | None:
    """The message of a name, else the first of the file; None where there is none."""
    return loaded.codes.get(name) or next(iter(loaded.codes.values()), None)
