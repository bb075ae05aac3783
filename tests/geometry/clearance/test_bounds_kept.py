"""Bounds that must hold: of pairs left aside, of a search cut short, of engines whose parts stand in each other.

Truth is worked by hand, or is the distance of two points that lie in the parts: never less than the true one.
"""

from itertools import pairwise

import numpy as np
import pytest

import geometry.collision.branch_and_bound as searching
from geometry.clearance.pairs import pairs_of
from geometry.collision import gjk
from geometry.collision.broad_phase import SAMPLES, reach_bounds, volumes_of
from geometry.collision.certify import certify, certify_all
from geometry.collision.mover import Mover
from geometry.collision.nodes import MB, WB
from geometry.collision.piece_pairs import Items
from geometry.kinematics.laws import fixed, piston, spin
from geometry.solids import Box, Cylinder, Revolved
from tests.geometry.collision.scene import at, slab
from tests.geometry.random_engines import random_engine, with_changes

SEEDS = (0, 1, 9, 11, 13, 21)


def names_and_bounds(assembly):
    pairs, _ = pairs_of(assembly)
    movers = list({id(m): m for p in pairs for m in (p.a, p.b)}.values())
    index = {id(m): k for k, m in enumerate(movers)}
    rows = np.array([(index[id(p.a)], index[id(p.b)]) for p in pairs])
    return movers, rows, reach_bounds(movers)[rows[:, 0], rows[:, 1]]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_pair_of_a_random_engine_comes_nearer_than_its_bound(seed):
    found = random_engine(seed)
    if found is None:
        pytest.skip("the file's rules refuse this one")
    movers, rows, bounds = names_and_bounds(found[1])
    assert len({m.name for m in movers}) == len(movers), (
        "two places of one name: a bound told of the wrong one"
    )
    items = Items(movers)
    random = np.random.default_rng(seed)
    solid = [ids[items.table.inner[ids] == 0] for ids in items.of_mover]
    rows, bounds = (x[[all(solid[k].size for k in row) for row in rows]] for x in (rows, bounds))
    for theta in np.radians(random.uniform(0.0, 720.0, 8)):
        pick = np.array([random.choice(ids) if ids.size else 0 for ids in solid])
        i, j = pick[rows[:, 0]], pick[rows[:, 1]]
        pose_i, pose_j = (items.pose(k, np.full(k.size, theta)) for k in (i, j))
        scene = gjk.PiecePairs(*(items.table.gather(k, items.table.middle[k], items.table.half[k]) for k in (i, j)),
                          pose_i, pose_j)  # fmt: skip
        way = pose_j.out(items.centre[:, j]) - pose_i.out(items.centre[:, i])
        p, q = scene.support(way / np.maximum(np.linalg.norm(way, axis=0), 1e-9))
        assert np.all(np.linalg.norm(q - p, axis=0) >= bounds - 1e-6)


def arm_at(deg):
    """A pin of 1 mm at the end of an arm of 99 mm, so many degrees past upright at crank angle zero."""
    lean = np.radians(deg)
    pin = Cylinder(1.0, 4.0, at(y=-99.0 * np.sin(lean), z=99.0 * np.cos(lean), axis="x"))
    return Mover("arm", spin(), (pin,))


def test_the_reach_between_two_samples_is_bounded_too():
    """An arm of 100 mm that points at a wall halfway between two samples, 0.3 mm away; the sagitta is 0.214."""
    arm = arm_at(180.0 / SAMPLES)
    wall = Mover("wall", fixed(), (Box((50.0, 50.0, 10.0), at(z=100.0 + 0.3 + 5.0)),))
    bound = reach_bounds([arm, wall])[0, 1]
    assert 0.0 <= bound <= 0.3 + 1e-9


def test_the_reach_of_single_pieces_between_two_steps_is_bounded_too():
    """The same arm, asked over one step of the finer sieve: its octagon must hold the upright pin."""
    up = volumes_of(arm_at(180.0 / SAMPLES)).octagon[2, 0].max()
    assert up >= 100.0 - 1e-9


class TestCutShort:
    """What is told when the search gives up must still hold the truth."""

    @pytest.fixture
    def pair(self):
        """A pin through both sides of a bore: 0.5988 mm deep at every height, so that no angle closes early."""
        ram = Mover("ram", piston(0, 0, 0, 40.0, 140.0), (Cylinder(3.0, 91.0, at(axis="y")),))
        wall = Revolved(slab(45.0, 49.0, 150.0), 0, 360, at(z=140.0), outward=True)
        return ram, Mover("block", fixed(), (wall,)), 45.0 - np.hypot(45.5, 3.0)

    @pytest.mark.parametrize("nodes", [50, 400])
    def test_the_half_width_tells_what_is_open(self, pair, nodes, monkeypatch):
        ram, block, truth = pair
        monkeypatch.setattr(searching, "MAX_NODES", nodes)
        found = certify(ram, block)
        assert np.isfinite(found.within_mm)
        assert found.within_mm > 0.011
        assert found.min_mm - found.within_mm <= truth <= found.min_mm + 3e-3

    def test_a_clear_pair_cut_short_tells_it_too(self, monkeypatch):
        """A disc of 20 mm on an arm of 40, passing a wall 70 mm away: 10 mm at 90 degrees, by hand."""
        monkeypatch.setattr(searching, "MAX_NODES", 1)
        disc = Mover("disc", spin(), (Cylinder(20.0, 4.0, at(z=40.0, axis="x")),))
        wall = Mover("wall", fixed(), (Box((50.0, 10.0, 90.0), at(y=-75.0)),))
        found = certify(disc, wall)
        assert found.min_mm - found.within_mm <= 10.0 <= found.min_mm + 1e-6
        full = found.within_mm
        monkeypatch.undo()
        assert certify(disc, wall).within_mm < full


def certified(assembly, *kinds, bores=(1, 2)):
    """Every pair of these kinds of features that touches one of the bores, certified."""
    pairs, _ = pairs_of(assembly)
    chosen = [
        pair
        for pair in pairs
        if {pair.a.feature, pair.b.feature} in kinds
        and any(pair.a.name.find(f" {bore} ") > 0 or pair.b.body.bore == bore for bore in bores)
    ]
    assert chosen
    return certify_all([(p.a, p.b) for p in chosen], [p.period_deg for p in chosen], far_mm=6.0)


@pytest.mark.parametrize(
    "change, kinds",
    [
        ({"block.bore.length": "6.0412 in"}, [{"bore_wall", k} for k in ("rod_bolt", "rod_beam", "rod_cap")]),
        ({"cam.up": "4.0 in"}, [{"bore_wall", "cam_lobe"}, {"bore_wall", "cam_core"}]),
    ],
)
def test_an_engine_whose_parts_stand_in_each_other_is_certified(change, kinds):
    """Both ended without any half-width once: a sector still wide when the search gave up said nothing."""
    found = certified(with_changes("tern", change), *kinds)
    assert any(approach.min_mm < -0.5 for approach in found)
    for approach in found:
        share = 0.25 * max(-approach.min_mm, 0.0)
        assert approach.bound_only or approach.within_mm <= max(0.0101, searching.DEEP_MM, share)


def test_many_overlaps_end_with_a_finite_half_width(monkeypatch):
    """Twelve pins through twelve walls: finely while that is cheap, then to a share, and not too deep."""
    monkeypatch.setattr(searching, "FINE_NODES", 2_000)
    pairs, truths = [], []
    for k in range(12):
        deep = 0.5 + 0.4 * k
        ram = Mover(
            "ram", piston(0, 0, 0, 40.0 + k, 150.0), (Cylinder(3.0, 2 * (45.0 + deep), at(axis="y")),)
        )
        wall = Revolved(slab(45.0, 49.0, 150.0), 0, 360, at(z=140.0), outward=True)
        pairs.append((ram, Mover("block", fixed(), (wall,))))
        truths.append(45.0 - np.hypot(45.0 + deep, 3.0))
    answers = certify_all(pairs)
    assert any(found.within_mm > 0.02 for found in answers), "none was told coarsely"
    for found, truth in zip(answers, truths, strict=True):
        assert np.isfinite(found.within_mm)
        assert found.min_mm - found.within_mm - 1e-6 <= truth <= found.min_mm + 3e-3


def test_a_wide_sector_does_not_tell_a_wall_too_deep(monkeypatch):
    """A bolt 1.5 mm past a bore of 50 mm. The hull of a sector of 0.049 rad reaches 0.06 mm further in."""
    monkeypatch.setattr(searching.Search, "_share", lambda self: 0.25)
    bolt = Mover("bolt", fixed(), (Cylinder(6.0, 16.0, at(x=45.5)),))
    wall = Mover("wall", fixed(), (Revolved(slab(50.0, 55.0, 60.0), 0.0, 360.0, outward=True),))
    search = searching.Search([(bolt, wall)], 0.01)
    search.best.upper[0] = -1.0
    ((a,), (b,)) = search.ab[0]
    still = np.zeros(1)
    nodes = search.items.bounded(np.array([0]), np.array([a]), np.array([b]), still, still.copy())
    nodes.f[[MB, WB]] = [[0.0], [0.049]]
    search._evaluate(nodes)
    assert search.best.upper[0] < -1.4
    assert search.best.upper[0] >= -1.5 - 1e-3


def test_deeper_in_is_never_told_as_less_deep():
    """The cam of Tern lowered towards the barrels: each step is deeper, and by no more than it was lowered."""
    least = []
    for up in ("4.40 in", "4.30 in", "4.25 in", "4.20 in"):
        found = certified(with_changes("tern", {"cam.up": up}), {"cam_lobe", "bore_wall"})
        least.append(min(approach.min_mm for approach in found))
    assert least[0] > 0 > least[1]
    for (before, after), lowered in zip(pairwise(least), (2.54, 1.27, 1.27), strict=True):
        assert 0 < before - after <= lowered + 0.01
