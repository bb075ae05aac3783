"""Listening: a port, the server on it, and an end that comes at once."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import logging
import signal
import socket
from collections.abc import Callable
from types import FrameType
from typing import Final

import uvicorn

from geometry.errors import refused
from viewer.serve.app import application
from viewer.serve.doors import Doors
from viewer.serve.served import Served
from viewer.serve.watching import watch

PORT: Final = 8707
TRIED: Final = 20
"""Ports after the first that are tried where it is taken and nobody asked for it."""
CONNECTIONS: Final = 2000
"""Open at once; one more is sent away with a 503."""
WAITING: Final = 1024
"""Connections that the machine itself may hold in line."""


def listening(port: int | None, everywhere: bool) -> socket.socket:
    """A socket that listens, on this machine alone or on its network too.

    Parameters
    ----------
    port : the one and only; None for ``PORT`` or the next free one; 0 for any

    Raises
    ------
    InputError : it is taken
    """
    host = "0.0.0.0" if everywhere else "127.0.0.1"
    for tried in range(PORT, PORT + TRIED) if port is None else (port,):
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            found.bind((host, tried))
            found.listen(WAITING)
            found.setblocking(False)
            return found
        except OSError as bad:
            found.close()
            if bad.errno != errno.EADDRINUSE or port is not None:
                what = (
                    "is taken" if bad.errno == errno.EADDRINUSE else f"cannot be listened on ({bad.strerror})"
                )
                raise refused(
                    "--port", "", f"port {tried} {what}", "another number, or leave --port out"
                ) from None
    raise refused("--port", "", f"ports {PORT} to {PORT + TRIED - 1} are taken", "name a free one")


class _Server(uvicorn.Server):
    """Sends listeners home as soon as it is told to stop, so that nobody waits for them."""

    def __init__(self, config: uvicorn.Config, served: Served) -> None:
        super().__init__(config)
        self.served = served
        self.stop = asyncio.Event()
        self.loop: asyncio.AbstractEventLoop | None = None

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop; a second Ctrl-C does not wait for anything. Called by the operating system."""
        self.should_exit, self.force_exit = True, self.should_exit and sig == signal.SIGINT
        if self.loop is not None:
            self.loop.call_soon_threadsafe(self._let_go)

    def _let_go(self) -> None:
        self.stop.set()
        self.served.hub.close()


def run(served: Served, doors: Doors, on: socket.socket, ready: Callable[[], None]) -> None:
    """Serve until told to stop by Ctrl-C or a signal.

    Parameters
    ----------
    ready : called as soon as requests are answered
    """
    logging.getLogger("uvicorn.error").setLevel(logging.CRITICAL)
    asyncio.run(_run(served, doors, on, ready))


async def _run(served: Served, doors: Doors, on: socket.socket, ready: Callable[[], None]) -> None:
    config = uvicorn.Config(
        application(served, doors),
        http="h11",
        ws="none",
        lifespan="off",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=CONNECTIONS,
        timeout_graceful_shutdown=1,
        timeout_keep_alive=15,
        backlog=WAITING,
    )
    server = _Server(config, served)
    server.loop = asyncio.get_running_loop()
    following = asyncio.create_task(watch(served, server.stop))
    serving = asyncio.create_task(server.serve(sockets=[on]))
    while not server.started and not serving.done():
        await asyncio.sleep(0.01)
    if server.started:
        ready()
    await serving
    server.stop.set()
    following.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await following
