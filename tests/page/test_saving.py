"""Saving as a person does it: with others at the same files, and workers that die."""

import os
import signal
from pathlib import Path

import pytest

from rasterc.plant import load_plant
from tests.page.conftest import open_message, write
from tests.page.test_guard import children


@pytest.fixture
def page(own, tab):
    return open_message(tab(own.url), "lot-expiry")


@pytest.fixture
def path(own):
    return own.folder / "messages" / "lot-expiry.rasterc"


def save(page):
    page.get_by_role("button", name="Save", exact=True).click()


def test_a_file_changed_under_the_editor_is_never_lost(page, path):
    original = path.read_text()
    write(page, '"LOT "', '"MINE "')
    page.get_by_text("not saved").wait_for()
    assert path.read_text() == original  # nothing is written without a save
    path.write_text(original.replace('"LOT "', '"THEIRS "'))
    page.get_by_text("Saving will ask").wait_for()
    save(page)
    page.get_by_role("button", name="Cancel").click()
    assert "THEIRS" in path.read_text()
    save(page)
    page.get_by_role("button", name="Keep mine as another file").click()
    page.get_by_role("button", name="Make it").click()
    page.locator("dialog").wait_for(state="detached")
    assert "THEIRS" in path.read_text()
    assert "MINE" in path.with_name("lot-expiry-2.rasterc").read_text()
    save(page)
    page.get_by_role("button", name="Write mine over it").click()
    page.get_by_text("not saved").wait_for(state="detached")
    assert "MINE" in path.read_text()
    path.write_text(original)  # nothing is typed now: it is taken at once
    page.get_by_text('line: "LOT "').wait_for()
    write(page, '"LOT "', '"MINE "')
    page.get_by_role("link", name="All messages").click()
    page.get_by_role("button", name="Stay").click()
    assert page.locator(".cm-content").is_visible()


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at /proc")
def test_a_worker_that_is_killed_is_said_and_replaced(page, own):
    page.get_by_text("rules proved over").wait_for()
    for pid in children(own.process.pid):
        os.kill(pid, signal.SIGKILL)
    write(page, '"LOT "', '"BATCH "')
    page.locator('.hero canvas[aria-label*="BATCH"]').wait_for()
    page.get_by_text("rules proved over").wait_for()


KINDS = ("one line", "two lines", "metre mark", "lot and expiry", "serial number")


def test_new_messages_come_out_of_a_form(own, tab):
    page = tab(own.url)
    for number, kind in enumerate(KINDS):
        page.get_by_role("button", name="New message").click()
        page.get_by_label("Begin with").select_option(kind)
        page.get_by_role("textbox", name="Name", exact=True).fill(f"mine-{number}")
        page.get_by_role("combobox", name="Line", exact=True).select_option("bottles")
        page.get_by_role("button", name="Make the message").click()
        page.locator(".hero canvas[aria-label^=prints]").wait_for()
        assert page.locator(".card.error").count() == 0
        source = own.folder / f"mine-{number}.rasterc"
        assert source.read_text().startswith(f"message mine-{number} {{")
        page.get_by_role("link", name="All messages").click()
        page.get_by_role("link", name=f"mine-{number}").wait_for()
    named = load_plant(own.folder / "plant.toml").runs[-len(KINDS) :]
    assert [(run.file.name, run.line.name) for run in named] == [
        (f"mine-{number}.rasterc", "bottles") for number in range(len(KINDS))
    ]
