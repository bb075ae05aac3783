"""What a valve can meet of a crown: against the crown's height on a fine grid, point by point."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.parts.shapes.crown import CrownShape, Recess, surface_mm
from geometry.parts.shapes.crown_meets import highest_under_mm, pocket_walls

RADIUS = 50.0


def pockets():
    return st.lists(
        st.builds(Recess, st.floats(-30, 30), st.floats(-30, 30), st.floats(12, 26), st.floats(0.5, 4)),
        max_size=3,
    ).map(tuple)


def crowns():
    return st.builds(
        lambda rise, shape, found: CrownShape(40.0, RADIUS, rise, shape if rise else 0.0, found, 30.0),
        st.sampled_from([0.0, 3.0, -5.0]),
        st.floats(12, 44),
        pockets(),
    )


def height(top, x, y):
    """The crown over its flat; far below beside the piston."""
    z = surface_mm(x, y, top.radius_mm, top.rise_mm, top.shape_mm, top.recesses)
    return np.where(np.hypot(x, y) <= top.radius_mm, z, -np.inf)


def grid(radius, step):
    ring = np.arange(step / 2, radius, step)
    r, t = np.meshgrid(ring, np.arange(0.0, 360.0, 1.0))
    return (r * np.cos(np.radians(t))).ravel(), (r * np.sin(np.radians(t))).ravel()


@settings(max_examples=150, deadline=None)
@given(crowns(), st.floats(-25, 25), st.floats(-25, 25), st.floats(10, 22))
def test_nothing_under_a_valve_stands_higher_and_something_as_high(top, x, y, radius):
    dx, dy = grid(radius, 0.25)
    seen = height(top, x + dx, y + dy).max()
    found = highest_under_mm(top, x, y, radius)
    assert seen <= found + 1e-6
    # a flank of 45 degrees rises by no more than the grid is wide; a thin sliver may fall through it
    slivers = any(abs(np.hypot(x - r.x_mm, y - r.y_mm) + s * radius - r.radius_mm) < 1.0
                  for r in top.recesses for s in (-1, 1))  # fmt: skip
    if not slivers and len(top.recesses) < 2:
        assert found <= seen + 0.5


def test_a_valve_within_its_pocket_stands_over_its_floor_and_one_over_its_edge_over_the_flat():
    top = CrownShape(40.0, RADIUS, 0.0, 0.0, (Recess(10.0, 5.0, 20.0, 2.5),), 30.0)
    assert highest_under_mm(top, 10.0, 5.0, 20.0) == -2.5
    assert highest_under_mm(top, 13.0, 9.0, 15.0) == -2.5  # 5 mm aside: touches the wall
    assert highest_under_mm(top, 13.0, 9.0, 15.1) == 0.0


def test_a_dome_counts_only_where_it_is_not_cut_away():
    # By hand: the pocket ends 10 mm from the axis, where a dome 3 mm high with its foot at 12 mm stands at 2 mm.
    top = CrownShape(40.0, RADIUS, 3.0, 12.0, (Recess(30.0, 0.0, 20.0, 1.0),), 30.0)
    assert highest_under_mm(top, 29.0, 0.0, 20.0) == pytest.approx(3.0 - 0.0)  # reaches to 9 mm: full height
    top = CrownShape(40.0, RADIUS, 3.0, 12.0, (Recess(31.0, 0.0, 20.0, 1.0),), 30.0)
    assert highest_under_mm(top, 30.5, 0.0, 20.0) == pytest.approx(1.5, abs=1e-5)  # reaches to 10.5 mm


def test_two_pockets_that_run_into_each_other_leave_the_shallower_floor():
    top = CrownShape(
        40.0, RADIUS, 0.0, 0.0, (Recess(-8.0, 0.0, 20.0, 3.0), Recess(8.0, 0.0, 20.0, 1.0)), 30.0
    )
    assert highest_under_mm(top, 0.0, 0.0, 5.0) == -3.0
    assert highest_under_mm(top, 14.0, 0.0, 5.0) == -1.0


def test_the_wall_is_where_the_rim_comes_nearest():
    top = CrownShape(40.0, RADIUS, 0.0, 0.0, (Recess(10.0, 5.0, 20.0, 2.5),), 30.0)
    (wall,) = pocket_walls(top, 13.0, 9.0)  # 5 mm off the pocket's middle along (3, 4)
    assert (wall.x_mm, wall.y_mm, wall.rim_mm) == pytest.approx((10.0 + 12.0, 5.0 + 16.0, 0.0))
    assert pocket_walls(top, -30.0, 5.0) == ()


def test_two_pockets_of_one_rim_do_not_take_each_others_wall_away():
    twin = Recess(10.0, 5.0, 20.0, 2.5)
    top = CrownShape(40.0, RADIUS, 0.0, 0.0, (twin, Recess(10.0, 5.0, 20.0, 2.5)), 30.0)
    assert min(np.hypot(w.x_mm - 13.0, w.y_mm - 9.0) for w in pocket_walls(top, 13.0, 9.0)) == pytest.approx(
        15.0
    )


def test_a_pocket_that_runs_out_through_the_edge_has_no_wall_there():
    # By hand: circles of 50 about the axis and of 20 about (35, 0) cross at x = 47.5, y = 15.61.
    top = CrownShape(40.0, RADIUS, 0.0, 0.0, (Recess(35.0, 0.0, 20.0, 2.5),), 30.0)
    nearest = min(np.hypot(w.x_mm - 40.0, w.y_mm) for w in pocket_walls(top, 40.0, 0.0))
    assert nearest == pytest.approx(np.hypot(7.5, np.sqrt(50.0**2 - 47.5**2)))


@settings(max_examples=150, deadline=None)
@given(crowns(), st.floats(-25, 25), st.floats(-25, 25))
def test_every_step_of_a_rim_is_as_far_from_the_valve_as_its_wall_says(top, x, y):
    angle = np.radians(np.arange(0.25, 360.0, 0.5))
    walls = pocket_walls(top, x, y)
    seen = []
    for pocket in top.recesses:
        if np.hypot(x - pocket.x_mm, y - pocket.y_mm) >= pocket.radius_mm:
            continue
        out, within = (
            np.array([pocket.x_mm + (pocket.radius_mm + s) * np.cos(angle),
                      pocket.y_mm + (pocket.radius_mm + s) * np.sin(angle)])
            for s in (1e-6, -1e-6)
        )  # fmt: skip
        step = (height(top, *out) > height(top, *within) + 1e-5) & (np.hypot(*out) < RADIUS)
        step &= height(top, *out) > -pocket.depth_mm + 1e-5
        seen += [np.hypot(out[0][step] - x, out[1][step] - y)]
    nearest = min((d.min() for d in seen if d.size), default=np.inf)
    told = min((np.hypot(w.x_mm - x, w.y_mm - y) for w in walls), default=np.inf)
    assert told <= nearest + 1e-5
    if np.isfinite(nearest):
        assert told >= nearest - 1.0
