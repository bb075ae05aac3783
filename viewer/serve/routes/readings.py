"""Readings of the build record: what can be entered, what it would say, saving it, and who changed what."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from viewer.serve.answers import Refusal, answered, body_of, text_of
from viewer.serve.readings import Entering, bench_of, changes, judged, saved
from viewer.serve.routes import served_of

MOST_VALUES: Final = 16
LONGEST_VALUE: Final = 600


async def bench(request: Request) -> Response:
    """Everything that can be entered at `?place=bore 3`, and how far all places are."""
    served, place = served_of(request), request.query_params.get("place")
    return answered(await served.quick.run(lambda: bench_of(served, place)))


async def judge(request: Request) -> Response:
    """What `{place, path, values}` would say."""
    served, body = served_of(request), await body_of(request)
    place, path = text_of(body, "place", 40), text_of(body, "path", 80)
    values = _texts(body, "values")
    return answered(await served.quick.run(lambda: judged(served, place, path, values)))


async def change(request: Request) -> Response:
    """Save `{place, path, values, seen, by, page}`; 409 where the entry is no longer the one that was seen."""
    served, body = served_of(request), await body_of(request)
    entering = Entering(
        text_of(body, "place", 40),
        text_of(body, "path", 80),
        _texts(body, "values"),
        _plain(body, "seen"),
        _initials(body),
        text_of(body, "page", 40),
        body.get("as_is") is True,
    )
    found = await served.quick.run(lambda: saved(served, entering))
    if "conflict" in found:
        error = {"what": "somebody else changed this entry meanwhile", "right": "keep theirs, or write yours"}
        return answered({"error": error, **found}, 409)
    return answered(found)


async def history(request: Request) -> Response:
    """Who changed what after change number `?since=0`."""
    served, since = served_of(request), request.query_params.get("since", "0")
    if not (since.isascii() and since.isdigit() and len(since) < 12):
        raise Refusal(422, "since is not a whole number", "the number of the last change that is known, or 0")
    return answered(await served.quick.run(lambda: changes(served, int(since))))


def _initials(body: Mapping[str, Any]) -> str:
    by = text_of(body, "by", 40).strip()
    if not by:
        raise Refusal(422, "nobody is said to have changed this", "your initials, for example EH")
    return by


def _texts(body: Mapping[str, Any], name: str) -> dict[str, str] | None:
    found = _plain(body, name)
    if found is None:
        return None
    return {key: text_of(found, key, LONGEST_VALUE) for key in found}


def _plain(body: Mapping[str, Any], name: str) -> dict[str, str | int] | None:
    """An object of texts and whole numbers, or null.

    Raises
    ------
    Refusal : it is something else, or left out
    """
    found = body.get(name, ())
    if found is None:
        return None
    good = isinstance(found, dict) and len(found) <= MOST_VALUES
    if not good or not all(
        isinstance(each, str | int) and not isinstance(each, bool) for each in found.values()
    ):
        raise Refusal(422, f"{name} is not an object of texts", 'for example {"go": "18 thou"}, or null')
    return dict(found)


ROUTES = [
    Route("/api/readings", bench),
    Route("/api/readings", change, methods=["POST"]),
    Route("/api/readings/judge", judge, methods=["POST"]),
    Route("/api/readings/changes", history),
]
