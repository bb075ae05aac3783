"""The list of places: like ones together, with limit and margin."""

from dataclasses import replace
from itertools import pairwise

from geometry.checks.troubles import TroubleSpot
from viewer.spot_words import limit_words, value_words, verdict_words
from viewer.window.listing import TITLE, place_list
from viewer.window.places import bores_words, in_lines, look_of
from viewer.window.state import ViewState

POINT = (0.0, 0.0, 0.0)
CLEAR = TroubleSpot(
    "clearance", "rod_bolt pan_rail", "note", "clear", 3, None, 75.0, ("rod_bolt 3 major", "block"), POINT, POINT,
    1.5, 1.27, 0.23, "length", "common practice", "rod bolt to pan rail",
)  # fmt: skip
NEAR = replace(CLEAR, severity="stop", nearby="close", bore=6, value=1.0, margin=-0.27)
RING = replace(
    CLEAR, kind="ring", group="ring.top.gap", severity="stop", nearby="touches", bore=2, bodies=("top_ring 2",),
    value=0.9, limit=0.7, margin=-0.2, words="top ring gap",
)  # fmt: skip
TURNED = replace(
    CLEAR, kind="rod", group="rod.way", severity="stop", nearby="touches", bore=4, bodies=("rod 4", "crank"),
    value=None, limit=None, margin=None, words="rod turned round",
)  # fmt: skip
PLACES = in_lines([TURNED, RING, NEAR, CLEAR], [])
SIZE = (1024, 700)


def measure(text, size, bold):
    return 0.55 * size * len(text), size


def test_like_places_stand_in_one_line_as_bad_as_its_worst():
    assert [(one.line, one.spot.bore) for one in PLACES] == [(0, 4), (1, 2), (2, 6), (2, 3)]
    assert [look_of(one.spot) for one in PLACES] == ["chamfer", "rings", "near", "near"]
    assert bores_words(PLACES[2:], PLACES[2]) == "bore 6, 1 within"
    assert bores_words(PLACES[2:], PLACES[3]) == "bore 3, 1 outside"
    assert bores_words(PLACES[:1], PLACES[0]) == "bore 4"


def test_over_assumed_values_no_line_gives_an_unqualified_verdict():
    panel = place_list(ViewState(), PLACES, "mm", SIZE, measure, assumed="3 of 90 values are assumed")
    said = {word.text.split("  ·  ")[0] for word in panel.words}
    # A rod turned round is turned whatever its sizes are.
    assert {"wrong", "outside, as assumed", "close, as assumed", "bore 6, 1 within, as assumed"} <= said
    assert not {"outside", "close", "clear", "within"} & said


def test_a_line_says_value_limit_margin_and_verdict():
    assert (value_words(NEAR, "mm"), verdict_words(NEAR)) == ("1.000 mm", "close")
    assert limit_words(NEAR, "mm") == "least 1.27 mm, 0.270 mm missing"
    assert limit_words(CLEAR, "mm") == "least 1.27 mm, 0.230 mm left"
    assert limit_words(RING, "mm") == "most 0.700 mm, 0.200 mm too much"
    assert (value_words(TURNED, "mm"), limit_words(TURNED, "mm"), verdict_words(TURNED)) == ("", "", "wrong")


def test_the_list_draws_each_line_once_and_a_click_on_it_means_the_line():
    panel = place_list(ViewState(place=3), PLACES, "mm", SIZE, measure)
    said = [word.text for word in panel.words]
    assert said[0] == TITLE
    assert said.count("rod bolt to pan rail") == 1
    assert "1.500 mm" in said  # of the bore that is chosen in the line, not of its worst
    assert [line for _, line in panel.hits] == [0, 1, 2]
    boxes = [box for box, _ in panel.hits]
    assert all(a.apart_from(b) for a, b in pairwise(boxes))
    (plate,) = panel.taken
    assert plate.left >= 0.5 * SIZE[0]


def test_a_long_list_shows_the_chosen_line_and_says_how_many_follow():
    many = in_lines([replace(RING, group=f"ring {n}", words=f"fault {n}") for n in range(20)], [])
    first = place_list(ViewState(), many, "mm", SIZE, measure)
    shown = len(first.hits)
    assert 2 <= shown < 20
    assert f"{20 - shown} more: N" in [word.text for word in first.words]
    last = place_list(ViewState(place=19), many, "mm", SIZE, measure)
    assert last.hits[-1][1] == 19
    assert all(word.box.bottom >= 0.3 * SIZE[1] for word in last.words)


def test_why_there_is_no_list_is_said():
    assert "working" in [w.text for w in place_list(ViewState(), None, "mm", SIZE, measure, "working").words]
    assert "nothing comes close" in [w.text for w in place_list(ViewState(), (), "mm", SIZE, measure).words]
