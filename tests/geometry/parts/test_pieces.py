"""Clearance pieces against the meshes of all moving parts: they hold every surface, and little more than the solid."""

from math import cos, pi, sin

import numpy as np
import pytest
from manifold3d import Error, Manifold, Mesh64

from geometry.parts.shapes import meshing
from geometry.parts.shapes.mass import mass_properties
from geometry.parts.shapes.rod_shape import blade, pocket
from tests.geometry.fleet import CLEAR, assembly
from tests.geometry.parts.membership import outside_union, pieces_of, surface_points

MOVING = {
    "piston", "piston_pin", "top_ring", "second_ring", "upper_rail", "expander", "lower_rail", "rod", "rod_cap",
    "rod_bolt", "bearing_shell", "crank", "cam",
}  # fmt: skip
HOLLOW = dict.fromkeys(("top_ring", "second_ring", "upper_rail", "lower_rail"), 192)
HOLLOW |= {"piston": 96, "bearing_shell": 96, "expander": 16 * 36}
"""Facets of a full turn round the inside of hollow parts."""


def moving_parts(name):
    """Distinct moving parts of an engine."""
    return list({id(b.part): b.part for b in assembly(name).bodies if b.part.kind in MOVING}.values())


@pytest.mark.parametrize("name", CLEAR)
def test_pieces_hold_every_corner_and_every_facet(name):
    # Every corner and the middle of every facet lies in some piece, by the inequalities of the shapes. A facet of a
    # hollow reaches inward beyond the true round by at most its sagitta, r (1 - cos(pi / n)). A shell's tang lies in
    # its notch, within the rod that it is joined to, and is left out of the shell's piece.
    radius = assembly(name).spec.block.bore.diameter_mm / 2
    for part in moving_parts(name):
        points = surface_points(part.mesh)
        outside = outside_union(points, pieces_of(part))
        if part.kind == "bearing_shell":
            outside = outside[np.hypot(points[:, 1], points[:, 2]) <= pieces_of(part)[0].profile_mm.max()]
        facets = HOLLOW.get(part.kind)
        allowed = radius * (1 - cos(pi / facets)) if facets else 1e-6
        assert outside.max() < allowed, part.kind


@pytest.mark.parametrize("name", CLEAR)
def test_the_solid_library_reads_every_mesh_back_as_the_same_solid(name):
    for part in moving_parts(name):
        solid = Manifold(Mesh64(part.mesh.vertices, part.mesh.triangles.astype(np.uint64)))
        assert solid.status() == Error.NoError, part.kind
        assert solid.volume() == pytest.approx(mass_properties(part).volume_mm3, rel=1e-9), part.kind


def beyond_mm3(part, segments=meshing.BORE_SEGMENTS):
    """Volume of all pieces together, faceted like the mesh, beyond that of the mesh."""
    filled = meshing.union([meshing.piece_solid(piece, segments) for piece in pieces_of(part)])
    return filled.volume() - mass_properties(part).volume_mm3


def part_of(name, kind):
    return next(b.part for b in assembly(name).bodies if b.part.kind == kind)


@pytest.mark.parametrize("name", ["tern", "curlew", "knot"])
def test_crank_pieces_exceed_the_crank_by_slivers_in_the_fillets_only(name):
    # Three chords across a fillet that is drawn with six: between a chord of 30 degrees and two of 15 lies a triangle
    # of height r (1 - cos 15 deg) over 2 r sin 15 deg, turned about the journal.
    crank, layout = assembly(name).spec.crank, assembly(name).layout
    half = pi / 12
    most = 0.0
    for journal, count in ((crank.pin, 2 * len(layout.throw_x_mm)), (crank.main, 2 * len(layout.throw_x_mm))):
        sliver = journal.fillet_mm**2 * sin(half) * (1 - cos(half))
        most += count * 3 * sliver * 2 * pi * (journal.diameter_mm / 2 + journal.fillet_mm)
    found = beyond_mm3(part_of(name, "crank"))
    assert 0.5 * most < found < most


@pytest.mark.parametrize("name", ["tern", "dunlin"])
def test_cam_pieces_are_the_cam(name):
    part = part_of(name, "cam")
    assert beyond_mm3(part, meshing.ROUND_SEGMENTS) == pytest.approx(
        0.0, abs=1e-6 * mass_properties(part).volume_mm3
    )


@pytest.mark.parametrize("name", ["tern", "dunlin", "curlew"])
def test_cap_pieces_fill_bore_bolts_seats_and_notch_only(name):
    # Closed form for what is filled: half the bore with both chamfer cones, the bolt holes; the room at the seats and
    # the notch are bounded by their own cylinders and block.
    rod = assembly(name).spec.rod
    radius, width = rod.big_end.bore_mm / 2, rod.big_end.width_mm
    bore = pi / 2 * radius**2 * width
    for leg in (rod.chamfer.cheek_mm, rod.chamfer.other_mm):
        bore += (
            pi / 2 * (leg / 3 * (radius**2 + radius * (radius + leg) + (radius + leg) ** 2) - radius**2 * leg)
        )
    holes = 2 * pi / 4 * rod.bolt.diameter_mm**2 * rod.bolt.seat_mm
    seat = max(rod.bolt.head_diameter_mm, rod.bolt.nut_diameter_mm or 0.0) / 2 + 0.4
    under = max(rod.cap.height_mm, rod.big_end.outside_mm / 2) - rod.bolt.seat_mm
    found = beyond_mm3(part_of(name, "rod_cap"))
    assert found > 0.995 * (bore + holes)
    assert found < bore + holes + pi * seat**2 * under + 100.0


@pytest.mark.parametrize("name", ["tern", "dunlin", "curlew", "knot"])
def test_rod_pieces_exceed_the_blade_in_pocket_corners_only(name):
    # In a slab across the blade nothing is filled but the four rounded corners of each pocket: a wedge with legs a
    # little longer than the radius c holds about c^2 / 2, of which c^2 (1 - pi / 4) is solid.
    rod, part = assembly(name).spec.rod, part_of(name, "rod")
    low, high = rod.big_end.outside_mm / 2 + 0.1, rod.length_mm - rod.small_end.outside_mm / 2 - 0.1
    slab = meshing.box((100.0, 200.0, high - low)).translate((0.0, 0.0, (low + high) / 2))
    filled = meshing.union([meshing.piece_solid(piece) for piece in pieces_of(part)])
    mesh = Manifold(Mesh64(part.mesh.vertices, part.mesh.triangles.astype(np.uint64)))
    within = [meshing.intersection([solid, slab]).volume() for solid in (filled, mesh)]
    hole = pocket(rod, blade(rod, rod.length_mm))
    if rod.beam.section == "I":
        deep = rod.beam.thickness_mm - rod.beam.web_mm
    else:
        deep = (rod.beam.width_big_mm + rod.beam.width_small_mm) / 2 - rod.beam.web_mm
    corner = hole.corner_mm**2 * (0.5 - (1 - pi / 4))
    assert within[0] - within[1] == pytest.approx(4 * deep * corner, rel=0.4)


@pytest.mark.parametrize("name", CLEAR)
def test_piston_pieces_fill_grooves_pin_bore_and_recesses_only(name):
    # Seen from below and outside nothing is filled: cutting the stated fillings out of the pieces leaves the mesh.
    engine, part = assembly(name), part_of(name, "piston")
    spec = engine.spec
    top = spec.piston.compression_height_mm
    big = spec.block.bore.diameter_mm
    filled = meshing.union([meshing.piece_solid(piece) for piece in pieces_of(part)])
    mesh = Manifold(Mesh64(part.mesh.vertices, part.mesh.triangles.astype(np.uint64)))
    cutters = []
    for groove in spec.piston.grooves:
        high = top - groove.from_crown_mm
        profile = [
            (groove.root_mm / 2 - 0.1, high - groove.height_mm),
            (big, high - groove.height_mm),
            (big, high),
        ]
        cutters.append(meshing.revolve([*profile, (groove.root_mm / 2 - 0.1, high)]))
    offset = next(s.offset_mm for s in engine.layout.bores if engine.body(f"piston {s.bore}").part is part)
    pin = meshing.transform(meshing.cylinder(spec.piston.pin.diameter_mm / 2 + 0.1, big), meshing.ALONG_X)
    cutters.append(pin.translate((0.0, offset, 0.0)))
    crown = max([0.5, *(p.depth_mm for p in spec.piston.pockets)])
    if spec.piston.crown.shape != "flat":
        crown = max(crown, 0.4 * spec.piston.crown.diameter_mm)
    if spec.piston.front_mark == "notch":
        crown = max(crown, spec.piston.grooves[0].from_crown_mm / 2)
    cutters.append(meshing.cylinder(big, 2 * crown + 0.1).translate((0.0, 0.0, top)))
    rest = [meshing.difference(solid, cutters) for solid in (filled, mesh)]
    assert rest[0].volume() == pytest.approx(rest[1].volume(), rel=1e-9)
