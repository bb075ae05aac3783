"""The customer's page in the browser: it moves until touched, tells its terms, needs neither WebGL nor scripts."""

import base64
import json
import re
import zlib
from contextlib import contextmanager
from html.parser import HTMLParser

import pytest

from viewer.page.document import document
from viewer.page.on_paper import on_paper

pytestmark = pytest.mark.browser

CRANK = "fullturn.store.state.crank_deg"
NO_WEBGL = "HTMLCanvasElement.prototype.getContext = () => null"
GIF = "data:image/gif;base64,R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7"
MISTAKE = {"voice": "customer", "mistake": "rod_turned", "shop": "The shed", "job": "17", "date": "1 May"}


@pytest.fixture
def customer(page_file):
    return page_file("knot", **MISTAKE)


@contextmanager
def opened_quietly(chromium, path, script=None, **more):
    """Opens a page whatever its console says."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, offline=True, **more)
    try:
        page = context.new_page()
        if script:
            page.add_init_script(script)
        page.goto(path.as_uri())
        yield page
    finally:
        context.close()


def moves(page):
    """Whether the crank comes to stand elsewhere; a busy machine may take its time."""
    before = page.evaluate(CRANK)
    for _ in range(100):
        page.wait_for_timeout(60)
        if page.evaluate(CRANK) != before:
            return True
    return False


def stands(page):
    before = page.evaluate(CRANK)
    page.wait_for_timeout(300)
    return page.evaluate(CRANK) == before


def test_it_moves_by_itself_is_held_goes_on_and_stops_for_good_when_touched(opened, customer):
    page = opened(customer)
    swing = page.evaluate("fullturn.store.page.mistake.swing_deg")
    assert moves(page)
    page.get_by_role("button", name="Hold the picture still").click()
    assert stands(page)
    page.get_by_role("button", name="Let it move again").click()
    assert moves(page)
    assert swing[0] <= page.evaluate(CRANK) <= swing[1]
    page.locator("canvas").click(position={"x": 20, "y": 200})
    assert page.evaluate("fullturn.store.state.touched")
    assert stands(page)
    assert page.locator(".by-itself").is_hidden()


def test_it_does_not_move_where_motion_is_not_wanted_nor_for_a_builder(opened, customer, page_file):
    assert stands(opened(customer, reduced_motion="reduce"))
    assert stands(opened(page_file("knot")))


def test_a_term_is_told_where_it_stands_first_and_a_tap_away_from_then_on(opened, customer):
    page = opened(customer, reduced_motion="reduce")
    first = page.locator(".story dfn")
    meanings = page.locator(".story dfn + .meaning").all_inner_texts()
    assert first.count() == len(set(meanings)) > 5
    again = page.locator(".story .term").first
    said = page.locator(".story .term + .meaning").first
    assert said.is_hidden()
    again.click()
    assert again.get_attribute("aria-expanded") == "true"
    assert said.inner_text() in meanings


def test_right_and_wrong_are_named_and_told_with_their_numbers(opened, customer):
    page = opened(customer, reduced_motion="reduce")
    names = page.locator(".sign.half").all_inner_texts()
    assert [name.split()[1].strip(":") for name in names] == ["Right", "Wrong"]
    page.get_by_role("tab", name="Right and wrong").click()
    panel = page.locator(".mistake")
    for figure in page.evaluate("fullturn.store.page.mistake.numbers"):
        for text in ("words", "right", "wrong", "limit", "source", "verdict"):
            assert figure[text] in panel.inner_text()


def test_without_webgl_the_pictures_and_all_panels_are_there(chromium, customer, tmp_path):
    path = with_picture(customer, tmp_path)
    with opened_quietly(chromium, path, NO_WEBGL) as page:
        page.wait_for_selector(".no-stage img")
        assert page.locator(".no-stage img").evaluate("image => image.naturalWidth") == 1
        assert page.locator(".no-stage img").get_attribute("alt") == "a picture"
        page.get_by_role("tab", name="Right and wrong").click()
        assert page.locator(".numbers li").count() >= 1


def test_where_scripts_are_refused_the_page_is_not_empty(chromium, customer):
    with opened_quietly(chromium, customer, java_script_enabled=False) as page:
        text = page.locator("#paper").inner_text()
        for said in (
            "Knot",
            "The shed · 17 · 1 May",
            "What this page shows",
            "Rod turned round, bore 1",
            "Cautions",
        ):
            assert said in text
        assert page.locator("#app").is_hidden()


def test_on_paper_there_are_no_controls_and_nothing_is_cut(opened, customer):
    page = opened(customer, reduced_motion="reduce")
    assert page.locator("#paper").is_hidden()
    page.emulate_media(media="print", color_scheme="dark")
    assert page.locator("#paper").is_visible()
    assert page.locator("button:visible, input:visible, canvas:visible").count() == 0
    page.set_viewport_size({"width": 690, "height": 1000})  # the room on A4 between its margins, px
    assert page.evaluate("document.documentElement.scrollWidth") <= 690
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


def data_of(path):
    return json.loads(held_in(path, "page"))


def held_in(path, name):
    text = path.read_text(encoding="utf-8")
    return zlib.decompress(base64.b64decode(re.search(rf'id="{name}">(.*?)</script>', text, re.DOTALL)[1]))


def with_picture(path, folder):
    """The same page with a picture of one pixel, of a data address that a browser knows."""
    page = data_of(path) | {"pictures": [{"source": GIF, "words": "a picture", "width": 1, "height": 1}]}
    out = folder / "with_picture.html"
    out.write_text(document(page, held_in(path, "solids")), encoding="utf-8")
    return out


def test_a_picture_is_in_the_file_once(customer, tmp_path):
    assert with_picture(customer, tmp_path).read_text(encoding="utf-8").count(GIF) == 1


class Tags(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, attrs))


def test_nothing_that_is_written_becomes_an_element(customer):
    evil = '</script><b x="1">\'"&lt;'
    page = data_of(customer)
    page |= {
        "title": evil, "shop": evil, "job": evil, "date": evil, "assumed": evil, "cautions": [evil],
        "chapters": [{"title": evil, "paragraphs": [f"[[{evil}]]"]}],
        "pictures": [{"source": "data:,", "words": evil, "width": 1, "height": 1}],
    }  # fmt: skip
    page["mistake"] |= dict.fromkeys(
        ("title", "place", "different", "text", "look_for", "cure", "recorded"), evil
    )
    for place in page["variants"][-1]["places"]:
        place["words"] = evil
    for text in (on_paper(page), document(page, b"")):
        assert "b" not in {tag for tag, _ in Tags(text).tags}
        assert '<b x="1">' not in text
