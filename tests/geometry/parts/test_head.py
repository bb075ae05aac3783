"""Heads: the face where the piston meets it, chambers of the stated volume."""

from math import pi, sin

import pytest

from geometry.parts.head import chamber
from geometry.parts.shapes import meshing
from geometry.parts.shapes.mass import mesh_properties
from geometry.parts.shapes.meshing import BORE_SEGMENTS
from tests.geometry.fleet import NAMES, assembly, spec
from tests.geometry.parts import solids_by_cad as cad

FACETS = BORE_SEGMENTS / (2 * pi) * sin(2 * pi / BORE_SEGMENTS)


def heads(name):
    return [body for body in assembly(name).bodies if body.part.kind == "head"]


@pytest.mark.parametrize("name", NAMES)
def test_the_face_stands_a_gasket_above_the_deck(name):
    engine = spec(name)
    face = engine.block.deck_height_mm + engine.gasket.thickness_mm
    for body in heads(name):
        flat = [f for f in body.part.features if f.name == "head_face"]
        assert len(flat) == 1
        solid = meshing.union([meshing.piece_solid(p) for p in flat[0].pieces])
        assert solid.bounding_box()[2] == pytest.approx(face)


@pytest.mark.parametrize("name", [n for n in NAMES if n != "dunlin"])
def test_chamber_has_the_stated_volume_and_leaves_a_flat_band(name):
    engine = spec(name)
    found = chamber(engine)
    assert pi * found.radius_mm**2 * found.depth_mm / 1000 == pytest.approx(engine.head.chamber_cm3)
    assert found.radius_mm < engine.block.bore.diameter_mm / 2
    if engine.piston.crown.shape == "dome":
        assert found.radius_mm > engine.piston.crown.diameter_mm / 2


def test_a_head_without_a_chamber_is_flat():
    assert chamber(spec("dunlin")).depth_mm == 0.0
    (body,) = heads("dunlin")
    assert {f.name for f in body.part.features} == {"head_face"}


def test_slab_and_chamber_have_the_volume_of_the_cad_solid():
    engine = spec("knot")
    (body,) = heads("knot")
    site = assembly("knot").layout.bores[0]
    low, high = body.part.mesh.vertices.min(axis=0), body.part.mesh.vertices.max(axis=0)
    face, hollow = engine.block.deck_height_mm + engine.gasket.thickness_mm, chamber(engine)
    solid = cad.box((low[0], low[1], face), high)
    solid = cad.cut(
        solid, cad.cylinder(hollow.radius_mm, (site.x_mm, 0, face - 1), (0, 0, 1), hollow.depth_mm + 1)
    )
    lost = pi * hollow.radius_mm**2 * hollow.depth_mm * (1 - FACETS)
    found = mesh_properties(body.part.mesh, 1.0).volume_mm3
    assert found == pytest.approx(cad.volume(solid) + lost, rel=2e-4)


@pytest.mark.parametrize("name", NAMES)
def test_pieces_are_the_mesh(name):
    for body in heads(name):
        pieces = meshing.union([meshing.piece_solid(p, 64) for f in body.part.features for p in f.pieces])
        assert pieces.volume() == pytest.approx(mesh_properties(body.part.mesh, 1.0).volume_mm3, rel=1e-3)
