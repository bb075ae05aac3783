"""Support functions, sectors and their excess, against points strewn over the true solids."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.collision.support import PieceTable, circles_of, inner_chain
from geometry.solids import Box, Cylinder, Hull, Lobe, Revolved

RNG = np.random.default_rng(3)
POSE = np.eye(4)
POSE[:3, :3] = [[0, 0, 1], [0.6, 0.8, 0], [-0.8, 0.6, 0]]
POSE[:3, 3] = 3.0, -20.0, 11.0
RING = np.array([[30.0, -5.0], [40.0, -5.0], [40.0, 6.0], [32.0, 6.0]])


def surface(piece, count=20000):
    """Points of a solid that include its extreme ones, from its definition, in the part's frame."""
    turn = np.linspace(0, 2 * np.pi, count // 40, endpoint=False)
    rim = np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])
    if isinstance(piece, Cylinder):
        own = np.vstack([rim * piece.radius_mm + [0, 0, s * piece.length_mm / 2] for s in (-1, 1)])
    elif isinstance(piece, Box):
        own = (
            np.array([[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)])
            * np.array(piece.size_mm)
            / 2
        )
    elif isinstance(piece, Hull):
        own = piece.points_mm
    elif isinstance(piece, Lobe):
        ends = [(piece.radius_mm, 0), (piece.nose_radius_mm, piece.distance_mm)]
        own = np.vstack([rim * r + [0, d, s * piece.length_mm / 2] for r, d in ends for s in (-1, 1)])
    else:
        phi = np.radians(np.linspace(piece.start_deg, piece.end_deg, count // 20))
        own = np.vstack(
            [np.column_stack([r * np.cos(phi), r * np.sin(phi), 0 * phi + z]) for r, z in piece.profile_mm]
        )
    return own @ piece.X_AP[:3, :3].T + piece.X_AP[:3, 3]


PIECES = [
    Cylinder(12.0, 30.0, POSE),
    Box((10.0, 24.0, 7.0), POSE),
    Hull(RNG.normal(size=(9, 3)) * 20.0, POSE),
    Lobe(20.0, 9.0, 15.0, 14.0, POSE),
    Revolved(RING, 0.0, 360.0, POSE),
    Revolved(RING, -40.0, 75.0, POSE),
    Revolved(np.array([[0.0, -4.0], [25.0, -4.0], [25.0, 4.0], [0.0, 4.0]]), 10.0, 250.0, POSE),
]


@pytest.mark.parametrize("piece", PIECES, ids=lambda p: type(p).__name__)
def test_the_support_function_is_the_farthest_point(piece):
    table = PieceTable([circles_of(piece), circles_of(PIECES[2])])
    n = RNG.normal(size=(3, 200))
    n /= np.linalg.norm(n, axis=0)
    item = np.zeros(200, dtype=np.intp)
    held = table.gather(item, table.middle[item], table.half[item])
    points = surface(piece)
    reach = (points @ n).max(axis=0)
    assert held.height(n) == pytest.approx(reach, abs=2e-3)
    assert np.all(held.height(n) >= reach - 1e-9)
    height, point = held.point(n)
    assert (n * point).sum(axis=0) == pytest.approx(height, abs=1e-9)


def test_a_hull_of_a_sector_exceeds_the_ring_by_no_more_than_stated():
    """Every mean of points of the sector is as near to the ring as the proof says, and some need it all."""
    for half in np.radians([1.0, 10.0, 45.0, 90.0]):
        circles = circles_of(Revolved(RING))
        excess = PieceTable([circles]).excess(np.zeros(1, dtype=np.intp), np.array([half]))[0]
        phi = RNG.choice([-half, half], size=(4000, 3))
        corner = RING[RNG.integers(0, 4, size=(4000, 3))]
        points = np.stack(
            [corner[..., 0] * np.cos(phi), corner[..., 0] * np.sin(phi), corner[..., 1]], axis=-1
        )
        mean = (points * RNG.dirichlet(np.ones(3), size=4000)[..., None]).sum(axis=1)
        inner = np.interp(mean[:, 2], [-5.0, 6.0], [30.0, 32.0])
        short = inner - np.hypot(mean[:, 0], mean[:, 1])
        assert short.max() <= excess + 1e-9
        assert excess == pytest.approx(32.0 * (1 - np.cos(half)))


def test_a_point_of_the_hull_beyond_the_inner_radius_belongs_to_the_ring():
    table = PieceTable([circles_of(Revolved(RING, 0.0, 360.0, POSE))])
    own = np.array([[31.0, 0.0, 0.0], [20.0, 0.0, 0.0], [0.0, -32.0, 6.0]])
    at = (own @ POSE[:3, :3].T + POSE[:3, 3]).T
    short = table.shortfall(np.zeros(3, dtype=np.intp), np.full(3, np.pi), at)
    assert short == pytest.approx([0.0, 30.0 + 2.0 * 5.0 / 11.0 - 20.0, 0.0], abs=1e-9)


@given(st.floats(0.05, 3.0), st.floats(0.05, 3.0))
def test_the_inner_chain_of_a_chamfered_wall(width, height):
    wall = np.array([[51.0, 80.0 + height], [51.0 + width, 80.0], [60.0, 80.0], [60.0, 200.0], [51.0, 200.0]])
    assert inner_chain(wall).tolist() == [[51.0 + width, 80.0], [51.0, 80.0 + height], [51.0, 200.0]]


def test_pieces_without_sense_are_refused():
    with pytest.raises(ValueError, match="negative radius"):
        circles_of(Revolved(np.array([[-1.0, 0.0], [5.0, 0.0], [5.0, 3.0]])))
    with pytest.raises(ValueError, match="no height"):
        circles_of(Revolved(np.array([[1.0, 2.0], [5.0, 2.0]])))
    with pytest.raises(ValueError, match="degrees"):
        circles_of(Revolved(RING, 30.0, 30.0))


def test_along_the_axis_of_a_ring_the_farthest_point_is_still_on_the_ring():
    """Seen exactly along its axis a hollow piece has no point at its centre."""
    table = PieceTable([circles_of(Revolved(RING))])
    item = np.zeros(2, dtype=np.intp)
    n = np.array([[0.0, 0.0], [0.0, 0.0], [1.0, -1.0]])
    for half in (np.pi, 0.3):
        held = table.gather(item, np.full(2, 0.7), np.full(2, half))
        height, point = held.point(n)
        assert height == pytest.approx([6.0, 5.0])
        assert np.all(np.hypot(point[0], point[1]) >= 30.0 - 1e-9)
