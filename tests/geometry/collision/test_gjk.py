"""Batched nearest points against closed forms and against the collision library."""

import numpy as np
import pytest

from geometry.collision import gjk
from geometry.collision.support import PieceTable, circles_of
from geometry.kinematics.laws import Pose
from geometry.solids import Box, Cylinder, Lobe
from tests.geometry.collision.collision_library import library_distance, shape_of


def poses_at(shifts, turns):
    return Pose(np.cos(turns), np.sin(turns), *shifts)


def nearest(a, b, shifts, turns=None, accuracy=1e-8):
    """Nearest points of one pair with B shifted (3, m) and turned about x."""
    m = shifts.shape[1]
    table = PieceTable([circles_of(a), circles_of(b)])
    one = np.ones(m, dtype=np.intp)
    held = [table.gather(k * one, table.middle[k * one], table.half[k * one]) for k in (0, 1)]
    still = poses_at(np.zeros((3, m)), np.zeros(m))
    scene = gjk.PiecePairs(*held, still, poses_at(shifts, np.zeros(m) if turns is None else turns))
    return gjk.nearest(scene, shifts, np.full(m, accuracy), np.full(m, np.inf))


def upright(x=0.0, axis="z"):
    X = np.eye(4)
    if axis == "x":
        X[:3, :3] = [[0, 0, 1], [1, 0, 0], [0, 1, 0]]
    X[0, 3] = x
    return X


def test_parallel_cylinders():
    """Axes apart by D: D - r1 - r2 (elementary)."""
    shifts = np.array([[30.0, 0.0], [40.0, 60.0], [5.0, -3.0]])
    found = nearest(Cylinder(10, 50), Cylinder(7, 50), shifts)
    assert found.distance == pytest.approx(np.hypot(*shifts[:2]) - 17.0, abs=1e-7)


def test_crossed_cylinders():
    """Axes square to each other: distance of the axes less both radii (elementary)."""
    found = nearest(Cylinder(10, 200), Cylinder(7, 200, upright(axis="x")), np.array([[3.0], [42.5], [-8.0]]))
    assert found.distance == pytest.approx([42.5 - 17.0], abs=1e-7)


def test_boxes_corner_to_corner():
    found = nearest(Box((10, 10, 10)), Box((4, 4, 4)), np.array([[10.0], [11.0], [12.0]]))
    assert found.distance == pytest.approx([np.sqrt(3.0**2 + 4.0**2 + 5.0**2)], abs=1e-9)
    assert found.at_a[:, 0] == pytest.approx([5, 5, 5])
    assert found.at_b[:, 0] == pytest.approx([8, 9, 10])


def test_both_sides_of_the_proof_meet_and_agree_with_the_library():
    rng = np.random.default_rng(5)
    m = 300
    shifts = rng.normal(size=(3, m))
    shifts *= rng.uniform(15, 80, m) / np.linalg.norm(shifts, axis=0)
    turns = rng.uniform(0, 6, m)
    for a, b in (
        (Cylinder(10, 30), Box((20, 30, 40))),
        (Box((9, 5, 3)), Box((20, 8, 14))),
        (Cylinder(4, 9), Cylinder(8, 40)),
    ):
        found = nearest(a, b, shifts, turns, accuracy=1e-6)
        clear = ~found.overlap
        assert np.all(found.distance[clear] - found.gap[clear] <= 1e-6)
        shapes = [shape_of(p, circles_of(p), 0.0, np.pi) for p in (a, b)]
        for k in range(m):
            X = np.eye(4)
            c, s = np.cos(turns[k]), np.sin(turns[k])
            X[:3, :3], X[:3, 3] = [[1, 0, 0], [0, c, -s], [0, s, c]], shifts[:, k]
            theirs, _, _ = library_distance(*shapes, np.eye(4), X)
            assert (theirs <= 1e-6) == found.overlap[k] or abs(theirs) < 1e-4
            if clear[k]:
                # the library's iteration stops early now and then, always on the far side
                assert theirs >= found.distance[k] - 2e-4
                assert theirs <= found.distance[k] + 2e-3


def test_nearest_points_lie_in_the_pieces():
    rng = np.random.default_rng(6)
    shifts = rng.normal(size=(3, 200)) * 40
    found = nearest(Lobe(20, 8, 15, 12), Cylinder(6, 20), shifts, accuracy=1e-6)
    p = found.at_a[:, ~found.overlap]
    assert np.all(np.abs(p[2]) <= 6 + 1e-9)
    # a lobe is the union over s of discs of radius 20 - 12 s about (0, 15 s)
    s = np.linspace(0, 1, 4001)[:, None]
    assert np.all((np.hypot(p[0], p[1] - 15 * s) - (20 - 12 * s)).min(axis=0) <= 1e-4)
    q = found.at_b[:, ~found.overlap] - shifts[:, ~found.overlap]
    assert np.all(np.hypot(q[0], q[1]) <= 6 + 1e-9)
    assert np.all(np.abs(q[2]) <= 10 + 1e-9)
    assert np.linalg.norm(found.at_a - found.at_b, axis=0)[~found.overlap] == pytest.approx(
        found.distance[~found.overlap]
    )
