"""The page, and its data for a browser that has it open already."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from viewer.page.document import policy_of
from viewer.serve.routes import served_of


async def page(request: Request) -> Response:
    """The last good page."""
    policy = f"{policy_of(live=True)}; frame-ancestors 'none'"
    return HTMLResponse(served_of(request).shown.html, headers={"content-security-policy": policy})


async def data(request: Request) -> Response:
    """``{version, page, solids}`` of the last good page; the solids as in the page."""
    return Response(served_of(request).shown.data, media_type="application/json")


ROUTES = [Route("/", page), Route("/api/page", data)]
