"""Which side of a ring is up."""

import pytest

from geometry.rings.types import FACE_FEATURES, INSIDE_FEATURES, OIL_RING_WORDS, twist_of, way_up

ALL = pytest.mark.parametrize(
    "face, inside", [(face, inside) for face in FACE_FEATURES for inside in INSIDE_FEATURES]
)


@ALL
def test_words_agree_with_the_outline(face, inside):
    way = way_up(face, inside)
    written_symmetric = not (FACE_FEATURES[face].up or INSIDE_FEATURES[inside].up)
    assert way.symmetric == written_symmetric
    assert way.side_up == ("either" if way.symmetric else "section")
    assert way.how
    assert way.upside_down
    assert way.source.certainty == "memory"
    if way.symmetric:
        assert way.twist == "none"
        assert way.upside_down.startswith("Nothing")
    else:
        assert way.why


@ALL
def test_upside_down_twists_the_other_way(face, inside):
    other = {"positive": "negative", "negative": "positive", "none": "none"}
    way = way_up(face, inside)
    assert way.twist_upside_down == other[way.twist]


@pytest.mark.parametrize(
    "face, inside, twist",
    [
        # Ring makers' handbooks, from memory.
        ("rectangular", "plain", "none"),
        ("barrel", "plain", "none"),
        ("taper", "plain", "none"),
        ("keystone", "plain", "none"),
        ("rectangular", "bevel_top", "positive"),
        ("barrel", "bevel_top", "positive"),
        ("rectangular", "step_top", "positive"),
        ("taper", "bevel_bottom", "negative"),
        ("taper", "step_bottom", "negative"),
        ("napier", "plain", "positive"),
    ],
)
def test_twist_of_common_types(face, inside, twist):
    assert twist_of(face, inside) == twist


@ALL
@pytest.mark.parametrize("mark, word", [("dot", "dot"), ("word", "TOP")])
def test_a_mark_always_faces_up(face, inside, mark, word):
    way = way_up(face, inside, mark)
    assert way.side_up == "mark"
    assert word in way.how
    assert "up, towards the crown" in way.how
    assert not way.upside_down.startswith("Nothing")
    assert way.why


def test_words_a_builder_can_act_on():
    assert way_up("napier", "plain").how == "No mark: the hook faces down, away from the crown."
    assert way_up("barrel", "plain").how == "Either way up."
    both = way_up("taper", "bevel_bottom", "dot")
    assert "sharp edge" in both.how
    assert "bevel faces down" in both.how
    assert "oil" in both.upside_down


def test_oil_rings_have_words():
    for feature in OIL_RING_WORDS.values():
        assert feature.term.endswith("oil-control ring")
        assert feature.why
        assert feature.wrong
