"""Drawings of bearings: what stands on the paper against the engine file, the tables and each other."""

from functools import cache

import numpy as np
import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from geometry.assembly import assemble
from tests.geometry.mistakes.shop import right, spec
from tests.viewer.explained.bench import case_of, half
from viewer.explained.drawings.joint import face_of, larger
from viewer.explained.pen import FILL, WRONG

STEP_MM = {"cap_exchanged": 0.03, "cap_turned": 0.06, "main_caps_exchanged": 0.03, "main_cap_turned": 0.06}
"""A few hundredths, twice as much where a cap is turned: the estimate that the studies state."""
PLACE = 3


@cache
def case(key):
    return case_of(right(), key, PLACE)


def of(axis, colour):
    """Filled outlines in one colour, as plane regions."""
    from matplotlib.colors import to_rgba

    return [Polygon(patch.get_xy()) for patch in axis.patches
            if hasattr(patch, "get_xy") and patch.get_facecolor() == to_rgba(colour)
            and np.ndim(patch.get_xy()) == 2]  # fmt: skip


def ground(axis, name):
    return of(axis, FILL[name][0])


@pytest.mark.parametrize("key", STEP_MM)
def test_a_cap_stands_out_of_line_by_the_step_as_often_as_is_said(key):
    one = case(key)
    times = larger(face_of(one, False))
    lefts = [min(shape.bounds[0] for shape in ground(half(one, wrong, False)[0], "cap")) for wrong in (0, 1)]
    assert lefts[0] - lefts[1] == pytest.approx(times * STEP_MM[key])


@pytest.mark.parametrize("key", ["cap_exchanged", "main_caps_exchanged"])
def test_oil_clearance_is_drawn_on_the_diameter(key):
    # By subtraction, housing less two shells less journal: 0.0020 in on the crankpin, 0.0022 in on the main journal.
    shown = case(key)
    one = shown.design
    clearance = (
        one.rod.big_end.bore_mm - 2 * one.rod.bearing.wall_mm - one.crank.pin.diameter_mm
        if shown.bore is not None
        else 0.0022 * 25.4
    )
    axis, _ = half(shown, False, False)
    shaft, shells = (
        max(ground(axis, "crank"), key=lambda s: s.area),
        unary_union(ground(axis, "shell")[:2]).buffer(1e-6),
    )
    across = np.ptp(np.array(shaft.exterior.coords)[:, 0])
    inside = np.ptp(np.array(shells.interiors[0].coords)[:, 0])
    assert inside - across == pytest.approx(larger(face_of(shown, False)) * clearance, abs=2e-2)


@pytest.mark.parametrize("key, bites", [("cap_exchanged", False), ("cap_turned", True)])
def test_shaft_and_bearing_share_steel_only_where_the_step_takes_all(key, bites):
    one = case(key)  # 0.0508 mm of oil clearance
    assert [bool(of(half(one, wrong, False)[0], WRONG)) for wrong in (False, True)] == [False, bites]


def test_the_corner_of_a_turned_cap_is_seen_to_dig_into_the_fillet():
    # Chamfer and fillet of one size for the eye: without a small chamfer at the cheek nothing is drawn below.
    chamfer = {"chamfer": {"cheek": "0.125 in", "other": "0.125 in"}}
    alike = case_of(assemble(spec("inline", rod=chamfer)), "cap_turned", 1)
    corners = [len(ground(half(shown, False, False)[0], "cap")) for shown in (alike, case("cap_turned"))]
    assert corners[1] == corners[0] + 1
    leg = case("cap_turned").design.rod.chamfer
    cut = []
    for wrong in (False, True):
        corner = np.array(
            min(
                ground(half(case("cap_turned"), wrong, False)[0], "cap"), key=lambda s: s.area
            ).exterior.coords
        )
        full = np.prod(np.ptp(corner, axis=0))
        cut.append((full - Polygon(corner).area) / full)
    # What a chamfer takes off a square goes with the square of its leg.
    assert np.sqrt(cut[1] / cut[0]) == pytest.approx(leg.other_mm / leg.cheek_mm, rel=1e-6)


def tangs(axis):
    return [shape for shape in ground(axis, "shell") if shape.area < 30.0]


def test_tangs_stand_on_one_side_and_apart_with_the_cap_turned():
    one = case("cap_turned")
    sides = [[np.sign(t.centroid.x) for t in tangs(half(one, wrong, False)[0])] for wrong in (False, True)]
    assert len(sides[0]) == len(sides[1]) == 2
    assert sides[0][0] == sides[0][1] == sides[1][0] == -sides[1][1]


def test_the_engines_right_is_at_the_left():
    # Upper tangs lie at +y of a rod that stands as it is, -y of one turned about to face the other cheek.
    for bore, turned in ((s.bore, s.cheek_side == "rear") for s in right().layout.bores[:2]):
        upper = tangs(half(case_of(right(), "cap_turned", bore), False, False)[0])[0]
        assert (upper.centroid.x > 0) == turned


def stamped(axis):
    from matplotlib.patches import PathPatch

    return [patch for patch in axis.patches if isinstance(patch, PathPatch)]


def test_numbers_belong_to_what_is_put_together():
    caps = [stamped(half(case(key), wrong, False)[0])
            for key, wrong in (("cap_exchanged", False), ("cap_exchanged", True), ("cap_turned", True))]  # fmt: skip
    assert [len(found) for found in caps] == [2, 2, 1]

    def shape(patch):
        xy = patch.get_path().vertices
        return (xy - xy.min(axis=0)) / np.ptp(xy, axis=0)

    assert np.allclose(shape(caps[0][0]), shape(caps[0][1]))
    assert shape(caps[1][0]).shape != shape(caps[1][1]).shape


def test_a_main_cap_points_to_the_front_with_the_right_side_at_the_foot():
    one = case("main_cap_turned")
    tips = []
    for wrong in (False, True):
        axis, _ = half(one, wrong, False)
        arrow = next(np.array(s.exterior.coords)[:-1] for c in ("#1d2329", WRONG) for s in of(axis, c)
                     if len(s.exterior.coords) == 4)  # fmt: skip
        alone = next(p for p in arrow if abs(p[1] - arrow[:, 1].mean()) < 1e-6)
        tips.append(np.sign(alone[0] - arrow[:, 0].mean()))
    assert tips == [-1.0, 1.0]


def test_a_tang_on_the_edge_lifts_its_shell_by_what_was_put_in():
    one = case("shell_tang_out")
    tops, shells = [], []
    for wrong in (False, True):
        axis, _ = half(one, wrong, False)
        shell = ground(axis, "shell")[0]
        shells.append(shell.bounds[1])
        tops.append(shell.bounds[3])
        seat = ground(axis, "cap")[0]
        assert shell.intersection(seat).area == pytest.approx(0.0, abs=1e-9)
    assert shells[0] - shells[1] == pytest.approx(1.0)
    assert tops[0] > 0.9
    assert -0.1 < tops[1] <= 0.0
    # What shell and pin share is the lift less the clearance on one side.
    red = of(half(one, True, False)[0], WRONG)[0]
    assert red.bounds[3] - red.bounds[1] == pytest.approx(1.0 - 0.0508 / 2, abs=1e-6)


def test_oil_reaches_the_rod_only_through_the_shell_with_the_hole():
    one = case("shells_exchanged")
    width = 0.15 * one.design.rod.bearing.width_mm
    for wrong in (False, True):
        axis, _ = half(one, wrong, False)
        oil = unary_union(ground(axis, "oil"))
        assert (oil.bounds[3] > 10.0) is not wrong
        covered = of(axis, WRONG)
        assert [np.ptp(s.bounds[::2]) for s in covered] == pytest.approx([width] if wrong else [])


@pytest.mark.parametrize("nut", [False, True])
def test_a_loose_joint_opens_and_its_bolt_holds_nothing(nut):
    bolt = {"kind": "bolt_and_nut", "length": "2.60 in", "nut_diameter": "0.60 in", "nut_height": "0.40 in"}
    base = assemble(spec(rod={"bolt": bolt})) if nut else right()
    one = case_of(base, "cap_nuts_loose", PLACE)
    for wrong in (False, True):
        axis, _ = half(one, wrong, False)
        rod, cap = (unary_union(ground(axis, name)) for name in ("rod", "cap"))
        opened = rod.bounds[1] - cap.bounds[3]
        assert opened == pytest.approx(0.09 * base.spec.rod.bolt.spacing_mm if wrong else 0.0, abs=1e-6)
        # Head and nut lie on their seats, thrown open or not: that is what the bolts hold the rod by.
        ends = [shape.bounds[k] for shape in ground(axis, "bolt") for k in (1, 3)]
        seat, top = -base.spec.rod.bolt.seat_mm, base.spec.rod.bolt.shoulder_mm + opened
        assert min(abs(end - seat) for end in ends) < 1e-6
        assert (min(abs(end - top) for end in ends) < 1e-6) or not nut
        assert len(axis.texts) == (2 if wrong else 4)  # arrows: a pull either way, a clamp either way
