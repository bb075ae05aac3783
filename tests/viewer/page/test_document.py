"""One file: its policy lets in what it holds and nothing else; its data come out as they went in."""

import base64
import hashlib
import json
import zlib
from html.parser import HTMLParser

import pytest

from viewer.page.document import document


class Read(HTMLParser):
    """The elements of a page: attributes and text of each."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.found = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs), ""))

    def handle_endtag(self, tag):
        self.found.append((f"/{tag}", {}, ""))

    def handle_data(self, data):
        if self.found:
            tag, attrs, text = self.found[-1]
            self.found[-1] = (tag, attrs, text + data)

    def all(self, tag):
        return [(attrs, text) for name, attrs, text in self.found if name == tag]


@pytest.fixture(scope="module")
def read(page_file):
    return Read(page_file("knot").read_text(encoding="utf-8"))


def policy(read):
    content = next(a["content"] for a, _ in read.all("meta") if "http-equiv" in a)
    return {words[0]: words[1:] for words in (part.split() for part in content.split(";"))}


def unpacked(text):
    return zlib.decompress(base64.b64decode(text)).decode()


def hash_of(text):
    # Content Security Policy Level 3, W3C: base64 of the SHA-256 of the element's text
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def test_the_policy_names_the_scripts_and_styles_that_are_there_and_no_others(read):
    scripts = read.all("script")
    run = [text for attrs, text in scripts if attrs.get("type") != "text/plain"]
    run += [unpacked(text) for attrs, text in scripts if attrs.get("id") in ("three", "app-modules")]
    assert policy(read)["script-src"] == [hash_of(text) for text in run]
    assert policy(read)["style-src"] == [hash_of(text) for _, text in read.all("style")]
    assert policy(read)["default-src"] == ["'none'"]


def test_no_element_asks_for_anything_outside(read):
    asked = [a[key] for _, a, _ in read.found for key in ("src", "href", "action", "srcset") if key in a]
    assert [address for address in asked if not address.startswith(("data:", "#"))] == []


def test_nothing_in_the_data_ends_their_element(page_file):
    page = {"title": "</script><b>&amp;", "live": False, "pictures": [], "chapters": [], "variants": []}
    text = document({**blank(page_file), **page}, b"\0\1\2")
    read = Read(text)
    held = {a["id"]: text for a, text in read.all("script") if "id" in a}
    assert json.loads(unpacked(held["page"]))["title"] == page["title"]
    assert zlib.decompress(base64.b64decode(held["solids"])) == b"\0\1\2"
    assert read.all("b") == []
    assert "</script><b>" not in text.lower()


def blank(page_file):
    text = page_file("knot").read_text(encoding="utf-8")
    return json.loads(unpacked(next(t for a, t in Read(text).all("script") if a.get("id") == "page")))
