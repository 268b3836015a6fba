"""A message as a person works on it: drops, source, values, time, findings."""

import re

import pytest

from tests.page.conftest import open_message, write


@pytest.fixture
def bottle(home):
    return open_message(home, "elderflower")


def printed(page) -> str:
    return page.locator(".hero canvas").get_attribute("aria-label")


def prints(page, text: str) -> None:
    """Wait until the drops say something."""
    page.locator(f'.hero canvas[aria-label*="{text}"]').wait_for()


def at(page, moment: str) -> None:
    box = page.get_by_label("Moment")
    box.fill(moment)
    box.press("Enter")


def test_the_drops_follow_every_key(bottle):
    write(bottle, "BEST BEFORE END", "SELL BY")
    prints(bottle, "SELL BY")
    for _ in range(3):
        bottle.get_by_role("button", name="Undo").click()
    prints(bottle, "BEST BEFORE")


def test_a_fault_is_underlined_and_mended_by_a_click(bottle):
    write(bottle, "packed(yyDDD)", "packd(yyDDD)")
    card = bottle.locator("article.card", has_text='did you mean "packed"?')
    card.wait_for()
    underlined = bottle.locator(".cm-lintRange-error")
    assert underlined.inner_text() == "packd"
    drawn = underlined.evaluate("one => getComputedStyle(one).textDecorationStyle")
    assert drawn == "wavy"
    assert bottle.get_by_text("No drops").is_visible()
    card.get_by_role("button", name="Put packed").click()
    card.wait_for(state="detached")
    assert not bottle.get_by_text("No drops").is_visible()


def test_completion_offers_date_letters_with_what_they_print(bottle):
    at(bottle, "2027-11-25 14:05")
    write(bottle, "packed(yyDDD)", "packed(D")
    option = bottle.locator(".cm-tooltip-autocomplete li", has_text="DDD")
    option.wait_for()
    assert "day of the year" in option.inner_text()


def test_drops_and_source_show_each_other(bottle):
    at(bottle, "2027-11-25 14:05")
    prints(bottle, "L27329B")
    bottle.locator(".hero canvas").click(position={"x": 20, "y": 60})
    assert bottle.locator(".cm-content .marked").inner_text() == "B"
    bottle.get_by_role("button", name="Mark case 0042").click()
    assert bottle.locator(".cm-content .marked").inner_text() == "case(0000)"
    picture = "c => c.toDataURL()"
    before = bottle.locator(".hero canvas").evaluate(picture)
    bottle.locator(".cm-line", has_text='line: "L"').click()
    assert bottle.locator(".hero canvas").evaluate(picture) != before


def test_what_a_field_prints_is_shown_by_the_pointer(bottle):
    at(bottle, "2027-11-25 14:05")
    prints(bottle, "L27329B")
    bottle.get_by_role("button", name="Mark best AUG 2028").click()
    bottle.locator(".cm-content .marked").hover()
    assert bottle.locator(".hovered").inner_text() == 'prints "AUG 2028"'


def test_counters_are_controls_with_limits(bottle):
    number = bottle.get_by_role("spinbutton", name="case")
    assert (number.get_attribute("min"), number.get_attribute("max")) == ("1", "9999")
    number.fill("731")
    prints(bottle, "0731")
    number.fill("10000")
    bottle.locator("article.card", has_text="never prints").wait_for()


def test_inputs_are_controls_that_say_what_they_take(home):
    page = open_message(home, "lot-expiry")
    page.get_by_role("textbox", name="lot").fill("AB1234")
    prints(page, "LOT AB1234")
    page.get_by_role("textbox", name="lot").fill("nonsense")
    page.locator("article.card", has_text="does not match").wait_for()


def test_time_is_gone_through_by_steps_and_along_the_ribbon(bottle):
    at(bottle, "2027-11-25 14:05")
    prints(bottle, "L27329B 14:05")
    bottle.get_by_role("button", name="a day later").click()
    prints(bottle, "L27330B 14:05")
    bottle.get_by_role("button", name="a shift later").click()
    prints(bottle, "L27330C 22:00")
    bottle.get_by_role("button", name="a hour earlier").click()
    prints(bottle, "L27330B 21:00")
    bottle.get_by_role("button", name="next day of interest").click()
    prints(bottle, "L27365B")
    assert bottle.get_by_text("the year ends", exact=True).is_visible()
    ribbon = bottle.get_by_label("Day within ten years")
    ribbon.press("ArrowRight")
    prints(bottle, "L28001B")
    assert "2028-01-01" in ribbon.get_attribute("aria-valuetext")
    box = ribbon.bounding_box()
    bottle.mouse.move(box["x"] + box["width"] * 0.2, box["y"] + 30)
    bottle.mouse.down()
    bottle.mouse.move(box["x"] + box["width"] * 0.9, box["y"] + 30, steps=12)
    bottle.mouse.up()
    assert "L28001" not in printed(bottle)


def test_worst_jumps_to_an_extreme(home):
    page = open_message(home, "months-abroad")
    page.get_by_text("Worst", exact=True).click()
    page.get_by_role("button", name="longest code").click()
    prints(page, "SEPTEMBRE")


def test_findings_are_cards(home):
    page = open_message(home, "fresh-milk")
    card = page.locator("article.card", has_text="come twice")
    card.wait_for()
    assert "note" in card.locator("h3").inner_text()
    card.get_by_role("button", name="Explain").click()
    card.get_by_text("Source:").wait_for()
    page.get_by_text("rules proved over").wait_for()
    card.get_by_role("button", name="Accept, because").click()
    page.get_by_label("hour-twice").or_(page.locator("#because")).first.fill('packed by day "only"')
    page.get_by_role("button", name="Accept", exact=True).click()
    page.get_by_text("1 accepted").wait_for()
    assert 'because "packed by day \\"only\\""' in page.locator(".cm-content").inner_text()


def test_characters_at_risk_are_shown(bottle):
    bottle.get_by_label("characters at risk").check()
    bottle.get_by_text("may be read as").wait_for()


def test_a_format_is_one_change(bottle):
    alone = bottle.locator(".cm-line").filter(has_text=re.compile(r"^\s*16$"))
    write(bottle, "raster 16", "raster\n16")
    alone.wait_for()
    bottle.get_by_role("button", name="Format").click()
    alone.wait_for(state="detached")
    bottle.get_by_role("button", name="Undo").click()
    alone.wait_for()


@pytest.mark.parametrize(
    ("kind", "begins"), [("PNG", b"\x89PNG"), ("SVG", b"<svg"), ("JSON", b"{")]
)
def test_drops_are_handed_over_as_files(bottle, kind, begins):
    bottle.get_by_text("Export", exact=True).click()
    with bottle.expect_download() as download:
        bottle.get_by_role("button", name=kind).click()
    assert download.value.path().read_bytes().startswith(begins)


def test_a_text_is_compared_with_the_file_on_the_disk(bottle):
    at(bottle, "2027-11-25 14:05")
    prints(bottle, "L27329B")
    bottle.get_by_role("button", name="Compare").click()
    bottle.get_by_text("Prints the same as the file on the disk.").wait_for()
    write(bottle, "9 months to", "10 months to")
    prints(bottle, "SEP 2028")
    bottle.get_by_role("button", name="Compare").click()
    bottle.get_by_text("Prints differently in").wait_for()
    assert bottle.locator(".compared del").first.inner_text().startswith("BEST BEFORE END AUG 2028")
    assert bottle.locator(".compared ins").first.inner_text().startswith("BEST BEFORE END SEP 2028")
    assert "packed + 10 months" in bottle.locator(".compared pre").first.inner_text()
