"""The page from a phone to a wall of pixels, and at twice the size of letters: measured by ``looking.js``."""

from pathlib import Path

import pytest

SIZES = {
    "phone": (360, 640),
    "tablet": (820, 1180),
    "desk": (1280, 800),
    "wall": (3840, 2160),
    "twice": (640, 400),
}
"""`twice` is a desk at 200 % (WCAG 1.4.4): half as many points either way."""
PAGES = {"builder": {}, "customer": {"voice": "customer", "mistake": "rod_turned"}}
TOUCHED = ("phone", "tablet")
FINGER_PX = 44
"""Width and height of what a finger hits: https://www.w3.org/TR/WCAG22/#target-size-enhanced."""
pytestmark = pytest.mark.browser


@pytest.mark.parametrize("asked", PAGES)
@pytest.mark.parametrize("size", SIZES)
def test_nothing_is_cut_off_nor_lies_over_other_words(kept_pages, asked, size):
    kept = kept_pages(**PAGES[asked])
    width, height = SIZES[size]
    kept.page.set_viewport_size({"width": width, "height": height})
    kept.settle()
    found = []
    for tab in kept.tabs():
        for what in ("sideways", "cut", "overlaps"):
            found += [f"{tab}: {one}" for one in kept.look(what)]
        if size in TOUCHED:
            found += [f"{tab}: {one}" for one in kept.look("targets", FINGER_PX)]
    assert found == []


@pytest.mark.parametrize("asked", PAGES)
def test_the_picture_has_a_third_of_a_phone(kept_pages, asked):
    kept = kept_pages(**PAGES[asked])
    kept.page.set_viewport_size({"width": 360, "height": 640})
    assert kept.page.locator(".stage-room").bounding_box()["height"] >= 640 / 3


@pytest.mark.parametrize("size", ["phone", "twice"])
def test_the_cautions_are_on_every_screen(kept_pages, size):
    kept = kept_pages()
    kept.page.set_viewport_size(dict(zip(("width", "height"), SIZES[size], strict=True)))
    foot = kept.page.locator(".foot p")
    assert foot.is_visible()
    foot.scroll_into_view_if_needed()
    box = foot.bounding_box()
    assert box["height"] > 10
    assert 0 <= box["y"] < SIZES[size][1]
    kept.page.evaluate("scrollTo(0, 0)")


SPOILED = {
    "sideways": '<div style="width: 150vw">wide</div>',
    "cut": '<div style="width: 30px; overflow: hidden; white-space: nowrap">some long words</div>',
    "overlaps": '<p>one line of words</p><p style="margin-top: -2.2em">another line</p>',
    "targets": '<button style="width: 20px; height: 20px">x</button>',
}


def test_what_is_wrong_is_found(chromium):
    page = chromium.new_page()
    page.evaluate(Path(__file__).with_name("looking.js").read_text(encoding="utf-8"))
    for spoiled, html in SPOILED.items():
        page.evaluate("(html) => { document.body.innerHTML = html }", html)
        found = {what for what in SPOILED if page.evaluate(f"looking.{what}({FINGER_PX})")}
        assert found == {spoiled}
    page.close()
