"""Points against pieces, closest-approach maps, overlaps and pruning."""

import numpy as np
import pytest
from hypothesis import given, settings

from geometry.collision.broad_phase import reach_bounds
from geometry.collision.certify import certify, certify_all
from geometry.collision.closest_approach import closest_approach
from geometry.collision.distance_curve import distance_curve
from geometry.collision.mover import Mover
from geometry.collision.overlap import overlap
from geometry.collision.points import distance_to
from geometry.kinematics.laws import fixed, period_deg, piston, spin
from geometry.solids import Box, Cylinder, Hull, Lobe, Revolved
from tests.geometry.collision.scene import at, issue_pairs, slab, vee
from tests.geometry.collision.second_opinion import SecondOpinion
from tests.geometry.collision.strategies import convex_pieces, rings


def probes(spread=70.0, count=12):
    return np.random.default_rng(4).uniform(-spread, spread, size=(count, 3))


@settings(max_examples=25)
@given(convex_pieces() | rings())
def test_points_are_as_far_as_a_grain_of_dust(piece):
    """Against the certified distance of a box of a micrometre."""
    for point in probes():
        theirs = distance_to(piece, point[None])[0]
        if theirs > 0.01:
            dust = Mover("dust", fixed(), (Box((1e-3, 1e-3, 1e-3), at(*point)),))
            ours = distance_curve(
                dust, Mover("part", fixed(), (piece,)), [0.0], accuracy_mm=1e-3
            ).distance_mm[0]
            assert theirs == pytest.approx(ours, abs=3e-3)


def test_depth_of_points_inside():
    assert distance_to(Cylinder(10, 40), np.array([[7.0, 0, 0], [0, 0, 18.0]])) == pytest.approx([-3, -2])
    assert distance_to(Box((10, 20, 30)), np.array([[4.0, 0, 0]])) == pytest.approx([-1])
    cube = Hull(np.array([[i, j, k] for i in (-5, 5) for j in (-5, 5) for k in (-5, 5)], dtype=float))
    assert distance_to(cube, np.array([[4.0, 0, 0]])) == pytest.approx([-1])
    ring = Revolved(slab(20, 30, 6), -30, 30)
    assert distance_to(ring, np.array([[22.0, 0, 0], [5.0, 0, 0], [-25.0, 0, 0]])) == pytest.approx(
        [-2, 15, np.hypot(20 * np.cos(np.pi / 6) + 25, 20 * np.sin(np.pi / 6))], abs=1.0
    )
    lobe = Lobe(20, 8, 15, 12)
    assert distance_to(lobe, np.array([[0, -25.0, 0], [0, 27.0, 0], [0, 0, 9.0]])) == pytest.approx([5, 4, 3])


def test_the_map_of_a_rod_bolt_has_the_certified_minimum_as_its_lowest():
    scene = vee()
    block = [scene.bodies["block"][n] for n in ("wall_left", "wall_right", "rail_left", "rail_right")]
    block.append(scene.bodies["block"]["bore_right_0"])
    bolt = scene.bodies["rod_left_0"]["bolt_plus"]
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    rim = np.column_stack([7 * np.cos(turn), 30 + 7 * np.sin(turn), 0 * turn - 26.5 - 4.5])
    points = np.vstack([rim, rim + [0, 0, 9.0]])
    found = closest_approach(bolt.law, points, block)
    head = Mover("head", bolt.law, bolt.pieces[:1])
    lowest = min(certify(head, m).min_mm for m in block)
    assert found.distance_mm.min() == pytest.approx(lowest, abs=0.02)
    assert found.other[found.distance_mm.argmin()] == 1
    angles = np.arange(0.0, 360.0, 0.5)
    for k in (0, 180, 720, 1000):
        dust = Mover("dust", bolt.law, (Box((1e-3, 1e-3, 1e-3), at(*points[k])),))
        brute = min(distance_curve(dust, m, angles, accuracy_mm=0.01).distance_mm.min() for m in block)
        if brute < 24.0:
            assert brute - 0.02 <= found.distance_mm[k] <= brute + found.error_mm
            assert found.distance_mm[k] == pytest.approx(brute, abs=0.06)


def test_overlap_of_two_boxes_and_of_a_pin_in_a_wall():
    ram = Mover("ram", piston(0, 0, 0, 44.0, 145.0), (Box((20.0, 20.0, 20.0)),))
    head = Mover("head", fixed(), (Box((90.0, 90.0, 40.0), at(z=189.0 + 10.0 - 3.0 + 20.0)),))
    found = overlap(ram, head, 0.0)
    assert found.volume_mm3 == pytest.approx(20 * 20 * 3.0, rel=1e-6)
    assert np.isnan(found.radial_mm)
    assert overlap(ram, head, 180.0).volume_mm3 == 0.0
    pin = Mover("pin", fixed(), (Cylinder(3.0, 2 * 52.0, at(z=100.0, axis="y")),))
    wall = Mover("wall", fixed(), (Revolved(slab(45.0, 49.0, 150.0), 0, 360, outward=True),))
    assert overlap(pin, wall, 0.0).radial_mm == pytest.approx(np.hypot(52.0, 3.0) - 45.0, abs=0.02)


def test_every_bore_keeps_its_own_bolts_against_what_stands_beside_them():
    # the walls and rails beside a bore, the other bank's bore and the counterweights may all come within an inch
    movers = [m for features in vee().bodies.values() for m in features.values()]
    at = {m.name: k for k, m in enumerate(movers)}
    bounds = reach_bounds(movers)
    near = [
        pair
        for k in range(4)
        for pair in (
            (f"rod_left_{k}/bolt_plus", "block/wall_right"),
            (f"rod_right_{k}/bolt_minus", "block/wall_left"),
            (f"rod_left_{k}/bolt_plus", f"block/bore_right_{k}"),
            (f"rod_left_{k}/big_end", f"rod_right_{k}/big_end"),
            (f"crank/weight_{k}_front", f"piston_left_{k}/skirt"),
        )
    ]
    assert all(bounds[at[a], at[b]] <= 25.0 for a, b in near)
    assert (bounds > 25.0).any()


def test_periods():
    assert period_deg(spin(), fixed()) == 360.0
    assert period_deg(spin(ratio=0.5), spin()) == 720.0
    with pytest.raises(ValueError, match="does not repeat"):
        period_deg(spin(ratio=0.123))


def test_the_library_agrees_with_every_minimum_of_the_engine():
    pairs = issue_pairs(vee(bays=1))
    found = certify_all(pairs, [period_deg(a.law, b.law) for a, b in pairs])
    opinion, silent = SecondOpinion(), 0
    for (a, b), x in zip(pairs, found, strict=True):
        theirs = opinion.of(
            (a.law, a.pieces[x.piece_a], x.at_a_mm),
            (b.law, b.pieces[x.piece_b], x.at_b_mm),
            x.crank_deg,
            x.min_mm,
        )
        assert theirs.supports(x.min_mm), (a.name, b.name, theirs, x)
        silent += bool(np.isnan(theirs.distance_mm))
    assert silent <= len(pairs) // 50
