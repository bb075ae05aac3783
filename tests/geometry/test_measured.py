"""Measured meshes: what is refused and how, and that clearance is taken from the file's own triangles."""

import re
from dataclasses import replace
from pathlib import Path

import fcl
import numpy as np
import pytest
import trimesh

from geometry.assembly import assemble
from geometry.clearance import excuses
from geometry.clearance.full_turn import full_turn
from geometry.clearance.inside import turns_about
from geometry.clearance.pairs import places
from geometry.collision.broad_phase import volumes_of
from geometry.collision.closest_approach import closest_approach
from geometry.collision.support import circles_of
from geometry.errors import GeometryError, InputError
from geometry.feature import Group
from geometry.measured.crossing import crossings
from geometry.measured.load import MeshSource, read_measured
from geometry.measured.patches import neighbours_in_a_row
from geometry.parts.shapes.meshing import BORE_SEGMENTS
from geometry.solids import Mesh
from geometry.spec.load import load_engine
from tests.geometry.collision.collision_library import library_distance, shape_of
from tests.geometry.off_surface import sagitta_mm
from viewer.job import read_job

TERN = Path("demo_engines/tern.toml")
LOW, HIGH = np.zeros(3), np.array([100.0, 60.0, 40.0])


def written(folder, name, mesh=None, **box):
    mesh = mesh if mesh is not None else a_box(**box)
    mesh.export(folder / name)
    return folder / name


def a_box(extents=(100.0, 60.0, 40.0), at=(50.0, 30.0, 20.0), cuts=0):
    mesh = trimesh.creation.box(extents)
    mesh.apply_translation(at)
    for _ in range(cuts):
        mesh = mesh.subdivide()
    return mesh


def refusal(path, **more):
    with pytest.raises(GeometryError) as refused:
        read_measured(MeshSource("block.mesh", str(path), **more), LOW, HIGH)
    assert refused.value.key == "block.mesh"
    assert "\n" not in str(refused.value)
    return str(refused.value)


@pytest.mark.parametrize("ending", ["stl", "obj", "ply", "glb"])
def test_every_format_gives_the_same_solid(tmp_path, ending):
    mesh = read_measured(MeshSource("block.mesh", str(written(tmp_path, f"part.{ending}"))), LOW, HIGH)
    assert mesh.triangles.shape == (12, 3)
    solid = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert solid.is_watertight
    assert solid.volume == pytest.approx(100 * 60 * 40)


def test_unit_and_place_are_applied(tmp_path):
    small = written(tmp_path, "inch.stl", extents=np.array([100, 60, 40]) / 25.4, at=(0, 0, 0))
    mesh = read_measured(MeshSource("block.mesh", str(small), "in", (50.0, 30.0, 20.0)), LOW, HIGH)
    assert mesh.vertices.min(axis=0) == pytest.approx(LOW, abs=1e-4)
    assert mesh.vertices.max(axis=0) == pytest.approx(HIGH, abs=1e-4)


def test_missing_unreadable_and_empty_files(tmp_path):
    assert "is not in" in refusal(tmp_path / "none.stl")
    (tmp_path / "folder.stl").mkdir()
    assert "is not a file" in refusal(tmp_path / "folder.stl")
    for name in ("words.ply", "words.glb", "words.stl", "words.obj", "empty.stl", "empty.glb"):
        (tmp_path / name).write_bytes(b"" if name.startswith("empty") else b"these are only words\n" * 9)
        said = refusal(tmp_path / name)
        assert "cannot be read" in said or "holds no triangles" in said
    (tmp_path / "part.step").write_text("ISO-10303-21;")
    assert "STL, OBJ, PLY or GLB" in refusal(tmp_path / "part.step")
    trimesh.PointCloud(np.eye(3)).export(tmp_path / "points.ply")
    assert re.search("no triangles|cannot be read", refusal(tmp_path / "points.ply"))


def test_too_large_files_are_told_how_to_shrink(tmp_path, monkeypatch):
    path = written(tmp_path, "fine.stl", a_box(cuts=3))
    monkeypatch.setattr("geometry.measured.load.MOST_TRIANGLES", 500)
    assert "decimate" in refusal(path)
    monkeypatch.setattr("geometry.measured.load.MOST_BYTES", 1000)
    assert re.search(r"has \d+ MB; .*decimate", refusal(path))


def test_an_open_surface_says_how_many_edges_and_where(tmp_path):
    mesh = a_box(cuts=1)
    gone = mesh.triangles_center[:, 0] > 99.9
    assert gone.sum() == 8  # the rear face
    mesh.update_faces(~gone)
    said = refusal(written(tmp_path, "open.stl", mesh))
    assert "8 open edges" in said  # its outline, each side halved
    assert "(100.0, " in said


def test_inside_out_and_mixed_faces(tmp_path):
    mesh = a_box()
    mesh.invert()
    assert "inside-out" in refusal(written(tmp_path, "in.stl", mesh))
    mixed = a_box()
    faces = np.array(mixed.faces)
    faces[0] = faces[0, ::-1]
    torn = trimesh.Trimesh(mixed.vertices, faces, process=False)
    assert "face inwards beside others" in refusal(written(tmp_path, "mixed.stl", torn))


@pytest.mark.parametrize(
    ("times", "unit", "words"),
    [
        (1 / 1000, "mm", 'looks like metres; write block.mesh_unit = "m"'),
        (1 / 25.4, "mm", 'looks like inches; write block.mesh_unit = "in"'),
        (1.0, "m", 'looks like millimetres; write block.mesh_unit = "mm"'),
        (1.0, "in", 'looks like millimetres; write block.mesh_unit = "mm"'),
        (1 / 10, "mm", "10 mm long where the engine file implies 100 mm"),
    ],
)
def test_a_wrong_scale_names_the_unit(tmp_path, times, unit, words):
    size = np.array([100, 60, 40]) * times
    path = written(tmp_path, "part.stl", extents=size, at=size / 2)
    assert words in refusal(path, unit=unit)


def test_a_part_that_stands_elsewhere_is_told_apart(tmp_path):
    assert "x = 150.0 to 250.0 mm" in refusal(written(tmp_path, "part.stl", at=(200.0, 30.0, 20.0)))


def test_self_intersection_is_found_where_it_is(tmp_path):
    two = trimesh.util.concatenate([a_box(), a_box((20, 20, 20), (100.0, 30.0, 20.0))])
    said = refusal(written(tmp_path, "two.stl", two))
    assert "passes through itself" in said
    assert "near (100.0, " in said


def test_several_bodies_side_by_side_are_no_fault(tmp_path):
    two = trimesh.util.concatenate([a_box((60, 60, 40), (30, 30, 20)), a_box((20, 20, 20), (90, 30, 20))])
    assert (
        len(read_measured(MeshSource("k", str(written(tmp_path, "2.stl", two))), LOW, HIGH).triangles) == 24
    )


def test_crossings_agree_with_the_collision_library(monkeypatch):
    monkeypatch.setattr("geometry.measured.crossing.DEEP_MM", 1e-9)
    rng = np.random.default_rng(7)
    corners = rng.uniform(0, 60, (160, 1, 3)) + rng.uniform(-9, 9, (160, 3, 3))
    found = {tuple(point) for point in crossings(corners).round(6)}

    def model(k):
        thing = fcl.BVHModel()
        thing.beginModel(1, 3)
        thing.addSubModel(corners[k], np.array([[0, 1, 2]]))
        thing.endModel()
        return fcl.CollisionObject(thing)

    models = [model(k) for k in range(len(corners))]
    meet = [
        (i, j)
        for i in range(len(models))
        for j in range(i)
        if fcl.collide(models[i], models[j], fcl.CollisionRequest(), fcl.CollisionResult())
    ]
    # an intersection is a segment whose two ends are points where an edge goes through a triangle
    assert len(meet) > 15
    assert len(found) == 2 * len(meet)


def test_neighbours_stand_in_a_row():
    points = np.random.default_rng(1).uniform(size=(1000, 3))
    order = neighbours_in_a_row(points)
    assert sorted(order.tolist()) == list(range(1000))
    spread = np.mean([np.ptp(points[order[k : k + 32]], axis=0).max() for k in range(0, 992, 32)])
    assert (
        spread < 0.5
    )  # a run of 32 out of 1000 in a unit cube: a third of the edge; in any order about 0.95


def test_inside_and_outside_of_a_ring():
    ring = trimesh.creation.annulus(20.0, 40.0, 10.0)
    points = np.array([[30.0, 0.3, 0.1], [0.0, 0.0, 0.0], [0.0, -31.0, 3.0], [50.0, 0.0, 0.0]])
    found = turns_about(points, Mesh(np.asarray(ring.vertices), np.asarray(ring.faces, dtype=np.int32)))
    assert found == pytest.approx([1.0, 0.0, 1.0, 0.0], abs=1e-9)


# --- a whole engine ---------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tern():
    return assemble(load_engine(TERN))


@pytest.fixture(scope="module")
def folder(tmp_path_factory, tern):
    """The demo engine beside its own block, written out as a measured mesh."""
    where = tmp_path_factory.mktemp("measured")
    block = tern.body("block").part.mesh
    trimesh.Trimesh(block.vertices, block.triangles, process=False).export(where / "block.stl")
    text = TERN.read_text(encoding="utf-8")
    (where / "engine.toml").write_text(
        text.replace("\n[block]\n", '\n[block]\nmesh = "block.stl"\n', 1), encoding="utf-8"
    )
    return where


@pytest.fixture(scope="module")
def measured(folder):
    return assemble(load_engine(folder / "engine.toml"))


@pytest.fixture(scope="module")
def turn(measured):
    return full_turn(measured)


def least_to_block(turn):
    """Least distance of every moving place to the block, whatever the block's places are called."""
    found = {}
    for near in turn.near:
        for mine, other in ((near.pair.a, near.pair.b), (near.pair.b, near.pair.a)):
            if other.body.name == "block":
                key = (mine.feature, mine.place, mine.body.name)
                found[key] = min(found.get(key, np.inf), near.approach.min_mm)
    return found


def test_the_block_comes_back_as_it_was_written(tern, turn, monkeypatch):
    # What the drawn block leaves out, since no engine file describes it, is metal once it has been measured.
    drawn_too = [row for row in excuses.EXCUSES if not row.reason.startswith("metal that the engine file")]
    monkeypatch.setattr(excuses, "EXCUSES", drawn_too)
    exact, mesh = least_to_block(full_turn(tern)), least_to_block(turn)
    exact = {key: least for key, least in exact.items() if key[0] not in ("crank_nose", "crank_flange")}
    assert len(exact) > 60
    # a drawn bore is a polygon with its corners on the true circle: nearer by its sagitta, as a wall of steel;
    # round parts that stand out of walls are drawn inside the true ones, and so farther
    facets = sagitta_mm(tern.spec.block.bore.diameter_mm / 2 + tern.spec.block.bore.wall_mm, BORE_SEGMENTS)
    tolerance = facets + 2 * 0.01
    assert set(exact) == set(mesh)
    wrong = {key: (exact[key], mesh[key]) for key in exact if abs(exact[key] - mesh[key]) > tolerance}
    assert wrong == {}


def test_the_collision_library_measures_the_same_triangles(measured, turn):
    bolts = [
        near
        for near in turn.near
        if {near.pair.a.feature, near.pair.b.feature} == {"rod_bolt", "measured_block"}
    ]
    assert len(bolts) >= 8
    block = measured.body("block").part.mesh
    for near in sorted(bolts, key=lambda n: n.approach.min_mm)[:4]:
        bolt = near.pair.a if near.pair.a.feature == "rod_bolt" else near.pair.b
        least = np.inf
        for turn_deg in (-1.0, 0.0, 1.0):
            X = bolt.law.poses(np.asarray(near.approach.crank_deg + turn_deg))
            for piece in bolt.pieces:
                circles = circles_of(piece)
                shape = shape_of(piece, circles, circles.middle_rad, circles.half_rad)
                point = X[:3, :3] @ circles.centre_mm.mean(axis=0) + X[:3, 3]
                far = np.linalg.norm(block.vertices[block.triangles] - point, axis=2).min(axis=1)
                for k in np.argsort(far)[:60]:
                    triangle = trimesh_triangle(block, k)
                    found, _, _ = library_distance(shape, triangle, X, np.eye(4))
                    least = min(least, found)
        # the library never measures less, and at the angle that was named it measures the same
        assert least >= near.approach.min_mm - near.approach.within_mm - 1e-3
        assert least == pytest.approx(near.approach.min_mm, abs=0.03)


def trimesh_triangle(mesh, k):
    from geometry.solids import Hull

    piece = Hull(mesh.vertices[mesh.triangles[k]])
    circles = circles_of(piece)
    return shape_of(piece, circles, 0.0, np.pi)


def test_what_is_left_out_is_truly_far(measured):
    """The closest-approach map, whose points are measured in closed form, is the same with every triangle kept."""
    cap = measured.body("rod_cap 3")
    rod = next(p for p in places(measured) if p.body is cap)
    points = cap.part.mesh.vertices[::97] @ cap.X_FA[:3, :3].T + cap.X_FA[:3, 3]
    asked = {"web 3", "pan rail, right", "pan rail, left", "bay 2, right side", "bay 2, left side"}
    near = [p for p in places(measured) if p.feature == "measured_block" and p.place in asked]
    found = closest_approach(rod.law, points, near)
    parts = [replace(m, pieces=m.pieces[k : k + 40]) for m in near for k in range(0, len(m.pieces), 40)]
    every = closest_approach(rod.law, points, parts)  # too few pieces in each for any to be left out
    assert found.distance_mm == pytest.approx(every.distance_mm, abs=1e-3)
    assert 3 <= (found.distance_mm < 25.0).sum() < len(points)  # some within reach, some not


def test_places_of_the_block_are_named_in_words(measured):
    named = {place.place for place in places(measured) if place.feature == "measured_block"}
    assert {"bore 1", "bore 8", "web 3", "pan rail, left", "bay 2, right side", "left bank"} <= named


def test_reach_encloses_every_pose(measured):
    """Every corner at random angles lies in the octagon of its step: the poses come from the assembly itself."""
    rod = next(p for p in places(measured) if p.feature == "rod_cap" and p.body.name == "rod_cap 3")
    reach = volumes_of(rod)
    steps = reach.octagon.shape[2]
    angles = np.random.default_rng(3).uniform(0, 360, 60)
    frames = measured.frame_poses(angles)["R3"]
    for k, piece in enumerate(rod.pieces):
        corners = circles_of(piece).centre_mm
        placed = np.einsum("aij,nj->ani", frames[:, :3, :3], corners) + frames[:, None, :3, 3]
        step = (angles / 360.0 * steps).astype(int)
        for d in range(8):
            n = np.array([0.0, np.cos(np.pi * d / 4), np.sin(np.pi * d / 4)])
            assert np.all((placed @ n).max(axis=1) <= reach.octagon[d, k, step] + 1e-9)


def test_what_lies_wholly_within_a_measured_solid_overlaps(tmp_path, tern):
    """A block that was never hollowed: a plain box around everything, whose surface nothing comes near."""
    block = tern.body("block").part.mesh.vertices
    low, high = block.min(axis=0) - [30, 30, 60], block.max(axis=0) + [30, 30, 60]
    written(tmp_path, "box.ply", extents=high - low, at=(low + high) / 2)
    text = TERN.read_text(encoding="utf-8").replace("\n[block]\n", '\n[block]\nmesh = "box.ply"\n', 1)
    (tmp_path / "engine.toml").write_text(text, encoding="utf-8")
    turn = full_turn(assemble(load_engine(tmp_path / "engine.toml")))
    deep = {
        near.pair.a.name + near.pair.b.name: near.approach.min_mm
        for near in turn.near
        if "measured_block" in (near.pair.a.feature, near.pair.b.feature)
    }
    bolts = [depth for name, depth in deep.items() if "rod_bolt" in name]
    assert len(bolts) >= 16
    assert max(bolts) < -20.0


def test_a_fault_of_the_file_is_one_line_for_the_user(folder, tmp_path):
    with pytest.raises(InputError) as refused:
        read_job(folder / "engine.toml", settings=("block.mesh=gone.stl",))
    (problem,) = refused.value.problems
    assert problem.key == "block.mesh"
    assert "gone.stl is not in" in problem.what


def test_a_measured_rod_stands_for_rod_and_cap(folder, tern):
    rod, cap = tern.body("rod 1").part.mesh, tern.body("rod_cap 1").part.mesh
    halves = [trimesh.Trimesh(m.vertices, m.triangles, process=False) for m in (rod, cap)]
    trimesh.boolean.union(halves, engine="manifold").export(folder / "rod.ply")
    engine = load_engine(folder / "engine.toml", {"rod.mesh": "rod.ply"})
    assembly = assemble(engine.model_copy(update={"block": tern.spec.block}))
    found = assembly.body("rod 1").part, assembly.body("rod_cap 1").part
    for mine, written_ in zip(found, (rod, cap), strict=True):
        volume = trimesh.Trimesh(mine.mesh.vertices, mine.mesh.triangles, process=False).volume
        wanted = trimesh.Trimesh(written_.vertices, written_.triangles, process=False).volume
        assert volume == pytest.approx(wanted, rel=1e-4)
    assert {f.place for part in found for f in part.features} == {"big end", "blade", "small end", "cap"}
    assert all(p.group is Group.ROD for p in places(assembly) if p.feature == "measured_rod")
