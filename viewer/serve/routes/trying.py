"""Dimensions tried out: the quantities there are, what other values change, the picture, and a new file of them."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from viewer.job import overrides
from viewer.serve.answers import answered, body_of, text_of
from viewer.serve.quantities import quantities_of
from viewer.serve.routes import as_page, comparing_of, served_of
from viewer.serve.saving import save_new
from viewer.serve.trying import settings_of


async def quantities(request: Request) -> Response:
    """``{quantities: [..]}``; what trying them needs is made ready meanwhile."""
    served, comparing = served_of(request), comparing_of(request)
    shown = served.shown
    await served.slow.run(lambda: comparing.trying(shown))
    return answered({"quantities": quantities_of(shown.job.described, shown.job.system)})


async def try_out(request: Request) -> Response:
    """``{settings: {key: value}}`` to the answers that change."""
    served, comparing, body = served_of(request), comparing_of(request), await body_of(request)
    shown = served.shown
    settings = settings_of(body, shown.job)
    return answered(await served.slow.run(lambda: comparing.trying(shown).tried(settings).answer))


async def picture(request: Request) -> Response:
    """The same to a page with the tried engine in it, for a browser that has the page ``base``."""
    served, comparing, body = served_of(request), comparing_of(request), await body_of(request)
    shown = served.shown
    settings = settings_of(body, shown.job)
    return await served.slow.run(lambda: as_page(comparing.trying(shown).picture(settings)))


async def save(request: Request) -> Response:
    """``{settings, name}`` to a new engine file beside the one that is served."""
    served, body = served_of(request), await body_of(request)
    settings = overrides(served.serving.settings) | settings_of(body, served.shown.job)
    name = text_of(body, "name", 200)
    saved = await served.quick.run(lambda: save_new(served.serving.engine, settings, name))
    return answered({"saved": saved.name})


ROUTES = [
    Route("/api/quantities", quantities),
    Route("/api/try", try_out, methods=["POST"]),
    Route("/api/try/picture", picture, methods=["POST"]),
    Route("/api/save", save, methods=["POST"]),
]
