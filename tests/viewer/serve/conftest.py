"""A live page in this process: the single-cylinder engine, and requests to it without a network."""

import asyncio
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest

from viewer.serve.app import application
from viewer.serve.doors import doors_for
from viewer.serve.served import Served, Serving
from viewer.serve.watching import remade

KNOT = Path(__file__).parents[3] / "demo_engines" / "knot.toml"
OWN = {"host": "localhost:8707", "origin": "http://localhost:8707", "content-type": "application/json"}


@pytest.fixture(autouse=True)
def no_loop_of_the_browsers(request):
    """Playwright leaves its event loop set as running in this thread; whoever runs one of their own puts it aside."""
    running = asyncio._get_running_loop()
    if request.node.get_closest_marker("browser") is None:
        asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(running)


def in_a_loop(coroutine):
    """Run it in a loop of its own, in a thread: the browser's tool keeps one running in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result()


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    """Engine file in a folder of its own, and its page, made once."""
    folder = tmp_path_factory.mktemp("served")
    engine = Path(shutil.copy(KNOT, folder))
    serving = Serving(engine, folder / "knot.record.toml")
    return serving, remade(serving)


@pytest.fixture
def served(made):
    """The state of a live page, fresh for each test; page and engine are shared."""
    return Served(*made)


@pytest.fixture
def ask(served):
    """Sends one request after another to the application, all in one event loop."""

    def ask(*requests, doors=None):
        async def run():
            transport = httpx.ASGITransport(application(served, doors or doors_for(8707)))
            async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8707") as client:
                return [await client.request(*words, **{"headers": OWN, **more}) for *words, more in requests]

        return in_a_loop(run())

    return ask
