"""A distance in the window points at the two parts that it names, at its least and at any other angle."""

import numpy as np
import pytest

from tests.geometry.off_surface import FACETS_MM, off_surface_mm
from viewer.window.closest import callout_at, close_places

EXACT = ({"piston 1", "head"}, {"crank", "block"}, {"crank", "main_cap 2"}, {"rod 1", "piston 1"})
"""Pairs of the single whose certified solids are the ones that are drawn."""


@pytest.fixture(scope="module")
def places(knot):
    return [close for close in close_places(knot) if set(close.bodies) in EXACT]


@pytest.mark.parametrize("away_deg", [0.0, 47.0])
def test_each_end_lies_on_the_part_that_it_is_named_for(knot, places, away_deg):
    assert len(places) == len(EXACT)
    for close in places:
        crank = close.crank_deg + away_deg
        callout = callout_at(close, crank, "mm")
        assert callout.between == close.bodies
        assert np.linalg.norm(callout.a_mm - callout.b_mm) == pytest.approx(callout.value_mm, abs=0.02)
        for point, name in zip((callout.a_mm, callout.b_mm), callout.between, strict=True):
            assert off_surface_mm(knot, name, point, crank) < FACETS_MM, (callout.between, name)
