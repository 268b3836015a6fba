"""The page, served by the real program, in a real browser. One browser for all tests."""

import os
import re
import shutil
import signal
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
PROGRAM = Path(sys.executable).with_name("rasterc")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
LONG = int(os.environ.get("PAGE_WAIT", "60000"))  # ms; generous, for a busy machine
SIZES = {"wide": {"width": 1280, "height": 900}, "narrow": {"width": 390, "height": 844}}


@dataclass
class Served:
    """A running page: its address with the token, its process, the folder it serves."""

    url: str
    process: subprocess.Popen
    folder: Path

    @property
    def base(self) -> str:
        return self.url.partition("/#")[0]

    @property
    def host(self) -> str:
        return self.base.removeprefix("http://")

    @property
    def token(self) -> str:
        return self.url.partition("#")[2]


@contextmanager
def serving(folder: Path, state: Path):
    """Serve a folder until the end of the block."""
    environment = os.environ | {"RASTERC_STATE": str(state)}
    command = [PROGRAM, "page", folder, "--no-open"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    try:
        said = process.stdout.readline()
        found = re.search(r"http://\S+", said)
        assert found, said
        yield Served(found[0], process, folder)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.wait(30)
        process.stdout.close()


def a_plant(folder: Path) -> Path:
    """A copy of the demo plant."""
    for name in ("messages", "profiles"):
        shutil.copytree(SHARED / name, folder / name)
    shutil.copy(SHARED / "plant.toml", folder)
    return folder


@pytest.fixture(scope="session")
def served(tmp_path_factory):
    """The demo plant, served; no test writes into it."""
    top = tmp_path_factory.mktemp("served")
    (top / "plant").mkdir()
    with serving(a_plant(top / "plant"), top / "state") as one:
        yield one


@pytest.fixture
def own(tmp_path):
    """A plant of the test's own, served."""
    (tmp_path / "plant").mkdir()
    with serving(a_plant(tmp_path / "plant"), tmp_path / "state") as one:
        yield one


@pytest.fixture(scope="session")
def browser():
    """Chromium; skipped where there is none."""
    if CHROMIUM is None:
        pytest.skip("there is no chromium here")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def tab(browser):
    """Opens tabs, each like a browser of its own, and closes them; faults of scripts fail."""
    contexts, faults = [], []

    def open_tab(url: str, size: str = "wide", **more):
        context = browser.new_context(viewport=SIZES[size], **more)
        contexts.append(context)
        context.set_default_timeout(LONG)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        if "#" in url:  # ours; what is kept from a stranger is no fault
            page.on("console", lambda said: "Policy" in said.text and faults.append(said.text))
        page.goto(url)
        return page

    yield open_tab
    for context in contexts:
        context.close()
    assert not faults


@pytest.fixture
def home(tab, served):
    """The home of the demo plant."""
    page = tab(served.url)
    page.locator(".specimens li").nth(8).wait_for(state="attached")
    return page


def open_message(page, name: str):
    """Open a message from the home, and wait for its drops."""
    page.get_by_role("link", name=name, exact=True).first.click()
    page.locator(".hero canvas[aria-label^=prints]").wait_for()
    return page


def write(page, old: str, new: str) -> None:
    """Select a text in the editor, as a person would, and type over it."""
    page.locator(".cm-content").focus()
    page.keyboard.press("Control+f")
    page.keyboard.type(old)
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    page.keyboard.type(new)
