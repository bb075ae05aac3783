import httpx
import pytest

from tests.viewer.serve.conftest import OWN
from viewer.serve.answers import MOST_BYTES
from viewer.serve.doors import doors_for

GUARDS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "cache-control": "no-store",
    "cross-origin-resource-policy": "same-origin",
}


def test_the_page_and_its_data_are_sent_with_the_headers_that_bind_them(ask, served):
    page, data = ask(("GET", "/", {}), ("GET", "/api/page", {}))
    assert page.status_code == data.status_code == 200
    for name, value in GUARDS.items():
        assert page.headers[name] == data.headers[name] == value
    assert "frame-ancestors 'none'" in page.headers["content-security-policy"]
    assert "connect-src 'self'" in page.headers["content-security-policy"]
    assert data.headers["content-security-policy"].startswith("default-src 'none'")
    assert data.json()["version"] == served.shown.version
    assert data.json()["page"]["live"] is True
    assert f'data-version="{served.shown.version}"' in page.text


@pytest.mark.parametrize("host", ["localhost:8707", "127.0.0.1:8707", "[::1]:8707", "LOCALHOST:8707"])
def test_it_answers_to_its_own_names(ask, host):
    assert ask(("GET", "/api/page", {"headers": {"host": host}}))[0].status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "elsewhere.example:8707",
        "localhost",
        "localhost:80",
        "127.0.0.1.example:8707",
        "192.168.1.7:8707",
        "",
        "a@b",
    ],
)
def test_a_foreign_host_name_is_refused(ask, host):
    """A name that somebody else's DNS points at this machine (rebinding) is no name of ours."""
    (answer,) = ask(("GET", "/", {"headers": {"host": host}}))
    assert answer.status_code == 421
    assert "not called so" in answer.json()["error"]["what"]


@pytest.mark.parametrize(
    "more",
    [
        {"origin": "http://elsewhere.example"},
        {"origin": "https://localhost:8707"},
        {"origin": "localhost:8707"},
        {"origin": "null"},
        {"origin": "http://localhost:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_page_may_neither_change_nor_read(ask, more):
    post, get = ask(
        ("POST", "/api/page", {"headers": OWN | more, "content": b"{}"}),
        ("GET", "/api/page", {"headers": OWN | more}),
    )
    assert (post.status_code, get.status_code) == (403, 403)


@pytest.mark.parametrize(
    "method, path, more, status",
    [
        ("PUT", "/", {}, 405),
        ("TRACE", "/", {}, 405),
        ("POST", "/api/page", {"content": b"{}"}, 405),
        ("GET", "/nowhere", {}, 404),
        ("GET", "/../../etc/passwd", {}, 404),
        ("GET", "/%2e%2e/%2e%2e/etc/passwd", {}, 404),
        ("GET", "/" + "a" * 600, {}, 414),
        ("GET", "/", {"content": b"{}"}, 400),
        ("POST", "/api/page", {"content": b"{}", "headers": OWN | {"content-type": "text/plain"}}, 415),
        ("POST", "/api/page", {"content": b"{}", "headers": OWN | {"content-encoding": "gzip"}}, 415),
        ("POST", "/api/page", {"content": b" " * (MOST_BYTES + 1)}, 413),
        ("POST", "/api/page", {"content": b"{}", "headers": OWN | {"content-length": "-1"}}, 400),
    ],
)
def test_what_is_not_understood_is_refused_in_words(ask, method, path, more, status):
    (answer,) = ask((method, path, more))
    assert answer.status_code == status
    error = answer.json()["error"]
    assert error["what"]
    assert error["right"]


def test_on_a_network_an_address_lets_one_browser_in_and_is_used_up(ask):
    doors, told = doors_for(8707, ["192.168.1.7"], guarded=True), []
    doors.announce = told.append
    token, host = doors.fresh(), {"host": "192.168.1.7:8707"}
    bare, wrong, joined, again, data = ask(
        ("GET", "/", {"headers": host}),
        ("GET", "/?token=wrong", {"headers": host}),
        ("GET", f"/?token={token}", {"headers": host}),
        ("GET", f"/?token={token}", {"headers": host | {"cookie": ""}}),
        ("GET", "/api/page", {"headers": host | {"cookie": "fullturn_8707=wrong"}}),
        doors=doors,
    )
    assert (bare.status_code, wrong.status_code, again.status_code, data.status_code) == (401, 401, 401, 401)
    assert joined.status_code == 200
    cookie = joined.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "samesite=strict" in cookie.lower()
    guest = cookie.split(";")[0]
    assert len(told) == 1
    assert told[0] != token
    (inside, second) = ask(
        ("GET", "/api/page", {"headers": host | {"cookie": guest}}),
        ("GET", f"/?token={told[0]}", {"headers": host}),
        doors=doors,
    )
    assert inside.status_code == second.status_code == 200
    assert isinstance(inside, httpx.Response)
