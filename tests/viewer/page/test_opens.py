"""The page as a whole, from a file, without a network."""

import pytest

pytestmark = pytest.mark.browser


def test_it_opens_from_a_file_and_draws(opened, page_file):
    page = opened(page_file("knot"))
    assert page.title() == "Knot"
    assert page.evaluate("window.fullturn.stage.frames") > 0


def test_nothing_outside_is_named(page_file):
    text = page_file("knot").read_text(encoding="utf-8")
    assert "default-src 'none'" in text
    assert "connect-src 'none'" in text
