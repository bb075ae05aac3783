"""Rings explained: gaps, sections and ways of the gas stand on the paper as they are in the engine."""

from math import pi

import numpy as np
import pytest
from matplotlib.colors import to_hex

from geometry.rings.section import outline
from tests.geometry.mistakes.shop import right
from tests.viewer.explained.bench import case_of, half, share_that_differs
from viewer.explained.pen import FILL, WRONG
from viewer.paper.clock.grooves import EXAGGERATE

KEYS = (
    "ring_upside_down", "rings_exchanged", "expander_overlapped", "rail_missing", "gap_too_tight", "gap_too_wide",
    "gaps_in_line",
)  # fmt: skip


def filled(axis, ground):
    """Corners of everything filled with one ground, or in the colour of what is wrong."""
    colour = WRONG if ground == "bite" else FILL[ground][0]
    return [
        patch.get_xy()[:-1]
        for patch in axis.patches
        if patch.get_fill() and to_hex(patch.get_facecolor()) == colour
    ]


def gap_at(axis, ground, y):
    """Distance between the inner ends of what is filled with a ground at a level."""
    here = [xy for xy in filled(axis, ground) if xy[:, 1].min() < y < xy[:, 1].max()]
    return min(xy[:, 0].min() for xy in here if xy[:, 0].max() > 5) - max(
        xy[:, 0].max() for xy in here if xy[:, 0].min() < -5
    )


@pytest.mark.parametrize("key", KEYS)
def test_a_stranger_sees_the_difference_in_the_middle_third(key):
    share, spots = share_that_differs(case_of(right(), key, 3))
    assert share > 0.03
    assert all(1 / 3 <= place <= 2 / 3 for spot in spots for place in spot)


@pytest.mark.parametrize("key", ["gap_too_tight", "gap_too_wide"])
@pytest.mark.parametrize("wrong", [False, True])
def test_gap_and_blade_are_drawn_to_one_scale(key, wrong):
    case = case_of(right(), key, 3)
    axis, _ = half(case, wrong)
    spec = case.right.spec
    # Street duty: 0.0035 to 0.0050 per bore; the mistakes are a quarter of the one, three times the other.
    bore = spec.block.bore.diameter_mm
    wanted = (
        {"gap_too_tight": 0.25 * 0.0035 * bore, "gap_too_wide": 3 * 0.0050 * bore}[key]
        if wrong
        else spec.rings.top.gap_mm
    )
    top = axis.get_ylim()[1]
    assert gap_at(axis, "ring", 0.7 * top) == pytest.approx(wanted)
    (blade,) = filled(axis, "tool")
    assert np.ptp(blade[:, 0]) == pytest.approx(0.0035 * bore)
    share_of_blade = sum(np.ptp(xy[:, 0]) for xy in filled(axis, "bite") if xy[:, 1].max() > 0.7 * top)
    assert share_of_blade == pytest.approx(max(0.0, 0.0035 * bore - wanted))


@pytest.mark.parametrize("wrong", [False, True])
def test_hot_ends_stand_apart_or_share_what_expansion_says(wrong):
    case = case_of(right(), "gap_too_tight", 3)
    axis, _ = half(case, wrong)
    spec = case.right.spec
    bore = spec.block.bore.diameter_mm
    cold = 0.25 * 0.0035 * bore if wrong else spec.rings.top.gap_mm
    # Two lengths pi D that grow: ring 200, bore 120 degrees Celsius on the street, both from 20.
    per_k = {"ductile_iron": 11.2e-6, "cast_iron": 11.4e-6, "steel": 12.3e-6}[spec.rings.top.material]
    left = cold - pi * bore * (per_k * 180.0 - 11.4e-6 * 100.0)
    if left > 0:
        assert gap_at(axis, "hot", 0.1) == pytest.approx(left)
    bites = [xy for xy in filled(axis, "bite") if xy[:, 1].min() < 0]
    assert [np.ptp(xy[:, 0]) for xy in bites] == pytest.approx([-left] if left < 0 else [])
    assert wrong is (left < 0)


def test_a_ring_upside_down_is_the_same_section_turned_over_and_so_is_its_oil():
    case = case_of(right(), "ring_upside_down", 3)
    axes = [half(case, wrong, words=False)[0] for wrong in (False, True)]
    (up,), (down,) = (filled(axis, "ring") for axis in axes)
    high = case.right.spec.rings.second.height_mm
    assert np.sort(up[:, 1]) == pytest.approx(np.sort(high - down[:, 1]))
    assert np.sort(up[:, 0]) == pytest.approx(np.sort(down[:, 0]))
    # Oil heaps up below the edge that scrapes down, above the one that scrapes up: where it is widest tells.
    for axis, sign in zip(axes, (-1, 1), strict=True):
        heap = min(filled(axis, "oil"), key=lambda xy: xy[:, 0].min())
        edge = heap[np.argmin(heap[:, 0]), 1]
        assert np.all(sign * (heap[:, 1] - edge) >= -1e-9)


def test_exchanged_rings_carry_their_own_sections_into_the_other_groove():
    case = case_of(right(), "rings_exchanged", 3)
    rings = case.right.spec.rings
    own = {"ring": rings.top, "second": rings.second}
    level = {}
    for wrong in (False, True):
        axis, _ = half(case, wrong, words=False)
        for ground, ring in own.items():
            (drawn,) = filled(axis, ground)
            section = outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm, exaggerate=EXAGGERATE)
            assert drawn - [0.0, drawn[:, 1].min()] == pytest.approx(section)
            level[ground, wrong] = drawn[:, 1].mean()
    assert level["ring", False] > 0 > level["second", False]
    assert level["ring", True] < 0 < level["second", True]


def test_a_missing_rail_leaves_its_own_height_as_play():
    case = case_of(right(), "rail_missing", 3)
    oil = case.right.spec.rings.oil
    groove = next(g for g in case.right.spec.piston.grooves if g.ring == "oil")
    axes = [half(case, wrong)[0] for wrong in (False, True)]
    assert [len(filled(axis, "ring")) for axis in axes] == [2, 1]
    said = [" ".join(text.get_text() for text in axis.texts) for axis in axes]
    side = groove.height_mm - oil.height_mm
    assert case.length(side) in said[0]
    assert case.length(side + oil.rail_height_mm) in said[1]


def test_ends_of_the_expander_butt_or_lie_over_each_other_by_the_overlap():
    case = case_of(right(), "expander_overlapped", 3)
    for wrong, overlap in ((False, 0.0), (True, 3.0)):
        axis, _ = half(case, wrong, words=False)
        left = max(xy[:, 0].max() for xy in filled(axis, "second"))
        coming_from_right = min(xy[:, 0].min() for xy in filled(axis, "hot"))
        assert left - coming_from_right == pytest.approx(
            overlap, abs=0.35
        )  # half the strip's thickness at either tip
    rails = [
        max(xy[:, 0].max() for xy in filled(half(case, wrong, words=False)[0], "ring"))
        for wrong in (False, True)
    ]
    assert rails[0] > rails[1]


@pytest.mark.parametrize("wrong", [False, True])
def test_gas_goes_round_the_land_or_straight_through(wrong):
    case = case_of(right(), "gaps_in_line", 3)
    axis, _ = half(case, wrong)
    from_top = 0.0 if wrong else -120.0  # thirds, thrust side at 90 degrees
    pieces = filled(axis, "second")
    middle = (max(xy[:, 0].max() for xy in pieces if xy[:, 0].min() < -179) + min(
        xy[:, 0].min() for xy in pieces if xy[:, 0].max() > 179)) / 2  # fmt: skip
    assert middle == pytest.approx(from_top)
    said = " ".join(text.get_text() for text in axis.texts)
    spec = case.right.spec
    way = pi * (spec.block.bore.diameter_mm - spec.piston.land_clearance_mm) / 3
    assert (f"{way:.2f} mm" in said) is not wrong
