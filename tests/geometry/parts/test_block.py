"""The block: one solid in pieces and mesh, nothing in the way of piston or shaft, true to the numbers written.

Checked with an exact CAD kernel (Open CASCADE), plane geometry by shapely, and closed forms.
"""

from itertools import pairwise
from math import asin, cos, pi, sin

import manifold3d
import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.built import AS_DESIGNED
from geometry.kinematics.layout import build_layout
from geometry.kinematics.poses import inverse, transform, translation
from geometry.parts import block
from geometry.parts.shapes import meshing
from geometry.parts.shapes.block_section import block_section
from geometry.parts.shapes.meshing import BORE_SEGMENTS
from geometry.solids import Revolved
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, raw, spec
from tests.geometry.off_surface import sagitta_mm
from tests.geometry.parts import solids_by_cad as cad

FACETS = BORE_SEGMENTS / (2 * pi) * sin(2 * pi / BORE_SEGMENTS)
"""Area of the polygon with that many corners over that of its circle."""


class Case:
    """A block with its layout, its section and its mesh as a solid."""

    def __init__(self, engine):
        self.spec = engine
        self.layout = build_layout(engine)
        self.section = block_section(engine, self.layout)
        (self.body,) = block.bodies(engine, self.layout, AS_DESIGNED)
        self.mesh = self.body.part.mesh
        self.solid = manifold3d.Manifold(
            manifold3d.Mesh64(self.mesh.vertices.copy(), self.mesh.triangles.astype(np.uint64))
        )

    def free_cylinders(self, less_mm):
        """Where pistons, crank and cam run, made thinner by a little."""
        for bank in self.section.banks:
            for x in bank.bores_x_mm:
                length = bank.deck_mm - bank.low_mm
                place = translation([x, 0.0, 0.0]) @ bank.X_EB
                middle = place @ translation([0.0, 0.0, bank.low_mm + length / 2])
                yield meshing.cylinder(bank.radius_mm - less_mm, length, middle, BORE_SEGMENTS)
        length = self.layout.length_mm
        shafts = [(self.section.main_bore_mm, 0.0, 0.0)]
        if self.spec.cam is not None:
            shafts.append((self.spec.cam.journal_mm / 2, self.spec.cam.across_mm, self.spec.cam.up_mm))
        for radius, y, z in shafts:
            place = translation([length / 2, y, z]) @ meshing.ALONG_X
            yield meshing.cylinder(radius - less_mm, length, place, BORE_SEGMENTS)


@pytest.fixture(scope="module", params=NAMES)
def case(request):
    return Case(spec(request.param))


def test_mesh_is_closed_and_outward_and_reads_back_as_the_same_solid(case):
    """A solid library other than the one that made it agrees on the volume (trimesh), and so does a fresh reading:
    no splinters that a reader would have to repair."""
    mesh = trimesh.Trimesh(case.mesh.vertices, case.mesh.triangles, process=False)
    assert mesh.is_watertight
    assert mesh.volume > 0
    assert case.solid.status() == manifold3d.Error.NoError
    assert case.solid.volume() == pytest.approx(mesh.volume, rel=1e-7)


def test_nothing_stands_where_pistons_and_shafts_run(case):
    least = max(sagitta_mm(bank.radius_mm, BORE_SEGMENTS) for bank in case.section.banks)
    free = meshing.union(list(case.free_cylinders(least + 0.02)))
    assert meshing.intersection([case.solid, free]).volume() == pytest.approx(0.0, abs=1e-3)
    for feature in case.body.part.features:
        for piece in feature.pieces:
            overlap = meshing.intersection([meshing.piece_solid(piece), free])
            assert overlap.volume() == pytest.approx(0.0, abs=1e-3), (feature.name, feature.place)


def test_pieces_and_mesh_are_one_solid(case):
    pieces = [meshing.piece_solid(piece) for f in case.body.part.features for piece in f.pieces]
    whole = meshing.union(pieces)
    size = case.solid.volume()
    # main bores and cam tunnels have fewer facets in the mesh: that is all the difference there may be
    shafts = [case.section.main_bore_mm, *([case.spec.cam.journal_mm / 2] if case.spec.cam else [])]
    allowed = sum(2 * pi * r * sagitta_mm(r, 48) for r in shafts) * case.layout.length_mm + 1e-6 * size
    assert (case.solid - whole).volume() < allowed
    assert (whole - case.solid).volume() < allowed


def test_a_barrel_in_the_line_of_the_cam_keeps_its_metal():
    # Knot with the cam so near that its core runs through the barrel: pieces and picture both show the barrel whole.
    written = raw("knot")
    case = Case(Engine.model_validate({**written, "cam": {**written["cam"], "across": "-1.80 in"}}))
    cam, (bank,) = case.spec.cam, case.section.banks
    low, high = case.section.web_ends_mm(0)[1], case.section.web_ends_mm(1)[0]
    line = translation([(low + high) / 2, cam.across_mm, cam.up_mm]) @ meshing.ALONG_X
    core = meshing.cylinder(cam.core_mm / 2, high - low, line, BORE_SEGMENTS)
    walls = [f for f in case.body.part.features if f.name == "bore_wall"]
    met = meshing.intersection([core, *(meshing.piece_solid(piece) for f in walls for piece in f.pieces)])
    assert cam.up_mm > bank.low_mm
    assert met.volume() > 100.0
    assert meshing.intersection([met, case.solid]).volume() == pytest.approx(met.volume(), rel=2e-3)
    test_pieces_and_mesh_are_one_solid(case)


def test_bores_are_as_wide_as_written(case):
    for bank in case.section.banks:
        for x in bank.bores_x_mm:
            place = translation([x, 0.0, 0.0]) @ bank.X_EB
            at = transform(inverse(place), case.mesh.vertices)
            out = np.hypot(at[:, 0], at[:, 1])
            inside = (out < bank.radius_mm + 0.5) & (np.abs(at[:, 2] - bank.deck_mm) < 1e-6)
            assert np.count_nonzero(inside) >= BORE_SEGMENTS
            assert out[inside] == pytest.approx(case.spec.block.bore.diameter_mm / 2, abs=1e-7)


def test_outer_faces_stand_where_they_were_written(case):
    vertices, written = case.mesh.vertices, case.spec.block
    assert vertices[:, 0].min() == pytest.approx(0.0, abs=1e-9)
    assert vertices[:, 0].max() == pytest.approx(case.layout.length_mm)
    assert vertices[:, 2].min() == pytest.approx(
        min(written.pan_rail.height_mm, *(_lowest(bank) for bank in case.section.banks))
    )
    for site in case.layout.bores:
        lean = np.radians(site.bank_deg)
        along = vertices[:, 2] * cos(lean) - vertices[:, 1] * sin(lean)
        on_deck = np.abs(along - written.deck_height_mm) < 1e-6
        assert np.count_nonzero(on_deck) > BORE_SEGMENTS


def _lowest(bank):
    """Lowest z of a bank's outer corners."""
    corners = [
        bank.point(a, z) for a in (-bank.before_mm, bank.beyond_mm) for z in (bank.roof_mm, bank.deck_mm)
    ]
    return min(corner[1] for corner in corners)


def cross_section(case, x_mm):
    """The block cut across at x, as (y, z) material."""
    to_z = np.array([[0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0]])
    loops = case.solid.transform(to_z).slice(x_mm).to_polygons()
    shape = shapely.Polygon()
    for loop in loops:
        shape = shape.symmetric_difference(shapely.Polygon(loop))
    return shape


def test_crankcase_walls_stand_on_the_written_section(case):
    """Between two webs the cut shows the inner faces of the walls exactly where the file puts them."""
    case_spec = case.spec.block.crankcase
    right = np.array(case_spec.section)
    left = np.array(case_spec.section_left or case_spec.section) * [-1.0, 1.0]
    for bay in range(len(case.layout.throw_x_mm)):
        material = cross_section(case, case.layout.throw_x_mm[bay])
        for chain, sign in ((right, 1.0), (left, -1.0)):
            for start, end in pairwise(chain):
                if any(
                    _in_strip(bank, p) for bank in case.section.banks for p in (start, end, (start + end) / 2)
                ):
                    continue
                middle = (start + end) / 2
                along = (end - start) / max(np.hypot(*(end - start)), 1e-9)
                if np.hypot(*(end - start)) < 1.0:
                    continue
                outward = sign * np.array([along[1], -along[0]])
                assert material.boundary.distance(shapely.Point(middle)) < 1e-6
                assert not material.contains(shapely.Point(middle - 0.05 * outward))
                assert material.contains(shapely.Point(middle + 0.05 * outward))


def _in_strip(bank, point):
    across, along = bank.own(*point)
    reach = max(bank.before_mm, bank.beyond_mm) if along > bank.roof_mm else bank.half_mm
    return abs(across) <= reach + 0.1 and along > 0


def test_webs_end_at_their_lower_face_and_bear_the_crank(case):
    for x in case.layout.main_x_mm:
        material = cross_section(case, x)
        bore, bottom = case.section.main_bore_mm, case.spec.block.web_bottom_mm
        assert material.contains(shapely.Point(bore + 3.0, bottom + 0.5))
        assert not material.contains(shapely.Point(bore + 3.0, bottom - 0.5))
        assert material.contains(shapely.Point(0.0, bore + 1.0))
        assert not material.contains(shapely.Point(0.0, bore - 0.1))


def test_pan_rail_lies_outside_the_crankcase(case):
    rail = case.spec.block.pan_rail
    material = cross_section(case, case.layout.throw_x_mm[0])
    z = rail.height_mm + rail.thickness_mm / 2
    for sign in (1.0, -1.0):
        assert material.contains(shapely.Point(sign * (rail.inside_mm + 0.1), z))
        assert material.contains(shapely.Point(sign * (rail.inside_mm + rail.width_mm - 0.1), z))
        assert not material.contains(shapely.Point(sign * (rail.inside_mm + rail.width_mm + 0.1), z))


def test_barrel_with_chamfer_and_notches_has_the_volume_of_the_cad_solid():
    """The free-standing end of a barrel of Dunlin, turned and notched by the CAD kernel."""
    case = Case(spec("dunlin"))
    (bank,) = case.section.banks
    bore, notch = case.spec.block.bore, case.spec.block.bore.notch
    low, roof = bank.low_mm, bank.roof_mm
    inner, outer = bore.diameter_mm / 2, bore.diameter_mm / 2 + bore.wall_mm
    leg = bore.chamfer_mm
    ring = cad.turned(
        [(inner + leg, low), (outer, low), (outer, roof), (inner, roof), (inner, low + leg)], 2 * pi
    )
    width = 2 * asin(notch.width_mm / 2 / inner)
    wedge = [(0.0, low - 1), (inner + notch.depth_mm, low - 1),
             (inner + notch.depth_mm, low + notch.height_mm), (0.0, low + notch.height_mm)]  # fmt: skip
    one = cad.turned(wedge, width)
    cuts = [cad.rotated_about_z(one, middle - width / 2) for middle in (pi / 2, 3 * pi / 2)]
    exact = cad.volume(cad.cut(ring, *cuts))
    place = translation([bank.bores_x_mm[0], 0.0, (low + roof) / 2]) @ bank.X_EB
    around = meshing.cylinder(outer, roof - low, place, BORE_SEGMENTS)
    assert meshing.intersection([case.solid, around]).volume() == pytest.approx(exact * FACETS, rel=2e-3)


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("side", ["major", "minor"])
def test_a_notch_on_one_side_lies_on_the_thrust_side_it_names(side, rotation):
    written = raw("tern")
    bore = {
        **written["block"]["bore"],
        "notch": {"width": "1.2 in", "height": "0.2 in", "depth": "0.1 in", "sides": side},
    }
    general = {k: v for k, v in written["engine"].items() if k != "firing_order"} | {"rotation": rotation}
    engine = Engine.model_validate(
        {**written, "engine": general, "block": {**written["block"], "bore": bore}}
    )
    layout = build_layout(engine)
    (body,) = block.bodies(engine, layout, AS_DESIGNED)
    walls = [f for f in body.part.features if f.name == "bore_wall"]
    for wall in walls:
        narrow = [p for p in wall.pieces if isinstance(p, Revolved) and p.end_deg - p.start_deg < 90.0]
        thrust = layout.site(int(wall.place.removeprefix("bore "))).thrust_ring_deg
        wanted = thrust if side == "major" else 360.0 - thrust
        assert {(p.start_deg + p.end_deg) / 2 for p in narrow} == {wanted}
        covered = sum(
            p.end_deg - p.start_deg
            for p in wall.pieces
            if p.profile_mm[:, 1].max() > engine.block.deck_height_mm - 1
        )
        assert covered == pytest.approx(360.0)


def test_features_carry_the_names_a_builder_points_at(case):
    features = case.body.part.features
    assert len({(f.name, f.place, f.part) for f in features}) == len(features)
    named = {(f.name, f.place) for f in features}
    assert {f"bore {site.bore}" for site in case.layout.bores} == {p for n, p in named if n == "bore_wall"}
    assert {"right", "left"} == {p for n, p in named if n == "pan_rail"}
    webs = {f"web {k + 1}" for k in range(len(case.layout.main_x_mm))}
    assert webs == {p for n, p in named if n == "main_web"}
    assert (webs if case.spec.cam else set()) == {p for n, p in named if n == "cam_tunnel"}
    for bay in range(1, len(case.layout.main_x_mm)):
        assert {("crankcase_wall", f"bay {bay}, {side} side") for side in ("right", "left")} <= named


across, up = st.floats(60.0, 150.0), st.floats(-50.0, 200.0)


@settings(max_examples=10)  # each is a block of solids: a third of a second
@given(
    st.sampled_from(["tern", "dunlin", "curlew", "whimbrel"]),
    st.lists(st.tuples(across, up), min_size=1, max_size=4),
)
def test_any_written_section_gives_a_closed_block_with_free_bores(name, points):
    written = raw(name)
    rail = spec(name).block.pan_rail
    points = sorted(points, key=lambda p: p[1])
    section = [[rail.inside_mm, rail.height_mm], *map(list, points)]
    case_text = {k: v for k, v in written["block"]["crankcase"].items() if k != "section_left"} | {
        "section": section
    }
    engine = Engine.model_validate({**written, "block": {**written["block"], "crankcase": case_text}})
    found = Case(engine)
    assert found.solid.status() == manifold3d.Error.NoError
    bores = [c for c, _ in zip(found.free_cylinders(0.06), found.layout.bores, strict=False)]
    assert meshing.intersection([found.solid, meshing.union(bores)]).volume() == pytest.approx(0.0, abs=1e-3)
