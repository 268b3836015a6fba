"""How long the program takes to start, from the wheel and from an editable install.

Processor time of whole processes, the best of several, each beside its peer in the same run. The
wheel is built and unpacked in a temporary folder; the editable install is the checkout, with the
parser's tables that installing it made. Both have their byte code, as from the second start on.
"""

from __future__ import annotations

import compileall
import os
import re
import resource
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from zipfile import ZipFile

ROOT = Path(__file__).parents[2]
MESSAGE = ROOT / "shared" / "messages" / "best-before.rasterc"
HELP = ("-m", "rasterc", "--help")
SHOW = ("-m", "rasterc", "show", str(MESSAGE), "--at", "2027-11-25 14:05")
ROUNDS = 12
_IMPORT = re.compile(r"import time:\s+(\d+) \|\s+\d+ \|\s+(\S+)")

Row = tuple[str, float, str, float, str]


def start() -> list[Row]:
    """Rows for the table of `run.py`: ours, the peer, and the target."""
    with unpacked_wheel() as wheel:
        typer, libraries, *ours = _best_ms(
            (("-c", "import typer"), None),
            (("-c", "import typer, lark, numpy"), None),
            *(
                (words, where)
                for where in (wheel, ROOT)
                for words in (("-m", "rasterc", "--help"), SHOW)
            ),
        )
    rows: list[Row] = []
    for name, help_, show in (("wheel", *ours[:2]), ("editable", *ours[2:])):
        work = f"start, {name}"
        rows.append((f"{work}: `--help`", help_, "`import typer`", typer, "2.5x at most"))
        rows.append(
            (f"{work}: `show`", show, "`import typer, lark, numpy`", libraries, "1.5x at most")
        )
    return rows


def import_times(where: Path = ROOT, rounds: int = 5) -> list[tuple[str, float, int]]:
    """Of what `show` imports, by room or package: ms, and modules; each module at its best."""
    best: dict[str, float] = {}
    for _ in range(rounds):
        said = subprocess.run(
            (sys.executable, "-X", "importtime", *SHOW),
            capture_output=True,
            text=True,
            check=True,
            env=_environment(where),
        ).stderr
        for micros, module in _IMPORT.findall(said):
            best[module] = min(int(micros) / 1000, best.get(module, 1e9))
    sums: dict[str, list[float]] = defaultdict(list)
    for module, ms in best.items():
        sums[_room(module)].append(ms)
    return sorted(((room, sum(ms), len(ms)) for room, ms in sums.items()), key=lambda row: -row[1])


def _room(module: str) -> str:
    """``rasterc.values`` of ``rasterc.values.plan``; of other packages the first name."""
    parts = module.split(".")
    own = 2 if parts[0] == "rasterc" else 1
    known = parts[0] in ("rasterc", "typer", "lark", "msgspec")
    return ".".join(parts[:own]) if known else "standard library and others"


@contextmanager
def unpacked_wheel() -> Iterator[Path]:
    """The wheel of this checkout, as `pip` lays it out."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            (sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT),
            capture_output=True,
            check=True,
        )
        place = Path(folder, "wheel")
        with ZipFile(next(Path(folder).glob("*.whl"))) as archive:
            archive.extractall(place)
        yield place


def _best_ms(*runs: tuple[Sequence[str], Path | None]) -> list[float]:
    """Processor time of each run of Python, ms: the runs take turns, the best of each counts."""
    for where in {where for _, where in runs if where is not None}:
        compileall.compile_dir(where / "rasterc", quiet=2)
    taken = [[_cpu_ms(*run) for run in runs] for _ in range(ROUNDS)]
    return [min(times) for times in zip(*taken, strict=True)]


def _cpu_ms(words: Sequence[str], where: Path | None) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        (sys.executable, *words), capture_output=True, check=True, env=_environment(where)
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return 1000 * (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)


def _environment(where: Path | None) -> dict[str, str]:
    """The environment in which Python takes `rasterc` from ``where``."""
    return dict(os.environ) if where is None else {**os.environ, "PYTHONPATH": str(where)}
