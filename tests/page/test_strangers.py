"""A stray tab on another port of the same machine, and what the page looks like to all."""

import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from tests.page.conftest import open_message


class Empty(BaseHTTPRequestHandler):
    def do_GET(self):
        self.send_response(200)
        self.send_header("content-type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>stray</title>")

    def log_message(self, *_):
        pass


@pytest.fixture(scope="module")
def elsewhere():
    """Another program's page on this machine."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Empty)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    server.server_close()
    thread.join()


def test_a_stray_tab_can_neither_read_nor_post_nor_connect(served, elsewhere, tab):
    page = tab(elsewhere)
    tried = page.evaluate(
        """async ([base, host, token]) => {
          const said = async (r) => `${r.type} ${(await r.text()).length}`;
          const of = (promise) => promise.then(said, () => 'no');
          const socket = (url) => new Promise((done) => {
            const tried = new WebSocket(url);
            tried.onopen = () => { tried.send(JSON.stringify({ask: 'hello', id: 0, token})); };
            tried.onmessage = () => done('told something');
            tried.onclose = () => done('no');
          });
          return [
            await of(fetch(base)), await of(fetch(base, {mode: 'no-cors'})),
            await of(fetch(base, {method: 'POST', body: 'x', mode: 'no-cors'})),
            await socket(`ws://${host}/talk`),
          ];
        }""",
        [f"{served.base}/", served.host, served.token],
    )
    assert tried[0] == "no" and tried[3] == "no"
    assert all(one in ("no", "opaque 0") for one in tried[1:3])
    framed = page.evaluate(
        """(base) => new Promise((done) => {
          const frame = document.createElement('iframe');
          frame.src = base;
          frame.onload = () => done(frame.contentDocument ? 'read' : 'no');
          document.body.append(frame);
        })""",
        f"{served.base}/",
    )
    assert framed == "no"


def violations(page) -> list[str]:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html']}" for one in found]


LOOKS = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark", "size": "narrow"},
    "forced": {"forced_colors": "active"},
}


@pytest.mark.parametrize("look", LOOKS)
def test_axe_finds_nothing(served, tab, look):
    page = tab(served.url, **LOOKS[look])
    page.locator(".specimens li").nth(8).wait_for(state="attached")
    page.locator(".state.clean").first.wait_for()
    assert violations(page) == []
    assert fits(page)
    open_message(page, "fresh-milk")
    page.locator("article.card").first.wait_for()
    assert violations(page) == []
    assert fits(page)


def fits(page) -> bool:
    """Whether the page is no wider than its window."""
    return page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def focused(page) -> str:
    return page.evaluate("document.activeElement.innerText || document.activeElement.tagName")


def test_the_keyboard_alone_does_it_all(home):
    press = home.keyboard.press
    home.get_by_label("Find", exact=True).focus()
    home.keyboard.type("milk")
    for _ in range(40):
        press("Tab")
        if focused(home) == "fresh-milk":
            break
    press("Enter")
    home.locator(".hero canvas[aria-label^=prints]").wait_for()
    home.locator(".cm-content").focus()
    press("Control+End")
    press("Tab")  # leaves the editor
    assert "cm-content" not in (home.evaluate("document.activeElement.className") or "")
    home.get_by_label("Day within ten years").focus()
    press("PageUp")
    home.go_back()
    home.locator(".specimens a.name").first.focus()
    press("ArrowDown")
    assert home.evaluate("document.activeElement.className") == "name"
