"""Every mistake on every demo engine in which it can be made: what differs is seen, in the middle, words stay apart.

Three parts in a hundred of a half must differ by more than 24 of 255 in lightness with no word drawn: the measure of
our own by which a picture counts as one that shows something.
"""

from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from matplotlib.text import Text

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from geometry.spec.described import load_described
from tests.viewer.explained.bench import case_of, half, share_that_differs

DEMOS = Path(__file__).parents[3] / "demo_engines"
LIKE_ANOTHER = ("tern_long_stroke", "plover", "turnstone", "dunlin")
"""Tern but for its stroke, in line as Knot is, with more bores, and values in doubt, which no shape tells: their
pictures too. Drawing them costs more than all others."""
ENGINES = sorted(
    path.stem for path in DEMOS.glob("*.toml") if ".record" not in path.name and path.stem not in LIKE_ANOTHER
)
LEAST = 0.03
LOOKED_AT = (("tern", "in"), ("dunlin", "mm"))


@cache
def engine(name):
    return assemble(load_described(DEMOS / f"{name}.toml", {}).spec)


@cache
def those_of(name, system="mm"):
    found = ((mistake.key, mistake.places(engine(name))) for mistake in mistakes())
    return [case_of(engine(name), key, places[0], system) for key, places in found if places]


@pytest.mark.parametrize("name", ENGINES)
def test_what_differs_is_seen_without_words_and_in_the_middle(name):
    missed = []
    for case in those_of(name):
        share, spots = share_that_differs(case, 160)
        if share < LEAST:
            missed.append(f"{case.mistake.key}: {100 * share:.1f} % differ")
        if not all(1 / 3 <= place <= 2 / 3 for spot in spots for place in spot):
            missed.append(f"{case.mistake.key}: trouble at {spots}")
    assert missed == []


@pytest.mark.parametrize(("name", "system"), LOOKED_AT)
def test_one_camera_and_words_that_stay_in_their_half_and_apart(name, system):
    missed = []
    for case in those_of(name, system):
        frames = []
        for wrong in (False, True):
            axis, _ = half(case, wrong)
            frames.append((*axis.get_xlim(), *axis.get_ylim()))
            missed += [
                f"{case.mistake.key}, {'wrong' if wrong else 'right'}: {fault}" for fault in faults(axis)
            ]
        if frames[0] != pytest.approx(frames[1]):
            missed.append(f"{case.mistake.key}: two cameras")
    assert missed == []


def faults(axis):
    """Words that leave their half, and words over each other, by the boxes in which they are drawn; leaders aside."""
    axis.figure.draw_without_rendering()
    boxes = {text.get_text(): Text.get_window_extent(text) for text in axis.texts if text.get_text()}
    for text, box in boxes.items():
        if not (
            axis.bbox.x0 <= box.x0
            and box.x1 <= axis.bbox.x1
            and axis.bbox.y0 <= box.y0
            and box.y1 <= axis.bbox.y1
        ):
            yield f"'{text}' leaves its half"
    for (text, box), (other, over) in combinations(boxes.items(), 2):
        if box.x0 < over.x1 and over.x0 < box.x1 and box.y0 < over.y1 and over.y0 < box.y1:
            yield f"'{text}' lies over '{other}'"
