"""The clock of whole engines: every layout, both rotations, as planned and as found."""

from math import atan2, degrees

import numpy as np
import pytest
from shapely.geometry import Point

from geometry.built import BoreBuild, RingBuild
from geometry.errors import GeometryError
from geometry.kinematics.layout import build_layout
from geometry.rings.angles import separation_deg
from geometry.rings.clocked import (
    bore_clock,
    boss_arcs,
    gap_angles,
    named_scheme,
    piston_places,
    pocket_arcs,
    rings_of,
)
from geometry.rings.schemes import SCHEMES
from tests.geometry.rings.engines import LAYOUTS, ROTATIONS, engine, mirrored
from tests.geometry.rings.mirror import mirrored_deg
from tests.geometry.rings.statics import side_force

PLAIN = BoreBuild()
layouts = pytest.mark.parametrize("layout", LAYOUTS)
rotations = pytest.mark.parametrize("rotation", ROTATIONS)
schemes = pytest.mark.parametrize("scheme", SCHEMES)


def clocks(spec, build=PLAIN):
    return {site.bore: bore_clock(spec, site, build) for site in build_layout(spec).bores}


@layouts
@rotations
def test_thrust_side_of_every_bore_against_statics(layout, rotation):
    spec = engine(layout, rotation)
    laid = build_layout(spec)
    for site in laid.bores:
        throw, rod = spec.crank.stroke_mm / 2, spec.rod.length_mm
        wall = side_force(site.bank_deg, laid.sense, 40.0, throw, rod, site.offset_mm)
        # The piston presses against the wall that presses it; ring angle 90 is +y of the bore.
        assert clocks(spec)[site.bore].thrust_deg == (90.0 if wall < 0 else 270.0)


@layouts
@rotations
@schemes
def test_mirroring_the_engine_mirrors_every_clock(layout, rotation, scheme):
    here = clocks(engine(layout, rotation, rings={"scheme": scheme}))
    there = clocks(mirrored(layout, rotation, rings={"scheme": scheme}))
    for bore, clock in here.items():
        image = there[bore]
        assert image.thrust_deg == mirrored_deg(clock.thrust_deg)
        for role, angle in clock.angles_deg.items():
            assert separation_deg(image.angles_deg[role], mirrored_deg(angle)) < 1e-9
        for arc, other in zip(clock.places.pockets, image.places.pockets, strict=True):
            assert separation_deg(other.centre_deg, mirrored_deg(arc.centre_deg)) < 1e-9
        margins = [m.margin_deg for m in clock.verdict.margins]
        assert [m.margin_deg for m in image.verdict.margins] == pytest.approx(margins, abs=1e-9)
        assert image.best.margin_deg == pytest.approx(clock.best.margin_deg, abs=1e-9)


@rotations
def test_renumbering_changes_nothing_physical(rotation):
    spec = engine("vee90", rotation)
    other = engine("vee90", rotation, engine={"numbering": {"left": [5, 6, 7, 8], "right": [1, 2, 3, 4]}})
    renumbered = dict(zip([1, 3, 5, 7, 2, 4, 6, 8], [5, 6, 7, 8, 1, 2, 3, 4], strict=True))
    here, there = clocks(spec), clocks(other)
    for bore, clock in here.items():
        assert there[renumbered[bore]].angles_deg == clock.angles_deg
        assert there[renumbered[bore]].places.pockets == clock.places.pockets
        assert there[renumbered[bore]].verdict == clock.verdict


@rotations
def test_leaning_the_whole_engine_changes_nothing_on_the_piston(rotation):
    upright, slanted = engine("inline", rotation), engine("inline", rotation, block={"slant": "25 deg"})
    for bore, clock in clocks(upright).items():
        leant = clocks(slanted)[bore]
        assert (leant.angles_deg, leant.places.pockets) == (clock.angles_deg, clock.places.pockets)
        assert leant.verdict == clock.verdict


def test_left_and_right_bank_have_their_pockets_mirrored():
    spec = engine("vee90")
    left, right = (next(s for s in build_layout(spec).bores if s.bank == bank) for bank in ("left", "right"))
    for a, b in zip(pocket_arcs(spec, left), pocket_arcs(spec, right), strict=True):
        assert separation_deg(a.centre_deg, mirrored_deg(b.centre_deg)) < 1e-9
        assert a.half_deg == b.half_deg


def test_pockets_point_where_they_are_cut():
    # In the engine's frame: the left bank of a vee has its valley towards +y, and so has +y of its bore.
    spec = engine("vee90")
    for site in build_layout(spec).bores:
        for arc, pocket in zip(pocket_arcs(spec, site), spec.piston.pockets, strict=True):
            x, y = -np.cos(np.radians(arc.centre_deg)), np.sin(np.radians(arc.centre_deg))
            assert np.sign(-x) == np.sign(pocket.forward_mm)
            valley = np.sin(np.radians(site.bank_deg))  # a bank leaning to -y has its valley on +y
            assert np.sign(y * np.cos(np.radians(site.bank_deg))) == np.sign(valley * pocket.inward_mm)


@pytest.mark.parametrize(
    "diameter, forward, inward",
    [
        ("2.00 in", "0.92 in", "0.50 in"),
        ("1.2 in", "1.6 in", "0.2 in"),
        ("0.5 in", "1.85 in", "0.3 in"),
        ("2.6 in", "-0.5 in", "0.9 in"),
        ("1.0 in", "0.2 in", "0.1 in"),
    ],
)
def test_width_of_a_pocket_against_drawn_shapes(diameter, forward, inward):
    pocket = {
        "valve": "intake",
        "forward": forward,
        "inward": inward,
        "diameter": diameter,
        "depth": "0.1 in",
    }
    spec = engine("inline", piston={"pockets": [pocket]})
    cut = spec.piston.pockets[0]
    root = spec.piston.grooves[0].root_mm / 2
    land = (spec.block.bore.diameter_mm - spec.piston.land_clearance_mm) / 2
    belt = Point(0, 0).buffer(land, quad_segs=2000) - Point(0, 0).buffer(root, quad_segs=2000)
    # Drawn as seen from above with the front up: right is +y, up is forward.
    drawn = Point(cut.inward_mm, cut.forward_mm).buffer(cut.diameter_mm / 2, quad_segs=2000) & belt
    arcs = pocket_arcs(spec, build_layout(spec).bores[0])
    if drawn.is_empty:
        assert arcs == ()
        return
    (arc,) = arcs
    middle = degrees(atan2(cut.inward_mm, cut.forward_mm))
    parts = getattr(drawn, "geoms", [drawn])
    points = np.vstack([np.asarray(part.exterior.coords) for part in parts])
    away = [separation_deg(degrees(atan2(x, y)), middle) for x, y in points]
    assert arc.half_deg == pytest.approx(max(away), abs=0.02)
    assert separation_deg(arc.centre_deg, middle) < 1e-9


def test_pin_bosses_stand_fore_and_aft():
    # Boss 1.46 in across on a 4.030 in bore: asin(1.46 / 4.030) = 21.24 degrees either way.
    front, rear = boss_arcs(engine())
    assert (front.centre_deg, rear.centre_deg) == (0.0, 180.0)
    assert front.half_deg == pytest.approx(21.24, abs=0.01)


def test_a_piston_turned_round_takes_pockets_and_scheme_with_it():
    spec = engine()
    site = build_layout(spec).bores[0]
    right, turned = bore_clock(spec, site, PLAIN), bore_clock(spec, site, BoreBuild(piston_turned=True))
    for role, angle in right.angles_deg.items():
        assert separation_deg(turned.angles_deg[role], angle) == pytest.approx(180)
    for a, b in zip(right.places.pockets, turned.places.pockets, strict=True):
        assert separation_deg(a.centre_deg, b.centre_deg) == pytest.approx(180)
    assert turned.thrust_deg == right.thrust_deg


def test_angles_as_found_take_the_place_of_the_scheme():
    spec = engine()
    site = build_layout(spec).bores[0]
    build = BoreBuild(rings={"top": RingBuild(gap_ring_deg=-10.0), "lower_rail": RingBuild(missing=True)})
    angles = gap_angles(spec, site, build)
    assert angles["top"] == 350.0
    assert angles["second"] == 120.0
    assert "lower_rail" not in angles


def test_overlapped_expander_is_found():
    spec = engine()
    build = BoreBuild(rings={"expander": RingBuild(overlapped=True)})
    verdict = bore_clock(spec, build_layout(spec).bores[0], build).verdict
    assert [finding.rule for finding in verdict.findings] == ["expander_overlapped"]


def test_own_clocking_from_the_engine_file():
    spec = engine(
        "vee90",
        "counter-clockwise",
        rings={"clock": {"datum": "thrust", "top": "40 deg", "second": "220 deg"}},
    )
    clock = clocks(spec)[1]
    assert clock.angles_deg == {"top": 310.0, "second": 130.0}
    assert clock.scheme.source.certainty == "stated"


def test_own_least_separation_is_said_to_be_ones_own():
    spec = engine(rings={"minimum_separation": "80 deg"})
    clock = clocks(spec)[1]
    assert {finding.rule for finding in clock.verdict.findings} == {"near"}
    assert all(finding.source.text == "your engine file" for finding in clock.verdict.findings)
    assert clocks(engine())[1].rules.near.source.certainty == "practice"


def test_fewer_rings():
    data = {
        "piston": {"grooves": [{"ring": "top", "from_crown": "7 mm", "height": "1.56 mm", "root": "92 mm"}]}
    }
    spec = engine("inline", **data)
    bare = spec.model_copy(update={"rings": spec.rings.model_copy(update={"second": None, "oil": None})})
    assert rings_of(bare) == ("top",)
    assert clocks(bare)[1].angles_deg == {"top": 240.0}


def test_unknown_scheme_is_refused_with_the_nearest_name():
    with pytest.raises(
        GeometryError, match=r'rings.scheme: no clocking scheme is called "third"; did you mean "thirds"'
    ):
        named_scheme("third")


def test_gap_widths_come_from_the_engine_file():
    # 18 thou on a 4.030 in bore: 0.018 / 2.015 rad = 0.5118 degrees.
    spec = engine()
    places = piston_places(spec, build_layout(spec).bores[0], PLAIN)
    assert places.gap_deg["top"] == pytest.approx(0.5118, abs=1e-4)
    assert places.gap_deg["upper_rail"] == pytest.approx(0.025 / 2.015 * 180 / np.pi)
