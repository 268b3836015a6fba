"""Run the main job on the demo plant: each message as drops, its findings, and its pictures.

Then fly a raster that does not hold under every wake, and again with what mends it.

Run by `make demo`. Every step is a command line that can be typed by hand; it is printed first.
"""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path

from rasterc.plant import Run, load_plant

SHARED = Path(__file__).resolve().parent
PICTURES = SHARED.parent / "build" / "demo"
HEAD = SHARED / "heads" / "head-middle.toml"
TWO_GUARDS = "drops = 7\nguard_drops = 2"


def main() -> int:
    """Show, check and draw every message of the plant; 0 when all commands did their work."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    plant = load_plant(SHARED / "plant.toml").runs
    results = [run(entry) for entry in plant]
    flown = fly(PICTURES)
    print(f"{len(plant)} messages shown and checked, {sum(r == 1 for r in results)} with findings.")
    print(f"The pictures lie in {PICTURES.relative_to(SHARED.parent)}/ (PNG and SVG).")
    print("A head works at kilovolts and with flammable ink: local law and trained staff decide.")
    return max(results) if max(results) > 1 else flown


def fly(folder: Path) -> int:
    """A raster that does not hold, and what mends it; 0 when it went so."""
    mended = folder / "mended.toml"
    mended.write_text(HEAD.read_text().replace(TWO_GUARDS, TWO_GUARDS[:-1] + "3"))
    print("Seven drops with two guard drops at a throw of 21 mm: does every drop find its way?")
    before = fly_on(HEAD, folder)
    print(f"What mends it: three guard drops, as {typed(mended)} has them.")
    after = fly_on(mended, folder)
    return 0 if (before, after) == (1, 0) else 2


def fly_on(profile: Path, folder: Path) -> int:
    """Fly the mark of the bench on a profile; its exit code."""
    picture = folder / f"flown-{profile.stem}.png"
    mark = SHARED / "heads" / "bench-mark.rasterc"
    options = ["--profile", typed(profile), "--throw", "21", "--out", typed(picture)]
    code = rasterc("fly", typed(mark), *options)
    print()
    return code


def typed(path: Path) -> str:
    """A path as it is typed at the top of the project."""
    top = SHARED.parent
    return path.relative_to(top).as_posix() if path.is_relative_to(top) else str(path)


def run(entry: Run) -> int:
    """The three steps for one message; the highest exit code."""
    file = typed(entry.file)
    options = ["--at", str(entry.at)]
    options += ["--profile", typed(entry.line.profile)] if entry.line else []
    for setting in entry.settings:
        options += ["--set", setting]
    stem = PICTURES.relative_to(SHARED.parent) / Path(file).stem
    codes = [rasterc("show", file, *options), rasterc("check", file, *options)]
    for suffix in (".png", ".svg"):
        codes.append(rasterc("compile", file, *options, "--out", f"{stem}{suffix}"))
    print()
    return max(codes)


def rasterc(*arguments: str) -> int:
    """Print a command line, run it from the top of the project, give its exit code."""
    print(f"$ rasterc {shlex.join(arguments)}", flush=True)
    command = [sys.executable, "-m", "rasterc", *arguments]
    return subprocess.run(command, cwd=SHARED.parent, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
