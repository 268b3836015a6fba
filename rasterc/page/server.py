"""The server: the page's files, its websocket, and an end that leaves nothing behind."""

from __future__ import annotations

import asyncio
import json
import secrets
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
import uvicorn
from msgspec import Struct
from starlette.applications import Starlette
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocketDisconnect, WebSocketState

from rasterc.diagnostics import InputError
from rasterc.page import requests
from rasterc.page.desk import Desk
from rasterc.page.guard import Guard, content_policy, same_token
from rasterc.page.house import MOST_PAGES, House

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.websockets import WebSocket

    from rasterc.plant import Plant

STATIC = Path(__file__).parent / "static"
LOOPBACK = "127.0.0.1"
_KINDS = {"page.js": "text/javascript", "page.css": "text/css", "icon.svg": "image/svg+xml"}
_HELLO_SECONDS = 10


class Address(Struct, frozen=True):
    """Where to serve; ``certificate`` and ``key`` are files of TLS, needed beyond the loopback."""

    host: str = LOOPBACK
    port: int = 0
    certificate: Path | None = None
    key: Path | None = None

    @property
    def secure(self) -> bool:
        """Whether TLS is spoken."""
        return self.certificate is not None


def serve(plant: Plant, address: Address, ready: Callable[[str], None]) -> None:
    """Serve a plant until somebody stops it.

    Args:
        plant: what is served.
        address: where; port 0 takes a free one.
        ready: told the address of the page, with its token, once it can be opened.

    Raises:
        InputError: the port cannot be taken, or the TLS files cannot be used.
    """
    taken = _taken(address)
    where = f"{address.host}:{taken.getsockname()[1]}"
    try:
        server = uvicorn.Server(_settings(address))
        asyncio.run(_run(server, taken, plant, where, address.secure, ready))
    finally:
        taken.close()


async def _run(
    server: uvicorn.Server,
    taken: socket.socket,
    plant: Plant,
    where: str,
    secure: bool,
    ready: Callable[[str], None],
) -> None:
    house = House(plant)
    server.config.app = application(house, where, secure)
    opened = f"http{'s' * secure}://{where}/#{house.token}"
    told = asyncio.create_task(_tell(server, lambda: ready(opened)))
    try:
        await server.serve([taken])
    finally:
        told.cancel()


async def _tell(server: uvicorn.Server, ready: Callable[[], None]) -> None:
    while not server.started:
        await asyncio.sleep(0.02)
    await asyncio.to_thread(ready)


def application(house: House, where: str, secure: bool = False) -> Guard:
    """The page of a house as an ASGI application at ``where``, a host and a port."""

    @asynccontextmanager
    async def life(_: Starlette) -> AsyncIterator[None]:
        house.begin()
        yield
        await house.end()

    async def page(_: Request) -> Response:
        nonce = secrets.token_urlsafe(18)
        text = (STATIC / "page.html").read_text("utf-8").replace("{nonce}", nonce)
        policy = content_policy(nonce, where, secure)
        return Response(text, 200, {"content-security-policy": policy}, "text/html")

    async def file(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in _KINDS:
            return Response("there is no such file", 404, media_type="text/plain")
        return Response((STATIC / name).read_bytes(), 200, media_type=_KINDS[name])

    async def talk(websocket: WebSocket) -> None:
        await _talk(house, websocket)

    routes = [Route("/", page), Route("/{name}", file), WebSocketRoute("/talk", talk)]
    return Guard(Starlette(routes=routes, lifespan=life), where, secure)


async def _talk(house: House, websocket: WebSocket) -> None:
    await websocket.accept()
    if not await _greeted(house, websocket):
        await websocket.close(1008)
        return
    outbox: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
    desk = Desk(house, outbox.put_nowait)
    house.desks[desk] = outbox.put_nowait
    sending = asyncio.create_task(_send(websocket, outbox))
    outbox.put_nowait({"news": {"plant": _told(house)}})
    try:
        await _listen(websocket, desk, outbox.put_nowait)
    finally:
        house.desks.pop(desk, None)
        desk.end()
        sending.cancel()


def _told(house: House) -> dict[str, Any]:
    """What a page must know of the plant before it asks anything."""
    plant = house.shelf.plant
    lines = [line.name for line in plant.lines]
    remembered = msgspec.to_builtins(house.memory.now)
    years = plant.defaults.horizon_years
    return {"name": plant.name, "lines": lines, "years": years, **remembered}


async def _greeted(house: House, websocket: WebSocket) -> bool:
    """Whether the first message of a page knows the token, in time."""
    with suppress(TimeoutError, WebSocketDisconnect, msgspec.DecodeError, KeyError, RuntimeError):
        first = await asyncio.wait_for(websocket.receive_text(), _HELLO_SECONDS)
        hello = requests.decode(first)
        if isinstance(hello, requests.Hello) and same_token(hello.token, house.token):
            return len(house.desks) < MOST_PAGES
    return False


async def _listen(websocket: WebSocket, desk: Desk, send: Callable[[dict[str, Any]], None]) -> None:
    """Take what the page asks, each on its own, until it goes."""
    running: set[asyncio.Task[None]] = set()
    try:
        while True:
            text = await websocket.receive_text()
            try:
                request = requests.decode(text)
            except msgspec.DecodeError as error:
                send({"news": {"refused": str(error)}})
                continue
            task = asyncio.create_task(desk.answer(request))
            running.add(task)
            task.add_done_callback(running.discard)
    except (WebSocketDisconnect, KeyError, RuntimeError):
        pass
    finally:
        for task in running:
            task.cancel()


async def _send(websocket: WebSocket, outbox: asyncio.Queue[dict[str, Any]]) -> None:
    while True:
        message = await outbox.get()
        if websocket.application_state is not WebSocketState.CONNECTED:
            return
        with suppress(WebSocketDisconnect, RuntimeError):
            await websocket.send_text(json.dumps(message, ensure_ascii=False))


def _taken(address: Address) -> socket.socket:
    """The port, taken before anything else is done."""
    family = socket.AF_INET6 if ":" in address.host else socket.AF_INET
    taken = socket.socket(family, socket.SOCK_STREAM)
    try:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((address.host, address.port))
    except OSError as error:
        taken.close()
        said = f"cannot serve at {address.host} port {address.port}: {error.strerror}"
        help = "give another --port, or leave it out for a free one"
        raise InputError.one("port-taken", said, help=help) from None
    return taken


def _settings(address: Address) -> uvicorn.Config:
    return uvicorn.Config(
        Starlette(), log_config=None, access_log=False, lifespan="on",
        ws="websockets-sansio", ws_per_message_deflate=False, ws_ping_interval=None,
        ws_max_size=requests.MAX_FRAME, h11_max_incomplete_event_size=32768, limit_concurrency=200,
        timeout_graceful_shutdown=1, server_header=False, date_header=False,
        ssl_certfile=address.certificate, ssl_keyfile=address.key,
    )  # fmt: skip
