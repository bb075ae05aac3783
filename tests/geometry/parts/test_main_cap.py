"""Main caps against an exact CAD kernel (Open CASCADE) and plain geometry."""

from math import cos, pi, radians, sin

import numpy as np
import pytest

from geometry.built import AS_DESIGNED, Built
from geometry.kinematics.layout import build_layout
from geometry.parts import main_cap
from geometry.parts.shapes import meshing
from geometry.parts.shapes.mass import mesh_properties
from geometry.parts.shapes.meshing import ROUND_SEGMENTS
from tests.geometry.fleet import NAMES, assembly, spec
from tests.geometry.parts import solids_by_cad as cad


def caps(name, built=AS_DESIGNED):
    return main_cap.bodies(spec(name), build_layout(spec(name)), built)


def cad_cap(engine, bore):
    """The cap and the heads of its bolts, made anew; the raised arrow left out."""
    cap = engine.block.main_cap
    half = cap.thickness_mm / 2
    body = cad.box((-half, -cap.width_mm / 2, -cap.height_mm), (half, cap.width_mm / 2, 0.0))
    body = cad.cut(body, cad.cylinder(bore, (-half - 1, 0, 0), (1, 0, 0), 2 * half + 2))
    for sign in (1, -1):
        radius, high = 1.73 * cap.bolt_diameter_mm / 2, 0.64 * cap.bolt_diameter_mm
        corners = [
            (
                radius * cos(radians(60 * k)),
                sign * cap.bolt_spacing_mm / 2 + radius * sin(radians(60 * k)),
                -cap.height_mm,
            )
            for k in range(6)
        ]
        body = cad.fuse(body, cad.prism(corners, (0, 0, -high)))
    return body


@pytest.mark.parametrize("name", NAMES)
def test_volume_is_that_of_the_cad_solid(name):
    body = caps(name)[0]
    engine = spec(name)
    bore = engine.crank.main.diameter_mm / 2 + engine.rod.bearing.wall_mm
    thick = engine.block.main_cap.thickness_mm
    exact = cad.volume(cad_cap(engine, bore))
    facets = pi * bore**2 / 2 * (1 - ROUND_SEGMENTS / (2 * pi) * sin(2 * pi / ROUND_SEGMENTS)) * thick
    arrow = (0.55 * thick) ** 2 / 2 * 0.8
    found = mesh_properties(body.part.mesh, 7200.0).volume_mm3
    assert found == pytest.approx(exact + facets + arrow, rel=1e-5)  # a faceted hole is a little narrower


@pytest.mark.parametrize("name", NAMES)
def test_pieces_are_the_mesh(name):
    body = caps(name)[0]
    pieces = meshing.union([meshing.piece_solid(p) for f in body.part.features for p in f.pieces])
    assert pieces.volume() == pytest.approx(mesh_properties(body.part.mesh, 1.0).volume_mm3, rel=2e-3)


def test_one_stands_at_each_main_bearing_and_all_are_one_part():
    bodies = caps("tern")
    assert [body.name for body in bodies] == [f"main_cap {k}" for k in range(1, 6)]
    assert [body.X_FA[0, 3] for body in bodies] == pytest.approx(list(assembly("tern").layout.main_x_mm))
    assert len({id(body.part) for body in bodies}) == 1
    assert [(body.frame, body.main) for body in bodies] == [("E", k) for k in range(1, 6)]


def test_a_cap_put_on_back_to_front_points_its_arrow_to_the_rear():
    turned = caps("tern", Built(main_cap_turned=(2,)))
    arrow = main_cap._arrow(spec("tern")).points_mm
    tip = arrow[np.argmin(arrow[:, 0])]
    ways = [np.sign((body.X_FA[:3, :3] @ tip)[0]) for body in turned]
    assert ways == [-1, 1, -1, -1, -1]
    for body in turned:
        assert np.linalg.det(body.X_FA[:3, :3]) == pytest.approx(1.0)


def test_the_cap_leaves_the_bore_free_and_ends_at_the_joint():
    engine = spec("dunlin")
    body = caps("dunlin")[0]
    bore = engine.crank.main.diameter_mm / 2 + engine.rod.bearing.wall_mm
    vertices = body.part.mesh.vertices
    assert vertices[:, 2].max() == pytest.approx(0.0, abs=1e-9)
    assert np.hypot(vertices[:, 1], vertices[:, 2]).min() == pytest.approx(bore, abs=1e-6)
    heads = [f for f in body.part.features if f.name == "main_cap_bolt"]
    assert {f.place for f in heads} == {"right", "left"}
    for head in heads:
        y = np.vstack([p.points_mm for p in head.pieces])[:, 1].mean()
        assert np.sign(y) == (1 if head.place == "right" else -1)
        assert abs(y) == pytest.approx(engine.block.main_cap.bolt_spacing_mm / 2)
