"""Before every route: turns away what has no business here, and binds every answer by its headers."""

from __future__ import annotations

import asyncio
import logging
from http.cookies import CookieError, SimpleCookie
from typing import Final
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from geometry.errors import GeometryError, InputError
from viewer.serve.answers import MOST_BYTES, Refusal, as_refusal, refusal_of
from viewer.serve.doors import Doors

METHODS: Final = ("GET", "HEAD", "POST")
LONGEST_PATH: Final = 500
AT_ONCE: Final = 64
"""Requests that are answered at a time, those that listen aside."""
WITHIN_S: Final = 120.0
EVENTS: Final = "/api/events"
NOTHING: Final = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
HEADERS: Final = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
JOINED: Final = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="refresh" content="0;url=/"><title>Joined</title></head>
<body><p>This browser has joined. <a href="/">Go on to the engine.</a></p></body></html>
"""
STRANGER: Final = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Not joined</title></head>
<body><p>This browser has not joined: the address is worth one visit, and this one is used up or wrong. A fresh one
stands in the terminal where fullturn serve runs.</p></body></html>
"""
_log = logging.getLogger("fullturn.serve")


class Guard:
    """Middleware around the whole application."""

    def __init__(self, app: ASGIApp, doors: Doors) -> None:
        self.app, self.doors = app, doors
        self._inside = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it with a refusal."""
        if scope["type"] != "http":
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
            else:
                await self.app(scope, receive, send)
            return
        begun = False

        async def bound(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("content-security-policy", NOTHING)
            await send(message)

        try:
            early = self._answered_here(scope)
            if early is not None:
                await early(scope, receive, bound)
            else:
                await self._pass(scope, receive, bound)
            return
        except Refusal as bad:
            refused = refusal_of(bad)
        except (InputError, GeometryError) as bad:
            refused = refusal_of(as_refusal(bad))
        except TimeoutError:
            refused = refusal_of(
                Refusal(503, "this takes longer than anybody would wait", "ask for less at once")
            )
        except Exception as bad:
            _log.error("%s %s: %r", scope["method"], scope["path"], bad, exc_info=bad)
            refused = refusal_of(
                Refusal(500, "the program made a mistake", "its terminal says more; the page goes on")
            )
        if not begun:
            await refused(scope, receive, bound)

    async def _pass(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["path"] == EVENTS:
            await self.app(scope, receive, send)
            return
        if self._inside >= AT_ONCE:
            raise Refusal(503, "too many requests at once", "try again in a few seconds")
        self._inside += 1
        try:
            async with asyncio.timeout(WITHIN_S):
                await self.app(scope, receive, send)
        finally:
            self._inside -= 1

    def _answered_here(self, scope: Scope) -> Response | None:
        """An answer that needs no route; None lets the request through.

        Raises
        ------
        Refusal : it may not come in
        """
        headers = Headers(scope=scope)
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0].lower() not in self.doors.names:
            raise Refusal(421, "this machine is not called so", f"open http://localhost:{self.doors.port}/")
        if scope["method"] not in METHODS:
            raise Refusal(405, "this method is not understood", "GET to read, POST to ask")
        if len(scope["path"]) + len(scope.get("query_string", b"")) > LONGEST_PATH:
            raise Refusal(414, "the address is too long", "open / and go on from there")
        changes = scope["method"] == "POST"
        if changes or scope["path"].startswith("/api"):
            self._require_own_page(headers)
        if changes:
            _require_json(headers)
        elif headers.get("content-length", "0") != "0" or "transfer-encoding" in headers:
            raise Refusal(400, "a request to read brings nothing with it", "use POST")
        return self._at_the_door(scope, headers) if self.doors.guarded else None

    def _require_own_page(self, headers: Headers) -> None:
        origins = headers.getlist("origin")
        own = {f"http://{name}" for name in self.doors.names}
        foreign = any(origin.lower() not in own for origin in origins)
        sites = headers.getlist("sec-fetch-site")
        if foreign or any(site not in ("same-origin", "none") for site in sites):
            raise Refusal(403, "another page asks for this", "use the page that this machine serves")

    def _at_the_door(self, scope: Scope, headers: Headers) -> Response | None:
        page = scope["path"] == "/" and scope["method"] == "GET"
        if self.doors.knows(_cookie(headers, self.doors.cookie)):
            return None
        token = _token(scope.get("query_string", b""))
        if page and token:
            guest = self.doors.admit(token)
            if guest is not None:
                joined = HTMLResponse(JOINED)
                joined.set_cookie(self.doors.cookie, guest, path="/", httponly=True, samesite="strict")
                return joined
        if page:
            return HTMLResponse(STRANGER, 401)
        raise Refusal(401, "this browser has not joined", "open the address that the terminal shows")


def _require_json(headers: Headers) -> None:
    kind, _, more = headers.get("content-type", "").partition(";")
    if kind.strip().lower() != "application/json" or more.strip().lower() not in ("", "charset=utf-8"):
        raise Refusal(415, "the request is not JSON", "content-type: application/json")
    if headers.get("content-encoding", "identity") != "identity":
        raise Refusal(415, "the request is packed", "send it as it is")
    length = headers.get("content-length")
    if length is not None and not (length.isascii() and length.isdigit()):
        raise Refusal(400, "the request does not say how long it is", "a whole number")
    if length is not None and (len(length) > 12 or int(length) > MOST_BYTES):
        raise Refusal(413, "the request is too large", f"at most {MOST_BYTES // 1000} kB")


def _cookie(headers: Headers, name: str) -> str:
    try:
        found = SimpleCookie("; ".join(headers.getlist("cookie")))
    except CookieError:
        return ""
    return found[name].value if name in found else ""


def _token(query: bytes) -> str:
    try:
        found = parse_qs(query.decode("ascii"), max_num_fields=4)
    except ValueError:
        return ""
    return found.get("token", [""])[0]
