"""The pan against closed forms."""

import numpy as np
import pytest

from geometry.built import AS_DESIGNED
from geometry.kinematics.layout import build_layout
from geometry.parts import pan
from geometry.parts.shapes.mass import mesh_properties
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, assembly, raw, spec


def the_pan(name):
    return assembly(name).body("pan")


@pytest.mark.parametrize("name", NAMES)
def test_volume_is_that_of_a_sheet_box_with_a_flange(name):
    engine, length = spec(name), assembly(name).layout.length_mm
    wall, rail = engine.pan.wall_mm, engine.block.pan_rail
    deep, wide = rail.height_mm - engine.pan.floor_mm, 2 * rail.inside_mm
    outer = length * (wide + 2 * wall) * (deep + wall)
    inner = (length - 2 * wall) * wide * deep
    flange = 2 * length * (rail.width_mm - wall) * wall
    tray = (length - 2 * wall) * wide * wall if engine.pan.tray_mm is not None else 0.0
    found = mesh_properties(the_pan(name).part.mesh, 1.0).volume_mm3
    assert found == pytest.approx(outer - inner + flange + tray, rel=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_it_hangs_from_the_rail_and_ends_at_its_floor(name):
    engine = spec(name)
    vertices = the_pan(name).part.mesh.vertices
    assert vertices[:, 2].max() == pytest.approx(engine.block.pan_rail.height_mm)
    assert vertices[:, 2].min() == pytest.approx(engine.pan.floor_mm - engine.pan.wall_mm)
    outer = engine.block.pan_rail.inside_mm + engine.block.pan_rail.width_mm
    assert np.abs(vertices[:, 1]).max() == pytest.approx(outer)


def test_places_are_those_a_builder_points_at():
    named = {(f.name, f.place) for f in the_pan("plover").part.features}
    sides = {("pan_side", side) for side in ("right", "left", "front", "rear")}
    assert named == {("pan_floor", ""), ("windage_tray", "")} | sides
    assert ("windage_tray", "") not in {(f.name, f.place) for f in the_pan("tern").part.features}


def test_the_tray_lies_at_its_height():
    tray = next(f for f in the_pan("plover").part.features if f.name == "windage_tray")
    (plate,) = tray.pieces
    assert plate.X_AP[2, 3] + plate.size_mm[2] / 2 == pytest.approx(-4.85 * 25.4)


def test_without_a_pan_table_there_is_none():
    engine = Engine.model_validate({key: value for key, value in raw("knot").items() if key != "pan"})
    assert pan.bodies(engine, build_layout(engine), AS_DESIGNED) == []
