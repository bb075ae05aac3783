"""From what is felt to causes; a cause as right and wrong side by side."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from viewer.serve.answers import answered, body_of, number_of, text_of
from viewer.serve.diagnosing import looked_of, said_of
from viewer.serve.routes import as_page, comparing_of, served_of


async def said(request: Request) -> Response:
    """What can be said, and the mistakes that can be shown."""
    served = served_of(request)
    return answered(await served.quick.run(lambda: said_of(served.shown.job)))


async def diagnose(request: Request) -> Response:
    """``{felt, looked}`` to ranked causes and what to look at next."""
    served, comparing, body = served_of(request), comparing_of(request), await body_of(request)
    shown, words, looked = served.shown, text_of(body, "felt"), looked_of(body)
    return answered(await served.slow.run(lambda: comparing.diagnosing(shown).diagnosed(words, looked)))


async def mistake(request: Request) -> Response:
    """``{mistake, bore}`` or ``{mistake, main}`` to a page that shows it, for a browser that has the page ``base``."""
    served, comparing, body = served_of(request), comparing_of(request), await body_of(request)
    shown = served.shown
    name, bore, main = text_of(body, "mistake", 100), number_of(body, "bore"), number_of(body, "main")
    return await served.slow.run(lambda: as_page(comparing.diagnosing(shown).mistake(name, bore, main)))


ROUTES = [
    Route("/api/diagnosis", said),
    Route("/api/diagnose", diagnose, methods=["POST"]),
    Route("/api/mistake", mistake, methods=["POST"]),
]
