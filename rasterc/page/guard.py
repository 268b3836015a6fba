"""Who may speak to the server: the page it has served itself, and nobody else.

Other pages in the same browser can reach a server on the loopback address. They cannot choose the
``Host`` they name nor hide their ``Origin``, so both are held against the server's own address,
whole; and they do not know the token, which is asked for in `rasterc.page.desk`.
"""

from __future__ import annotations

import hmac
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

_REFUSED = b"This address serves rasterc to its own page only."
_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)


class Guard:
    """An ASGI application in front of another, which sees requests and websockets alike."""

    def __init__(self, app: ASGIApp, host: str, secure: bool) -> None:
        """Args: host: name and port as browsers write them; secure: whether TLS is spoken."""
        self._app = app
        self._host = host.encode()
        self._origin = f"http{'s' * secure}://{host}".encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let through what comes from the page itself."""
        if scope["type"] == "lifespan" or self._welcome(scope):
            await self._app(scope, receive, self._sealing(send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})  # before accepting: 403
        else:
            headers = [(b"content-type", b"text/plain; charset=utf-8"), *_HEADERS]
            await send({"type": "http.response.start", "status": 403, "headers": headers})
            await send({"type": "http.response.body", "body": _REFUSED})

    def _welcome(self, scope: Scope) -> bool:
        hosts = _named(scope, b"host")
        origins = _named(scope, b"origin")
        if hosts != [self._host]:
            return False
        if scope["type"] == "websocket":
            return origins == [self._origin]
        if scope["method"] not in ("GET", "HEAD"):
            return False  # nothing is asked for so
        return origins in ([], [self._origin])

    def _sealing(self, send: Send) -> Send:
        """Every answer carries the headers that keep the page to itself."""

        async def sealed(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), *_HEADERS]
            await send(message)

        return sealed


def same_token(given: str, token: str) -> bool:
    """Whether two tokens are the same, in a time that tells nothing of how far they are."""
    return hmac.compare_digest(given.encode(), token.encode())


def content_policy(nonce: str, host: str, secure: bool) -> str:
    """The content security policy of the page: its own script, its styles, one socket."""
    return "; ".join(
        (
            "default-src 'none'",
            "script-src 'self'",
            f"style-src 'self' 'nonce-{nonce}'",
            "img-src 'self' blob:",
            f"connect-src 'self' ws{'s' * secure}://{host}",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
            "require-trusted-types-for 'script'",
            "trusted-types 'none'",
        )
    )


def _named(scope: Scope, name: bytes) -> list[bytes]:
    return [value for key, value in scope["headers"] if key == name]
