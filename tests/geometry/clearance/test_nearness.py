"""The colours of closest approach: against certified distances, against samples, and like bodies solved once."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from geometry.assembly import assemble
from geometry.clearance import nearness as subject
from geometry.clearance.excuses import no_clearance
from geometry.clearance.full_turn import full_turn
from geometry.clearance.nearness import ERROR_MM, FAR_MM, nearness_of
from geometry.clearance.pairs import places
from geometry.clearance.surface import split, with_point
from geometry.collision.broad_phase import NEAR_MM
from geometry.collision.closest_approach import ClosestApproach, closest_approach
from geometry.collision.distance_curve import distance_curve
from geometry.collision.mover import Mover
from geometry.collision.points import distance_to
from geometry.kinematics.poses import inverse, transform, translation
from geometry.solids import Box
from geometry.spec.load import load_engine

DEMOS = Path(__file__).parents[3] / "demo_engines"
BOLTS = ("rod_bolt 1 minor", "rod_bolt 1 major")


@pytest.fixture(scope="module")
def knot():
    return assemble(load_engine(DEMOS / "knot.toml"))


@pytest.fixture(scope="module")
def coloured(knot):
    return nearness_of(knot, (*BOLTS, "rod_cap 1", "rod 1", "intake_valve 1"))


def test_the_least_value_of_a_body_is_its_certified_least_distance(knot, coloured):
    turn = full_turn(knot)
    for name, near in coloured.items():
        mine = [n.approach for n in turn.near if name in (n.pair.a.body.name, n.pair.b.body.name)]
        least = min(mine, key=lambda approach: approach.min_mm, default=None)
        if least is None:
            assert near.values_mm.min() > NEAR_MM, name
            continue
        assert near.values_mm.min() == pytest.approx(least.min_mm, abs=least.within_mm), name


def test_values_are_those_of_a_fine_sampling_of_the_turn(knot, coloured):
    """Each of some corners of a bolt as a box of a micrometre, by the search that knows nothing of points."""
    name, angles = BOLTS[1], np.arange(0.0, 720.0, 1.0)
    near, body = coloured[name], knot.body(name)
    everything = places(knot)
    own = next(place for place in everything if place.body is body)
    others = [p for p in everything if p.body is not body and no_clearance(knot, own, p) is None]
    close = np.nonzero(near.values_mm < 0.8 * FAR_MM)[0]
    for corner in close[:: max(1, len(close) // 2)]:
        at = body.X_FA @ translation(near.mesh.vertices[corner])
        dust = Mover("dust", own.law, (Box((1e-3, 1e-3, 1e-3), at),))
        rough = np.array(
            [distance_curve(dust, p, angles[::15], accuracy_mm=0.1).distance_mm.min() for p in others]
        )
        hopeful = [others[k] for k in np.nonzero(rough < near.values_mm[corner] + 40.0)[0]]
        sampled = min(distance_curve(dust, p, angles, accuracy_mm=0.01).distance_mm.min() for p in hopeful)
        assert sampled - 0.03 <= near.values_mm[corner] <= sampled + ERROR_MM
        assert near.values_mm[corner] == pytest.approx(sampled, abs=0.06)


@pytest.mark.parametrize(("name", "step_deg"), [("crank", 1.0), ("cam", 2.0)])
def test_values_of_what_turns_beside_even_faces_are_those_of_a_sampling_of_the_turn(knot, name, step_deg):
    """Webs keep the same distance all turn. Sampled by what knows nothing of steps: points against pieces."""
    body, everything = knot.body(name), places(knot)
    own = next(place for place in everything if place.body is body)
    others = [p for p in everything if p.body is not body and no_clearance(knot, own, p) is None]
    points = transform(body.X_FA, body.part.mesh.vertices)
    points = points[:: len(points) // 25]
    found = closest_approach(own.law, points, others, FAR_MM, ERROR_MM).distance_mm
    sampled, angles = np.full(len(points), FAR_MM), np.arange(0.0, 720.0, step_deg)
    for other in others:
        there = transform(inverse(other.law.poses(angles)) @ own.law.poses(angles), points)
        for piece in other.pieces:
            off = distance_to(piece, there.reshape(-1, 3)).reshape(len(angles), -1)
            sampled = np.minimum(sampled, off.min(axis=0))
    assert (sampled < FAR_MM).sum() > 10
    assert (found <= sampled + ERROR_MM).all()
    # between two samples no point of these goes farther than this
    between_mm = np.radians(step_deg) / 2 * np.linalg.norm(points[:, 1:], axis=1).max()
    assert (found >= sampled - 2 * between_mm).all()
    assert np.median(np.abs(found - sampled)) < 0.02


def test_like_bodies_are_solved_once_and_others_on_their_own(monkeypatch):
    dunlin = assemble(load_engine(DEMOS / "dunlin.toml"))
    solved = []
    whole = ClosestApproach.solved
    monkeypatch.setattr(ClosestApproach, "solved", lambda self, told: solved.append(1) or whole(self, told))
    monkeypatch.setattr(subject, "EDGE_MM", 30.0)
    names = [body.name for body in dunlin.bodies if body.part.kind == "rod_bolt"]
    together = subject._around(dunlin).nearness(names, FAR_MM)
    assert 1 < len(solved) < len(names)
    for name in names[-3:]:
        subject._around.cache_clear()
        alone = subject._around(dunlin).nearness([name], FAR_MM)[name]
        assert np.allclose(alone.values_mm, together[name].values_mm, atol=1e-6)


def test_work_is_told_of_and_can_be_ended(knot):
    class EnoughError(Exception):
        pass

    told = []

    def tell(share):
        told.append(share)
        if share > 0.4:
            raise EnoughError

    subject._around.cache_clear()
    with pytest.raises(EnoughError):
        nearness_of(knot, BOLTS, tell)
    assert told == sorted(told)


def test_a_split_surface_is_closed_fine_and_where_it_was(knot):
    mesh = knot.body("rod_cap 1").part.mesh
    fine = split(mesh, 5.0)
    was, now = (trimesh.Trimesh(m.vertices, m.triangles, process=False) for m in (mesh, fine))
    assert now.is_watertight
    assert (now.area, now.volume) == pytest.approx((was.area, was.volume), rel=1e-9)
    assert now.edges_unique_length.max() <= 5.0
    solid = trimesh.Trimesh(fine.vertices, fine.triangles, process=False)
    for row in range(0, len(fine.triangles), 700):
        middle = solid.triangles_center[row]
        cornered, corner = with_point(fine, middle + 0.01 * solid.face_normals[row], 5.0)
        again = trimesh.Trimesh(cornered.vertices, cornered.triangles, process=False)
        assert again.is_watertight
        assert again.area == pytest.approx(now.area, rel=1e-6)
        assert cornered.vertices[corner] == pytest.approx(middle, abs=0.06)
