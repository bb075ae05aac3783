"""Rod bolts: named by the thrust side they stand on, and what moves when one is not seated."""

import numpy as np
import pytest
import shapely
import trimesh

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.kinematics.slider_crank import bore_frames
from geometry.parts.rod_bolt import behind_circle_mm, spans_mm
from tests.geometry.fleet import CLEAR, assembly, spec, turned_round


@pytest.mark.parametrize("name", CLEAR)
@pytest.mark.parametrize("rotation", ["as it runs", "the other way"])
def test_bolts_are_named_by_the_thrust_side_they_stand_on(name, rotation):
    # Independent: on the power stroke the crankpin is on the minor side, so half a turn of the wheel after firing
    # the big end has moved away from the major side; a quarter turn after top dead centre decides.
    engine = assembly(name) if rotation == "as it runs" else assemble(turned_round(name))
    frames = bore_frames(engine.linkage)
    for index, site in enumerate(engine.layout.bores):
        heights = engine.frame_poses(np.arange(0.0, 360.0, 1.0))[f"P{site.bore}"][:, :3, 3]
        axis, across = frames[index][:3, 2], frames[index][:3, 1]
        top = float(np.argmax(heights @ axis))
        pin_side = float(np.sign(engine.frame_poses(top + 90.0)[f"R{site.bore}"][:3, 3] @ across))
        bolts = {which: engine.pose(f"rod_bolt {site.bore} {which}", top) for which in ("major", "minor")}
        apart = (bolts["major"][:3, 3] - bolts["minor"][:3, 3]) @ across
        assert np.sign(apart) == -pin_side


def test_a_bolt_with_a_nut_lifts_its_head_and_leaves_the_nut():
    bolt = spec("dunlin").rod.bolt
    engine = assemble(spec("dunlin"), AS_DESIGNED.with_bore(1, bolt_out_mm=(0.0, 1.5)))
    lifted = next(b for b in engine.bodies if b.name.startswith("rod_bolt 1") and b.X_FA[1, 3] > 0)
    found = {f.place: f.pieces[0] for f in lifted.part.features}
    top = found["head"].X_AP[2, 3] - found["head"].length_mm / 2
    nut = found["nut"].X_AP[2, 3] + found["nut"].length_mm / 2
    assert top == pytest.approx(bolt.shoulder_mm + 1.5)
    assert nut == pytest.approx(-bolt.seat_mm)
    assert lifted.part.mesh.vertices[:, 2].max() == pytest.approx(top + bolt.head_height_mm)


def test_the_thread_end_is_what_the_file_says_stands_out():
    # By the file's own rule: length less seat, shoulder and nut.
    bolt = spec("dunlin").rod.bolt
    radius, low, high = spans_mm(bolt)["thread end"]
    assert high - low == pytest.approx(bolt.thread_out_mm)
    assert radius == bolt.diameter_mm / 2


@pytest.mark.parametrize("name", ["tern", "dunlin"])
def test_heads_lie_within_their_round_pieces_and_touch_them_at_their_corners(name):
    engine = assembly(name)
    part = next(b.part for b in engine.bodies if b.part.kind == "rod_bolt")
    for feature in part.features:
        if feature.place in ("head", "nut"):
            piece = feature.pieces[0]
            z = part.mesh.vertices[:, 2] - piece.X_AP[2, 3]
            here = part.mesh.vertices[np.abs(z) < piece.length_mm / 2 - 1e-6]
            seated = part.mesh.vertices[np.abs(np.abs(z) - piece.length_mm / 2) < 1e-6]
            widest = max(np.hypot(*points[:, :2].T).max() for points in (here, seated) if len(points))
            assert widest == pytest.approx(piece.radius_mm, abs=1e-6)


@pytest.mark.parametrize("name", ["tern", "dunlin"])
def test_a_head_lies_behind_its_circle_as_far_as_the_section_of_its_mesh_does(name):
    engine = assembly(name)
    part = next(b.part for b in engine.bodies if b.part.kind == "rod_bolt")
    mesh = trimesh.Trimesh(part.mesh.vertices, part.mesh.triangles, process=False)
    found = []
    for feature in part.features:
        assert feature.round_head == (feature.place in ("head", "nut"))
        if feature.round_head:
            (piece,) = feature.pieces
            lines = trimesh.intersections.mesh_plane(mesh, [0.0, 0.0, 1.0], [0.0, 0.0, piece.X_AP[2, 3]])
            outline = shapely.MultiLineString(list(lines[:, :, :2]))
            found.append(piece.radius_mm - outline.distance(shapely.Point(0.0, 0.0)))
    assert behind_circle_mm(engine.spec.rod.bolt) == pytest.approx(max(found), abs=2e-3)
