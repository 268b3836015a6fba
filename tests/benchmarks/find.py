"""How long finding a code in a thousand messages takes, beside tracing it through each of them.

The messages are those of the invented plant that can be read, over and over, with other names and
other lives. Cold, nothing is kept of earlier runs; warm, what the messages can print is. Processor
time, in a process of its own for each run, start included; the peer traces some of the messages in
this process.
"""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import tempfile
from datetime import datetime
from itertools import count, cycle, islice
from pathlib import Path
from time import process_time

from rasterc import load_all
from rasterc.code import Code
from rasterc.diagnostics import InputError
from rasterc.domain.atoms import lines_of

PLANT = Path(__file__).parents[2] / "shared" / "plants" / "sallowfield"
MESSAGES, TRACED = 1000, 40
CASES = {
    "one line, whole": ("L 27329B 04711",),
    "two lines, whole": ("BEST BEFORE END JAN 2029", "L 27329B 14:05"),
    "two lines, unread characters": ("BEST BEFORE E?D JAN 2029", "L 2?329B 14:??"),
    "a part of a line": ("27329B",),
    "a lot": ("LOT QK0417",),
    "nothing printed it": ("BEST BEFORE 31 FEB 2028",),
}
_STEP = re.compile(r"\+ (\d+) (days|weeks|months)")
_EXPECT = re.compile(r"\n +expect[^{]*\{[^}]*\}")


def main() -> None:
    """Print a row for each case."""
    with tempfile.TemporaryDirectory() as folder:
        plant, kept = Path(folder) / "plant", Path(folder) / "kept"
        make(plant)
        one = traced_s(plant)
        print(
            f"{MESSAGES:,} messages; one traced: {one * 1000:.0f} ms, all: {one * MESSAGES:.0f} s"
        )
        print("| code | cold s | warm s | all traced / warm |\n| --- | --- | --- | --- |")
        for name, texts in CASES.items():
            cold = found_s(plant, "off", texts)
            found_s(plant, str(kept), texts)
            warm = min(found_s(plant, str(kept), texts) for _ in range(3))
            print(f"| {name} | {cold:.2f} | {warm:.2f} | {one * MESSAGES / warm:.0f} |")


def make(folder: Path) -> None:
    """A folder of so many messages."""
    (folder / "common").mkdir(parents=True)
    for used in (PLANT / "messages" / "common").iterdir():
        (folder / "common" / used.name).write_bytes(used.read_bytes())
    texts = cycle(_readable())
    for number, text in zip(count(), islice(texts, MESSAGES)):
        (folder / f"message-{number:04}.rasterc").write_text(_varied(text, number), "utf-8")


def _readable() -> list[str]:
    texts = []
    for path in sorted((PLANT / "messages").glob("*.rasterc")):
        text = path.read_text("utf-8")
        if "broken" not in path.name and text.count("message ") == 1 and "picture" not in text:
            texts.append(text)
    return texts


def _varied(text: str, number: int) -> str:
    """The message with another name and other lives, without its examples."""
    text = _EXPECT.sub("", re.sub(r"message ([\w-]+)", rf"message \1-{number}", text, count=1))
    return _STEP.sub(lambda step: f"+ {int(step[1]) + number // 40} {step[2]}", text)


def found_s(plant: Path, kept: str, texts: tuple[str, ...]) -> float:
    """Seconds of one run of the program."""
    command = [sys.executable, "-m", "rasterc", "find", *texts, "--plant", str(plant), "--json"]
    start = _children_s()
    done = subprocess.run(
        command, env={**os.environ, "RASTERC_CACHE": kept}, stdout=subprocess.DEVNULL, check=False
    )
    assert done.returncode in (0, 1), done
    return _children_s() - start


def _children_s() -> float:
    """Processor time of all processes that were started and have ended."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def traced_s(plant: Path) -> float:
    """Seconds that tracing takes for one message, loaded before."""
    files = sorted(plant.glob("*.rasterc"))[:TRACED]
    codes = [code for file in files for code in load_all(file).values()]
    start = process_time()
    for code in codes:
        _trace(code)
    return (process_time() - start) / len(codes)


def _trace(code: Code) -> None:
    lines = ["L 27329B 04711", *["*"] * (len(lines_of(code.plan)) - 1)]
    try:
        code.trace(lines, datetime(2022, 1, 1), 10)
    except InputError:
        return


if __name__ == "__main__":
    main()
