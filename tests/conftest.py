"""The program through its entry point, in this process: quick, and with faults planted at will.

A process of its own is started only where one is what is tested: streams, signals, terminals.
"""

import io
import os
import sys
from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, settings

from rasterc.cli import main

# How long an example takes says how busy the machine is.
slow = [HealthCheck.too_slow]
settings.register_profile("rasterc", deadline=None, suppress_health_check=slow)
settings.load_profile("rasterc")

# No test finds what another run has kept, or leaves anything in the user's cache.
os.environ["RASTERC_CACHE"] = "off"


@dataclass
class Ended:
    """How a run ended."""

    code: int
    raw: bytes  # what it wrote on standard output
    said: str

    @property
    def out(self) -> str:
        return self.raw.decode("utf-8", "replace")

    @property
    def text(self) -> str:
        """What it printed, or its complaints when it printed nothing."""
        return self.out or self.said

    @property
    def both(self) -> tuple[str, str]:
        return self.out, self.said


@pytest.fixture
def program(monkeypatch, capfdbinary):
    """Runs the program with arguments, and bytes or text on standard input.

    It ends with the exit code that is told; with any when that is None. More names are variables
    of the environment.
    """

    def run(*arguments: object, code: int | None = 0, input: str | bytes = b"", **env) -> Ended:
        capfdbinary.readouterr()
        typed = input.encode() if isinstance(input, str) else input
        with monkeypatch.context() as here:
            here.setattr(sys, "argv", ["rasterc", *map(str, arguments)])
            here.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(typed), "utf-8"))
            for name, value in env.items():
                here.setenv(name, value)
            with pytest.raises(SystemExit) as end:
                main()
        raw, said = capfdbinary.readouterr()
        ended = Ended(end.value.code, raw, said.decode())
        assert "Traceback" not in ended.said or "--debug" in arguments
        assert code is None or ended.code == code, ended
        return ended

    monkeypatch.setenv("COLUMNS", "80")
    return run
