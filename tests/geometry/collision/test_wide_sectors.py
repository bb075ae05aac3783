"""Floors of wide sectors of hollow pieces against their slices, each asked by itself; and probes that stay narrow."""

import numpy as np
import pytest

from geometry.collision.mover import Mover
from geometry.collision.nodes import MA, MB, WA, WB, H, T
from geometry.collision.penetration import hollow_depth
from geometry.collision.piece_pairs import Items
from geometry.collision.wide_sectors import WIDEST_RAD, probes, wide_floors
from geometry.kinematics.laws import fixed, piston, spin
from geometry.solids import Box, Cylinder, Revolved
from tests.geometry.collision.scene import at, slab

INTERVAL_RAD, SLICES, ANGLES = 0.1, 9, 7
WALLS = {
    "wall": Revolved(slab(45.0, 50.0, 70.0), 0.0, 360.0, at(z=150.0), outward=True),
    "tube": Revolved(slab(45.0, 50.0, 70.0), 0.0, 360.0, at(z=150.0)),
    "cone": Revolved(
        np.array([[40.0, -70.0], [60.0, -70.0], [60.0, 70.0], [50.0, 70.0]]), 0.0, 360.0, at(z=150.0)
    ),
}
BODIES = {
    "across": (Cylinder(6.0, 96.0, at(y=1.0, axis="y")),),
    "beside": (Box((20.0, 20.0, 20.0), at(y=52.0)),),
    "end": (Box((30.0, 30.0, 30.0), at(x=44.0, z=44.0)),),
}


def nodes_of(items, turned_round, rng, count=40):
    """Nodes of random intervals and sectors of the hollow side, which is A or, turned round, B."""
    a, b = (np.full(count, k) for k in ((1, 0) if turned_round else (0, 1)))
    nodes = items.bounded(
        np.arange(count), a, b, rng.uniform(0, 2 * np.pi, count), np.full(count, INTERVAL_RAD)
    )
    middle, width = (MB, WB) if turned_round else (MA, WA)
    nodes.f[middle] = rng.uniform(0, 2 * np.pi, count)
    nodes.f[width] = rng.uniform(0.02, WIDEST_RAD, count)
    return nodes, middle, width


@pytest.mark.parametrize("turned_round", [False, True])
@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("wall", WALLS)
def test_no_slice_lies_below_the_floor_of_its_sector(wall, body, turned_round):
    """The definition in ``penetration``, slice by slice and angle by angle, against the floor of all of them."""
    hollow = Mover("hollow", fixed(), (WALLS[wall],))
    other = Mover("other", piston(0, 0, 0, 40.0, 150.0), BODIES[body])
    items = Items([hollow, other])
    rng = np.random.default_rng(5)
    nodes, middle, width = nodes_of(items, turned_round, rng)
    floors = wide_floors(items, nodes, items.motion(nodes)[1]).floor
    assert np.isfinite(floors).all()
    assert (floors < -0.5).any()
    share, angle, which = np.meshgrid(
        np.linspace(-1, 1, SLICES), np.linspace(-1, 1, ANGLES), np.arange(nodes.a.size), indexing="ij"
    )
    one = nodes.take(which.ravel())  # all slices of all sectors at all angles, at once
    one.f[middle] += share.ravel() * one.f[width]
    one.f[width] = 1e-4
    one.f[T] += angle.ravel() * one.f[H]
    told = hollow_depth(items, one, np.full(one.a.size, 1e-4), np.full(one.a.size, np.inf))
    assert (floors <= told.upper.reshape(which.shape) + 1e-3).all()


def test_the_floor_comes_down_to_the_depth_as_sectors_narrow():
    """A pin 3 mm past a bore of 45 mm: 3 mm at the sector's middle; wider sectors lose a (1 / cos w - 1) of 48."""
    items = Items(
        [
            Mover("wall", fixed(), (WALLS["wall"],)),
            Mover("pin", fixed(), (Box((0.2, 96.0, 4.0), at(z=150.0)),)),
        ]
    )
    index = np.zeros(3, dtype=np.intp)
    nodes = items.bounded(index, index, index + 1, np.zeros(3), np.zeros(3))
    nodes.f[MA], nodes.f[WA] = np.pi / 2, [0.4, 0.1, 0.01]
    found = wide_floors(items, nodes, np.zeros(3))
    lost = -3.0 - found.floor
    assert (lost > -1e-6).all()
    assert (lost <= 48.0 * (1 / np.cos(nodes.f[WA]) - 1) + 0.1).all()


def test_a_hollow_piece_that_turns_has_no_floor():
    """The way out is one of the slice at one angle only."""
    weight = Mover("weight", spin(), (Revolved(slab(30.0, 80.0, 8.0), -60, 60, at(axis="x")),))
    block = Mover("block", fixed(), (Box((20.0, 20.0, 20.0), at(z=70.0)),))
    items = Items([weight, block])
    index = np.zeros(1, dtype=np.intp)
    nodes = items.bounded(index, index, index + 1, np.zeros(1), np.full(1, 0.1))
    nodes.f[WA] = 0.5
    assert np.isneginf(wide_floors(items, nodes, np.full(1, 80.0)).floor).all()


def test_probes_lie_within_their_sector_and_are_narrow():
    """Four slices, at one angle, none of whose hulls exceeds its slice by a quarter of the tolerance."""
    items = Items([Mover("wall", fixed(), (WALLS["tube"],)), Mover("pin", fixed(), BODIES["across"])])
    index = np.zeros(1, dtype=np.intp)
    nodes = items.bounded(index, index, index + 1, np.full(1, 0.7), np.full(1, 0.1))
    nodes.f[MA], nodes.f[WA] = 1.0, 0.8
    found = probes(items, nodes, 0.05)
    assert (found.f[T] == 0.7).all()
    assert (found.f[H] == 0.0).all()
    assert (np.abs(found.f[MA] - 1.0) + found.f[WA] <= 0.8).all()
    assert len(np.unique(found.f[MA])) == found.a.size == 4
    assert (45.0 * (1 - np.cos(found.f[WA])) <= 0.05 / 4).all()
