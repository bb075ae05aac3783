"""A notch rolled out: where metal is missing from the block's own mesh is where the template says."""

from pathlib import Path

import manifold3d
import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from geometry.assembly import assemble
from geometry.clearance.relief import NotchRelief
from geometry.clearance.template import notch_places
from geometry.spec.load import load_engine

TERN = Path(__file__).parents[3] / "demo_engines" / "tern.toml"
RELIEF = NotchRelief(15.0, 6.0, 3.0, 20.0, "outboard", 1.3, 2.0)


def solid(engine):
    mesh = engine.body("block").part.mesh
    return manifold3d.Manifold(
        manifold3d.Mesh64(np.array(mesh.vertices, order="C"), mesh.triangles.astype(np.uint64))
    )


@pytest.fixture(scope="module")
def tern():
    return assemble(load_engine(TERN))


def test_notches_lie_where_the_block_with_them_lacks_metal(tern):
    places = notch_places(tern, RELIEF)
    # two rods on a pin: in either bank the notch lies towards the other bore of its pair, so there are two kinds
    assert [place.bores for place in places] == [(1, 3, 5, 7), (2, 4, 6, 8)]
    notched = solid(assemble(load_engine(TERN, {"block.bore.notch": RELIEF.written("mm")})))
    radius = tern.spec.block.bore.diameter_mm / 2
    level = tern.spec.block.deck_height_mm - tern.spec.block.bore.length_mm + RELIEF.height_mm / 2
    for bore in (3, 4):
        site = tern.layout.site(bore)
        lean = np.radians(site.bank_deg)
        upright = [[1.0, 0.0, 0.0, -site.x_mm], [0.0, np.cos(lean), np.sin(lean), 0.0]]
        upright.append([0.0, -np.sin(lean), np.cos(lean), 0.0])
        cut = notched.transform(np.array(upright)).slice(level).to_polygons()
        metal = Polygon()
        for ring in cut:  # holes within metal and metal within holes: odd and even
            metal = metal.symmetric_difference(Polygon(ring))
        turn = np.linspace(-np.pi, np.pi, 2000, endpoint=False)
        probes = (radius + RELIEF.depth_mm / 2) * np.column_stack([np.sin(turn), np.cos(turn)])
        free = np.array([not metal.contains(Point(p)) for p in probes])
        (place,) = [place for place in places if bore in place.bores]
        assert (np.cos(turn[free]) > 0.0).all() == place.right
        # on the wall a point stands radius times its angle from the middle of the side
        along = radius * np.arctan2(np.sin(turn[free]), np.abs(np.cos(turn[free])))
        assert (along.min(), along.max()) == pytest.approx((place.from_mm, place.to_mm), abs=0.3)


def test_ends_on_the_wall_are_arcs_over_the_chord():
    engine = assemble(load_engine(TERN.with_name("knot.toml")))
    places = notch_places(engine, NotchRelief(40.0, 6.0, 3.0, 0.0, "both", 1.3, 2.0))
    radius = engine.spec.block.bore.diameter_mm / 2
    assert [place.right for place in places] == [True, False]
    for place in places:
        assert place.to_mm == pytest.approx(radius * np.arcsin(20.0 / radius))
        assert place.from_mm == pytest.approx(-place.to_mm)


def test_what_is_seen_from_inside_turns_with_the_side(tern):
    left, right = notch_places(tern, RELIEF)
    assert (left.right, right.right) == (False, True)
    # From inside, looking at the right side, the rear is on the right hand; at the left side, on the left hand.
    assert right.seen_mm == (right.from_mm, right.to_mm)
    assert left.seen_mm == (-left.to_mm, -left.from_mm)
