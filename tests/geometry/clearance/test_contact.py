"""The signed distance goes through contact without a jump, for every kind of pair that can meet in the demo engines.

One part is moved into the other along a straight line. Two solids whose surfaces have just met overlap by no
more than the step that was made since: nothing can be deeper in than it was moved. Source: the depth is the
shortest way out in any direction, and going back by the step is one way out.
"""

from dataclasses import replace

import numpy as np
import pytest

from geometry.clearance.full_turn import full_turn
from geometry.collision.certify import certify
from geometry.collision.mover import Mover
from geometry.kinematics.laws import fixed
from geometry.solids import Box, Cylinder, Revolved
from tests.geometry.collision.scene import at, slab
from tests.geometry.fleet import assembly

STEP_MM = 0.05
FINE_MM = 0.002
NEAR_MM = 0.004


def still(mover, crank_deg):
    """The feature as it stands at one crank angle, in E."""
    X = mover.law.poses(np.array(crank_deg))
    return Mover(mover.name, fixed(), tuple(replace(p, X_AP=X @ p.X_AP) for p in mover.pieces))


def shifted(mover, way_mm):
    X = np.eye(4)
    X[:3, 3] = way_mm
    return replace(mover, pieces=tuple(replace(p, X_AP=X @ p.X_AP) for p in mover.pieces))


def after_contact(a, b, way, far=60.0):
    """Signed distance one step after first contact, A moved along ``way``; None where they never meet."""

    def apart(t):
        return certify(shifted(a, t * way), b, tolerance_mm=FINE_MM).min_mm

    gone, distance = 0.0, apart(0.0)
    # a part may always go on by the distance that is left: it cannot meet anything sooner
    while distance > NEAR_MM and gone < far:
        gone += distance
        distance = apart(gone)
    return apart(gone + STEP_MM) if gone < far else None


def kinds():
    """One near pair of every kind in a vee and a flat engine, at its closest."""
    found = {}
    for name in ("tern", "whimbrel"):
        for near in full_turn(assembly(name)).near:
            a, b = near.pair.a, near.pair.b
            found.setdefault(tuple(sorted((a.feature, b.feature))), (near.pair, near.approach))
    return found


@pytest.fixture(scope="module")
def met():
    random = np.random.default_rng(7)
    out = {}
    for kind, (pair, approach) in kinds().items():
        a, b = (still(p, approach.crank_deg) for p in (pair.a, pair.b))
        way = approach.direction + 0.5 * random.normal(size=3)
        out[kind] = after_contact(a, b, way / np.linalg.norm(way))
    return out


def test_no_depth_jumps_at_contact(met):
    jumps = {key: depth for key, depth in met.items() if depth is not None and -depth > STEP_MM + NEAR_MM}
    assert not jumps
    assert sum(depth is not None and depth < 0 for depth in met.values()) > 15


PANEL = Revolved(slab(45.0, 48.3, 20.0), 48.0, 132.0)
WALL = Revolved(slab(50.0, 55.0, 60.0), 0.0, 360.0, outward=True)
NOTCHED = Revolved(slab(50.0, 55.0, 60.0), 110.0, 430.0, outward=True)


@pytest.mark.parametrize(
    "piece, start, way",
    [
        pytest.param(
            WALL, (80.0, 0.0, 0.0), (-1.0, 0.0, 0.0), id="flat side against the outside of a barrel"
        ),
        pytest.param(
            WALL, (70.0, 30.0, 0.0), (-1.0, -0.2, 0.1), id="leaning against the outside of a barrel"
        ),
        pytest.param(WALL, (49.0, 10.0, 80.0), (0.1, 0.0, -1.0), id="down on the rim of a barrel"),
        pytest.param(WALL, (0.0, 0.0, 0.0), (1.0, 0.3, 0.0), id="against a wall from within"),
        pytest.param(PANEL, (30.0, 30.0, -40.0), (0.0, 0.1, 1.0), id="up into the corner of a skirt's panel"),
        pytest.param(PANEL, (44.0, 20.0, 5.0), (-0.7, 0.5, 0.0), id="into the side of a skirt's panel"),
        pytest.param(NOTCHED, (0.0, 45.0, 0.0), (-0.6, 0.35, 0.0), id="within a notch, into its side"),
        pytest.param(NOTCHED, (8.0, 54.0, 0.0), (1.0, 0.12, 0.05), id="within a notch, along the wall"),
    ],
)
@pytest.mark.parametrize(
    "body",
    [Box((14.0, 30.0, 9.0), at(turn_deg=10.0)), Cylinder(6.0, 16.0, at()), Cylinder(9.0, 12.0, at(axis="x"))],
    ids=["box", "bolt", "disc"],
)
def test_a_hollow_piece_is_met_without_a_jump(piece, start, way, body):
    a = shifted(Mover("a", fixed(), (body,)), start)
    way = np.array(way) / np.linalg.norm(way)
    depth = after_contact(a, Mover("b", fixed(), (piece,)), way)
    assert depth is not None
    assert -depth <= STEP_MM + NEAR_MM


def test_a_wall_met_from_within_is_as_deep_as_the_radius_says():
    """A bolt whose farthest point stands 1.5 mm beyond the bore, well above its edge: radial depth, by hand."""
    bolt = shifted(Mover("bolt", fixed(), (Cylinder(6.0, 16.0),)), (45.5, 0.0, 0.0))
    found = certify(bolt, Mover("wall", fixed(), (WALL,)))
    assert found.min_mm == pytest.approx(50.0 - (45.5 + 6.0), abs=0.011)


def test_a_graze_outside_a_barrel_is_as_deep_as_it_is_gone_in():
    """A plate pressed 0.7 mm into the outside of a barrel of 55 mm: the way out is back by 0.7 mm."""
    plate = Mover("plate", fixed(), (Box((10.0, 120.0, 40.0), at(x=55.0 - 0.7 + 5.0)),))
    assert certify(plate, Mover("wall", fixed(), (WALL,))).min_mm == pytest.approx(-0.7, abs=0.011)
