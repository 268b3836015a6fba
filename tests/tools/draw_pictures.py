"""Draw the pictures of the README anew: drops, a map of a head, the page.

Run by `make pictures`, from the top of the project; the page needs Chromium. What is drawn from is
noted beside the pictures, and tests/test_pictures.py tells when they have grown old.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
PICTURES = TOP / "docs" / "pictures"
AS_DRAWN = PICTURES / "drawn-from.json"
PLANT = "shared/plants/sallowfield"
BENCH = ("shared/heads/bench-mark.rasterc", "--profile", "shared/heads/head-fine.toml")
DROPS = {
    "elderflower.svg": (
        "shared/messages/best-before.rasterc", "--at", "2027-11-25 14:05", "--set", "case=42",
        "--profile", "shared/profiles/bottle-16.toml",
    ),
    "night-shift.svg": (
        "shared/messages/night-shift.rasterc", "--at", "2027-11-27 03:15", "--labels",
        "--profile", "shared/profiles/dairy-9.toml",
    ),
}  # fmt: skip
MAP = (*BENCH, "--map", "--speeds", "0.25,0.5,0.75,1,1.25", "--throws", "6,8,10,12,14,17")
WIDE, TALL = {"width": 1180, "height": 760}, {"width": 1180, "height": 1250}
MESSAGE = "waffle-minutes"  # has faults


def main() -> None:
    """Draw them all."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name, words in DROPS.items():
        rasterc("show", *words, "--out", str(PICTURES / name))
    rasterc("fly", *MAP, "--out", str(PICTURES / "map.png"), "--out", str(PICTURES / "map.csv"))
    photograph()
    AS_DRAWN.write_text(json.dumps({"page": page_digest()}, indent=2) + "\n")


def page_digest() -> str:
    """Of all that the page's look comes from."""
    digest = sha256()
    for path in sorted((TOP / "rasterc" / "page" / "static").iterdir()):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


def photograph() -> None:
    """Pictures of the page: all messages, and one of them."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium") or sys.exit("the page's pictures need chromium")
    with served(PLANT) as address, sync_playwright() as playwright:
        # as root a browser has no sandbox of its own
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport=WIDE)
        page.goto(address)
        page.get_by_text(MESSAGE).first.wait_for()
        page.wait_for_timeout(15_000)  # until most messages were looked at
        page.screenshot(path=PICTURES / "page.png")
        page.set_viewport_size(TALL)
        page.get_by_text(MESSAGE).first.click()
        page.locator(".cm-content").wait_for()
        page.wait_for_timeout(5_000)
        page.screenshot(path=PICTURES / "page-message.png")
        browser.close()


@contextmanager
def served(folder: str) -> Iterator[str]:
    """The page of a folder, as long as the block lasts; its address."""
    command = [sys.executable, "-m", "rasterc", "page", folder, "--no-open"]
    with subprocess.Popen(command, cwd=TOP, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        said = server.stdout.readline()
        found = re.search(r"http://\S+", said)
        try:
            yield found[0] if found else sys.exit(f"the page did not start: {said}")
        finally:
            server.terminate()


def rasterc(*words: str) -> None:
    """Run a command line from the top of the project."""
    command = [sys.executable, "-m", "rasterc", *words]
    code = subprocess.run(command, cwd=TOP, check=False, env=os.environ).returncode
    if code > 1:  # 1 says that something was found
        sys.exit(code)


if __name__ == "__main__":
    main()
