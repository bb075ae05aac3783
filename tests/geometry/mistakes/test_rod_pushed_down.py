"""Safe crank positions for pushing a piston in, against brute force with an independent plane-geometry kernel."""

import math

import numpy as np
import pytest
from shapely import Point, Polygon, unary_union
from shapely.affinity import rotate, translate

from geometry.assembly import assemble
from geometry.checks.push import clearance_mm, first_strike, greatest_lean_rad, open_end, push_in
from geometry.kinematics.slider_crank import dead_centres
from tests.geometry.mistakes.shop import made, mistake, right, row, spec

NUTS = {"bolt": {
    "kind": "bolt_and_nut", "length": "2.55 in", "nut_diameter": "0.62 in", "nut_height": "0.40 in",
}}  # fmt: skip


def figure(engine):
    """The open end as a polygon, big-end centre at the origin, the small end above."""
    end = open_end(engine)
    ring = (
        Point(0, 0)
        .buffer(end.outer_mm, quad_segs=64)
        .difference(Point(0, 0).buffer(end.inner_mm, quad_segs=64))
    )
    half = ring.intersection(Polygon([(-200, 0), (200, 0), (200, 200), (-200, 200)]))
    boxes = [Polygon([(y0, z0), (y1, z0), (y1, z1), (y0, z1)]) for y0, y1, z0, z1 in end.boxes_mm]
    return unary_union([half, *boxes])


def swept(engine, offset):
    """Everything the open end may cover while the crown is above the deck: all heights, all leans, as one region."""
    shape, length = figure(engine), engine.rod.length_mm
    flush = engine.block.deck_height_mm - engine.piston.compression_height_mm
    parts = []
    for height in np.arange(flush, flush + engine.crank.stroke_mm + 40.0, 2.0):
        limit = math.degrees(float(greatest_lean_rad(engine, np.array([height]))[0]))
        hung = translate(shape, offset, height - length)
        parts += [rotate(hung, lean, origin=(offset, height)) for lean in np.linspace(-limit, limit, 41)]
    return unary_union(parts)


@pytest.mark.parametrize("rod", [{}, NUTS])
def test_clearance_is_that_of_the_swept_region(rod):
    engine = spec(rod=rod)
    region = swept(engine, engine.piston.pin.offset_mm)
    throw, radius = engine.crank.stroke_mm / 2, engine.crank.pin.diameter_mm / 2
    phi = np.arange(0.0, 360.0, 15.0)
    found = clearance_mm(engine, engine.piston.pin.offset_mm, phi)
    for angle, clear in zip(np.radians(phi), found, strict=True):
        centre = Point(-throw * np.sin(angle), throw * np.cos(angle))
        brute = region.distance(centre) - radius
        # The region is a sample of heights and leans: it may miss up to half a step of 2 mm or of the lean.
        assert clear <= brute + 1e-6
        assert clear == pytest.approx(brute, abs=1.2)


@pytest.mark.parametrize("rod", [{}, NUTS])
@pytest.mark.parametrize("throw_deg", [30.0, 330.0])
def test_the_first_touch_is_where_the_falling_end_meets_the_crankpin(rod, throw_deg):
    engine = spec(rod=rod)
    offset = engine.piston.pin.offset_mm
    found = first_strike(engine, offset, throw_deg)
    phi, throw = math.radians(throw_deg), engine.crank.stroke_mm / 2
    centre = Point(-throw * math.sin(phi), throw * math.cos(phi))
    radius = engine.crank.pin.diameter_mm / 2

    def hung(height, lean):
        shape = translate(figure(engine), offset, height - engine.rod.length_mm)
        return rotate(shape, math.degrees(lean), origin=(offset, height))

    met = hung(found.pin_height_mm, found.lean_rad)
    assert met.distance(centre) == pytest.approx(radius, abs=0.1)
    # The place lies on the crankpin and on the rod.
    assert centre.distance(Point(found.at_mm)) == pytest.approx(radius, abs=1e-6)
    assert met.distance(Point(found.at_mm)) < 0.1
    # A little higher nothing is touched, at any lean.
    above = found.pin_height_mm + 1.0
    most = float(greatest_lean_rad(engine, np.array([above]))[0])
    assert all(hung(above, lean).distance(centre) > radius for lean in np.linspace(-most, most, 41))
    assert first_strike(engine, offset, 180.0) is None


def test_bolts_left_in_the_rod_narrow_the_safe_range():
    bare = push_in(right(), right().layout.site(3))
    with_bolts = assemble(spec(rod=NUTS))
    narrow = push_in(with_bolts, with_bolts.layout.site(3))
    assert narrow.safe_after_top_deg[0][0] > bare.safe_after_top_deg[0][0] + 10.0
    assert narrow.safe_after_top_deg[0][1] < bare.safe_after_top_deg[0][1] - 10.0


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("bore", [1, 4])
def test_bottom_dead_centre_of_the_bore_is_safe_and_the_angle_of_the_mistake_is_not(bore, rotation):
    base = right("vee90", rotation)
    found = push_in(base, base.layout.site(bore))
    ((start, end),) = found.safe_after_top_deg
    assert start < 180.0 < end
    assert found.at_unsafe_mm < 0 < found.at_bottom_mm
    assert 0.0 < found.unsafe_after_top_deg < start
    wrong, study = made("rod_pushed_down", bore, base)
    # What the picture, the table and the window show is one angle, and it is outside what is safe.
    top = float(dead_centres(base.linkage).top_deg[base.layout.index(bore)])
    assert study.spot.crank_deg == pytest.approx((top + found.unsafe_after_top_deg) % 360.0)
    assert row(study, "the same after")["wrong"] == f"{found.unsafe_after_top_deg:.0f}°"
    assert wrong.built == base.built
    assert study.signature.seen_only


def test_big_end_through_the_bore_by_its_diagonal():
    # A rectangle W x T passes a circle when its diagonal does; the boss's rounded corners make it a little less.
    base = right()
    engine = base.spec
    bolt = engine.rod.bolt
    width = bolt.spacing_mm + bolt.head_diameter_mm
    diagonal = math.hypot(width, engine.rod.big_end.width_mm)
    room = push_in(base, base.layout.site(3)).passage.room_mm
    assert engine.block.bore.diameter_mm - diagonal <= room <= engine.block.bore.diameter_mm - width


def test_a_piston_that_goes_in_from_below_or_not_at_all_is_not_pushed_down():
    wide = assemble(spec(rod={"bolt": {"spacing": "4.4 in"}, "big_end": {"outside": "4.2 in"}}))
    assert mistake("rod_pushed_down").places(wide) == ()
    assert "not at all" in mistake("rod_pushed_down").refuse(wide, 1)
    assert mistake("rod_pushed_down").places(right()) == tuple(range(1, 9))
