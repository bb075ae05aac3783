"""Rings in their grooves."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from geometry.errors import GeometryError
from geometry.rings.groove import SIDE_LIMITS, groove_fit, judge_back, judge_side


@given(
    bore=st.floats(60, 150), land=st.floats(0.1, 1.5), depth=st.floats(2, 6), wall=st.floats(2, 6),
    height=st.floats(0.8, 3), side=st.floats(0.0, 0.2),
)  # fmt: skip
def test_clearances_against_drawn_shapes(bore, land, depth, wall, height, side):
    # Half section drawn as rectangles, radius to the right: piston metal below the groove's root, ring against the
    # bore, then the piston moved over until its land touches the bore.
    land_d = bore - 2 * land
    root_d = land_d - 2 * depth
    fit = groove_fit(bore, land_d, root_d, height + side, height, wall)
    ring = box(bore / 2 - wall, 0, bore / 2, height)
    core = box(0, -10, root_d / 2, 10)
    moved = shapely.affinity.translate(core, land, 0)
    for piston, clearance in ((core, fit.back_mm), (moved, fit.back_at_wall_mm)):
        if clearance > 1e-9:
            assert ring.distance(piston) == pytest.approx(clearance, abs=1e-9)
        elif clearance < -1e-9:
            assert ring.intersection(piston).area == pytest.approx(-clearance * height, abs=1e-6)
    assert fit.side_mm == pytest.approx(side, abs=1e-9)


@pytest.mark.parametrize(
    "wall, state",
    [(4.2, "clear"), (4.401, "bottoms_at_wall"), (4.69, "bottoms_at_wall"), (4.70, "proud"), (5.0, "proud")],
)
def test_back(wall, state):
    # Groove depth (101.0 - 92.2) / 2 = 4.4; from the bore to the root (101.6 - 92.2) / 2 = 4.7.
    assert judge_back(groove_fit(101.6, 101.0, 92.2, 1.55, 1.5, wall)) == state


@pytest.mark.parametrize(
    "side, state",
    [
        # Petrol row: 0.030 to 0.070 mm, limit 0.10.
        (0.02, "tight"),
        (-0.01, "tight"),
        (0.03, "within"),
        (0.07, "within"),
        (0.08, "loose"),
        (0.10, "loose"),
        (0.11, "replace"),
    ],
)
def test_side(side, state):
    assert judge_side(side, SIDE_LIMITS["petrol"]) == state


def test_without_a_wear_limit_nothing_is_condemned():
    assert judge_side(0.5, SIDE_LIMITS["petrol_v8"]) == "loose"


@pytest.mark.parametrize(
    "sizes",
    [
        (100, 101, 92, 1.5, 1.5, 4),
        (100, 99, 99, 1.5, 1.5, 4),
        (100, 99, 92, 0, 1.5, 4),
        (100, 99, 92, 1.5, 1.5, -1),
    ],
)
def test_grooves_that_cannot_be(sizes):
    with pytest.raises(GeometryError):
        groove_fit(*sizes)
