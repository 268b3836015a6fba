"""Examples of rules, from the statements that matter."""

from __future__ import annotations

import re
from collections.abc import Mapping

from rasterc.checks.model import Example, example_profile
from rasterc.profile.model import RuleSet

_QUIET = 'silence missing-expect because "an example of the rule only"'
AT = "2027-11-25 14:05"


def example(
    body: str,
    *,
    rules: RuleSet = RuleSet.GENERAL,
    raster: int = 7,
    profile: str = "",
    at: str = AT,
    inputs: Mapping[str, str] | None = None,
) -> Example:
    """A message of these statements, on the example line.

    ``profile`` holds keys of it that differ, one a line; ``inputs`` is what is typed.
    """
    reads = ' in "' in body
    text = example_profile(rules)
    for change in filter(None, profile.split("\n")):
        key = change.partition(" =")[0]
        changed, done = re.subn(rf"^{key} = .*$", change, text, count=1, flags=re.MULTILINE)
        text = changed if done else f"{text}{change}\n"
    if raster not in (5, 7, 16):
        text = text.replace("drops = 5\n", f"drops = {raster}\n", 1)
    statements = [body.strip("\n"), *([_QUIET] if reads else [])]
    inner = "\n".join(f"  {line}" for part in statements for line in part.split("\n"))
    font = 7 if raster == 16 else raster
    return Example(
        f"message example {{\n  raster {raster}\n  font upright-{font}\n{inner}\n}}\n",
        text,
        at,
        inputs or {},
    )


LONG = "product_pitch_mm = 400\nprint_window_mm = 300"
"""Room for long codes."""

FOOD_PROFILE = example_profile(RuleSet.EU_FOOD)
_BEST = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + {life}
  block {{ line: "{words} " best({pattern}) " L" packed(yyDDD) }}
  expect at 2027-11-25 14:05 {{ "{words} {text} L27329" }}
}}
"""


def food_example(life: str, words: str, pattern: str, text: str) -> Example:
    """A best-before date of some life, in these words and this pattern, with a lot after it."""
    return Example(_BEST.format(life=life, words=words, pattern=pattern, text=text), FOOD_PROFILE)


GOOD_FOOD = food_example("60 days", "BEST BEFORE", "dd MMM yyyy, upper", "24 JAN 2028")
"""One that keeps the rules."""
