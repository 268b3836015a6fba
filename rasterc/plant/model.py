"""A plant as it was read: each message file on each line that it runs on."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct, structs

from rasterc.diagnostics import Span
from rasterc.profile.load import load_profile
from rasterc.profile.model import LineProfile, RuleSet

DEFAULT_HORIZON_YEARS, MAX_HORIZON_YEARS = 5, 50


class Defaults(Struct, frozen=True):
    """What holds where nothing else is said.

    Attributes:
        zone: the time zone of moments for messages that read no clock; None when not given.
        language: the language of the plant's people, such as "en"; None when not given.
        horizon_years: how many years are looked ahead.
    """

    zone: str | None = None
    language: str | None = None
    horizon_years: int = DEFAULT_HORIZON_YEARS


class PlantSilence(Struct, frozen=True):
    """Findings of a rule that are known and accepted.

    Attributes:
        rule: the rule's name.
        because: the reason, which the report keeps saying.
        lines: names of the lines it holds on; on all when empty.
        messages: the message files it holds for, as in the plant file; for all when empty.
        place: where the plant file says so.
    """

    rule: str
    because: str
    lines: tuple[str, ...] = ()
    messages: tuple[str, ...] = ()
    place: Span | None = None


class PlantLine(Struct, frozen=True):
    """A line of the plant.

    Attributes:
        name: how people call it; no two lines of a plant have the same.
        profile: the file of its line profile.
        rules: sets of rules beside those of the profile.
        speeds_m_s: speeds it runs at, instead of those of the profile; None: those of the profile.
    """

    name: str
    profile: Path
    rules: tuple[RuleSet, ...] = ()
    speeds_m_s: tuple[float, ...] | None = None

    def load_profile(self, rules: tuple[RuleSet, ...] = ()) -> LineProfile:
        """The line profile, with the line's speeds and rules, and more rules.

        Raises:
            InputError: with every fault of the profile.
        """
        profile = load_profile(self.profile)
        wanted = {*profile.rules, *self.rules, *rules}
        line = profile.line
        if self.speeds_m_s is not None:
            line = structs.replace(line, speeds_m_s=list(self.speeds_m_s))
        return structs.replace(profile, line=line, rules=[one for one in RuleSet if one in wanted])


class Run(Struct, frozen=True):
    """A message file on a line that it runs on.

    Attributes:
        file: the message file. One that a pattern found may hold declarations only.
        line: the line; None in a plant without lines.
        at: the moment to show it at, as text that can be read; None: now.
        settings: values of counters and inputs, "NAME=VALUE" each, no name twice.
        silences: all that hold here: of the plant, the line and the message.
        rules: sets of rules beside those of the profile: of the plant, the line and the message.
        by_pattern: the file was found by a pattern or a folder, not named itself.
        place: where the plant file says so.
    """

    file: Path
    line: PlantLine | None = None
    at: str | None = None
    settings: tuple[str, ...] = ()
    silences: tuple[PlantSilence, ...] = ()
    rules: tuple[RuleSet, ...] = ()
    by_pattern: bool = False
    place: Span | None = None

    def load_profile(self) -> LineProfile | None:
        """The profile of its line with all rules that hold; None without a line.

        Raises:
            InputError: with every fault of the profile.
        """
        return None if self.line is None else self.line.load_profile(self.rules)


class Plant(Struct, frozen=True):
    """A plant.

    Attributes:
        name: how people call it.
        file: the plant file; None when a folder was taken without one.
        folder: what all paths of the plant lie in.
        lines: its lines, in the order of the file.
        runs: each message file on each of its lines, in the order of the file.
        tables: the files of its product tables.
        rules: sets of rules for the whole plant.
        silences: all that the file holds, those of lines and messages too.
        defaults: what holds where nothing else is said.
    """

    name: str
    file: Path | None
    folder: Path
    lines: tuple[PlantLine, ...] = ()
    runs: tuple[Run, ...] = ()
    tables: tuple[Path, ...] = ()
    rules: tuple[RuleSet, ...] = ()
    silences: tuple[PlantSilence, ...] = ()
    defaults: Defaults = Defaults()

    @property
    def files(self) -> tuple[Path, ...]:
        """The message files, each once."""
        return tuple(dict.fromkeys(run.file for run in self.runs))
