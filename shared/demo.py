"""Run the main job on the demo plant: each message as drops, its findings, and its pictures.

Run by `make demo`. Every step is a command line that can be typed by hand; it is printed first.
"""

from __future__ import annotations

import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

SHARED = Path(__file__).resolve().parent
PICTURES = SHARED.parent / "build" / "demo"


def main() -> int:
    """Show, check and draw every message of the plant; 0 when all commands did their work."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    plant = tomllib.loads((SHARED / "plant.toml").read_text())["message"]
    results = [run(entry) for entry in plant]
    print(f"{len(plant)} messages shown and checked, {sum(r == 1 for r in results)} with findings.")
    print(f"The pictures lie in {PICTURES.relative_to(SHARED.parent)}/ (PNG and SVG).")
    print("A head works at kilovolts and with flammable ink: local law and trained staff decide.")
    return max(results) if max(results) > 1 else 0


def run(entry: dict[str, object]) -> int:
    """The three steps for one message; the highest exit code."""
    file = f"shared/{entry['file']}"
    options = ["--at", str(entry["at"]), "--profile", f"shared/{entry['profile']}"]
    for setting in entry.get("set", ()):  # type: ignore[attr-defined]
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
