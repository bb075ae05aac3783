"""The application: every route of ``routes`` behind the guard."""

from __future__ import annotations

import importlib
import pkgutil

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from viewer.serve import routes
from viewer.serve.answers import Refusal, refusal_of
from viewer.serve.comparing import Comparing
from viewer.serve.doors import Doors
from viewer.serve.guard import Guard
from viewer.serve.served import Served

WORDS = {
    404: ("there is nothing here", "open / for the page"),
    405: ("this is not asked so", "GET to read, POST to ask"),
}


def application(served: Served, doors: Doors) -> Starlette:
    """What answers requests about what is served.

    Routes find it by ``served_of``.
    """
    app = Starlette(
        routes=all_routes(),
        middleware=[Middleware(Guard, doors=doors)],
        exception_handlers={HTTPException: _refused},
    )
    app.router.redirect_slashes = False
    app.state.served, app.state.comparing = served, Comparing(served.serving)
    return app


def all_routes() -> list[Route]:
    """``ROUTES`` of every file in the folder ``routes``."""
    found: list[Route] = []
    for module in sorted(each.name for each in pkgutil.iter_modules(routes.__path__, routes.__name__ + ".")):
        found += importlib.import_module(module).ROUTES
    return found


async def _refused(request: Request, bad: Exception) -> Response:
    status = bad.status_code if isinstance(bad, HTTPException) else 500
    what, right = WORDS.get(status, ("this is not understood", "open / for the page"))
    return refusal_of(Refusal(status, what, right))
