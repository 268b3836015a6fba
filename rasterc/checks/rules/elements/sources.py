"""What the rules of elements are taken from."""

from __future__ import annotations

from rasterc.checks.model import example_profile
from rasterc.profile.model import RuleSet

GS1 = example_profile(RuleSet.GS1)
