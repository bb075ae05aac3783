"""Where a distance stands in the picture: its ends on the two points, by the renderer's own projection."""

from dataclasses import replace

import numpy as np
import pytest

from viewer.draw.screen import Screen
from viewer.draw.stage import Stage, read_window
from viewer.looks import LOOKS
from viewer.scene import Callout, ViewOptions, build_scene

SIZE = (800, 600)
A, B = np.array([30.0, -60.0, 40.0]), np.array([30.0, 50.0, 130.0])


def pixel_of(renderer, point_mm):
    """Pixels from the left and from the bottom, as the renderer's own camera has it."""
    renderer.SetWorldPoint(*point_mm, 1.0)
    renderer.WorldToDisplay()
    return np.array(renderer.GetDisplayPoint()[:2])


@pytest.mark.parametrize("view", ["front", "iso"])
def test_the_line_runs_from_point_to_point(knot, view):
    # Every part is hidden, so that nothing but the distance has its colour.
    nothing = frozenset(body.name for body in knot.bodies)
    options = ViewOptions(view=view, hidden=nothing, block="hidden", labels=False)
    screen = Screen(SIZE, off_screen=True)
    try:
        stage = Stage(screen.window, screen.renderers[0])
        scene = build_scene(knot, options, [Callout(A, B, "", "clear", ("", ""), 142.1, 0.0)])
        around = np.vstack([A - 25.0, A + 25.0, B - 25.0, B + 25.0])
        stage.show(replace(scene, framing=replace(scene.framing, points_mm=around)))
        stage.aim()
        stage.letter()
        screen.window.Render()
        picture = read_window(screen.window)[::-1].astype(float) / 255.0
        ends = np.array([pixel_of(stage.renderer, point) for point in (A, B)])
        mm_per_px = 142.1 / np.linalg.norm(ends[1] - ends[0])
    finally:
        screen.close()
    rows, columns = np.nonzero(np.abs(picture - LOOKS["clear"].colour).max(axis=2) < 0.03)
    green = np.column_stack([columns, rows]).astype(float)
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    reach = (green - ends[0]) @ along
    # A dot of 4.5 thousandths of the height stands on either end; words and their leader lie aside of the line.
    on_line = np.abs((green - ends[0]) @ [-along[1], along[0]]) < 4.0
    dot = 0.0045 * SIZE[1]
    assert on_line.sum() > 0.8 * np.linalg.norm(ends[1] - ends[0])
    assert reach[on_line].min() == pytest.approx(-dot, abs=1.5)
    assert reach[on_line].max() == pytest.approx(np.linalg.norm(ends[1] - ends[0]) + dot, abs=1.5)
    assert 1.5 * mm_per_px < 4.0  # so that 8 mm would be seen
