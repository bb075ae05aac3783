"""One file for each concern, with its ``ROUTES``: add a file, and it is served."""

from __future__ import annotations

from starlette.requests import Request

from viewer.serve.served import Served


def served_of(request: Request) -> Served:
    """What the application serves."""
    found: Served = request.app.state.served
    return found
