"""Scenes as plain data: what is shown, cut, moved, labelled and framed, with no renderer loaded."""

import subprocess
import sys

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import InputError
from geometry.solids import Mesh
from viewer.looks import LOOKS
from viewer.scene import Callout, CutPlane, ViewOptions, aim, build_scene, move, project, read_view
from viewer.scene.cutting import cut_open, hatching
from viewer.scene.flat import Line
from viewer.scene.groups import GROUPS, group_of
from viewer.scene.lettering import letter
from viewer.scene.marks import arrow, band_arrow, turning_arrow
from viewer.scene.placing import Rectangle, place_labels
from viewer.scene.shading import coarse, shaded
from viewer.scene.views import FIXED

VIEWS = [*FIXED, "bore 3", "rings 3", "chamfer 3"]


def inside(box, size):
    return (
        min(box.left, box.bottom) >= 0.0
        and box.left + box.width <= size[0]
        and box.bottom + box.height <= size[1]
    )


def solid(mesh):
    return trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)


def as_part(mesh):

    return Mesh(np.array(mesh.vertices), np.array(mesh.faces, dtype=np.int32))


def fake_measure(text, size_px, bold):
    """Close to what fonts need: 0.6 of the size for each character."""
    return 0.6 * size_px * max(len(text), 1), 1.2 * size_px


def test_needs_no_renderer():
    code = (
        "import sys, viewer.scene; "
        "print([m for m in ('pyvista', 'vtkmodules', 'matplotlib') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_has_something_in_it(tern, view):
    scene = build_scene(tern, ViewOptions(view=view, crank_deg=75.0))
    shown = [item for item in scene.items if item.visible]
    assert shown
    assert all(item.look in LOOKS for item in shown)
    assert {item.frame for item in shown} <= set(scene.poses)
    assert np.isfinite(scene.framing.points_mm).all()


def test_bodies_keep_their_mesh_frame_and_place(tern):
    scene = build_scene(tern)
    for body in tern.bodies:
        item = scene.item(body.name)
        assert item.mesh is body.part.mesh or not item.visible
        assert item.frame == body.frame
        assert item.X_FA is body.X_FA


def test_moving_changes_poses_and_caption_only(tern):
    scene = build_scene(tern, ViewOptions(crank_deg=10.0))
    moved = move(scene, tern, 90.0)
    assert moved.items is scene.items
    assert moved.labels is scene.labels
    assert moved.framing is scene.framing
    assert np.allclose(moved.poses["P3"], tern.pose("piston 3", 90.0))
    assert "crank 90°" in moved.caption[1]


def test_caption_counts_from_the_own_top_dead_centre(tern):
    # A 90 degree vee with a cross-plane crank: bore 3 stands at top a quarter turn apart from bore 1 (Norton,
    # Design of Machinery, crank phases 0-90-270-180, from memory).
    scene = build_scene(tern, ViewOptions(view="bore 3", crank_deg=90.0))
    assert "180° after top dead centre of bore 3" in scene.caption[1]


def test_unknown_views_are_refused_in_words(tern):
    with pytest.raises(InputError, match="there is no view 'sideways'"):
        read_view("sideways", tern.layout)
    with pytest.raises(InputError, match="there is no bore 9; one of 1, 2, 3"):
        read_view("bore 9", tern.layout)
    assert read_view("Bore 3", tern.layout).bore == 3
    assert read_view("side", tern.layout).name == "left"


def test_front_view_shows_the_right_side_on_the_left(tern):
    """Looking rearward from the front, the engine's right is on the viewer's left; from the rear it is not."""
    right = np.array([[100.0, 200.0, 0.0], [100.0, -200.0, 0.0]])
    for view, order in (("front", -1), ("rear", 1), ("top", 1), ("below", -1)):
        camera = aim(build_scene(tern, ViewOptions(view=view)).framing, 1.6)
        on_screen = project(camera, (1600, 1000), right)[:, 0]
        assert np.sign(on_screen[0] - on_screen[1]) == order, view


def test_front_is_left_seen_from_the_left_and_up_seen_from_above(tern):
    front_rear = np.array([[0.0, 0.0, 0.0], [400.0, 0.0, 0.0]])
    for view, axis, order in (("left", 0, -1), ("right", 0, 1), ("top", 1, 1), ("below", 1, 1)):
        camera = aim(build_scene(tern, ViewOptions(view=view)).framing, 1.6)
        place = project(camera, (1600, 1000), front_rear)[:, axis]
        assert np.sign(place[0] - place[1]) == order, view


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("aspect", [0.6, 1.6, 2.4])
def test_nothing_framed_falls_outside(tern, view, aspect):
    framing = build_scene(tern, ViewOptions(view=view, crank_deg=200.0)).framing
    size = (round(1000 * aspect), 1000)
    place = project(aim(framing, aspect), size, framing.points_mm)
    assert (place[:, 2] > 0).all()
    assert (place[:, :2] >= -0.5).all()
    assert (place[:, :2] <= np.array(size) + 0.5).all()
    used = np.ptp(place[:, :2], axis=0) / size / (1 - 2 * framing.margin)
    assert used.max() == pytest.approx(1.0, abs=0.02)  # as large as the margin lets it


def test_framing_is_the_same_all_round(tern):
    first, second = (build_scene(tern, ViewOptions(view="iso", crank_deg=a)).framing for a in (0.0, 133.0))
    assert np.array_equal(first.points_mm, second.points_mm)


def test_one_bore_alone_leaves_crank_and_block(tern):
    scene = build_scene(tern, ViewOptions(bore=3))
    shown = [item for item in scene.items if item.visible]
    assert {item.bore for item in shown} == {None, 3}
    assert any(item.group == "crank" for item in shown)
    assert {label.text for label in scene.labels if label.kind == "bore"} == {"3"}


def test_hidden_and_faded_groups(tern):
    scene = build_scene(tern, ViewOptions(hidden=frozenset({"block", "piston 1"}), faded=frozenset({"rods"})))
    assert not scene.item("block").visible
    assert not scene.item("piston 1").visible
    assert scene.item("piston 2").opacity == 1.0
    assert scene.item("rod 2").opacity < 0.5


def test_highlight_shows_what_is_hidden(tern):
    scene = build_scene(tern, ViewOptions(hidden=frozenset({"pistons"}), highlight=frozenset({"piston 5"})))
    assert scene.item("piston 5").visible
    assert scene.item("piston 5").look == "highlight"


def test_every_part_kind_belongs_to_a_known_group(tern):
    assert {group_of(body.part.kind) for body in tern.bodies} <= set(GROUPS)


def test_spread_parts_stand_one_above_the_other(tern):
    scene = build_scene(tern, ViewOptions(bore=3, spread=1.0))
    height = {name: scene.item(f"{name} 3").X_FA[2, 3] for name in ("piston", "piston_pin")}
    assert height["piston"] > height["piston_pin"] > 0.0
    half = build_scene(tern, ViewOptions(bore=3, spread=0.5))
    assert half.item("piston 3").X_FA[2, 3] == pytest.approx(height["piston"] / 2)


def test_bore_numbers_stand_over_their_decks(tern):
    scene = build_scene(tern)
    labels = {label.bore: label for label in scene.labels if label.kind == "bore" and label.frame == "E"}
    assert set(labels) == set(range(1, 9))
    for site in tern.layout.bores:
        y, z = labels[site.bore].at_mm[1:]
        assert np.degrees(np.arctan2(-y, z)) == pytest.approx(site.bank_deg)
        assert np.hypot(y, z) > tern.spec.block.deck_height_mm


def test_marks_are_closed_and_point_the_right_way():
    flat = arrow(100.0, 40.0, 4.0)
    assert solid(flat).is_watertight
    assert flat.vertices[:, 0].max() == pytest.approx(100.0)
    for sense in (1, -1):
        bent = turning_arrow(60.0, 20.0, 4.0, sense)
        assert solid(bent).is_watertight
        assert solid(bent).volume > 0.0
        # The head is the widest part: it ends the arrow on the side towards which the crank turns.
        radius = np.hypot(bent.vertices[:, 1], bent.vertices[:, 2])
        head = bent.vertices[radius > 68.0][:, 1:].mean(axis=0)
        turned = np.degrees(np.arctan2(head[1], head[0]))
        start = -35.0 if sense > 0 else 215.0
        assert 180.0 < (sense * (turned - start)) % 360.0 < 250.0
        for toward in (180.0, 0.0, 90.0, -90.0):
            band = band_arrow(20.0, 14.0, 2.0, sense, toward)
            assert solid(band).is_watertight
            assert solid(band).volume > 0.0
            # seen from the side that it faces: wide behind, its tip a little farther on in the way that the crank turns
            round_x = np.degrees(np.arctan2(band.vertices[:, 2], band.vertices[:, 1]))
            past = (sense * (round_x - toward) + 180.0) % 360.0 - 180.0
            tip, broad = np.argmax(past), np.argmax(np.abs(band.vertices[:, 0]))
            assert past[broad] < past[tip] < 60.0
            assert past.min() > -135.0


# ---- cuts ---------------------------------------------------------------------------------------------------


def test_a_cut_cylinder_keeps_the_right_half_and_closes():
    # Half a cylinder has half the volume; the face of the cut is diameter times length (plane geometry).
    whole = as_part(trimesh.creation.cylinder(radius=10.0, height=30.0, sections=256))
    opened = cut_open(whole, np.zeros(3), np.array([0.0, 2.0, 0.0]))
    assert opened.skin.vertices[:, 1].max() <= 1e-6
    assert solid(opened.faces).area == pytest.approx(20.0 * 30.0, rel=1e-3)
    both = trimesh.util.concatenate([solid(opened.skin), solid(opened.faces)])
    both.merge_vertices()
    assert both.is_watertight
    assert both.volume == pytest.approx(solid(whole).volume / 2, rel=1e-6)


def test_a_plane_that_misses_cuts_nothing():
    box = as_part(trimesh.creation.box((2.0, 2.0, 2.0)))
    assert cut_open(box, np.array([0.0, 0.0, 5.0]), np.array([0.0, 0.0, 1.0])).skin is box
    gone = cut_open(box, np.array([0.0, 0.0, -5.0]), np.array([0.0, 0.0, 1.0]))
    assert not len(gone.skin.triangles)
    assert gone.faces is None


def test_an_open_surface_is_cut_without_faces():
    lid = trimesh.creation.box((2.0, 2.0, 2.0))
    lid.update_faces(np.arange(len(lid.faces)) > 1)
    opened = cut_open(as_part(lid), np.zeros(3), np.array([1.0, 0.0, 0.0]))
    assert opened.faces is None
    assert len(opened.skin.triangles) > 0
    assert opened.skin.vertices[:, 0].max() <= 1e-9


def test_hatching_covers_a_face_evenly():
    # Lines at distance d over an area A have a total length of A / d (Cavalieri).
    box = as_part(trimesh.creation.box((40.0, 30.0, 20.0)))
    normal = np.array([0.0, 0.0, 1.0])
    faces = cut_open(box, np.zeros(3), normal).faces
    for spacing in (0.5, -0.5):
        lines = hatching(faces, normal, spacing)
        length = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1).sum()
        assert length == pytest.approx(40.0 * 30.0 / 0.5, rel=0.01)
        assert np.abs(lines[:, :, 2]).max() < 0.1


def test_block_opens_on_the_bores_of_a_bank(tern):
    scene = build_scene(tern, ViewOptions(view="left", block="cut"))
    face = scene.item("block cut")
    left = next(site for site in tern.layout.bores if site.bank == "left")
    bank = np.radians(left.bank_deg)
    # Every point of the cut face lies in the plane through the crank axis and the bank's bore axes.
    assert np.abs(face.mesh.vertices @ [0.0, np.cos(bank), np.sin(bank)]).max() < 1e-3
    assert scene.item("piston 1").mesh is tern.body("piston 1").part.mesh
    assert any(strokes.look == "hatch" for strokes in scene.strokes)


def test_a_cut_of_the_users_own_replaces_the_usual_one(tern):
    plane = CutPlane(np.array([200.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]), frozenset({"block"}))
    scene = build_scene(tern, ViewOptions(block="cut", cuts=(plane,)))
    assert scene.item("block").mesh.vertices[:, 0].max() <= 200.0 + 1e-6
    assert not [item for item in scene.items if item.name == "gasket left cut"]


def test_bore_view_sections_the_crank_in_front_of_the_rod(tern):
    scene = build_scene(tern, ViewOptions(view="bore 3", crank_deg=75.0))
    site = tern.layout.site(3)
    assert scene.item("crank").mesh.vertices[:, 0].min() > site.x_mm - tern.spec.rod.big_end.width_mm / 2
    assert not scene.item("rod 1").visible
    assert scene.item("rod 3").opacity == 1.0
    assert 0 < scene.item("rod 8").opacity < 0.3


# ---- shading ------------------------------------------------------------------------------------------------


def test_normals_of_a_cylinder_are_radial_on_its_side():
    part = shaded(as_part(trimesh.creation.cylinder(radius=10.0, height=30.0, sections=64)))
    side = np.abs(part.normals[:, 2]) < 0.5
    radial = part.vertices[side, :2] / 10.0
    assert np.abs((part.normals[side, :2] * radial).sum(axis=1)).min() > 0.9999
    assert np.allclose(np.abs(part.normals[~side, 2]), 1.0)
    # Two rims, each as long as the circle's polygon.
    length = np.linalg.norm(part.edges[:, 1] - part.edges[:, 0], axis=1).sum()
    assert length == pytest.approx(2 * 64 * 2 * 10.0 * np.sin(np.pi / 64), rel=1e-6)


def test_normals_of_a_box_are_its_faces():
    part = shaded(as_part(trimesh.creation.box((1.0, 2.0, 3.0))))
    assert len(part.vertices) == 24
    assert len(part.edges) == 12
    assert np.allclose(np.sort(np.abs(part.normals), axis=1), [0.0, 0.0, 1.0])


def test_coarse_copies_stay_within_their_tolerance():
    whole = as_part(trimesh.creation.cylinder(radius=50.0, height=30.0, sections=512))
    lean = coarse(whole, 0.35)
    assert len(lean.triangles) < len(whole.triangles) / 4
    _, away, _ = trimesh.proximity.closest_point_naive(solid(lean), whole.vertices[::16])
    assert away.max() <= 0.36


# ---- lettering ----------------------------------------------------------------------------------------------


@given(
    st.lists(st.tuples(st.floats(-50, 900), st.floats(-50, 650)), min_size=1, max_size=24),
    st.integers(40, 120),
)
def test_labels_never_overlap_and_never_leave_the_picture(anchors, width):
    picture, sizes = (800, 600), [(float(width), 24.0)] * len(anchors)
    taken = [Rectangle(0.0, 560.0, 300.0, 40.0)]
    boxes = place_labels(np.array(anchors), sizes, picture, taken, 3.0)
    assert None not in boxes
    for index, box in enumerate(boxes):
        assert inside(box, picture)
        assert all(box.apart_from(other) for other in [*taken, *boxes[:index]])


def test_a_label_with_room_stays_where_it_belongs():
    (box,) = place_labels(np.array([[200.0, 150.0]]), [(40.0, 20.0)], (400, 300))
    assert box.centre == (200.0, 150.0)


def test_a_picture_without_room_leaves_a_label_out():
    assert place_labels(np.array([[10.0, 10.0]]), [(100.0, 20.0)], (50, 50)) == [None]


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("size", [(1024, 700), (1600, 1000), (3840, 2160)])
def test_no_words_cover_other_words(tern, view, size):
    scene = build_scene(tern, ViewOptions(view=view, crank_deg=75.0))
    layer = letter(scene, aim(scene.framing, size[0] / size[1]), size, fake_measure)
    words = [w for w in layer.words if w.text]
    for index, one in enumerate(words):
        assert inside(one.box, size), one.text
        for other in words[:index]:
            assert one.box.apart_from(other.box), (one.text, other.text)
    assert len([w for w in words if "FRONT" in w.text]) >= 1


def test_bores_behind_one_another_share_a_label(tern):
    scene = build_scene(tern, ViewOptions(view="front"))
    layer = letter(scene, aim(scene.framing, 1.6), (1600, 1000), fake_measure)
    texts = [w.text for w in layer.words]
    assert "1  3  5  7" in texts  # the nearest first
    assert "2  4  6  8" in texts


def test_a_callout_says_its_verdict_in_words_and_by_line(tern):
    a, b = np.array([100.0, 0.0, 0.0]), np.array([100.0, 0.0, 20.0])
    made = [Callout(a, b, "0.9 mm", verdict, ("rod 3", "block"), 0.9, 0.0) for verdict in ("clear", "close")]
    dashed = []
    for callout in made:
        scene = build_scene(tern, ViewOptions(view="left"), [callout])
        layer = letter(scene, aim(scene.framing, 1.6), (1600, 1000), fake_measure)
        assert f"0.9 mm, {callout.verdict}" in [w.text for w in layer.words]
        lines = [x for x in layer.lines if isinstance(x, Line) and x.colour == LOOKS[callout.verdict].colour]
        dashed.append(any(line.dashed for line in lines))
    assert dashed == [False, True]


@pytest.mark.parametrize("view", ["iso", "front", "top"])
def test_the_subject_keeps_to_the_free_part_of_the_picture(tern, view):
    framing = build_scene(tern, ViewOptions(view=view)).framing
    free = (0.3, 0.1, 0.95, 0.8)
    place = project(aim(framing, 1.6, free), (1600, 1000), framing.points_mm)[:, :2] / [1600, 1000]
    assert (place >= np.array(free[:2]) - 1e-3).all()
    assert (place <= np.array(free[2:]) + 1e-3).all()
