"""Every mistake, with its code and place, as written beside the line in ``faults/*.rasterc``.

``# error: CODE TEXT`` at the end of a line: on this line a diagnostic of this code points at this
text. Several are separated by ``|``. No other diagnostic may be given.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rasterc.diagnostics import InputError
from rasterc.source import load_messages

CASES = sorted((Path(__file__).parent / "faults").glob("*.rasterc"))


def wanted(text: str) -> list[tuple[int, str, str]]:
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        match = re.search(r"# error: (.*)$", line)
        for fault in match[1].split(" | ") if match else []:
            code, _, place = fault.partition(" ")
            found.append((number, code, place.strip(" ")))
    return sorted(found)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_each_mistake_is_reported_at_its_place(path):
    with pytest.raises(InputError) as caught:
        load_messages(path)
    given = sorted((d.span.line, d.code, d.span.text.strip("\n")) for d in caught.value.diagnostics)
    assert given == wanted(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_report_can_be_shown(path):
    with pytest.raises(InputError) as caught:
        load_messages(path)
    for diagnostic in caught.value.diagnostics:
        shown = diagnostic.render().splitlines()
        assert any(line.endswith("^") for line in shown)
        assert not diagnostic.message.endswith(".")
        assert {"code", "message", "line", "column"} <= diagnostic.as_dict().keys()
