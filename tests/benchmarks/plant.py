"""How long the check of a whole plant takes, and how that grows with its messages.

Invented messages of ten kinds on four lines, in a temporary folder with a cache of its own: cold,
unchanged, and with one message changed. For each the time of the clock, the processor time of all
processes, and the most memory that they held together (pages they share are counted for each).

    python tests/benchmarks/plant.py [MESSAGES ...] [--years N]
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

SHARED = Path(__file__).parents[2] / "shared"
AT = ("--at", "2027-11-25 14:05")
PROFILES = {"bottles": "bottle-16", "dairy": "dairy-9", "cable": "cable-5", "cartons": "carton-16"}

BOTTLE = """message m{n} {{
  raster 16 font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + {life} months to month end
  shift crew of packed {{ "A" from 06:00 "B" from 14:00 "C" from 22:00 }}
  counter case from 1 to 9999, restart daily of packed, at end stop
  block {{
    line: "BEST BEFORE END " best(MMM yyyy, upper)
    line: "L" packed(yyDDD) crew " " packed(HH:mm) " " case(0000)
  }}
  require height >= 2 mm
  require length <= 62 mm
}}
"""
LOT = """message m{n} {{
  raster 16 font upright-7
  clock packed in "Europe/Warsaw"
  clock best = packed + {life} days
  input lot matching "[A-HJ-NP-Z]{{2}}[0-9]{{4}}", default "QK0417"
  block {{
    line: "NAJLEPIEJ SPOŻYĆ PRZED " best(dd.MM.yyyy)
    line: "NR PARTII " lot " " packed(HH:mm)
  }}
}}
"""
MILK = """message m{n} {{
  raster 9 font upright-9
  clock packed in "Europe/Dublin"
  clock use-by = packed + {life} days
  block {{ line: "USE BY " use-by(dd MMM yy, upper) " L" packed(yyDDD HH:mm) }}
  require characters <= 40
}}
"""
NIGHT = """message m{n} {{
  raster 9 font upright-9
  clock packed in "Europe/Dublin"
  shift crew of packed {{
    "E" from 06:00 on mon to fri "L" from 14:00 on mon to fri "N" from 22:00 on mon to fri
    "W" from 06:00 on sat, sun
  }}
  clock began = start of crew
  clock use-by = began + {life} days
  block {{ line: "USE BY " use-by(dd/MM/yy) " " began(EEE, upper) "-" crew }}
}}
"""
CUP = """message m{n} {{
  raster 7 font upright-7
  clock packed in "Europe/Berlin"
  clock best = packed + {life} days
  block {{ line: "MINDESTENS HALTBAR BIS " best(dd.MM.yy) " L" packed(yyDDD) }}
}}
"""
METRE = """message m{n} {{
  raster 5 font upright-5
  clock drawn in "Europe/Dublin"
  counter metre from 0 to 99999, at end stop
  block {{ line: "QM-FLEX {life}G1.5 300/500V " drawn(YYYY'W'ww) " " metre(00000) "M" }}
}}
"""
HOSE = """message m{n} {{
  raster 7 font upright-7
  clock made in "Europe/Prague"
  counter roll from 1 to 999, restart daily of made, at end stop
  block {{ line: "QM-HOSE {life} MM 12 BAR " made(yyyy-MM-dd) " " roll(000) }}
}}
"""
MONTHS = """message m{n} {{
  raster 16 font upright-7
  clock packed in "Europe/Paris"
  clock best = packed + {life} months
  block {{
    line: "A CONSOMMER AVANT FIN " best(MMMM yyyy, in fr, upper)
    line: "MINDESTENS HALTBAR BIS ENDE " best(MMMM yyyy, in de, upper)
  }}
}}
"""
SERIAL = """message m{n} {{
  raster 12 font tall-12
  counter pallet from 1 to 9999999, at end stop
  text body = "3" "00000{life}" pallet(000000000)
  check digit = gs1-mod10 of body
  block {{ line: "(00)" body digit }}
}}
"""
TABLETS = """message m{n} {{
  raster 9 font upright-9
  clock made in "Europe/Dublin"
  clock expiry = made + {life} months - 1 day to month end
  input lot matching "[A-HJ-NP-Z][0-9]{{5}}", default "K27417"
  block {{ line: "LOT " lot }}
  block gap 8 {{ line: "EXP " expiry(MM/yyyy) " MFD " made(dd/MM/yyyy) }}
}}
"""
KINDS = {
    "bottles": (BOTTLE, LOT),
    "dairy": (MILK, NIGHT, CUP),
    "cable": (METRE, HOSE),
    "cartons": (MONTHS, SERIAL, TABLETS),
}


class Run(NamedTuple):
    """What a run of the program took."""

    wall_s: float
    cpu_s: float
    memory_mb: float
    code: int


def make_plant(folder: Path, messages: int) -> None:
    """Write a plant of so many messages."""
    (folder / "messages").mkdir()
    plant = ['name = "bench"\n']
    for line, profile in PROFILES.items():
        (folder / f"{line}.toml").write_bytes(
            (SHARED / "profiles" / f"{profile}.toml").read_bytes()
        )
        plant.append(f'[[line]]\nname = "{line}"\nprofile = "{line}.toml"\n')
    for number, (line, text) in zip(range(messages), _kinds(), strict=False):
        name = f"messages/m{number:04}.rasterc"
        (folder / name).write_text(text.format(n=number, life=10 + number % 80), encoding="utf-8")
        plant.append(f'[[message]]\nfile = "{name}"\nlines = ["{line}"]\n')
    (folder / "plant.toml").write_text("\n".join(plant), encoding="utf-8")


def _kinds() -> Iterator[tuple[str, str]]:
    while True:
        for place in range(3):
            for line, kinds in KINDS.items():
                yield line, kinds[place % len(kinds)]


def run(folder: Path, arguments: Sequence[str]) -> Run:
    """Check the plant; its report goes nowhere."""
    environment = {**os.environ, "RASTERC_CACHE": str(folder / "kept")}
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    process = subprocess.Popen(
        (sys.executable, "-m", "rasterc", "check", *arguments),
        cwd=folder,
        env=environment,
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    most = 0.0
    while process.poll() is None:
        most = max(most, _memory_mb(process.pid))
        time.sleep(0.02)
    took = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
    return Run(took, cpu, most, process.returncode)


def _memory_mb(session: int) -> float:
    """What all processes of a session hold; those that end meanwhile are left out."""
    pages = 0
    for process in Path("/proc").iterdir():
        if process.name.isdigit():
            try:
                if os.getsid(int(process.name)) == session:
                    pages += int((process / "statm").read_text().split()[1])
            except OSError:
                continue
    return pages * os.sysconf("SC_PAGESIZE") / 1e6


def change_one(folder: Path) -> None:
    """Change one message of the plant."""
    path = sorted((folder / "messages").iterdir())[0]
    path.write_text(path.read_text(encoding="utf-8") + "# changed\n", encoding="utf-8")


def rows(messages: int, arguments: Sequence[str]) -> Iterator[tuple[str, Run]]:
    """The runs of a plant, each with what it is."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make_plant(folder, messages)
        yield "cold", run(folder, arguments)
        yield "unchanged", run(folder, arguments)
        change_one(folder)
        yield "one changed", run(folder, arguments)


def main() -> None:
    """Print a Markdown table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("messages", nargs="*", type=int, default=[30, 100, 300])
    parser.add_argument("--years", type=int, default=None)
    wanted = parser.parse_args()
    arguments = [*AT, *(["--all", "--years", str(wanted.years)] if wanted.years else [])]
    print(f"load {os.getloadavg()[0]:.1f}; rasterc check {' '.join(arguments)}\n")
    print("| messages | what | s | processor, s | memory, MB | exit code |")
    print("| --- | --- | --- | --- | --- | --- |")
    for messages in wanted.messages:
        for what, took in rows(messages, arguments):
            figures = f"{took.wall_s:.2f} | {took.cpu_s:.2f} | {took.memory_mb:.0f} | {took.code}"
            print(f"| {messages} | {what} | {figures} |", flush=True)


if __name__ == "__main__":
    main()
