"""The gallery: small messages with one planted mistake and their repaired twins, and good ones.

Each case is a title, headers, and the statements of a message; lines that begin with ``-`` stand in
the mistaken message only, lines with ``+`` in its twin only:

    === the title
    finds: rule, other-rule      what must find it: any of them
    grade: dangerous             else wrong
    rules: eu-food, gs1          sets the profile chooses
    profile: throw_mm = 9        keys of the profile that differ (profile- and profile+ of one only)
    at: 2027-12-10 10:00         the instant
    over: 2                      checked over so many years
    inputs: made 25.11.27; ...   what is typed
    raster: 9                    also the font
    letters: not shipped         the fonts lack its letters, which is not what is looked at
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_PROFILE, Finding, Subject
from rasterc.checks.registry import active_rules, check, sorted_out
from rasterc.checks.survey import survey
from rasterc.profile.load import parse_profile

FOLDER = Path(__file__).with_name("gallery")
_SLOW = {"one-drop-decides"}
"""Rules that are asked of good messages only: they take longer than all others together."""

_AT = "2027-11-25 14:05"
_RASTERS = "".join(f"[[raster]]\ndrops = {n}\nstroke_gap_drops = 2\n" for n in (5, 7, 9, 12, 16))
_PROFILE = re.sub(r"\[\[raster\]\].*?(?=\[line\])", _RASTERS, EXAMPLE_PROFILE, flags=re.DOTALL)
_PROFILE = _PROFILE.replace("window_mm = 70", "window_mm = 300").replace("mm = 90", "mm = 400")


@dataclass(frozen=True)
class Case:
    """One case: ``headers`` by name, ``body`` with its signs."""

    file: str
    title: str
    headers: dict[str, str] = field(default_factory=dict)
    body: tuple[str, ...] = ()

    @property
    def finds(self) -> set[str]:
        """The rules of which one must find the mistake."""
        return {name.strip() for name in self.headers.get("finds", "").split(",")} - {""}

    @property
    def grade(self) -> str:
        """``dangerous`` or ``wrong``; ``good`` of a message without a mistake."""
        return self.headers.get("grade", "wrong") if self.finds else "good"

    def message(self, sign: str) -> str:
        """The message, with the lines of ``-`` or of ``+``."""
        raster = self.headers.get("raster", "16")
        font = raster if raster != "16" else "7"
        lines = [line[1:] for line in self.body if line[0] in (" ", sign)]
        return "\n".join([f"message m {{ raster {raster} font upright-{font}", *lines, "}"])

    def profile(self, sign: str) -> str:
        """The text of its profile."""
        text = _PROFILE
        sets = ["general", *filter(None, self.headers.get("rules", "").replace(" ", "").split(","))]
        text = re.sub(r"^rules = .*$", f"rules = {sets!r}".replace("'", '"'), text, flags=re.M)
        changes = [self.headers.get("profile", ""), self.headers.get("profile" + sign, "")]
        for change in filter(None, (c.strip() for part in changes for c in part.split(";"))):
            key = change.partition("=")[0].strip()
            text, done = re.subn(rf"^{key} = .*$", change, text, count=1, flags=re.M)
            text += "" if done else change + "\n"
        return text

    def subject(self, sign: str) -> Subject:
        """The message at its instant, on its line."""
        code, profile = load_text(self.message(sign)), parse_profile(self.profile(sign))
        typed = (part.split(maxsplit=1) for part in self.headers.get("inputs", "").split(";"))
        inputs = {given[0]: given[1] for given in typed if given}
        return code.resolve(self.headers.get("at", _AT), inputs=inputs).subject(profile)

    def is_found(self) -> bool:
        """Whether one of the rules that must find the mistake does; no other rule is asked."""
        if "over" in self.headers:
            return any(f.rule in self.finds for f in self.findings("-"))
        subject = self.subject("-")
        asked = [r for name, r in active_rules(subject.profile).items() if name in self.finds]
        return any(next(rule.check(subject), None) for rule in asked)

    def findings(self, sign: str) -> tuple[Finding, ...]:
        """What is found in it."""
        subject = self.subject(sign)
        if years := self.headers.get("over"):
            found = survey(subject, int(years)).report.findings
        elif self.finds:
            rules = (r for r in active_rules(subject.profile).values() if r.id not in _SLOW)
            found = sorted_out(
                (f for r in rules for f in r.check(subject)), subject.message
            ).findings
        else:
            found = check(subject)
        lacking = "letters" in self.headers
        return tuple(f for f in found if not (lacking and f.rule == "missing-glyph"))


def cases() -> list[Case]:
    """All cases, in order of their files."""
    return [case for path in sorted(FOLDER.glob("*.txt")) for case in _read(path)]


def _read(path: Path) -> list[Case]:
    found: list[Case] = []
    for part in path.read_text("utf-8").split("=== ")[1:]:
        title, *lines = part.rstrip().split("\n")
        headers = dict(
            re.split(r":\s*|(?<=^profile[-+])\s+", line, maxsplit=1)
            for line in lines
            if re.match(r"[a-z]+(:|[-+] )", line)
        )
        body = tuple(line for line in lines if re.match(r"[ +-]", line))
        found.append(Case(path.stem, title, headers, body))
    return found
