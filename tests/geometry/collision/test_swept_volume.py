"""Swept envelopes: closed as a reader of the file finds them, around the true sweep, and no larger than they say."""

import io
from pathlib import Path

import numpy as np
import pytest
import trimesh

from geometry.assembly import assemble
from geometry.clearance.pairs import law_of, placed
from geometry.collision.lathe import turned
from geometry.collision.points import distance_to
from geometry.collision.swept_volume import slides_between, swept_envelope
from geometry.collision.watertight import Share, closed_mesh, is_closed
from geometry.kinematics.laws import piston, rod, spin
from geometry.solids import Box, Cylinder, Revolved
from geometry.spec.load import load_engine
from tests.geometry.collision.scene import at, rod_features, slab

DEMOS = Path(__file__).parents[3] / "demo_engines"
ENGINES = ("tern", "knot", "dunlin", "plover", "curlew", "whimbrel")
ENDINGS = ("stl", "ply", "glb", "obj")


def read_back(mesh, ending="stl"):
    """The mesh as a library reads it from the file that would be written."""
    content = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False).export(file_type=ending)
    stream = io.BytesIO(content.encode() if isinstance(content, str) else content)
    return trimesh.load_mesh(stream, file_type=ending)


def require_closed(found, ending="stl"):
    """Closed, of the stated volume, no triangle without an area and no edge of more than two triangles."""
    back = read_back(found.mesh, ending)
    assert back.is_watertight
    assert back.is_volume
    assert len(back.faces) == len(found.mesh.triangles)
    assert back.area_faces.min() > 0
    assert back.nondegenerate_faces().all()
    uses = np.unique(np.sort(back.edges, axis=1), axis=0, return_counts=True)[1]
    assert (uses == 2).all()
    assert back.volume == pytest.approx(found.volume_mm3, rel=1e-4)


def moving(assembly, name):
    body = assembly.body(name)
    return law_of(assembly, body.frame), [placed(p, body) for f in body.part.features for p in f.pieces]


@pytest.fixture(scope="module")
def demos():
    return {name: assemble(load_engine(DEMOS / f"{name}.toml")) for name in ENGINES}


def kinds(assembly):
    """One moving body of each kind."""
    found = {}
    for body in assembly.bodies:
        if body.frame != "E" and body.part.features:
            found.setdefault(body.name.split()[0], body.name)
    return list(found.values())


@pytest.mark.parametrize("engine", ENGINES)
def test_every_kind_of_body_is_closed_as_read_back_and_holds_its_sweep(demos, engine):
    """The places come from ``slider_crank``, which shares nothing with the laws that the envelope is made by."""
    assembly, rng = demos[engine], np.random.default_rng(7)
    names = kinds(assembly)
    assert {"crank", "piston", "piston_pin", "rod", "rod_cap", "rod_bolt", "top_ring"} <= {
        name.split()[0] for name in names
    }
    for name in names:
        if assembly.body(name).frame.startswith("R") and engine != "tern":
            continue  # they take seconds each, and are made of the same pieces in every engine
        found = swept_envelope([moving(assembly, name)], 2.0)
        require_closed(found)
        assert found.inflation_mm <= 2.0
        body = assembly.body(name)
        own = rng.choice(body.part.mesh.vertices, 12)
        X = np.array([assembly.pose(name, angle) for angle in rng.uniform(0, 720, 6)])
        swept = (np.einsum("kij,nj->kni", X[:, :3, :3], own) + X[:, None, :3, 3]).reshape(-1, 3)
        assert winding(found.mesh.vertices[found.mesh.triangles], swept).min() > 0.5, name


@pytest.mark.parametrize("sense", [1, -1])
def test_a_rod_is_closed_and_holds_every_pose(sense):
    """Wrist pin and crankpin by the elementary formulas of a slider-crank, not by the laws."""
    bank, pin, r, length, d = np.radians(45.0), np.radians(30.0), 44.0, 145.0, 0.8
    law = rod(0, 45, 30, r, length, d, sense)
    pieces = [p for group in rod_features().values() for p in group]
    found = swept_envelope([(law, pieces)], 1.5)
    for ending in ENDINGS:
        require_closed(found, ending)
    assert found.inflation_mm <= 1.5
    rng = np.random.default_rng(1)
    own = np.vstack([_extreme(p, rng) for p in pieces])
    swept = []
    for theta in rng.uniform(0, 2 * np.pi, 15):
        alpha = pin + sense * theta
        crankpin = r * np.array([0, -np.sin(alpha), np.cos(alpha)])
        axis, across = np.array([0, -np.sin(bank), np.cos(bank)]), np.array([0, np.cos(bank), np.sin(bank)])
        off = crankpin @ across
        # the wrist pin lies on the bore's axis moved by d across it, a rod's length from the crankpin
        small = crankpin + axis * np.sqrt(length**2 - (d - off) ** 2) + across * (d - off)
        up = (small - crankpin) / length
        swept.append(own @ np.array([[1, 0, 0], [0, up[2], -up[1]], [0, up[1], up[2]]]) + crankpin)
    swept = np.vstack(swept)
    swept = swept[rng.choice(len(swept), 150, replace=False)]
    assert winding(found.mesh.vertices[found.mesh.triangles], swept).min() > 0.5


def test_no_corner_is_farther_from_the_sweep_than_stated():
    law = rod(0, 20, 30, 44.0, 145.0)
    blade = Box((16.0, 24.0, 110.0), at(z=70.0))
    end = Revolved(slab(0.0, 34.0, 22.0), 0, 360, at(axis="x"))
    excess = 0.8
    found = swept_envelope([(law, [blade, end])], excess)
    rng = np.random.default_rng(3)
    steps = 1440
    X = np.linalg.inv(law.poses(np.linspace(0, 360, steps, endpoint=False)))
    between = 44.0 * np.pi / steps + 145 * 0.31 * np.pi / steps  # half a step of the fastest point
    for corner in rng.choice(found.mesh.vertices, 40):
        seen = X[:, :3, :3] @ corner + X[:, :3, 3]
        assert min(distance_to(piece, seen).min() for piece in (blade, end)) <= found.inflation_mm + between
    assert excess / 3 < found.inflation_mm <= excess


def test_the_size_of_the_file_goes_with_the_excess():
    law, bolt = rod(0, 45, 30, 44.0, 145.0), Cylinder(7.0, 60.0, at(y=30.0))
    fine, coarse = (len(swept_envelope([(law, [bolt])], excess).mesh.triangles) for excess in (0.5, 2.0))
    assert coarse < fine / 1.8  # facets of a round thing go with the root of their error
    sliding = piston(0, 45, 30, 44.0, 145.0)
    ring = Revolved(slab(46.0, 51.0, 3.0), 0, 360)
    assert len(swept_envelope([(sliding, [ring])]).mesh.triangles) < 3000  # the piston of a V8 had 560,646


def test_several_bodies_are_one_solid():
    law = rod(0, 45, 30, 44.0, 145.0)
    pin = Cylinder(12.0, 80.0, at(z=145.0, axis="x"))
    bodies = [(law, [pin]), (piston(0, 45, 30, 44.0, 145.0), [Cylinder(30.0, 20.0)])]
    both = swept_envelope(bodies, 1.0)
    require_closed(both)
    apart = [swept_envelope([one], 1.0).volume_mm3 for one in bodies]
    assert max(apart) < both.volume_mm3 < sum(apart)


def test_a_piston_goes_from_one_dead_centre_to_the_other():
    """Crank and rod in one line: sqrt((l +- r)^2 - d^2), and so does the law at a fine search."""
    law = piston(0, 20, 75, 44.0, 145.0, 6.0)
    X = law.poses(np.linspace(0, 360, 100_001))
    along = X[:, 1:3, 3] @ [-np.sin(np.radians(20)), np.cos(np.radians(20))]
    assert slides_between(law) == pytest.approx((along.min(), along.max()), abs=1e-6)
    found = swept_envelope([(law, [Box((30.0, 30.0, 10.0))])])
    height = np.subtract(*slides_between(law)[::-1]) + 10.0
    grown = 2 * found.inflation_mm
    assert 30.0**2 * height <= found.volume_mm3 <= (30.0 + grown) ** 2 * (height + grown)


def test_an_envelope_of_a_crankpin_is_an_annulus():
    """Swept area of a disc of radius r going round at radius a > r: 4 pi a r (elementary)."""
    a, r, length = 40.0, 12.0, 20.0
    found = swept_envelope([(spin(at_mm=(5.0, 3.0, -2.0)), [Cylinder(r, length, at(z=a, axis="x"))])])
    grown = found.inflation_mm
    assert (
        4 * np.pi * a * r * length <= found.volume_mm3 <= 4 * np.pi * a * (r + grown) * (length + 2 * grown)
    )
    low, high = found.mesh.vertices.min(axis=0), found.mesh.vertices.max(axis=0)
    assert (low + high) / 2 == pytest.approx([5.0, 3.0, -2.0], abs=0.05)
    assert high - low == pytest.approx([length, 2 * (a + r), 2 * (a + r)], abs=2 * grown)
    for excess in (0.0, 0.01, 5.0, float("nan")):
        with pytest.raises(ValueError, match="an envelope may exceed"):
            swept_envelope([(spin(), [Cylinder(30.0, 10.0)])], excess)


def test_a_journal_sweeps_only_itself():
    found = swept_envelope([(spin(), [Cylinder(30.0, 10.0, at(axis="x"))])], 0.1)
    assert found.volume_mm3 == pytest.approx(np.pi * 30.0**2 * 10.0, rel=2e-2)


def test_a_piece_askew_on_a_shaft_is_turned_around_what_it_reaches():
    """A rod askew to the axis sweeps a hyperboloid: nothing outside, and no more than stated too much."""
    points = np.array(
        [[0.0, 20.0, 0.0], [30.0, 0.0, 20.0], [0.0, 21.0, 0.0], [30.0, 0.0, 21.0], [15.0, 11.0, 11.0]]
    )
    solid, over = turned(points, (0.0, 0.0, 0.0), Share(0.2), 0)
    mesh = solid.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[np.asarray(mesh.tri_verts)][..., :3]
    s = np.random.default_rng(2).dirichlet(np.ones(5), 200)
    assert winding(corners, s @ points).min() > 0.5
    assert over > 5.0  # the waist of the hyperboloid is filled, and that is said


def test_what_is_open_or_flat_is_told():
    box = trimesh.creation.box()
    assert is_closed(box.vertices, box.faces)
    assert not is_closed(box.vertices, box.faces[1:])
    assert not is_closed(box.vertices * [1, 1, 0], box.faces)
    assert not is_closed(box.vertices, np.vstack([box.faces, box.faces]))
    assert not is_closed(np.zeros((0, 3)), np.zeros((0, 3), dtype=int))


def test_solids_that_touch_in_an_edge_or_a_corner_stay_closed():
    """Four triangles would meet in the edge: a reader calls that open."""
    import manifold3d

    share = Share(0.2)
    cubes = [
        manifold3d.Manifold.cube([10, 10, 10]).translate(move)
        for move in ([0, 0, 0], [10, 10, 0], [20, 20, 10])
    ]
    mesh, volume = closed_mesh(cubes, share)
    assert volume == pytest.approx(3000.0, abs=1.0)
    assert read_back(mesh).is_watertight


def winding(triangles, points):
    """Solid angle of a closed surface seen from points, over 4 pi: 1 inside, 0 outside (van Oosterom 1983)."""
    total = np.zeros(len(points))
    for k, point in enumerate(points):
        a, b, c = np.moveaxis(triangles - point, 1, 0)
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        over = (a * np.cross(b, c)).sum(axis=1)
        under = la * lb * lc + (a * b).sum(axis=1) * lc + (b * c).sum(axis=1) * la + (c * a).sum(axis=1) * lb
        total[k] = np.arctan2(over, under).sum() / (2 * np.pi)
    return total


def _extreme(piece, rng):
    """Points of a piece, rims and corners first."""
    if isinstance(piece, Cylinder):
        t = rng.uniform(0, 2 * np.pi, 60)
        z = rng.choice([-1, 1], 60) * piece.length_mm / 2
        own = np.column_stack([piece.radius_mm * np.cos(t), piece.radius_mm * np.sin(t), z])
    elif isinstance(piece, Box):
        own = rng.choice([-0.5, 0.5], (16, 3)) * np.asarray(piece.size_mm)
    else:
        own = piece.points_mm
    return own @ piece.X_AP[:3, :3].T + piece.X_AP[:3, 3]
