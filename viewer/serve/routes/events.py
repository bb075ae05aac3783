"""Server-sent events: `page` and `record` with their versions, `state` (an error or all well), `working`, `beat`."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from viewer.serve.answers import Refusal
from viewer.serve.routes import served_of

AGAIN_MS = 1000
"""How long a browser waits before it comes back."""


async def events(request: Request) -> Response:
    """News for as long as the browser listens."""
    served = served_of(request)
    if served.hub.full or served.hub.closed:
        raise Refusal(503, "too many browsers listen", "close one")

    async def told() -> AsyncIterator[str]:
        yield f"retry: {AGAIN_MS}\n\n"
        async for kind, news in served.hub.listen(served.news()):
            yield f"event: {kind}\ndata: {json.dumps(news, ensure_ascii=False)}\n\n"

    return StreamingResponse(told(), media_type="text/event-stream")


ROUTES = [Route("/api/events", events)]
