"""Pistons that are too high, turned or exchanged, as drawn: against sizes of the engine file, by hand."""

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.patches import PathPatch

from geometry.assembly import assemble
from geometry.clearance.valve_rooms import valve_rooms
from tests.geometry.mistakes.shop import right, spec
from tests.viewer.explained.bench import case_of, half
from viewer.explained.drawings import mark, offset
from viewer.explained.pen import ACCENT, FILL, WRONG

INCH = 25.4
PLAIN = {"piston": {"pockets": []}}


def filled(axis, colour):
    return [p.get_xy() for p in axis.patches if not isinstance(p, PathPatch) and p.get_fill()
            and np.allclose(p.get_facecolor()[:3], to_rgb(colour))]  # fmt: skip


def stamped(axis):
    """Middles of the numbers on parts, from the left."""
    found = [p.get_path().vertices for p in axis.patches if isinstance(p, PathPatch)]
    return [(xy.min(axis=0) + xy.max(axis=0)) / 2 for xy in found]


@pytest.fixture(scope="module")
def plain():
    """Tern without pockets, and with valves that stay out of the way of a flat crown."""
    return assemble(spec(**PLAIN))


@pytest.mark.parametrize("key", ["wrong_compression_height", "wrong_rod_length"])
def test_the_crown_stands_in_the_head_by_what_is_too_much(key):
    # Tern: 8.985 in deck, 3.350 / 2 throw, 5.850 rod, 1.450 crown, 0.040 in offset and gasket; 0.100 in too much.
    case = case_of(right(), key, 1)
    axis, spot = half(case, True, words=False)
    ((bite),) = [xy for xy in filled(axis, WRONG) if np.ptp(xy[:, 0]) > 4.0]
    reach = np.sqrt((1.675 + 5.850 + (0.1 if key == "wrong_rod_length" else 0.0)) ** 2 - 0.040**2)
    crown = reach + 1.450 + (0.1 if key == "wrong_compression_height" else 0.0)
    face = 8.985 + 0.040
    assert (bite[:, 1].min(), bite[:, 1].max()) == pytest.approx((face * INCH, crown * INCH), abs=1e-3)
    # It bites where the head has a flat band: from the chamber's rim to the crown's edge, (4.030 - 0.032) / 2.
    assert bite[:, 0].max() == pytest.approx(1.999 * INCH, abs=1e-6)
    assert bite[:, 0].min() == pytest.approx(0.85 * 2.015 * INCH, abs=0.1)
    assert bite[:, 0].min() < spot[0] < bite[:, 0].max()
    assert spot[1] == pytest.approx(face * INCH)
    assert not filled(half(case, False, words=False)[0], WRONG)


@pytest.mark.parametrize("key", ["piston_turned", "pistons_exchanged"])
@pytest.mark.parametrize("wrong", [False, True])
def test_valve_and_crown_stand_apart_by_the_certified_room(key, wrong):
    case = case_of(right(), key, 1)
    axis, spot = half(case, wrong)
    valve = filled(axis, FILL["bolt"][0])[0]
    crown = filled(axis, FILL["piston"][0])[0]
    left, end = valve[:, 0].min(), valve[:, 0].max()
    assert end - left == pytest.approx(1.86 * INCH)  # the intake valve, cut through its middle
    under = valve[:, 1].min()
    top = crown[(crown[:, 0] > left + 0.3) & (crown[:, 0] < end - 0.3), 1].max()
    assert under - top == pytest.approx(valve_rooms(case.side(wrong), case.site)[0].room_mm, abs=0.02)
    # Its pocket, 0.100 in deep, lies under all of the valve when right; wrong, a pocket lies under a part of it.
    beneath = np.interp(np.linspace(left + 0.3, end - 0.3, 400), crown[:700, 0], crown[:700, 1])
    deep = beneath < crown[:, 1].max() - (0.079 if wrong else 0.099) * INCH
    assert deep.all() if not wrong else 0.0 < deep.mean() < 0.8
    # Seen from the front the left bank's valves, towards the valley, lie at the left: +y is the engine's right.
    assert (left + end) / 2 == pytest.approx(-0.50 * INCH)
    assert left < spot[0] < end


def test_a_piston_without_pockets_is_told_by_its_pin_or_by_its_mark(plain):
    assert case_of(plain, "piston_turned", 1).study.spot.drawing == "offset"
    level = assemble(spec(piston={"pockets": [], "pin": {"offset": "0 in"}}))
    case = case_of(level, "piston_turned", 1)
    assert case.study.spot.drawing == "mark"
    for wrong, way in ((False, -1.0), (True, 1.0)):
        (arrow,) = filled(half(case, wrong, words=False)[0], ACCENT)
        x = arrow[:, 0] - (arrow[:, 0].min() + arrow[:, 0].max()) / 2
        # The tip is the one corner at its end; front is at the left.
        assert way * x[np.argmin(np.abs(np.abs(x) - np.abs(x).max()) + np.abs(arrow[:, 1]))] > 0
        top = mark.top_of(case.right, 1)
        assert np.ptp(arrow[:-1, 0]) == pytest.approx(mark.larger(top) * 10.0)


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
def test_the_pin_stands_to_the_thrust_side_or_off_it(rotation):
    # Clockwise from the front the crank goes to the right after top; the rod leans that way and presses its piston
    # to the left. The offset of the demo is towards that side.
    case = case_of(assemble(spec(rotation=rotation, **PLAIN)), "piston_turned", 1)
    thrust = -1.0 if rotation == "clockwise" else 1.0
    for wrong, way in ((False, thrust), (True, -thrust)):
        axis, _ = half(case, wrong, words=False)
        pin = filled(axis, FILL["bolt"][0])[-1]
        middle = (pin[:, 0].min() + pin[:, 0].max()) / 2
        assert middle == pytest.approx(way * offset.larger(case) * 0.040 * INCH, abs=0.02)


@pytest.mark.parametrize("key", ["pistons_exchanged", "rods_exchanged"])
def test_exchanged_parts_carry_the_other_bore_s_number(key):
    case = case_of(assemble(spec("inline", piston={"pockets": []})), key, 1)
    assert case.study.spot.drawing == "exchanged"
    picture = [half(case, wrong, words=False)[0] for wrong in (False, True)]
    corners = [
        [len(p.get_path().vertices) for p in axis.patches if isinstance(p, PathPatch)][:2] for axis in picture
    ]
    assert corners[0] == corners[1][::-1]
    assert corners[0][0] < corners[0][1]  # a 1 is all straight, a 2 is not
    assert stamped(picture[0])[0][0] < 0 < stamped(picture[0])[1][0]


@pytest.mark.parametrize("wrong", [False, True])
def test_a_turned_rod_with_two_cheeks_hides_its_numbers(wrong):
    case = case_of(assemble(spec("inline")), "rod_turned", 1)
    axis, spot = half(case, wrong, words=False)
    assert case.study.spot.drawing == "numbered"
    assert len(stamped(axis)) == (0 if wrong else 2)
    assert spot == (0.0, 0.0)
    # In the small picture, from the front, the tangs of a rod that is not turned, at +y, lie at the left.
    (lug,) = filled(axis, WRONG if wrong else ACCENT)
    ring = filled(axis, FILL["shell"][0])[-1]
    assert np.sign(lug[:, 0].mean() - ring[:, 0].mean()) == (1.0 if wrong else -1.0)
