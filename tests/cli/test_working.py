"""What a long search says of itself: one line on a terminal, nothing elsewhere."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from rasterc.api import load_text
from rasterc.cli import progress
from rasterc.extremes.repeats import repeats
from rasterc.extremes.report import extremes
from rasterc.tracing.trace import trace

TIED = """message m { raster 16 font upright-7
  clock p in "UTC" counter c from 0 to 2999
  check k = gs1-mod10 of c(0000)
  block { line: p(ddMM) " " c(0000) k } }"""


def test_a_line_is_shown_on_a_terminal_and_taken_away(monkeypatch, capsys):
    monkeypatch.setattr(progress, "is_terminal", lambda _: True)
    monkeypatch.setattr(progress, "_SHORT_S", 0)
    with progress.working() as doing:
        doing("512 of 3,000 values of c tried\x1b[2J")
    shown = capsys.readouterr().err
    assert "  512 of 3,000 values of c tried" in shown
    assert "\x1b[2J" not in shown
    assert shown.endswith("\r\x1b[K")
    assert "\n" not in shown


def test_nothing_is_shown_of_what_is_short(monkeypatch, capsys):
    monkeypatch.setattr(progress, "is_terminal", lambda _: True)
    with progress.working() as doing:
        doing("512 of 3,000 values of c tried")
    assert capsys.readouterr().err == "\r\x1b[K"


def test_nothing_is_shown_elsewhere(monkeypatch, capsys):
    monkeypatch.setattr(progress, "_SHORT_S", 0)
    with progress.working() as doing:
        doing("512 of 3,000 values of c tried")
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("search", "told"),
    [
        (lambda c, tell: extremes(c.plan, c.fonts, date(2027, 1, 1), 1, progress=tell),
         "256 of 3,000 values of c tried"),
        (lambda c, tell: extremes(c.plan, c.fonts, date(2027, 1, 1), 1, progress=tell),
         "looking for the longest code"),
        (lambda c, tell: repeats(c.plan, date(2027, 1, 1), 2, progress=tell),
         "following the clocks"),
        (lambda c, tell: trace(c.plan, ["???? ????7"], datetime(2027, 1, 1, tzinfo=UTC), 1, tell),
         "256 of 3,000 values held against their check characters"),
    ],
)  # fmt: skip
def test_searches_tell_what_they_do(search, told):
    said: list[str] = []
    search(load_text(TIED), said.append)
    assert any(told in line for line in said), said[:5]
