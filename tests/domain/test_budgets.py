"""No pattern, table or chain makes a command take more than ten seconds of the processor, or more
than 500 MiB: each in a process of its own that is ended when it takes more."""

import resource
import subprocess
import sys

import pytest

SECONDS = 10
MEMORY = 500 << 20

WORDS = "|".join(f"{chr(65 + a)}{chr(65 + b)}X" for a in range(14) for b in range(14))
PATTERNS = {
    "a character so many from the end": "[A-Z0-9]*X[A-Z0-9]{8}",
    "far from the end": "[A-Z0-9]*X[A-Z0-9]*Y[A-Z0-9]{0,25}Z[A-Z0-9]{0,20}",
    "a loop before what it holds": "(a|b)*a",
    "sixty forks": "(a|b)" * 60,
    "all may be left out": "(a?){64}a{64}",
    "repeats in repeats": "(([A-Z]?[0-9]?){8}-?){3}",
    "many words": f"({WORDS})*",
    "dead ends": "[0-9]{40}|[A-Z]{39}",
    "a wide class": r"[\u{4e00}-\u{9fff}A-Z]*",
}
CLASHING = "line: lot line bold 2: lot(upper) line font upright-5 wide 2: lot(first 5)"


def source(declared: str, lines: str) -> str:
    return f"message m {{ raster 16 font upright-7\n {declared}\n block {{ {lines} }} }}"


def run(tmp_path, text: str, *command: str) -> subprocess.CompletedProcess[str]:
    """A command on a message, ended when it takes too much."""

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))

    (tmp_path / "m.rasterc").write_text(text)
    name, *rest = command
    return subprocess.run(
        [sys.executable, "-m", "rasterc", name, "m.rasterc", *rest],
        cwd=tmp_path, preexec_fn=limited, capture_output=True, text=True,
    )  # fmt: skip


@pytest.mark.parametrize("name", PATTERNS)
def test_patterns(tmp_path, name):
    text = source(f'input lot matching "{PATTERNS[name]}"', "line: lot")
    done = run(tmp_path, text, "extremes")
    assert done.returncode in (0, 1), done.stderr
    assert "longest code" in done.stdout
