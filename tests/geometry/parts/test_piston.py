"""The piston: front mark to the front, pockets on the side of their valves, sizes and recess as said."""

import math

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.parts.shapes.mass import mass_properties
from tests.geometry.fleet import CLEAR, assembly, spec


def corners(body):
    vertices = body.part.mesh.vertices
    return (np.column_stack([vertices, np.ones(len(vertices))]) @ body.X_FA.T)[:, :3]


@pytest.mark.parametrize("name", CLEAR)
def test_the_outside_is_as_wide_as_the_file_says(name):
    engine = assembly(name)
    bore = engine.spec.block.bore.diameter_mm
    points = corners(engine.body(f"piston {engine.layout.bores[0].bore}"))
    radius = np.hypot(points[:, 0], points[:, 1])
    assert radius.max() <= (bore - engine.spec.piston.skirt.clearance_mm) / 2 + 1e-6
    assert radius.max() == pytest.approx((bore - engine.spec.piston.skirt.clearance_mm) / 2, abs=0.05)
    assert points[:, 2].min() == pytest.approx(-engine.spec.piston.skirt.bottom_mm, abs=0.05)


@pytest.mark.parametrize("turned", [False, True])
def test_the_front_mark_points_to_the_front(turned):
    # The floor of the arrow is the only level a little below the flat: its one sharp end is the tip.
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(1, piston_turned=turned))
    points = corners(engine.body("piston 1"))
    below = engine.spec.piston.compression_height_mm - points[:, 2]
    floor = points[np.abs(below - 0.4) < 1e-5]
    assert len(floor)
    ends = [np.sum(np.abs(floor[:, 0] - end) < 1e-6) for end in (floor[:, 0].min(), floor[:, 0].max())]
    assert bool(ends[0] < ends[1]) is (not turned)


def test_pockets_lie_towards_the_valley_on_both_banks():
    # Tern's pockets stand inward: +y of the bore frame on the left bank, -y on the right bank.
    engine = assembly("tern")
    flat = engine.spec.piston.compression_height_mm
    depth = max(p.depth_mm for p in engine.spec.piston.pockets)
    for bore, sign in ((1, 1.0), (2, -1.0)):
        points = corners(engine.body(f"piston {bore}"))
        floor = points[np.abs(points[:, 2] - (flat - depth)) < 1e-3]
        assert len(floor)
        assert np.sign(np.mean(floor[:, 1])) == sign


@pytest.mark.parametrize("name", ["tern", "dunlin"])
def test_the_weight_is_less_than_a_full_slug_and_more_than_its_crown(name):
    # Closed-form bounds: the full cylinder from skirt end to crown, and the crown disc alone.
    engine = assembly(name)
    piston, bore = engine.spec.piston, engine.spec.block.bore.diameter_mm
    found = mass_properties(next(b.part for b in engine.bodies if b.part.kind == "piston")).volume_mm3
    slug = math.pi / 4 * bore**2 * (piston.compression_height_mm + piston.skirt.bottom_mm)
    crown = math.pi / 4 * (bore - piston.land_clearance_mm) ** 2 * piston.crown.thickness_mm
    assert 0.8 * crown < found < 0.75 * slug


@pytest.mark.parametrize("name", CLEAR)
def test_grooves_are_cut_to_their_root(name):
    engine = assembly(name)
    points = corners(engine.body(f"piston {engine.layout.bores[0].bore}"))
    radius = np.hypot(points[:, 0], points[:, 1])
    for groove in engine.spec.piston.grooves:
        top = engine.spec.piston.compression_height_mm - groove.from_crown_mm
        floor = (np.abs(points[:, 2] - top) < 1e-3) | (np.abs(points[:, 2] - (top - groove.height_mm)) < 1e-3)
        assert radius[floor].min() <= groove.root_mm / 2 + 0.05
        assert np.abs(radius[floor] - groove.root_mm / 2).min() < 0.05
