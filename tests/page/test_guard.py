"""Who may speak to the server, and what no request can reach."""

import json
import os
import signal
import subprocess
import time
import urllib.error
import urllib.request
from contextlib import suppress
from pathlib import Path

import msgspec
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from rasterc.cli.documents.page import PageDocument
from rasterc.page.guard import Guard, content_policy
from tests.page.conftest import PROGRAM, a_plant, serving

HOST = b"127.0.0.1:8123"
OWN = b"http://127.0.0.1:8123"


async def inner(scope, receive, send):
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"inside"})


def answered(kind="http", method="GET", **headers) -> dict:
    """The first thing the guard answers."""
    scope = {"type": kind, "method": method}
    scope["headers"] = [(name.encode(), value) for name, value in headers.items()]
    sent = []

    async def receive():
        return {"type": "websocket.connect"}

    async def send(message):
        sent.append(message)

    with suppress(StopIteration):  # nothing in it waits, and a loop may run for the browser
        Guard(inner, HOST.decode(), False)(scope, receive, send).send(None)
    return sent[0]


@pytest.mark.parametrize("headers", [
    {},
    {"host": b"127.0.0.1"},
    {"host": b"127.0.0.1:81230"},
    {"host": b"localhost:8123"},
    {"host": b"127.0.0.1:8123.evil.example"},
    {"host": HOST, "origin": b"http://127.0.0.1:9000"},
    {"host": HOST, "origin": b"https://127.0.0.1:8123"},
    {"host": HOST, "origin": b"null"},
])  # fmt: skip
@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_strangers_are_refused(kind, headers):
    first = answered(kind, **headers)
    assert first.get("status") == 403 or first == {"type": "websocket.close", "code": 1008}


def test_a_websocket_must_say_where_it_comes_from():
    assert answered("websocket", host=HOST) == {"type": "websocket.close", "code": 1008}


def test_the_page_itself_is_let_in_with_headers_that_keep_it_to_itself():
    first = answered(host=HOST)
    assert first["status"] == 200
    headers = dict(first["headers"])
    assert headers[b"x-content-type-options"] == b"nosniff"
    assert headers[b"cross-origin-resource-policy"] == b"same-origin"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH"])
def test_nothing_is_asked_for_by_other_methods(method):
    assert answered(method=method, host=HOST, origin=OWN)["status"] == 403


def test_the_policy_names_one_script_one_socket_and_no_other_source():
    said = dict(
        part.split(" ", 1) for part in content_policy("n", "127.0.0.1:1", False).split("; ")
    )
    assert said["default-src"] == "'none'"
    assert said["script-src"] == "'self'"
    assert said["connect-src"] == "'self' ws://127.0.0.1:1"
    assert said["require-trusted-types-for"] == "'script'"


def fetched(url: str) -> tuple[int, dict, bytes]:
    try:
        with urllib.request.urlopen(url) as answer:
            return answer.status, dict(answer.headers), answer.read()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, dict(error.headers), error.read()


def test_what_can_be_fetched_holds_nothing_of_the_plant(served):
    status, headers, page = fetched(f"{served.base}/")
    assert status == 200 and "default-src 'none'" in headers["content-security-policy"]
    assert served.token.encode() not in page and b"elderflower" not in page
    for path in ("plant.toml", "..%2fplant.toml", "page.html", "%00", "a/b", "page.js%00"):
        assert fetched(f"{served.base}/{path}")[0] == 404


def talk(served, **more):
    return connect(f"ws://{served.host}/talk", **({"origin": served.base} | more))


def test_a_websocket_without_the_token_is_closed(served):
    for first in ('{"ask":"hello","id":0,"token":"x"}', "{", '{"ask":"list","id":1}', "\x00"):
        with talk(served) as socket:
            socket.send(first)
            with pytest.raises(ConnectionClosed):
                socket.recv()
    with pytest.raises(InvalidStatus), talk(served, origin="http://127.0.0.1:1"):
        pass


def ask(socket, **given):
    """Ask, and wait for the answer."""
    socket.send(json.dumps({"id": 7} | given))
    while True:
        answer = json.loads(socket.recv())
        if answer.get("id") == 7 and "part" not in answer:
            return answer


@pytest.fixture
def known(served):
    """A websocket that knows the token."""
    with talk(served, max_size=None) as socket:
        socket.send(json.dumps({"ask": "hello", "id": 0, "token": served.token}))
        socket.recv()
        yield socket


OUTSIDE = (
    "../secret.rasterc", "/etc/passwd", "messages/../../x.rasterc", "plant.toml", "", "messages",
    "a\\b.rasterc", "m\u0000.rasterc", "C:/x.rasterc", "link.rasterc",
)  # fmt: skip


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_file_outside_the_folder_is_read_or_written(served, known, name):
    outside = served.folder.parent / "secret.rasterc"
    outside.write_text("secret")
    link = served.folder / "link.rasterc"
    if not link.is_symlink():
        link.symlink_to(outside)
    for given in ({"ask": "open"}, {"ask": "create", "text": "x"},
                  {"ask": "save", "text": "x", "digest": ""}):  # fmt: skip
        assert "refused" in ask(known, file=name, **given), given
    link.unlink()
    assert outside.read_text() == "secret"


def test_what_is_no_request_is_said_and_the_page_lives_on(known):
    for text in (
        "{",
        "[]",
        '{"ask":"no"}',
        '{"ask":"open","id":-1}',
        '{"ask":"open","id":1,"x":2}',
    ):
        known.send(text)
        assert "refused" in json.loads(known.recv())["news"]
    known.send(json.dumps({"ask": "explain", "id": 7, "rule": "look-alike"}))
    assert ask(known, ask="explain", rule="no-such")["id"] == 7


def test_every_message_of_many_is_listed(tmp_path):
    folder = tmp_path / "many"
    folder.mkdir()
    mark = 'message m{0} {{ raster 7 font upright-7 block {{ line: "{0}" }} }}'
    for number in range(130):
        (folder / f"m{number:03}.rasterc").write_text(mark.format(number))
    with serving(folder, tmp_path / "state") as many, talk(many, max_size=None) as socket:
        socket.send(json.dumps({"ask": "hello", "id": 0, "token": many.token}))
        socket.send(json.dumps({"ask": "list", "id": 7}))
        found = []
        while "done" not in (answer := json.loads(socket.recv())):
            found += answer.get("part", ())
    assert [one["drops"]["lines"] for one in found] == [[str(number)] for number in range(130)]
    assert answer["done"]["entries"] == 130


def test_frames_are_limited(served):
    with talk(served) as socket, pytest.raises(ConnectionClosed):
        socket.send("x" * (7 << 20))
        socket.recv()


def test_a_program_is_told_the_address_as_json(tmp_path):
    command = [PROGRAM, "page", a_plant(tmp_path), "--no-open", "--json"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    with process.stdout as out:
        first = out.readline()
        process.send_signal(signal.SIGTERM)
        said = first + out.read()
        assert process.wait(30) in (-signal.SIGTERM, 130)
    found = msgspec.json.decode(said, type=PageDocument)
    assert found.name == "Quillmere" and found.address.startswith("http://127.0.0.1:")


REFUSED = {
    ("--host", "printer.example"): "no-tls",
    ("--tls-key", "key.pem"): "no-host",
    ("--host", "h", "--tls-key", "k.pem", "--tls-certificate", "c.pem"): "cannot-read",
}


@pytest.mark.parametrize("options", REFUSED)
def test_other_machines_are_served_with_tls_only(program, tmp_path, options):
    ended = program("page", a_plant(tmp_path), *options, code=2)
    assert f"error[{REFUSED[options]}]" in ended.said


def test_a_port_that_is_taken_is_said(program, served, tmp_path):
    port = served.host.partition(":")[2]
    said = program("page", a_plant(tmp_path), "--no-open", "--port", port, code=2).said
    assert "error[port-taken]" in said


def test_without_its_extra_the_page_says_what_to_install(program, monkeypatch):
    monkeypatch.setattr("rasterc.cli.page.find_spec", lambda name: None)
    assert 'pip install "rasterc[page]"' in program("page", code=2).said


def children(pid: int) -> list[int]:
    found = []
    for path in Path("/proc").iterdir():
        if path.name.isdigit():
            try:
                fields = (path / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if int(fields[1]) == pid and fields[0] != "Z":
                found.append(int(path.name))
    return found


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at /proc")
def test_ctrl_c_ends_it_and_leaves_no_process(own):
    draft = {"file": "messages/best-before.rasterc", "at": "2027-11-25 14:05"}
    text = (own.folder / draft["file"]).read_text()
    with talk(own, max_size=None) as socket:
        socket.send(json.dumps({"ask": "hello", "id": 0, "token": own.token}))
        assert "done" in ask(socket, ask="check", text=text, **draft)  # a worker is at work
        socket.send(json.dumps({"ask": "survey", "id": 9, "text": text, "years": 50} | draft))
        started = children(own.process.pid)
        assert started
        own.process.send_signal(signal.SIGINT)
        assert own.process.wait(30) == 130
    deadline = time.monotonic() + 30
    while any(alive(pid) for pid in started):
        assert time.monotonic() < deadline
        time.sleep(0.05)


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
