"""The page in a real browser: keys to painted drops, a thousand messages, and searches in them.

By hand: `python tests/benchmarks/page.py`. Wall time, so a quiet machine is wanted; beside each
figure stands an empty round trip through the same websocket, measured in the same run.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.page.conftest import CHROMIUM, SHARED, serving

KEYS, MESSAGES = 60, 1000
# from a key to the frame in which the drops that came of it are painted
KEY = """async (char) => {
  const canvas = document.querySelector('.hero canvas');
  const before = canvas.getAttribute('aria-label');
  const start = performance.now();
  document.execCommand('insertText', false, char);
  while (canvas.getAttribute('aria-label') === before) {
    await new Promise((done) => setTimeout(done, 0));
  }
  await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
  return performance.now() - start;
}"""
SEARCH = """async (text) => {
  const find = document.getElementById('find');
  const start = performance.now();
  find.value = text;
  find.dispatchEvent(new Event('input'));
  await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
  return performance.now() - start;
}"""


def said(what: str, times: list[float]) -> None:
    """Print median and 95th percentile."""
    ordered = sorted(times)
    high = ordered[min(len(ordered) - 1, int(len(ordered) * 0.95))]
    print(f"{what:<48} {statistics.median(ordered):7.1f} {high:7.1f} ms (p50, p95 of {len(times)})")


def plant_of(folder: Path, messages: int) -> Path:
    """A folder of as many copies of the demo messages, each of its own."""
    sources = sorted((SHARED / "messages").glob("*.rasterc"))
    shutil.copytree(SHARED / "messages" / "common", folder / "common")
    shutil.copytree(SHARED / "messages" / "pictures", folder / "pictures")
    for number in range(messages):
        source = sources[number % len(sources)]
        text = source.read_text("utf-8").replace("message ", f"message n{number}-", 1)
        (folder / f"{source.stem}-{number}.rasterc").write_text(text, "utf-8")
    return folder


def keys(page: Page, url: str) -> None:
    """Keys in the editor, while the rules look at what they make."""
    page.goto(url)
    page.get_by_role("link", name="elderflower").first.click()
    page.locator(".hero canvas[aria-label^=prints]").wait_for()
    page.get_by_role("button", name="Mark text BEST BEFORE END").click()
    page.locator(".cm-line", has_text="BEST BEFORE END").first.click()
    page.keyboard.press("Home")
    for _ in range(6):
        page.keyboard.press("Control+ArrowRight")
    page.locator(".cm-content").focus()
    page.evaluate("document.getSelection().modify('move', 'backward', 'character')")
    said("key to painted drops", [page.evaluate(KEY, "ABCDEFGH"[n % 8]) for n in range(KEYS)])


def thousand(page: Page, url: str) -> None:
    """A thousand messages: from opening the page to all of them on it, then searches."""
    times = []
    for _ in range(5):
        page.goto("about:blank")
        page.goto(url)
        page.locator(".specimens li").nth(MESSAGES - 1).wait_for(state="attached")
        times.append(page.evaluate("performance.now()"))
    said(f"{MESSAGES} messages on the page (first time cold)", times)
    texts = ["USE BY", "n77", "2026", "AUG", "elderflower", "nothing", ""] * 4
    said("searched", [page.evaluate(SEARCH, text) for text in texts])


def main() -> None:
    """Serve a plant of one and one of many, and measure."""
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as work:
        # patient: the first list reads all messages, on a machine that may be busy
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.set_default_timeout(180_000)
        with serving(SHARED, Path(work) / "state") as served:
            keys(page, served.url)
        folder = Path(work) / "plant"
        folder.mkdir()
        with serving(plant_of(folder, MESSAGES), Path(work) / "state") as served:
            thousand(page, served.url)
        browser.close()


if __name__ == "__main__":
    main()
