"""Ring sections against a geometry library, and their twist against the stress that causes it."""

from typing import get_args

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from geometry.errors import GeometryError
from geometry.rings.section import (
    oil_pack,
    outline,
    twist_ratio,
    twisted,
    upside_down,
)
from geometry.spec.rings import Face, Inside

HEIGHT, WALL = 1.5, 4.0
ALL = [(face, inside) for face in get_args(Face) for inside in get_args(Inside)]
everything = pytest.mark.parametrize("face, inside", ALL)


def drawn(face, inside, exaggerate=1.0):
    return outline(face, inside, HEIGHT, WALL, exaggerate=exaggerate)


@everything
@pytest.mark.parametrize("exaggerate", [1.0, 8.0])
def test_outlines_are_simple_counter_clockwise_and_of_full_size(face, inside, exaggerate):
    section = drawn(face, inside, exaggerate)
    polygon = Polygon(section)
    assert polygon.is_valid
    assert polygon.exterior.is_ccw
    assert section[:, 0].max() == 0.0
    assert section[:, 0].min() == -WALL
    assert section[:, 1].min() >= -1e-12
    assert section[:, 1].max() <= HEIGHT + 1e-12
    # The ring stands on its full height somewhere near the face.
    assert np.ptp(section[section[:, 0] > -0.2 * WALL, 1]) == pytest.approx(HEIGHT, rel=0.02)


def hoop_couple(section, count=1200):
    """Couple of the hoop stresses of a ring bent closed, by summing small squares of the section.

    Bending stress grows with the distance from the centroid outward, stretched outside. A stretched fibre pulls
    towards the centre of the ring, a pressed one away. The couple that leans the top of the face inward counts
    positive.
    """
    polygon = Polygon(section)
    x0, y0, x1, y1 = polygon.bounds
    x, y = np.meshgrid(
        x0 + (np.arange(count) + 0.5) * (x1 - x0) / count, y0 + (np.arange(count) + 0.5) * (y1 - y0) / count
    )
    inside = shapely.contains_xy(polygon, x, y)
    x, y = x[inside], y[inside]
    x, y = x - x.mean(), y - y.mean()
    inward_pull = x
    return float(np.sum(inward_pull * y) / np.sum(x * x))


@pytest.mark.parametrize(
    "face, inside",
    [("rectangular", "bevel_top"), ("rectangular", "step_bottom"), ("taper", "bevel_bottom"), ("napier", "plain"),
     ("half_keystone", "plain"), ("keystone", "plain"), ("barrel", "step_top")],
)  # fmt: skip
def test_twist_against_summed_stresses(face, inside):
    section = drawn(face, inside)
    assert twist_ratio(section) == pytest.approx(hoop_couple(section), abs=4e-4)


@pytest.mark.parametrize("face", ["rectangular", "barrel", "taper", "keystone"])
def test_relief_at_the_top_twists_one_way_and_at_the_bottom_the_other(face):
    # Ring makers' handbooks, from memory: inside relief on top gives positive twist (the lower outer edge touches the
    # wall), inside relief at the bottom gives negative twist.
    for relief in ("bevel", "step"):
        assert twist_ratio(drawn(face, f"{relief}_top")) > 0.01
        assert twist_ratio(drawn(face, f"{relief}_bottom")) < -0.01


@everything
def test_upside_down_turns_the_twist_and_turns_back(face, inside):
    section = drawn(face, inside)
    over = upside_down(section, HEIGHT)
    assert Polygon(over).exterior.is_ccw
    assert twist_ratio(over) == pytest.approx(-twist_ratio(section), abs=1e-12)
    assert Polygon(upside_down(over, HEIGHT)).equals_exact(Polygon(section), 1e-12) or np.allclose(
        upside_down(over, HEIGHT), section
    )


def test_twist_leans_the_named_edge_to_the_wall():
    section = drawn("rectangular", "bevel_top")
    for twist, edge in ((2.0, 0), (-2.0, 1)):
        leant = twisted(section, twist)
        assert leant[:, 0].max() == pytest.approx(0)
        assert leant[:, 1].min() == pytest.approx(0)
        assert int(np.argmax(leant[:, 0])) == edge  # 0 lower, 1 upper edge of the face
        assert Polygon(leant).area == pytest.approx(Polygon(section).area)


def test_features_are_where_their_names_say():
    taper = drawn("taper", "plain")
    assert taper[0, 0] == 0.0 > taper[1, 0]  # lower edge stands out
    # One degree over 1.5 mm: 0.02618 mm.
    assert taper[1, 0] == pytest.approx(-0.02618, abs=1e-5)
    low = drawn("barrel_asymmetric", "plain")
    assert low[np.argmax(low[:, 0]), 1] < HEIGHT / 2
    missing = Polygon(drawn("rectangular", "plain")) - Polygon(drawn("napier", "plain"))
    assert missing.centroid.y < HEIGHT / 2
    assert missing.centroid.x > -WALL / 2
    top = Polygon(drawn("rectangular", "plain")) - Polygon(drawn("rectangular", "bevel_top"))
    assert top.centroid.y > HEIGHT / 2
    assert top.centroid.x < -WALL / 2


def test_napier_edge_is_undercut_and_a_scraper_is_not():
    for face, behind in (("napier", True), ("scraper", False)):
        section = drawn(face, "plain")
        assert bool(section[1, 1] > section[2, 1]) is behind


def test_keystone_tapers_inward_on_both_sides():
    # 6 degrees in all, from memory: 4 mm inward each flank comes in by 4 tan 3 degrees = 0.2096 mm.
    section = drawn("keystone", "plain")
    inner = section[section[:, 0] < -WALL + 1e-9, 1]
    assert inner.max() - inner.min() == pytest.approx(HEIGHT - 2 * 0.2096, abs=1e-3)


def test_oil_rings():
    pack = oil_pack(4.7, 0.5, 2.6)
    rails, expander = [Polygon(pack.upper_rail), Polygon(pack.lower_rail)], Polygon(pack.expander)
    assert all(piece.is_valid and piece.exterior.is_ccw for piece in (*rails, expander))
    assert pack.upper_rail[:, 1].max() == pytest.approx(4.7)
    assert pack.lower_rail[:, 1].min() == 0.0
    assert all(rail.intersection(expander).area < 1e-9 for rail in rails)
    assert max(rail[:, 0].max() for rail in (pack.upper_rail, pack.lower_rail)) == pytest.approx(0)
    assert pack.expander[:, 0].max() < 0


@pytest.mark.parametrize(
    "call",
    [
        lambda: outline("rectangular", "plain", 0.0, 4.0),
        lambda: outline("rectangular", "plain", 1.5, -4.0),
        lambda: outline("taper", "step_top", 1.5, 0.4, exaggerate=20),
        lambda: oil_pack(1.0, 0.5, 2.6),
        lambda: upside_down(drawn("taper", "plain"), 0.0),
    ],
)
def test_sections_that_cannot_be(call):
    with pytest.raises(GeometryError):
        call()
