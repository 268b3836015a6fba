"""The program through its entry point, in this process: quick, and with faults planted at will."""

import sys
from dataclasses import dataclass

import pytest

from rasterc.cli import main


@dataclass
class Ended:
    """How a run ended."""

    code: int
    out: str
    said: str


@pytest.fixture
def program(monkeypatch, capfd):
    """Runs the program with arguments, and text on standard input."""

    def run(*arguments: object, code: int | None = None) -> Ended:
        capfd.readouterr()
        monkeypatch.setattr(sys, "argv", ["rasterc", *map(str, arguments)])
        with pytest.raises(SystemExit) as end:
            main()
        ended = Ended(end.value.code, *capfd.readouterr())
        assert "Traceback" not in ended.said or "--debug" in arguments
        assert code is None or ended.code == code, ended
        return ended

    monkeypatch.setenv("COLUMNS", "80")
    return run
