"""Measuring between two points that are clicked: what it says at each step, and what it never says."""

import numpy as np
import pytest

from tests.viewer.window.seen import panel_words, words
from viewer.window.closest import measured
from viewer.window.state import pick


def test_measuring_between_two_points(view):
    view.press("q")
    assert any("click the first point" in text for text in panel_words(view))
    view.apply(pick(view.state, "crank", None, (0.0, 0.0, 0.0), "C"))
    assert "first point" in words(view)
    assert any("click the second" in text for text in panel_words(view))
    view.apply(pick(view.state, "crank", None, (30.0, 40.0, 0.0), "C"))
    assert [c.value_mm for c in view.scene.callouts] == [50.0]
    (said,) = [text for text in words(view) if "50.0" in text]
    assert not any(verdict in said for verdict in ("clear", "close", "touches", "overlaps"))


def test_a_measured_point_moves_with_its_part(view, knot):
    view.press("q")
    view.apply(pick(view.state, "crank", None, (30.0, 40.0, 0.0), "C"))
    view.apply(pick(view.state, "block", None, (0.0, 0.0, 0.0), "E"))
    view.press("9"), view.press("0"), view.press("Return")
    (callout,) = measured(view.state, knot, "mm")
    # The crank turns about the engine's x: 40 mm across it at 0 degrees have all become height at 90, or depth.
    assert abs(callout.a_mm[2]) == pytest.approx(40.0)
    assert callout.a_mm[0] == pytest.approx(30.0)
    assert np.array_equal(callout.b_mm, [0.0, 0.0, 0.0])
