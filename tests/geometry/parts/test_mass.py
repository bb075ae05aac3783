"""Mass properties of a surface against textbook formulas and against a mesh library."""

from math import pi, radians, sin

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.assembly import assemble
from geometry.kinematics.poses import compose, rot_x_deg, translation
from geometry.parts.part import DENSITY_KG_M3
from geometry.parts.shapes import meshing
from geometry.parts.shapes.mass import mesh_properties
from geometry.parts.shapes.placing import along_x
from geometry.solids import Mesh
from tests.geometry.fleet import spec

STEEL = DENSITY_KG_M3["steel"]


def test_a_box_away_from_the_origin():
    # Textbook: m (b^2 + c^2) / 12 about each axis through the centre.
    size = np.array([10.0, 20.0, 30.0])
    found = mesh_properties(meshing.to_mesh(meshing.box(size, translation([100.0, -50.0, 7.0]))), STEEL)
    mass = 6000 * 7850e-9
    assert found.volume_mm3 == pytest.approx(6000.0)
    assert found.mass_kg == pytest.approx(mass)
    assert found.centre_mm == pytest.approx([100.0, -50.0, 7.0])
    squares = size**2
    assert np.diag(found.inertia_kg_mm2) == pytest.approx(mass * (squares.sum() - squares) / 12)
    assert found.inertia_kg_mm2 == pytest.approx(np.diag(np.diag(found.inertia_kg_mm2)), abs=1e-9)


@pytest.mark.parametrize("segments", [64, 96])
def test_a_hollow_pin(segments):
    # Textbook tube about its own axis m (R^2 + r^2) / 2 and across it m (3 (R^2 + r^2) + L^2) / 12; a polygon of n
    # sides has (2 + cos(2 pi / n)) / 3 of the circle's second moment per area.
    outer, inner, length = 12.0, 7.5, 70.0
    tube = meshing.revolve([(inner, 0), (outer, 0), (outer, length), (inner, length)], segments=segments)
    found = mesh_properties(meshing.to_mesh(meshing.transform(tube, along_x(3.0))), STEEL)
    area = segments / (2 * pi) * sin(2 * pi / segments)
    second = (2 + np.cos(2 * pi / segments)) / 3
    assert found.volume_mm3 == pytest.approx(pi * (outer**2 - inner**2) * length * area)
    assert found.centre_mm == pytest.approx([3.0 + length / 2, 0.0, 0.0], abs=1e-9)
    along = found.mass_kg * (outer**2 + inner**2) / 2 * second
    across = found.mass_kg * ((outer**2 + inner**2) / 4 * second + length**2 / 12)
    assert np.diag(found.inertia_kg_mm2) == pytest.approx([along, across, across])


@pytest.mark.parametrize("spread", [30.0, 90.0, 130.0, 180.0])
def test_a_sector(spread):
    # Textbook: the centre of a sector of radius R lies 2 R sin(a) / (3 a) from the axis, a half the spread.
    R, half = 77.0, radians(spread / 2)
    solid = meshing.revolve([(0, 0), (R, 0), (R, 20), (0, 20)], -spread / 2, spread / 2, segments=3600)
    found = mesh_properties(meshing.to_mesh(solid), STEEL)
    assert found.volume_mm3 == pytest.approx(half * R**2 * 20, rel=1e-5)
    assert found.centre_mm == pytest.approx([2 * R * sin(half) / (3 * half), 0.0, 10.0], rel=1e-5)


def test_a_ring_with_a_gap_balances_against_its_gap():
    # A ring less a sector: the centre lies opposite the gap at (2/3) (R^3 - r^3) / (R^2 - r^2) sin(g) / (pi - g).
    R, r, gap = 51.0, 47.0, radians(5.0)
    solid = meshing.revolve([(r, 0), (R, 0), (R, 1.5), (r, 1.5)], 5.0, 355.0, segments=3600)
    found = mesh_properties(meshing.to_mesh(solid), STEEL)
    away = 2 / 3 * (R**3 - r**3) / (R**2 - r**2) * sin(gap) / (pi - gap)
    assert found.centre_mm == pytest.approx([-away, 0.0, 0.75], rel=1e-4, abs=1e-9)


@settings(max_examples=25)
@given(
    angle=st.floats(-180, 180),
    shift=st.tuples(*[st.floats(-200, 200)] * 3),
    size=st.tuples(*[st.floats(1, 50)] * 3),
)
def test_turning_and_shifting_move_the_centre_and_turn_the_inertia(angle, shift, size):
    solid = meshing.union([meshing.box(size), meshing.cylinder(size[0] / 2, 3 * size[2])])
    X = compose(translation(shift), rot_x_deg(angle))
    before = mesh_properties(meshing.to_mesh(solid), STEEL)
    after = mesh_properties(meshing.to_mesh(meshing.transform(solid, X)), STEEL)
    turn = X[:3, :3]
    assert after.mass_kg == pytest.approx(before.mass_kg, rel=1e-9)
    assert after.centre_mm == pytest.approx(turn @ before.centre_mm + X[:3, 3], abs=1e-7)
    scale = np.trace(before.inertia_kg_mm2)
    assert after.inertia_kg_mm2 == pytest.approx(
        turn @ before.inertia_kg_mm2 @ turn.T, abs=1e-7 * scale + 1e-9
    )


def test_an_odd_solid_as_a_mesh_library_sees_it():
    solid = meshing.difference(
        meshing.box((30, 20, 10), translation([5, 6, 7])),
        [meshing.cylinder(4, 50), meshing.cylinder(3, 50, along_x(0, 3, 5))],
    )
    mesh = meshing.to_mesh(solid)
    theirs = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    found = mesh_properties(mesh, 1e9)  # one kilogram per cubic millimetre
    assert found.volume_mm3 == pytest.approx(theirs.volume)
    assert found.centre_mm == pytest.approx(theirs.center_mass)
    assert found.inertia_kg_mm2 == pytest.approx(theirs.moment_inertia, rel=1e-9, abs=1e-6)


def test_the_input_is_left_alone():
    mesh = meshing.to_mesh(meshing.box((1, 2, 3)))
    copy = Mesh(mesh.vertices.copy(), mesh.triangles.copy())
    mesh_properties(mesh, STEEL)
    assert np.array_equal(mesh.vertices, copy.vertices)
    assert np.array_equal(mesh.triangles, copy.triangles)


def test_what_looks_alike_weighs_by_what_it_is_made_of():
    # Tern's file: pistons of a casting alloy, which looks like any aluminium; a top ring of ductile iron, which looks
    # like cast iron. Handbook densities: 2.69 and 7.1 against 2.70 and 7.2 g/cm^3.
    tern = assemble(spec("tern"))
    piston, ring = tern.body("piston 1").part, tern.body("top_ring 1").part
    assert (piston.material, piston.density_kg_m3) == ("aluminium", 2690.0)
    assert (ring.material, ring.density_kg_m3) == ("cast_iron", 7100.0)
    assert tern.body("rod 1").part.density_kg_m3 == 7850.0
