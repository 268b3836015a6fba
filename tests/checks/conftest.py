"""Messages of a few lines, checked on a plain line."""

from __future__ import annotations

import pytest

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_PROFILE
from rasterc.checks.registry import report
from rasterc.profile.load import parse_profile

AT = "2027-11-25 14:05"


class Bench:
    """Makes a message of its statements and says what the rules find in it."""

    def subject(self, body, *, at=AT, rules=(), product="", profile=None, raster=7, **given):
        text = profile or EXAMPLE_PROFILE
        listed = ", ".join(f'"{name}"' for name in ("general", *rules))
        text = text.replace('rules = ["general"]', f"rules = [{listed}]") + product
        message = f"message m {{ raster {raster} font upright-{raster}\n{body}\n}}"
        return load_text(message).resolve(at, **given).subject(parse_profile(text))

    def findings(self, body, rule=None, **line):
        found = report(self.subject(body, **line)).findings
        return [f for f in found if rule is None or f.rule == rule]


@pytest.fixture
def bench():
    return Bench()
