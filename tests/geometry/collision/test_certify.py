"""The certified minimum on cases with a known answer."""

import numpy as np
import pytest

from geometry.collision.certify import Memory, certify, certify_all
from geometry.collision.distance_curve import distance_curve
from geometry.collision.mover import Mover
from geometry.collision.nodes import Count
from geometry.kinematics.laws import fixed, piston, rod, spin
from geometry.solids import Box, Cylinder, Hull, Revolved
from tests.geometry.collision.scene import at, slab, vee


def holds(found, truth, slack=1e-6):
    """Whether the certificate contains the true minimum, and the width is as asked."""
    assert found.within_mm <= 0.01 + 1e-9
    return found.min_mm - found.within_mm - slack <= truth <= found.min_mm + slack


def beside(mover):
    return Mover("block", fixed(), (mover,))


def edge(y, z):
    """A straight edge along x at (y, z): what a point of a rod is in the plane."""
    return Hull(np.array([[-5.0, y, z], [5.0, y, z]]))


BLOCK = Box((60.0, 100.0, 100.0), at(y=95.0 + 50.0, z=-30.0 - 50.0))


def test_reach_of_a_rod_point_and_its_distance_to_a_block_corner():
    """Reference row 6.14 (2 000 001-point sweep): 12.8165 mm at 111.794 degrees.

    The row's x, to the side of the crankpin at 90 degrees, is -y of a crank that turns positively about +x; the
    corner is the block's edge at (95, -30), solid beyond it.
    """
    arm = Mover("rod", rod(0, 0, 0, 44.2, 152.4), (edge(-38.0, -20.0),))
    block = beside(Box((60.0, 100.0, 100.0), at(y=-145.0, z=-80.0)))
    found = certify(arm, block)
    assert holds(found, 12.8165, 1e-4)
    assert found.min_mm == pytest.approx(12.8165, abs=1e-4)
    assert found.crank_deg == pytest.approx(111.794, abs=2e-3)
    assert found.at_b_mm[1:] == pytest.approx([-95.0, -30.0], abs=1e-6)


def test_reach_of_a_rod_point_from_the_crank_axis():
    """6.14: a + sqrt(p^2 + q^2), exact; seen as the distance to a ring of radius 100 about the crank axis."""
    arm = Mover("rod", rod(0, 0, 0, 44.2, 152.4), (edge(38.0, -20.0),))
    ring = beside(Revolved(slab(100.0, 110.0, 20.0), 0, 360, at(axis="x"), outward=True))
    found = certify(arm, ring)
    assert holds(found, 100.0 - (44.2 + np.hypot(20.0, 38.0)))
    # the row's 101.231 degrees is for the point on the other side of the rod
    assert found.crank_deg == pytest.approx(360.0 - 101.231, abs=0.6)


def test_a_turning_cylinder_passing_a_fixed_one():
    """Parallel: centres come as near as |R - D|; crossed: the fixed axis lies square to the crank."""
    turning = Mover("pin", spin(), (Cylinder(9.0, 30.0, at(z=60.0, axis="x")),))
    beside_it = beside(Cylinder(7.0, 30.0, at(y=70.0, z=70.0, axis="x")))
    assert holds(certify(turning, beside_it), np.hypot(70, 70) - 60 - 16)
    across = beside(Cylinder(7.0, 300.0, at(z=95.0, axis="y")))
    found = certify(turning, across)
    assert holds(found, 95 - 60 - 16)
    assert min(found.crank_deg, 360 - found.crank_deg) < 0.05


def test_a_piston_in_its_own_bore_has_the_same_gap_everywhere():
    """Clearance over all angles and all round: bore radius less piston radius."""
    crown = Mover("piston", piston(0, 20, 70, 30.0, 110.0, 0.4), (Cylinder(39.9, 12.0, at(z=20.0)),))
    bore = beside(
        Revolved(
            np.array([[40.0, 60.0], [46.0, 60.0], [46.0, 190.0], [40.0, 190.0]]),
            0,
            360,
            at(turn_deg=20),
            outward=True,
        )
    )
    assert holds(certify(crown, bore), 0.1)


def test_a_counterweight_passing_a_wall_at_constant_gap():
    """Flat minimum over 120 degrees: wall at 87.5, weight of radius 80."""
    weight = Mover("weight", spin(), (Revolved(slab(30.0, 80.0, 8.0), -60, 60, at(axis="x")),))
    count = Count()
    found = certify_all([(weight, beside(Box((40.0, 5.0, 200.0), at(y=90.0))))], count=count)[0]
    assert holds(found, 7.5)
    assert count.nodes < 1500


def test_a_graze_that_a_one_degree_sweep_misses():
    """Contact within 0.2 degrees at an angle between whole degrees: a pin tip against a thin rail."""
    tip = Mover("tip", spin(), (Hull(np.array([[-1.0, 0.0, 80.0], [1.0, 0.0, 80.0], [0.0, 0.0, 20.0]])),))
    lean = np.radians(33.5)
    y, z = -np.sin(lean) * 79.9999, np.cos(lean) * 79.9999
    rail = Mover(
        "rail", fixed(), (Hull(np.array([[-9, y, z], [9, y, z], [-9, 2 * y, 2 * z], [9, 2 * y, 2 * z]])),)
    )
    found = certify(tip, rail)
    assert found.min_mm < 1e-3
    coarse = distance_curve(tip, rail, np.arange(360.0))
    assert coarse.distance_mm.min() > 0.5
    assert found.crank_deg == pytest.approx(33.5, abs=0.1)
    fine = distance_curve(tip, rail, 33.5 + np.array([-0.1, 0.0, 0.1]))
    assert fine.distance_mm[1] <= 0.0
    assert min(fine.distance_mm[[0, 2]]) > 0.05


def test_depth_of_boxes_is_the_shortest_way_out():
    """A box driven 3 mm into another at top dead centre: depth 3 however large the overlap is across."""
    top = 44.0 + 145.0 + 10.0
    ram = Mover("ram", piston(0, 0, 0, 44.0, 145.0), (Box((20.0, 20.0, 20.0)),))
    head = beside(Box((90.0, 90.0, 40.0), at(z=top - 3.0 + 20.0)))
    found = certify(ram, head)
    assert holds(found, -3.0)
    assert abs(found.direction[2]) == pytest.approx(1.0, abs=1e-6)


def test_depth_of_crossed_cylinders():
    """Radii 9 and 7 with axes 10 apart: 16 - 10 (elementary)."""
    turning = Mover("pin", spin(), (Cylinder(9.0, 60.0, at(z=60.0, axis="x")),))
    assert holds(certify(turning, beside(Cylinder(7.0, 300.0, at(z=70.0, axis="y")))), -6.0, 1e-3)


@pytest.mark.parametrize("depth", [0.5, 3.0, 12.0])
def test_depth_in_a_bore_wall_is_radial(depth):
    """A pin across the bore, well above its edge, reaching past the bore's radius at every angle."""
    ram = Mover("ram", piston(0, 0, 0, 40.0, 140.0), (Cylinder(3.0, 2 * (45.0 + depth), at(axis="y")),))
    wall = Revolved(slab(45.0, 49.0, 150.0), 0, 360, at(z=140.0), outward=True)
    found = certify(ram, beside(wall))
    # the rim of the pin's flat end reaches farthest: hypot(half length, radius)
    assert holds(found, 45.0 - np.hypot(45.0 + depth, 3.0), 2e-3)


def test_a_skirt_hit_from_below_is_as_deep_as_it_is_hit():
    """A block 2 mm into the lower edge of a thin skirt: 2 mm along the bore, not the width of a sector."""
    skirt = Mover("skirt", piston(0, 0, 0, 40.0, 140.0), (Revolved(slab(45.0, 49.0, 20.0), -40, 40),))
    bottom = 140.0 - 40.0 - 20.0
    post = beside(Box((12.0, 30.0, 30.0), at(x=47.0, z=bottom + 2.0 - 15.0)))
    assert holds(certify(skirt, post), -2.0, 2e-3)


def test_like_bores_are_solved_once_and_answer_alike():
    scene = vee()
    pairs = [
        (scene.bodies[f"rod_left_{k}"]["bolt_plus"], scene.bodies["block"][f"bore_right_{k}"])
        for k in range(4)
    ]
    memory, count = Memory(), Count()
    together = certify_all(pairs, memory=memory, count=count)
    assert len(memory.answers) == 1
    alone = [certify(*pair) for pair in pairs]
    for one, other in zip(together, alone, strict=True):
        assert one.min_mm == pytest.approx(other.min_mm, abs=1e-6)
        assert one.crank_deg == pytest.approx(other.crank_deg, abs=1e-3)
        assert one.at_a_mm == pytest.approx(other.at_a_mm, abs=1e-2)
        assert one.direction == pytest.approx(other.direction, abs=1e-3)
        curve = distance_curve(*pairs[0], [together[0].crank_deg])
        assert curve.distance_mm[0] == pytest.approx(together[0].min_mm, abs=2e-3)
    spent = count.nodes
    assert certify_all(pairs, memory=memory, count=count)[2].min_mm == together[2].min_mm
    assert count.nodes == spent


def test_unlike_bores_are_not_mixed_up():
    """Another pin offset, throw, sense or tolerance is another problem."""
    wall = beside(Box((40.0, 10.0, 80.0), at(y=90.0)))
    arms = [
        rod(0, 0, 0, 44, 145),
        rod(0, 0, 0, 44, 145, 1.0),
        rod(0, 0, 0, 44.001, 145),
        rod(0, 0, 0, 44, 145, 0, -1),
    ]
    pairs = [(Mover("arm", law, (Box((20.0, 60.0, 30.0), at(y=3.0)),)), wall) for law in arms]
    memory = Memory()
    certify_all(pairs, memory=memory)
    certify_all(pairs[:1], tolerance_mm=0.02, memory=memory)
    assert len(memory.answers) == 5


def test_far_pairs_are_left_at_their_bound():
    turning = Mover("pin", spin(), (Cylinder(9.0, 30.0, at(z=60.0, axis="x")),))
    post = beside(Cylinder(7.0, 30.0, at(y=170.0, axis="x")))
    found = certify_all([(turning, post)], far_mm=20.0)[0]
    assert found.bound_only
    assert 20.0 <= found.floor_mm <= 170 - 60 - 16


def test_what_cannot_be_certified_is_refused():
    part = Mover("pin", spin(), (Cylinder(9.0, 30.0),))
    with pytest.raises(ValueError, match="tolerance"):
        certify(part, part, tolerance_mm=0.0)
    with pytest.raises(ValueError, match="period"):
        certify(part, part, period_deg=0.0)
