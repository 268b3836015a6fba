"""Whole messages against their drops, kept as text art in ``messages/``.

A golden file holds a message as a user writes it, then any number of examples:

    --- message
    message hello { raster 7 block { line font upright-7 : "HI" } }
    --- at 2028-02-29 05:59, case 42, lot "AB1234"
    --- drops
    #...#.###
    (and so on, top row first)

A counter is given as a number, an input in double quotes; ``--- at`` alone is a message without
clock. To write the drops of new or changed files: RASTERC_REWRITE_GOLDENS=1 pytest tests/goldens,
then read the difference before keeping it. Fonts and pictures are looked for beside the files.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).parent / "messages"
MOMENT = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d\S*")
GIVEN = re.compile(r'([^\W\d][\w-]*) +(?:(-?\d+)|"([^"]*)")')


@dataclass(frozen=True)
class Example:
    """What an ``--- at`` line says, as written, and the drops expected then."""

    at: str
    drops: str

    def arguments(self) -> tuple[datetime | None, dict[str, int], dict[str, str]]:
        """The moment, the counters and the inputs."""
        when, counters, inputs = None, {}, {}
        for part in filter(None, re.split(r', *(?=(?:[^"]*"[^"]*")*[^"]*$)', self.at)):
            given = GIVEN.fullmatch(part)
            if MOMENT.fullmatch(part):
                when = datetime.fromisoformat(part)
            elif given and given[2]:
                counters[given[1]] = int(given[2])
            elif given:
                inputs[given[1]] = given[3]
            else:
                raise ValueError(f"cannot read {part!r} in the line: --- at {self.at}")
        return when, counters, inputs


@dataclass(frozen=True)
class Golden:
    """A golden file."""

    message: str
    examples: tuple[Example, ...]


def parse(text: str) -> Golden:
    """Read a golden file; drops may be missing, to be written."""
    parts = re.split(r"^--- *(message|at|drops)\b *(.*)\n", text + "\n", flags=re.MULTILINE)
    before, sections = parts[0], list(zip(parts[1::3], parts[2::3], parts[3::3], strict=True))
    if before.strip() or [kind for kind, _, _ in sections[:1]] != ["message"]:
        raise ValueError("a golden file starts with the line: --- message")
    examples: list[Example] = []
    for kind, rest, body in sections[1:]:
        if kind == "at":
            examples.append(Example(rest.strip(), ""))
        elif kind == "drops" and examples:
            examples[-1] = replace(examples[-1], drops=body.rstrip("\n"))
        else:
            raise ValueError(f"--- {kind} is not expected here")
    return Golden(sections[0][2].rstrip("\n") + "\n", tuple(examples))


def written(golden: Golden) -> str:
    """The text of a golden file."""
    parts = [f"--- message\n{golden.message}"]
    for example in golden.examples:
        parts.append(f"--- at {example.at}".rstrip() + f"\n--- drops\n{example.drops}\n")
    return "".join(parts)


def drawn(golden: Golden, load: Callable[[str], Any]) -> Golden:
    """The same file with the drops its message prints now."""
    code = load(golden.message)
    examples = []
    for example in golden.examples:
        when, counters, inputs = example.arguments()
        strokes = code.resolve(when, counters=counters, inputs=inputs).strokes()
        examples.append(replace(example, drops=strokes.art().rstrip("\n")))
    return replace(golden, examples=tuple(examples))


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda path: path.stem)
def test_golden(path):
    import rasterc

    golden = parse(path.read_text(encoding="utf-8"))
    assert golden.examples, "a golden file needs at least one --- at line"
    now = drawn(golden, lambda text: rasterc.load_text(text, folder=FOLDER, name=path.name))
    if os.environ.get("RASTERC_REWRITE_GOLDENS") and now != golden:
        path.write_text(written(now), encoding="utf-8")
        pytest.skip("rewritten: read the difference")
    for expected, example in zip(golden.examples, now.examples, strict=True):
        assert example.drops.split("\n") == expected.drops.split("\n"), f"at {example.at}"


SAMPLE = """\
--- message
message a { raster 5 }
# a comment
--- at 2028-02-29 05:59, case 42, lot "A, 1"
--- drops
#.
.#
--- at
--- drops
##
..
"""


def test_a_golden_file_is_read_and_written_back():
    golden = parse(SAMPLE)
    assert golden.message == "message a { raster 5 }\n# a comment\n"
    assert [example.drops for example in golden.examples] == ["#.\n.#", "##\n.."]
    first, second = golden.examples
    assert first.arguments() == (datetime(2028, 2, 29, 5, 59), {"case": 42}, {"lot": "A, 1"})
    assert second.arguments() == (None, {}, {})
    assert written(golden) == SAMPLE


def test_drops_are_drawn_by_the_code_that_is_loaded():
    class Code:
        def __init__(self, text):
            self.text = text

        def resolve(self, when, counters, inputs):
            self.art = lambda: f"{self.text.split()[1]} {when} {counters} {inputs}"
            return self

        def strokes(self):
            return self

    now = drawn(parse('--- message\nmessage m\n--- at case 7, lot "x"\n'), Code)
    assert now.examples[0].drops == "m None {'case': 7} {'lot': 'x'}"


@pytest.mark.parametrize("text", ["", "message\n", "--- drops\n", "--- message\n--- drops\n#\n"])
def test_a_file_out_of_order_is_refused(text):
    with pytest.raises(ValueError, match="---"):
        parse(text)


def test_an_at_line_that_cannot_be_read_is_refused():
    with pytest.raises(ValueError, match="case forty"):
        Example("2028-02-29 05:59, case forty", "").arguments()
