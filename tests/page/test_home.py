"""The home as a person uses it: find a message, see its state."""

import re

from tests.page.conftest import LONG


def names(page) -> list[str]:
    return page.locator(".specimens a.name").all_text_contents()


def test_every_message_stands_there_with_its_drops_and_state(home):
    assert len(names(home)) == 10
    canvas = home.locator(".specimens canvas").first
    assert "BEST BEFORE END" in canvas.get_attribute("aria-label")
    assert canvas.evaluate(
        "c => c.getContext('2d').getImageData(0, 0, c.width, c.height).data.some(Boolean)"
    )
    first = home.locator(".specimens li").first
    first.locator(".state.clean").wait_for(timeout=LONG)
    assert first.locator(".state").inner_text() == "clean"
    last = home.locator(".specimens li").last
    last.get_by_text("next:").wait_for(timeout=LONG)
    assert re.search(r"next: \d{4}-\d\d-\d\d counter pallet stops", last.inner_text())


def test_it_is_found_by_name_by_line_and_by_what_is_printed(home):
    find = home.get_by_label("Find", exact=True)
    find.fill("USE BY")
    assert names(home) == ["fresh-milk", "night-shift"]
    find.fill("pallet")
    assert names(home) == ["pallet-serial"]
    find.fill("no such thing")
    assert home.get_by_text("No message is like that.").is_visible()
    find.fill("")
    home.get_by_role("button", name="cartons").click()
    assert names(home) == ["months-abroad", "beef-cut", "pallet-serial"]
    home.get_by_label("Sort by").select_option("name")
    home.get_by_role("group", name="Line").get_by_role("button", name="all").click()
    assert names(home) == sorted(names(home))


def test_a_view_is_kept_under_a_name(own, tab):
    page = tab(own.url)
    page.get_by_role("button", name="dairy").click()
    page.get_by_text("Show", exact=True).click()
    page.get_by_label("file", exact=True).check()
    page.get_by_role("button", name="Keep this view").click()
    page.get_by_role("textbox", name="Name").fill("milk")
    page.get_by_role("button", name="OK", exact=True).click()
    page.get_by_role("button", name="Forget this view").wait_for()
    page.get_by_label("View").select_option("everything")
    page.locator(".specimens li").nth(8).wait_for(state="attached")
    page.reload()
    page.locator(".specimens li").nth(8).wait_for(state="attached")
    page.get_by_label("View").select_option("milk")
    assert names(page) == ["fresh-milk", "night-shift"]
    assert page.get_by_text("messages/use-by-milk.rasterc").is_visible()


def test_a_file_that_changes_on_the_disk_is_seen_at_once(own, tab):
    page = tab(own.url)
    page.get_by_role("link", name="lot-expiry").click()
    page.locator(".hero canvas[aria-label^=prints]").wait_for()
    page.get_by_role("link", name="All messages").click()
    path = own.folder / "messages" / "lot-expiry.rasterc"
    path.write_text(path.read_text().replace('"EXP "', '"EXPIRES "'))
    page.get_by_text("EXPIRES").wait_for()
    assert page.get_by_text("changed since you looked").is_visible()
    path.write_text("message broken {")
    page.locator(".state.broken").first.wait_for()
    assert "cannot print" in page.locator(".specimens li", has=page.locator(".broken")).inner_text()


def test_a_code_read_off_a_pack_is_traced_to_its_message(home):
    find = home.get_by_label("Find", exact=True)
    find.fill("L27329B 14:?5 0042")
    find.press("Enter")
    hit = home.locator(".hits li").first
    hit.wait_for()
    assert "elderflower" in hit.inner_text() and "2027-11-25 14:" in hit.inner_text()
    hit.get_by_role("link").first.click()
    home.locator('.hero canvas[aria-label*="L27329B 14:"]').wait_for()


def test_a_state_does_not_outlive_what_it_was_found_with(own, tab):
    page = tab(own.url)
    row = page.locator(".specimens li", has_text="elderflower")
    row.locator(".state.clean").wait_for()
    profile = own.folder / "profiles" / "bottle-16.toml"
    text = profile.read_text("utf-8")
    profile.write_text(text.replace("print_window_mm = 62", "print_window_mm = 30"), "utf-8")
    row.locator(".state.error").wait_for()
    assert "30 mm" in row.inner_text()
