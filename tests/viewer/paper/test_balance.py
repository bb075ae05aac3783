"""The picture of what shakes an engine: seen from the front, to scale, nothing turned round or over other words."""

import numpy as np
import pytest

from geometry.balance.bob import balancing
from geometry.balance.shaking import shaking
from tests.geometry.balance.engines import weighed
from viewer.paper.balance import draw_shaking, ring_of, shake_paths


def drawn(name, system="mm"):
    engine = weighed(name)
    left = shaking(engine, balancing(engine))
    return draw_shaking(engine, left, engine.spec.engine.speed_rpm, system), left


def texts(axis):
    return {text.get_text(): text for text in axis.texts}


def path_of(axis):
    """The thick line: the two orders together."""
    (line,) = [line for line in axis.lines if line.get_linewidth() == 2.4 and len(line.get_xdata()) > 2]
    return line.get_xdata(), line.get_ydata()


def test_a_four_in_line_draws_an_upright_line_four_pistons_second_order_high():
    figure, _ = drawn("dunlin")
    force, couple = figure.axes
    across, up = path_of(force)
    peak = 4 * 0.836 * 0.055 * (2400 * np.pi / 30) ** 2 * 55 / 178
    assert np.abs(across).max() < 1e-6 * peak
    assert up[0] == pytest.approx(
        peak, rel=0.03
    )  # up at the dead centres, where pistons are stopped at their tops
    assert up[90] == pytest.approx(-peak, rel=0.03)
    assert "nothing left" in texts(couple)
    assert {"0°, 180°", "90°, 270°"} <= set(texts(force))


def test_seen_from_the_front_the_engines_left_is_on_the_right_hand():
    figure, _ = drawn("whimbrel")
    words = texts(figure.axes[1])
    assert words["left bank"].get_position()[0] > 0 > words["right bank"].get_position()[0]
    # At top dead centre all four push outward. Bores 1 and 3 stand right, each in front of its neighbour 2 or 4 on the
    # left: about the middle the right ones push the front, the left ones the rear, so the rear end goes left.
    across, _ = path_of(figure.axes[1])
    assert across[0] > 0


@pytest.mark.parametrize("name, sense", [("tern", 1), ("knot", -1)])
def test_the_arrow_goes_the_way_the_crank_turns(name, sense):
    figure, _ = drawn(name)
    axis = figure.axes[0]
    (head,) = [text for text in axis.texts if getattr(text, "arrow_patch", None) is not None]
    start, end = np.array(head.get_position()), np.array(head.xy)
    assert start[0] < 0 > start[1]  # at the lower left: clockwise is up there
    assert np.sign(end[1] - start[1]) == sense


def test_a_single_that_runs_the_other_way_pushes_left_a_quarter_turn_on():
    """Half balanced: at 90 degrees Knot's pin, counter-clockwise, is on the viewer's left, its counterweight right."""
    figure, left = drawn("knot")
    across, up = path_of(figure.axes[0])
    assert across[90] > 0.4 * across.max()
    assert up[0] == pytest.approx(up.max(), rel=1e-3)
    first, second = shake_paths(left, 2600)[0].first, shake_paths(left, 2600)[0].second
    assert np.abs(first).max() > np.abs(second).max()


@pytest.mark.parametrize("name", ["tern", "curlew", "knot"])
def test_no_words_lie_over_others(name):
    figure, _ = drawn(name, "in" if name != "curlew" else "mm")
    figure.draw_without_rendering()
    for axis in figure.axes:
        boxes = [(t.get_text(), t.get_window_extent()) for t in axis.texts if t.get_text()]
        for k, (one, box) in enumerate(boxes):
            for other, beside in boxes[k + 1 :]:
                assert not box.overlaps(beside), (one, other)


def test_the_outer_ring_is_a_round_number_in_the_units_told():
    figure, left = drawn("knot", "in")
    force = shake_paths(left, 2600)[0]
    ring = ring_of(force, "in")
    assert force.peak <= ring
    number = ring / 4.4482216152605
    assert f"{number:.0f}"[0] in "1246"
    assert float(f"{number:.0e}") == pytest.approx(number)
    assert f"{number:.0f} lbf" in texts(figure.axes[0])
