"""Requests that nobody should send: each is refused in words, and nothing is ever written."""

import asyncio
import json
import random

import httpx

from tests.viewer.serve.conftest import OWN, in_a_loop
from viewer.serve.app import all_routes, application
from viewer.serve.doors import doors_for

COUNT = 1200
NASTY = [
    None, True, False, -1, 0, 3, 1e308, "", " ", "x", "../../etc/passwd", "a\u0000b", "\ud7ff", "é" * 300, "9" * 500,
    "1e999 mm", "-0 mm", "nan in", "inf mm", "tight at 9999", "bore 99", "<script>alert(1)</script>", [], [[]], {},
    {"a": {"b": [None]}}, ["below", -1], [["below", True]], [["nowhere", 3]], "'; drop table", "%s%n", "\u202e",
]  # fmt: skip
NAMES = [
    *(
        "settings",
        "name",
        "felt",
        "looked",
        "mistake",
        "bore",
        "main",
        "place",
        "path",
        "values",
        "seen",
        "by",
    ),
    *("page", "as_is", "", "__proto__", "crank.stroke"),
]
BODIES = [
    b"", b"{", b"[]", b"null", b'"x"', b"{}", b'{"a":1}' * 2, b"\xff\xfe", b"[" * 30_000, b'{"a":' * 20_000,
    b'{"settings": NaN}', b'{"settings": ' + b"9" * 5000 + b"}", b" " * 70_000, b'{"a":"\\ud800"}',
]  # fmt: skip
HEADERS = [
    {"host": "elsewhere.example:8707"}, {"host": "localhost:1"}, {"origin": "null"}, {"origin": "http://a.example"},
    {"sec-fetch-site": "cross-site"}, {"content-type": "text/plain"}, {"content-type": "application/json;charset=x"},
    {"content-encoding": "gzip"}, {"content-length": "99999999999"}, {"content-length": "x"}, {"cookie": "a=\x01;;;="},
    {"x" * 200: "y"}, {"accept": "\xff"}, {"transfer-encoding": "chunked"},
]  # fmt: skip
PATHS = [
    "/..", "/../pyproject.toml", "/%2e%2e/%2e%2e/etc/passwd", "//", "/api", "/api/", "/api/../..", "/\\windows",
    "/api/page/..%2f..", "/favicon.ico", "/a" * 400, "/%00", "/%ff", "/?token=x", "/api/page?" + "a=b&" * 100,
    "/api/try/",
]  # fmt: skip


def one(draw, paths):
    """A request that is wrong in one way or several."""
    method = draw.choice(["GET", "POST", "POST", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "HEAD", "BREW"])
    path = draw.choice(paths if draw.random() < 0.7 else PATHS)
    headers, more = dict(OWN), {}
    if draw.random() < 0.4:
        headers |= draw.choice(HEADERS)
    if method == "POST":
        if draw.random() < 0.3:
            more["content"] = draw.choice(BODIES)
        else:
            body = {name: draw.choice(NASTY) for name in draw.sample(NAMES, draw.randint(0, 6))}
            if draw.random() < 0.5:
                body["settings"] = {draw.choice(["crank.stroke", "x", "block.mesh"]): draw.choice(NASTY)}
            more["content"] = json.dumps(body).encode()
    return method, path, {"headers": headers, **more}


def test_bad_requests_are_refused_in_words_and_write_nothing(served, made):
    draw = random.Random(20261128)
    paths = [route.path for route in all_routes() if route.path != "/api/events"]
    folder = made[0].engine.parent
    before = {path.name: path.read_bytes() for path in folder.iterdir()}

    async def run():
        transport = httpx.ASGITransport(application(served, doors_for(8707)))
        async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8707") as client:
            found = []
            for _ in range(COUNT):
                method, path, more = one(draw, paths)
                try:
                    request = client.build_request(method, path, **more)
                except (httpx.InvalidURL, UnicodeEncodeError):
                    found.append((method, path, None))  # cannot even be sent
                    continue
                found.append((method, path, await client.send(request)))
            return found

    answers = in_a_loop(run())
    sent = [(method, path, answer) for method, path, answer in answers if answer is not None]
    assert len(sent) >= 1000
    for method, path, answer in sent:
        assert answer.status_code < 500, (method, path, answer.text)
        assert "Traceback" not in answer.text
        assert answer.headers["x-content-type-options"] == "nosniff"
        if answer.status_code >= 400 and method != "HEAD":
            error = answer.json()["error"]
            assert error["what"], (method, path)
    refused = sum(answer.status_code >= 400 for _, _, answer in sent)
    assert refused > 0.6 * len(sent)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_many_at_once_wait_or_are_sent_away_and_all_are_answered(served):
    async def run():
        transport = httpx.ASGITransport(application(served, doors_for(8707)))
        async with httpx.AsyncClient(
            transport=transport, base_url="http://localhost:8707", headers=OWN
        ) as client:
            return await asyncio.gather(*(client.get("/api/diagnosis") for _ in range(1000)))

    codes = [answer.status_code for answer in in_a_loop(run())]
    assert set(codes) <= {200, 503}
    assert codes.count(200) > 0
