"""The main jobs on the demo plants, as command lines: each is printed, then run.

Run by `make demo`; every line can be typed by hand, in the folder that it names.
"""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

TOP = Path(__file__).resolve().parents[1]
PICTURES = Path("build") / "demo"
HEAD = Path("shared") / "heads" / "head-middle.toml"
MENDED = PICTURES / "mended.toml"
TWO_GUARDS, THREE_GUARDS = "drops = 7\nguard_drops = 2", "drops = 7\nguard_drops = 3"


class Step(NamedTuple):
    """A command line, the folder it is typed in, and the exit code it must have."""

    line: str
    code: int = 0
    folder: str = "."
    said: str = ""


AT = '--at "2027-11-25 14:05"'
BEST = f"shared/messages/best-before.rasterc {AT} --set case=42"
BOTTLES = "--profile shared/profiles/bottle-16.toml"
MARK = "shared/heads/bench-mark.rasterc"
STEPS = (
    Step(f"show {BEST} {BOTTLES}", said="A best-before code as drops, on its line."),
    Step(f"compile {BEST} {BOTTLES} --out {PICTURES.as_posix()}/best-before.png"),
    Step(f"compile {BEST} {BOTTLES} --out {PICTURES.as_posix()}/best-before.svg"),
    Step("check --all", folder="shared", said="A plant: each message on its lines, at every edge."),
    Step("list", folder="shared"),
    Step(f"list shared {AT} --out {PICTURES.as_posix()}/list.html"),
    Step(
        "check --quiet",
        code=2,
        folder="shared/plants/sallowfield",
        said="A larger plant, with faults that were put into it.",
    ),
    Step("list --state errors --state broken", code=2, folder="shared/plants/sallowfield"),
    Step(
        'find "BEST BEFORE 01 DEC 2027" "L 2?329B 04711" --between 2027-01-01 2027-12-31',
        folder="shared/plants/sallowfield",
        said="A pack comes back: which message printed this, on which line, when?",
    ),
    Step(
        f"fly {MARK} --profile {HEAD.as_posix()} --out {PICTURES.as_posix()}/flown-middle.png",
        code=1,
        said="Seven drops with two guard drops: does every drop find its way?",
    ),
    Step(
        f"fly {MARK} --profile {MENDED.as_posix()} --out {PICTURES.as_posix()}/flown-mended.png",
        said=f"What mends it: three guard drops, as {MENDED.as_posix()} has them.",
    ),
)


def main() -> int:
    """Run every step; 0 when each ended as it should."""
    mend(TOP)
    wrong = [step.line for step in STEPS if run(step) != step.code]
    print(f"The pictures lie in {PICTURES.as_posix()}/: PNG and SVG, and a plant as list.html.")
    print("A head works at kilovolts and with flammable ink: local law and trained staff decide.")
    for line in wrong:
        print(f"This ended otherwise than it should: rasterc {line}")
    return 2 if wrong else 0


def mend(top: Path) -> None:
    """Write the profile of the last step: the head of the step before, with one guard drop more."""
    (top / PICTURES).mkdir(parents=True, exist_ok=True)
    (top / MENDED).write_text((top / HEAD).read_text().replace(TWO_GUARDS, THREE_GUARDS))


def run(step: Step) -> int:
    """Say what a step is for, print its command line and run it; its exit code."""
    into = "" if step.folder == "." else f"cd {step.folder} && "
    print(f"\n{step.said}".rstrip(), f"$ {into}rasterc {step.line}", sep="\n", flush=True)
    command = [sys.executable, "-m", "rasterc", *shlex.split(step.line)]
    return subprocess.run(command, cwd=TOP / step.folder, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
