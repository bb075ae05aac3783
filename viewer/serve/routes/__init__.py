"""One file for each concern, with its ``ROUTES``: add a file, and it is served."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from viewer.serve.comparing import Comparing
from viewer.serve.served import Served, as_data


def served_of(request: Request) -> Served:
    """What the application serves."""
    found: Served = request.app.state.served
    return found


def comparing_of(request: Request) -> Comparing:
    """What is worked out against it, in ``Served.slow`` alone."""
    found: Comparing = request.app.state.comparing
    return found


def as_page(found: Mapping[str, Any]) -> Response:
    """A page beside the one on show, quickly packed."""
    rest = {key: value for key, value in found.items() if key != "solids"}
    return Response(as_data(rest, found["solids"], 1), media_type="application/json")
