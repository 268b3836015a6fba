"""What is to be looked at: a file, and how it is held against the rules. Plain values, to be sent
to other processes and to make keys of."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from rasterc.profile.model import RuleSet


class Accept(Struct, frozen=True):
    """Findings of a rule that the plant accepts: its silence of that number."""

    rule: str
    because: str
    number: int


class Asked(Struct, frozen=True):
    """What all files are asked.

    Attributes:
        years: over so many years; None for the one moment.
        message: the only message that is meant, None for all.
        fonts: more folders to look for fonts in.
    """

    years: int | None = None
    message: str | None = None
    fonts: tuple[str, ...] = ()


class Held(Struct, frozen=True):
    """How a file is held against the rules: on which line, when, with which values.

    Attributes:
        when: the moment, or where the years begin.
        given: settings, a name and a value each.
        line: the line's name; None outside a plant.
        profile: the file of the line profile.
        profile_text: its text, where that can be read once only; else None.
        speeds_m_s: speeds instead of those of the profile.
        rules: sets of rules beside those of the profile.
        accepts: what the plant accepts.
        must_take: names of settings that the file must have a counter or an input for.
        may_be_empty: the file may hold no message.
    """

    when: datetime
    given: tuple[tuple[str, str], ...] = ()
    line: str | None = None
    profile: str | None = None
    profile_text: str | None = None
    speeds_m_s: tuple[float, ...] | None = None
    rules: tuple[RuleSet, ...] = ()
    accepts: tuple[Accept, ...] = ()
    must_take: tuple[str, ...] = ()
    may_be_empty: bool = False


class Task(Struct, frozen=True):
    """A file, and a way in which it is to be held against the rules."""

    file: str
    held: Held
    asked: Asked = Asked()
