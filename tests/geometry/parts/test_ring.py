"""Rings: the gap as wide and where it was set, measured back from the mesh; volumes by Pappus and by CAD."""

import math

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, RingBuild
from geometry.parts.shapes.mass import mass_properties
from geometry.rings.clocked import gap_angles
from geometry.rings.section import outline
from tests.geometry.fleet import CLEAR, assembly, spec, turned_round
from tests.geometry.parts.solids_by_cad import turned, volume

RINGS = ("top_ring", "second_ring", "upper_rail", "lower_rail")


def seen_from_above(body):
    """Ring angles (clockwise from the front, -x) and radii of the mesh's corners, in the piston's frame."""
    points = np.column_stack([body.part.mesh.vertices, np.ones(len(body.part.mesh.vertices))]) @ body.X_FA.T
    return np.degrees(np.arctan2(points[:, 1], -points[:, 0])) % 360.0, points[:, :3]


def measured_gap(body):
    """Middle of the gap and distance between its two ends, from the corners of the mesh beside the widest hole."""
    angles, points = seen_from_above(body)
    outer = np.hypot(points[:, 0], points[:, 1]) > np.hypot(points[:, 0], points[:, 1]).max() - 0.2
    angles, points = angles[outer], points[outer]
    middle = body_gap_direction(body)
    off = (angles - middle + 180.0) % 360.0 - 180.0
    ahead, behind = (
        points[np.argmin(np.where(off > 0, off, 999))],
        points[np.argmax(np.where(off < 0, off, -999))],
    )
    return middle, float(np.hypot(*(ahead - behind)[:2]))


def body_gap_direction(body):
    # the ring's own front (-x of its frame) carried to the piston
    x, y = -body.X_FA[:2, 0]
    return float(np.degrees(np.arctan2(y, -x)) % 360.0)


@pytest.mark.parametrize("name", CLEAR)
def test_every_gap_is_as_wide_as_said_and_stands_where_the_clock_puts_it(name):
    engine = assembly(name)
    for site in engine.layout.bores:
        planned = gap_angles(engine.spec, site, AS_DESIGNED.bore(site.bore))
        rings = engine.spec.rings
        widths = {"top_ring": rings.top.gap_mm, "second_ring": rings.second.gap_mm if rings.second else None}
        if rings.oil:
            widths |= {"upper_rail": rings.oil.rail_gap_mm, "lower_rail": rings.oil.rail_gap_mm}
        for kind, width in widths.items():
            found = [b for b in engine.bodies if b.name == f"{kind} {site.bore}"]
            if not found:
                continue
            role = kind.removesuffix("_ring")
            middle, gap = measured_gap(found[0])
            assert (middle - planned[role] + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-6)
            assert gap == pytest.approx(width, rel=0.02)


def test_the_gap_is_where_the_thrust_side_is_in_both_rotations():
    # By the convention: thrust at +y in normal rotation, at -y the other way; `thirds` puts the expander there.
    for engine, y_sign in ((assembly("tern"), 1.0), (assemble(turned_round("tern")), -1.0)):
        body = next(b for b in engine.bodies if b.name == "expander 3")
        assert -body.X_FA[1, 0] == pytest.approx(y_sign)


@pytest.mark.parametrize("name", ["tern", "dunlin", "plover"])
def test_volume_by_pappus_and_by_cad(name):
    engine = assembly(name)
    ring = engine.spec.rings.top
    radius = engine.spec.block.bore.diameter_mm / 2
    section = outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm) + [radius, 0.0]
    body = next(b for b in engine.bodies if b.part.kind == "top_ring")
    angle = 2 * math.pi - 2 * math.asin(ring.gap_mm / (2 * radius))
    x, y = section[:, 0], section[:, 1]
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    area = cross.sum() / 2
    centre = ((x + np.roll(x, -1)) * cross).sum() / (6 * area)
    found = mass_properties(body.part).volume_mm3
    # Pappus: area times the way of its centre. 192 facets lose 0.02 %; the solid library merges the nearly straight
    # corners of a barrel face, which is 0.01 mm high: up to 0.15 % more.
    assert found == pytest.approx(area * centre * angle, rel=2e-3)
    assert found == pytest.approx(volume(turned(section, angle)), rel=2e-3)


def test_rings_sit_in_their_grooves():
    engine = assembly("tern")
    piston = engine.spec.piston
    for groove, kind in (("top", "top_ring"), ("second", "second_ring")):
        cut = next(g for g in piston.grooves if g.ring == groove)
        top = piston.compression_height_mm - cut.from_crown_mm
        _, points = seen_from_above(engine.body(f"{kind} 1"))
        assert points[:, 2].min() == pytest.approx(top - cut.height_mm, abs=1e-9)
        assert points[:, 2].max() <= top


def test_what_was_found_changes_the_ring():
    design = assembly("tern")
    rings = {"top": RingBuild(gap_mm=1.0, gap_ring_deg=10.0), "second": RingBuild(missing=True),
             "expander": RingBuild(overlapped=True)}  # fmt: skip
    found = assemble(spec("tern"), AS_DESIGNED.with_bore(3, rings=rings))
    assert measured_gap(found.body("top_ring 3")) == pytest.approx((10.0, 1.0), abs=0.02)
    assert "second_ring 3" not in {b.name for b in found.bodies}
    assert len(found.body("expander 3").part.mesh.vertices) != len(
        design.body("expander 3").part.mesh.vertices
    )
    swapped = assemble(spec("tern"), AS_DESIGNED.with_bore(3, rings_exchanged=True))
    assert swapped.body("top_ring 3").X_FA[2, 3] < design.body("top_ring 3").X_FA[2, 3] - 3.0


def test_upside_down_turns_the_section_over():
    found = assemble(spec("tern"), AS_DESIGNED.with_bore(3, rings={"top": RingBuild(upside_down=True)}))
    right, wrong = assembly("tern").body("top_ring 3").part.mesh, found.body("top_ring 3").part.mesh
    height = spec("tern").rings.top.height_mm
    inner = spec("tern").block.bore.diameter_mm / 2 - spec("tern").rings.top.wall_mm

    def inner_heights(mesh):
        radius = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
        return mesh.vertices[radius < inner + 0.01, 2]

    # an inside bevel on top: right way up the inner edge ends below the top face, upside down above the lower one
    assert inner_heights(right).max() < height - 0.1
    assert inner_heights(right).min() == pytest.approx(0.0, abs=1e-9)
    assert inner_heights(wrong).min() > 0.1
    assert inner_heights(wrong).max() == pytest.approx(height, abs=1e-6)
