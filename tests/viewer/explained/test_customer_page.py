"""The page for the customer: nothing leaves the paper, no words over others, every word of the heads is there."""

from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from geometry.spec.described import load_described
from tests.viewer.explained.bench import case_of
from viewer.explained import page, sheet

TERN = Path(__file__).parents[3] / "demo_engines" / "tern.toml"
KEYS = [mistake.key for mistake in mistakes() if "rod_bolt" not in mistake.moves]
"""All but the two that take seconds to certify, of which little is said."""


@cache
def tern():
    """The engine with the longest words: two banks, inches, and almost every limit with its source."""
    return assemble(load_described(TERN, {}).spec)


def texts(figure):
    """Words on the paper and of the locator, each with the box in which it is drawn; those of the halves left out."""
    for axis in figure.axes:
        axis.apply_aspect()
    pen = FigureCanvasAgg(figure).get_renderer()
    written = [*figure.texts, *(text for axis in figure.axes for text in axis.texts)]
    return [(text.get_text(), Text.get_window_extent(text, pen)) for text in written if text.get_text()]


@cache
def case(key):
    return case_of(tern(), key, system="in")


def over(box, other):
    return (
        min(box.x1, other.x1) - max(box.x0, other.x0) > 0.5
        and min(box.y1, other.y1) - max(box.y0, other.y0) > 0.5
    )


def faults(found, paper, halves):
    for text, box in found:
        if box.x0 < paper.x0 or box.x1 > paper.x1 or box.y0 < paper.y0 or box.y1 > paper.y1:
            yield f"'{text}' leaves the paper"
        if any(over(box, half) for half in halves):
            yield f"'{text}' lies over a half"
    for (text, box), (other, beside) in combinations(found, 2):
        if over(box, beside):
            yield f"'{text}' lies over '{other}'"


def of_page(case, monkeypatch):
    """What is wrong with the page of a case, its halves left empty."""
    halves = []

    def empty(pen, case, wrong):
        halves.append(pen.axis.bbox)
        return 0.0, 0.0

    drawing = replace(sheet.drawing_of(case), draw=empty)
    with monkeypatch.context() as patched:
        patched.setattr(sheet, "drawing_of", lambda case: drawing)
        figure = page.customer_page(case)
    found = texts(figure)
    assert len(halves) == 2
    yield from faults(found, figure.bbox, halves)
    written = " ".join(" ".join(text for text, _ in found).split())
    for words in (case.study.spot.text, case.study.does, case.study.remedy):
        if words not in written:
            yield f"'{words}' is cut"


@pytest.mark.parametrize("key", KEYS)
def test_nothing_leaves_the_page_and_no_words_lie_over_others(key, monkeypatch):
    assert list(of_page(case(key), monkeypatch)) == []


def test_a_customer_sees_the_troubles_own_number_first_and_judged():
    for key in KEYS:
        first, *others = case(key).chief_rows()
        assert first["severity"] in ("stop", "look"), key
        assert first["verdict"], key
        assert first["limit"] is not None, key
        assert len(others) <= 2, key
