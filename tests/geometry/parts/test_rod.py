"""Rod, cap, bolts and pin: true sizes, the large chamfer at the cheek, nothing mirrored; volumes by CAD."""

import math

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.parts.shapes.mass import mass_properties
from tests.geometry.fleet import assembly, spec
from tests.geometry.parts.solids_by_cad import cut, cylinder, volume


def corners(body):
    vertices = body.part.mesh.vertices
    return (np.column_stack([vertices, np.ones(len(vertices))]) @ body.X_FA.T)[:, :3]


def edge_legs(points, rod):
    """Chamfer legs at the front and the rear edge of the big-end bore, measured from the mesh."""
    half, bore = rod.big_end.width_mm / 2, rod.big_end.bore_mm / 2
    radius = np.hypot(points[:, 1], points[:, 2])
    legs = []
    for face in (-half, half):
        at_face = np.abs(points[:, 0] - face) < 1e-6
        legs.append(float(radius[at_face & (radius < bore + 6.0)].min() - bore))
    return legs


@pytest.mark.parametrize("name", ["tern", "curlew"])
def test_the_large_chamfer_faces_the_cheek(name):
    engine = assembly(name)
    rod = engine.spec.rod
    for site in engine.layout.bores:
        front, rear = edge_legs(corners(engine.body(f"rod {site.bore}")), rod)
        large, small = rod.chamfer.cheek_mm, rod.chamfer.other_mm
        wanted = (large, small) if site.cheek_side in ("front", "both") else (small, large)
        assert (front, rear) == pytest.approx(wanted, abs=0.02)


def test_a_rod_turned_round_brings_the_small_one_there():
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(1, rod_turned=True))
    front, rear = edge_legs(corners(engine.body("rod 1")), engine.spec.rod)
    assert front < rear


def test_lengths_are_those_of_the_file():
    engine = assembly("tern")
    rod = engine.spec.rod
    points, cap = corners(engine.body("rod 1")), corners(engine.body("rod_cap 1"))
    assert points[:, 2].max() == pytest.approx(rod.length_mm + rod.small_end.outside_mm / 2, abs=0.03)
    assert points[:, 2].min() >= -1e-6
    assert cap[:, 2].min() == pytest.approx(-rod.cap.height_mm, abs=0.03)
    assert cap[:, 2].max() <= 1e-6
    assert np.ptp(points[:, 0]) == pytest.approx(rod.big_end.width_mm, abs=1e-6)
    assert abs(points[:, 1].max() + points[:, 1].min()) < 0.02


def test_rod_bolts_stand_where_the_file_puts_them():
    engine = assembly("tern")
    bolt = engine.spec.rod.bolt
    heads = [corners(b) for b in engine.bodies if b.part.kind == "rod_bolt" and b.bore == 1]
    assert sorted(float(np.mean([p[:, 1].max(), p[:, 1].min()])) for p in heads) == pytest.approx(
        [-bolt.spacing_mm / 2, bolt.spacing_mm / 2], abs=0.05
    )
    for points in heads:
        assert points[:, 2].min() == pytest.approx(-bolt.seat_mm - bolt.head_height_mm, abs=1e-6)


@pytest.mark.parametrize("out", [0.0, 1.2])
def test_a_bolt_off_its_seat_stands_out_by_as_much(out):
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(1, bolt_out_mm=(0.0, out)))
    bolt = engine.spec.rod.bolt
    points = corners(next(b for b in engine.bodies if b.name.startswith("rod_bolt 1") and b.X_FA[1, 3] > 0))
    assert points[:, 2].min() == pytest.approx(-bolt.seat_mm - bolt.head_height_mm - out, abs=1e-6)


@pytest.mark.parametrize("name", ["tern", "dunlin", "knot"])
def test_piston_pin_by_closed_form_and_by_cad(name):
    engine = assembly(name)
    pin = engine.spec.piston.pin
    found = mass_properties(next(b.part for b in engine.bodies if b.part.kind == "piston_pin"))
    outer, inner, length = pin.diameter_mm / 2, pin.bore_mm / 2, pin.length_mm
    exact = math.pi * (outer**2 - inner**2) * length
    # 64 facets: a polygon inside the circle, lighter by 0.16 %
    assert found.volume_mm3 == pytest.approx(exact, rel=2e-3)
    solid = cylinder(outer, (0, 0, 0), (1, 0, 0), length)
    if inner:
        solid = cut(solid, cylinder(inner, (-1, 0, 0), (1, 0, 0), length + 2))
    assert found.volume_mm3 == pytest.approx(volume(solid), rel=2e-3)
    about_axis = found.mass_kg * (outer**2 + inner**2) / 2
    across = found.mass_kg * (3 * (outer**2 + inner**2) + length**2) / 12
    assert np.diag(found.inertia_kg_mm2) == pytest.approx([about_axis, across, across], rel=3e-3)
