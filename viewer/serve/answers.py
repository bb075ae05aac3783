"""What is answered: JSON, or a refusal in words with the status that goes with it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from typing import Any, Final, NoReturn

from starlette.requests import Request
from starlette.responses import Response

from geometry.errors import GeometryError, InputError, Problem, one_line, shortened

MOST_BYTES: Final = 64_000
"""Of a request's body: a few values and words; nobody types more."""
BODY_WITHIN_S: Final = 10.0


class Refusal(Exception):
    """A request that is not answered.

    Attributes
    ----------
    status : of HTTP
    what, right : what is wrong, and what would be right
    """

    def __init__(self, status: int, what: str, right: str = "") -> None:
        super().__init__(what)
        self.status, self.what, self.right = status, what, right


def answered(content: Mapping[str, Any], status: int = 200) -> Response:
    """JSON."""
    text = json.dumps(content, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return Response(text.encode("utf-8", "replace"), status, media_type="application/json")


def refusal_of(bad: Refusal) -> Response:
    """A refusal as JSON."""
    headers = {"retry-after": "3"} if bad.status in (429, 503) else {}
    found = answered({"error": {"what": _plain(bad.what), "right": _plain(bad.right)}}, bad.status)
    found.headers.update(headers)
    return found


def as_refusal(bad: InputError | GeometryError) -> Refusal:
    """Input that cannot be used, as a refusal (422): every problem in a line."""
    if isinstance(bad, InputError):
        lines = [problem_words(problem) for problem in bad.problems]
        right = bad.problems[0].right if len(bad.problems) == 1 else ""
        return Refusal(422, "; ".join(lines), right)
    return Refusal(422, f"{bad.key}: {bad.what}" if bad.key else bad.what, bad.right)


def problem_words(problem: Problem) -> str:
    """A problem without its file, which the page knows, and without what would be right."""
    return f"{problem.key}: {problem.what}" if problem.key else problem.what


async def body_of(request: Request) -> dict[str, Any]:
    """The JSON object of a request.

    Raises
    ------
    Refusal : it is too large (413), comes too slowly (408), or is no JSON object (400)
    """
    parts: list[bytes] = []
    try:
        async with asyncio.timeout(BODY_WITHIN_S):
            async for part in request.stream():
                parts.append(part)
                if sum(map(len, parts)) > MOST_BYTES:
                    raise Refusal(413, "the request is too large", f"at most {MOST_BYTES // 1000} kB")
    except TimeoutError:
        raise Refusal(408, "the request came too slowly", "send it again") from None
    try:
        found = json.loads(b"".join(parts).decode("utf-8"), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise Refusal(400, "the request is not JSON", "send one JSON object") from None
    if not isinstance(found, dict):
        raise Refusal(400, "the request is not JSON object", 'for example {"settings": {}}')
    return found


def text_of(body: Mapping[str, Any], name: str, most: int = 4000) -> str:
    """A text of a request.

    Raises
    ------
    Refusal : it is missing, no text, or too long (422)
    """
    found = body.get(name)
    if not isinstance(found, str) or len(found) > most or not found.isprintable():
        raise Refusal(422, f"{name} is not a text", f"a text of at most {most} letters, on one line")
    return found


def number_of(body: Mapping[str, Any], name: str) -> int | None:
    """A whole number of a request, None where there is none.

    Raises
    ------
    Refusal : it is something else (422)
    """
    found = body.get(name)
    if found is not None and (isinstance(found, bool) or not isinstance(found, int) or abs(found) > 9999):
        raise Refusal(422, f"{name} is not a whole number", "for example 3")
    return found


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)


def _plain(text: str) -> str:
    return one_line(shortened(text))
