"""Where a notch written in the engine file is cut: the side, and the place along the crank, in pieces and mesh alike.

Expected places are reasoned in the engine frame (inboard of a vee is towards its middle plane, y = 0), not in the
bore's.
"""

import manifold3d
import numpy as np
import pytest

from geometry.built import AS_DESIGNED
from geometry.kinematics.layout import build_layout
from geometry.parts import block
from geometry.spec.engine import Engine
from tests.geometry.fleet import raw
from tests.geometry.parts.membership import outside_union

WIDTH, HEIGHT, DEPTH, OFFSET = 14.0, 5.0, 3.0, 11.0


def notched(sides, offset_mm=0.0, rotation="clockwise"):
    written = raw("tern")
    notch = {"width": WIDTH, "height": HEIGHT, "depth": DEPTH, "sides": sides, "offset": offset_mm}
    bore = {**written["block"]["bore"], "chamfer": 0.0, "notch": notch}
    general = {k: v for k, v in written["engine"].items() if k != "firing_order"} | {"rotation": rotation}
    return Engine.model_validate({**written, "engine": general, "block": {**written["block"], "bore": bore}})


def probes(spec, layout):
    """Points in the wall at the bottom of every bore, a little outside it: (bore, inboard?, x offset, point in E)."""
    bore = spec.block.bore
    radius = bore.diameter_mm / 2 + 1.0
    along = spec.block.deck_height_mm - bore.length_mm + HEIGHT / 2
    for site in layout.bores:
        lean = np.radians(site.bank_deg)
        up = np.array([0.0, -np.sin(lean), np.cos(lean)])
        across = np.array([0.0, np.cos(lean), np.sin(lean)])
        behind = layout.site(site.partner).x_mm > site.x_mm
        for x in (-OFFSET, 0.0, OFFSET):
            for side in (-1.0, 1.0):
                point = along * up + side * np.sqrt(radius**2 - x**2) * across
                other = along * up - side * np.sqrt(radius**2 - x**2) * across
                inboard = abs(point[1]) < abs(other[1])
                towards = x if behind else -x
                yield site.bore, inboard, towards, point + [site.x_mm + x, 0.0, 0.0]


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("sides, inboard_is_cut", [("inboard", True), ("outboard", False)])
def test_inboard_is_towards_the_middle_in_both_banks_and_either_rotation(sides, inboard_is_cut, rotation):
    spec = notched(sides, OFFSET, rotation)
    layout = build_layout(spec)
    (body,) = block.bodies(spec, layout, AS_DESIGNED)
    walls = {f.place: f.pieces for f in body.part.features if f.name == "bore_wall"}
    for bore, inboard, towards, point in probes(spec, layout):
        cut = inboard == inboard_is_cut and towards == OFFSET
        free = outside_union(np.array([point]), walls[f"bore {bore}"])[0] > 0
        assert free == cut, (bore, inboard, towards)


@pytest.mark.parametrize("sides", ["both", "inboard"])
@pytest.mark.parametrize("offset", [0.0, OFFSET, -OFFSET])
def test_the_mesh_is_cut_where_the_pieces_are(sides, offset):
    spec = notched(sides, offset)
    layout = build_layout(spec)
    (body,) = block.bodies(spec, layout, AS_DESIGNED)
    mesh = body.part.mesh
    solid = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices.copy(), mesh.triangles.astype(np.uint64)))
    for bore, inboard, towards, point in probes(spec, layout):
        cut = (inboard or sides == "both") and abs(towards - offset) < WIDTH / 2
        crumb = manifold3d.Manifold.sphere(0.1).translate(tuple(point))
        share = (solid ^ crumb).volume() / crumb.volume()
        assert share == pytest.approx(0.0 if cut else 1.0, abs=1e-6), (bore, inboard, towards)


def test_the_notch_is_as_wide_as_written_wherever_it_stands():
    spec = notched("inboard", OFFSET)
    layout = build_layout(spec)
    (body,) = block.bodies(spec, layout, AS_DESIGNED)
    radius = spec.block.bore.diameter_mm / 2
    for wall in (f for f in body.part.features if f.name == "bore_wall"):
        piece = next(p for p in wall.pieces if p.profile_mm[:, 0].min() > radius + 1.0)
        x = radius * np.cos(np.radians([piece.start_deg, piece.end_deg]))
        assert abs(x[0] - x[1]) == pytest.approx(WIDTH)
        assert abs(x.mean()) == pytest.approx(OFFSET)
