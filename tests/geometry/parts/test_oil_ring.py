"""The oil ring: expander between its rails, within groove and bore, its joint where the clock puts it."""

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold, Mesh64
from shapely import LineString, MultiPolygon, Polygon

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, RingBuild
from geometry.rings.clocked import gap_angles
from tests.geometry.fleet import CLEAR, assembly, spec
from tests.geometry.parts.membership import outside_union, pieces_of, surface_points

PACK = ("upper_rail", "expander", "lower_rail")


def on_piston(engine, name):
    """Corners of a body in frame P."""
    body = engine.body(name)
    return body.part.mesh.vertices @ body.X_FA[:3, :3].T + body.X_FA[:3, 3]


def with_oil(names=CLEAR):
    return [name for name in names if spec(name).rings.oil is not None]


@pytest.mark.parametrize("name", with_oil())
def test_the_pack_stands_in_its_groove_rail_on_expander_on_rail(name):
    engine = assembly(name)
    oil = engine.spec.rings.oil
    groove = next(g for g in engine.spec.piston.grooves if g.ring == "oil")
    top = engine.spec.piston.compression_height_mm - groove.from_crown_mm
    bore = engine.layout.bores[0].bore
    spans = [
        np.array([p[:, 2].min(), p[:, 2].max()])
        for p in (on_piston(engine, f"{kind} {bore}") for kind in PACK)
    ]
    assert spans[2][0] == pytest.approx(top - groove.height_mm)
    assert spans[0][1] - spans[2][0] == pytest.approx(oil.height_mm)
    assert spans[0][1] < top
    assert spans[2][1] - spans[2][0] == pytest.approx(oil.rail_height_mm)
    assert spans[1] == pytest.approx([spans[2][1], spans[0][0]])
    for kind in PACK:
        radius = np.hypot(*on_piston(engine, f"{kind} {bore}")[:, :2].T)
        assert radius.max() <= engine.spec.block.bore.diameter_mm / 2 + 1e-6
        assert radius.min() > groove.root_mm / 2


@pytest.mark.parametrize("name", with_oil())
def test_the_joint_is_a_seam_at_its_ring_angle(name):
    # Measured back from the mesh: the two corners nearest the joint, either side of the angle that the clock gives.
    engine = assembly(name)
    for site in engine.layout.bores:
        wanted = gap_angles(engine.spec, site, AS_DESIGNED.bore(site.bore))["expander"]
        points = on_piston(engine, f"expander {site.bore}")
        angle = np.degrees(
            np.arctan2(points[:, 1], -points[:, 0])
        )  # clockwise from the front, seen from above
        off = (angle - wanted + 180.0) % 360.0 - 180.0
        near = off[np.abs(off) < 2.0]
        assert near[near > 0].min() == pytest.approx(-near[near < 0].max(), abs=0.02)
        seam = np.radians(near[near > 0].min() - near[near < 0].max()) * np.hypot(*points[:, :2].T).mean()
        assert seam == pytest.approx(0.4, rel=0.05)


def layers(mesh, angle_deg):
    """How many thicknesses of strip a line from the bore's axis meets; ``angle_deg`` from the front of the ring's
    frame, in the turning sense of +z. Independent: half-height section by the solid library, line by shapely."""
    height = (mesh.vertices[:, 2].min() + mesh.vertices[:, 2].max()) / 2
    solid = Manifold(Mesh64(mesh.vertices, mesh.triangles.astype(np.uint64)))
    section = MultiPolygon()
    for ring in solid.slice(height).to_polygons():
        section = section.symmetric_difference(Polygon(ring))
    far, angle = 2 * np.abs(mesh.vertices).max(), np.radians(180.0 + angle_deg)
    met = section.intersection(LineString([(0.0, 0.0), (far * np.cos(angle), far * np.sin(angle))]))
    return len(getattr(met, "geoms", [met])) if not met.is_empty else 0


@pytest.mark.parametrize("name", with_oil())
def test_overlapped_ends_pass_each_other_and_butted_ones_do_not(name):
    # What overlapped means: beside the joint the strip lies double; elsewhere, and where the ends butt, it never does.
    # One body, closed, because the other way round the bore the strip is whole.
    bore = assembly(name).layout.bores[0].bore
    rings = {"expander": RingBuild(overlapped=True)}
    lapped = assemble(spec(name), AS_DESIGNED.with_bore(bore, rings=rings)).body(f"expander {bore}").part
    butted = assembly(name).body(f"expander {bore}").part
    for angle in (-6.0, -2.5, 0.0, 2.5, 5.0):
        assert layers(lapped.mesh, angle) == 2
    for angle in (-20.0, 20.0, 90.0, 180.0):
        assert layers(lapped.mesh, angle) == layers(butted.mesh, angle) == 1
    assert layers(butted.mesh, 0.0) == 0
    surface = trimesh.Trimesh(lapped.mesh.vertices, lapped.mesh.triangles, process=False)
    assert surface.is_watertight
    assert surface.body_count == 1
    # pieces hold the ends that pass, but for the sagitta of a chord on the hollow side, as in test_pieces.py
    outside = outside_union(surface_points(lapped.mesh), pieces_of(lapped)).max()
    assert outside < assembly(name).spec.block.bore.diameter_mm / 2 * (1 - np.cos(np.pi / 96))


def test_a_rail_left_out_is_not_there():
    found = assemble(spec("tern"), AS_DESIGNED.with_bore(1, rings={"lower_rail": RingBuild(missing=True)}))
    names = {body.name for body in found.bodies}
    assert "lower_rail 1" not in names
    assert {"upper_rail 1", "expander 1", "lower_rail 3"} <= names


def test_a_wider_bore_opens_the_rail_gap_by_pi_times_the_difference():
    # Circumference: the rail keeps its length. References: a gap changes by 3.14 times the change of the bore.
    wide = spec("tern").block.bore.diameter_mm + 0.1
    found = assemble(spec("tern"), AS_DESIGNED.with_bore(1, bore_diameter_mm=wide))
    piece = found.body("upper_rail 1").part.features[0].pieces[0]
    left = 2 * (wide / 2) * np.sin(np.radians(360.0 - (piece.end_deg - piece.start_deg)) / 2)
    assert left == pytest.approx(spec("tern").rings.oil.rail_gap_mm + np.pi * 0.1, abs=1e-9)
