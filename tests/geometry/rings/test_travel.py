"""How far the rings go."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryError
from geometry.rings.travel import BoreEnds, GroovePlace, ring_travel

GROOVES = (GroovePlace("top", 6.0, 1.5), GroovePlace("second", 12.0, 1.5), GroovePlace("oil", 17.0, 4.0))


def pin_heights(throw, rod, offset):
    """Pin height over a full turn by intersecting circle and line, no closed form of the program used."""
    angle = np.linspace(0, 2 * np.pi, 200_001)
    side, up = throw * np.sin(angle), throw * np.cos(angle)
    return up + np.sqrt(rod**2 - (offset - side) ** 2)


@given(
    throw=st.floats(30, 60), ratio=st.floats(3, 4), offset=st.floats(-2, 2), height=st.floats(25, 45),
    notch=st.floats(0, 15), spare=st.floats(-5, 15), length=st.floats(90, 180),
)  # fmt: skip
def test_margins_against_a_swept_turn(throw, ratio, offset, height, notch, spare, length):
    pins = pin_heights(throw, throw * ratio, offset)
    deck = pins.max() + height + spare
    bore = BoreEnds(deck, length, notch_mm=notch)
    for ring, groove in zip(ring_travel(pins.max(), pins.min(), height, GROOVES, bore), GROOVES, strict=True):
        upper = pins + height - groove.from_crown_mm
        lower = upper - groove.height_mm
        assert ring.top_margin_mm == pytest.approx((deck - upper).min(), abs=1e-9)
        assert ring.bottom_margin_mm == pytest.approx((lower - (deck - length)).min(), abs=1e-9)
        assert ring.notch_margin_mm == pytest.approx((lower - (deck - length + notch)).min(), abs=1e-9)
        middle = (upper + lower) / 2
        assert ring.top_depth_mm == pytest.approx(deck - middle.max(), abs=1e-9)
        assert ring.bottom_depth_mm == pytest.approx(deck - middle.min(), abs=1e-9)
        assert ring.leaves_top == (ring.top_margin_mm < 0)


def test_worked_by_hand():
    # Stroke 80, crown at the top 1 mm below a deck of 230: pin 229 - 40 = 189 and 109. Oil groove's lower side at
    # the bottom: 109 + 40 - 17 - 4 = 128. A bore of 105 ends at 125, its chamfer of 2 at 127, a notch of 6 at 131.
    bore = BoreEnds(230.0, 105.0, bottom_chamfer_mm=2.0, notch_mm=6.0)
    top, _, oil = ring_travel(189.0, 109.0, 40.0, GROOVES, bore)
    assert top.top_margin_mm == pytest.approx(7.0)
    assert oil.bottom_margin_mm == pytest.approx(1.0)
    assert oil.notch_margin_mm == pytest.approx(-3.0)
    assert not oil.uncovers_bottom
    assert oil.crosses_notch
    assert not top.leaves_top


def test_a_tall_piston_lets_the_top_ring_out():
    # Crown 7 mm above the deck, groove 6 mm down: 1 mm above the deck.
    (top, *_) = ring_travel(197.0, 117.0, 40.0, GROOVES, BoreEnds(230.0, 140.0))
    assert top.top_margin_mm == pytest.approx(-1.0)
    assert top.leaves_top


@pytest.mark.parametrize(
    "call",
    [
        lambda: ring_travel(100.0, 100.0, 40.0, GROOVES, BoreEnds(230.0, 140.0)),
        lambda: ring_travel(190.0, 100.0, 0.0, GROOVES, BoreEnds(230.0, 140.0)),
        lambda: ring_travel(190.0, 100.0, 40.0, (GroovePlace("top", 6.0, 0.0),), BoreEnds(230.0, 140.0)),
        lambda: BoreEnds(230.0, 0.0),
        lambda: BoreEnds(230.0, 10.0, bottom_chamfer_mm=6.0, notch_mm=5.0),
    ],
)
def test_impossible_numbers_are_refused(call):
    with pytest.raises(GeometryError):
        call()
