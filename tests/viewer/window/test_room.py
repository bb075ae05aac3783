"""Nothing stands before the engine: panels, title, caution and compass leave room for all of it, at every size."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.kinematics.poses import transform
from viewer.scene import project
from viewer.window.loaded import Loaded
from viewer.window.places import find_places
from viewer.window.view import EngineWindow

SIZES = ((1600, 1000), (1024, 700))


def at_px(view, item):
    """Where the vertices of an item are drawn, px."""
    points = view.scene.in_engine(item.frame, transform(item.X_FA, item.mesh.vertices))
    return project(view.stage.camera(), view.stage.size_px, points)[:, :2]


def covered(view):
    """Bodies of which some vertex, at this angle, is drawn behind a panel of the window."""
    found = set()
    for item in view.scene.items:
        if item.visible and len(item.mesh.vertices):
            at = at_px(view, item)
            for box in view._panels.taken:
                low, high = box.corners[0], box.corners[2]
                if ((at > low) & (at < high)).all(axis=1).any():
                    found.add(item.name)
    return found


@pytest.fixture(scope="module")
def places(knot):
    return find_places(Loaded(knot), knot)


def opened(engine, places):
    """A window with a full list; nothing needs to be drawn to know where it would be."""
    made = EngineWindow(Loaded(engine), off_screen=True, size=(64, 64), quality="fast")
    made.render = lambda: None
    made._gaze.glide_s = 0.0
    made._places._known[engine,] = places  # no more than words for the list
    return made


def look(view, size, charts, key):
    view.window.SetSize(*size)
    view.apply(replace(view.state, charts=charts, distances="off"), rebuild=True)
    view.press(key)
    assert len(view._panels.taken) == 2 + 2 * charts  # crank bar, list, both curves


def test_no_part_of_an_engine_lies_behind_a_panel(knot, places):
    view = opened(knot, places)
    try:
        for size in SIZES:
            for charts in (False, True):
                for key in ("i", "o"):
                    look(view, size, charts, key)
                    assert covered(view) == set(), (size, charts, key)
    finally:
        view.close()


def test_a_large_engine_in_a_small_window_is_whole_and_as_large_as_it_can_be(tern, places):
    view = opened(tern, places)
    try:
        look(view, SIZES[-1], False, "i")
        assert covered(view) == set()
        points = [at_px(view, i) for i in view.scene.items if i.visible and len(i.mesh.vertices)]
        wide, high = np.ptp(np.vstack(points), axis=0)
        assert wide > 0.35 * 1024 or high > 0.45 * 700
    finally:
        view.close()
