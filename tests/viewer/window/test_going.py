"""Going to a place in the window: the eye goes near, the two parts stand alone, and back it goes."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, RingBuild
from geometry.checks.fault_spots import fault_spots
from viewer.scene import project
from viewer.scene.sight import framing_of
from viewer.window.loaded import Loaded
from viewer.window.places import find_places, in_lines
from viewer.window.state import first_state
from viewer.window.view import EngineWindow

SIZE = (640, 420)


@pytest.fixture(scope="module")
def places(knot):
    return find_places(Loaded(knot), knot)


@pytest.fixture(scope="module")
def opened(knot, places):
    """A window on the single that glides for a second, with a clock that is turned by hand."""
    now = [100.0]
    made = EngineWindow(
        Loaded(knot), off_screen=True, size=SIZE, quality="fast", clock=lambda: now[0], glide_s=1.0
    )
    made._places._known[knot,] = places
    made.apply(made.state, rebuild=True)
    made.now = now
    yield made
    made.close()


@pytest.fixture
def window(opened, knot):
    """The same, as it opens."""
    opened.apply(first_state(opened.facts))
    later(opened, 2.0)
    return opened


def later(view, seconds):
    view.now[0] += seconds
    view.tick()


def seen_at(view):
    return view.stage.camera().position_mm


def test_the_eye_glides_to_the_place_and_back_again(window, places):
    start = window.stage.camera()
    window.press("w")
    assert np.allclose(seen_at(window), start.position_mm)  # not there at once
    later(window, 0.5)
    half_way = seen_at(window)
    assert not np.allclose(half_way, start.position_mm)
    later(window, 0.6)
    assert not window._gaze.flying
    spot = places[0].spot
    ends = project(window.stage.camera(), SIZE, np.array([spot.a_mm, spot.b_mm]))
    free = window._panels.free(window._shown(), window._title(), framing_of(window._sight()))
    middle = (free[0] + free[2]) / 2 * SIZE[0], (free[1] + free[3]) / 2 * SIZE[1]
    assert ends[:, :2].mean(axis=0) == pytest.approx(middle, abs=2.0)
    window.press("BackSpace")
    later(window, 1.1)
    assert seen_at(window) == pytest.approx(start.position_mm, abs=1e-6)
    assert window.state.crank_deg == 0.0
    assert not [item for item in window.scene.items if item.name == "piston 1" and item.opacity < 1.0]


def test_the_two_parts_stand_alone(window, places):
    window.press("w")
    solid = {item.whole for item in window.scene.items if item.visible and item.opacity == 1.0}
    assert solid == set(places[0].spot.bodies)
    assert any(places[0].spot.words in word for word in window.scene.caption + (window._title(),))
    window.press("i")
    assert len({item.whole for item in window.scene.items if item.visible and item.opacity == 1.0}) > 5


def test_a_hand_on_the_mouse_is_followed_at_once(window):
    window.press("w")
    window.steer(replace(window.eye, azimuth_deg=12.0))
    assert not window._gaze.flying
    assert window.eye.azimuth_deg == 12.0


def test_words_at_a_ring_go_with_the_ring_that_is_drawn_apart(knot):
    wrong = assemble(knot.spec, AS_DESIGNED.with_bore(1, rings={"expander": RingBuild(overlapped=True)}))
    window = EngineWindow(Loaded(wrong), off_screen=True, size=SIZE, quality="fast")
    try:
        window._places._known[wrong,] = in_lines(list(fault_spots(wrong)), [])
        window.press("w")
        assert window.state.view == "rings"
        (label,) = [one for one in window.scene.labels if one.kind == "callout"]
        ring = window.scene.item("expander 1")
        heights = ring.mesh.vertices @ ring.X_FA[2, :3] + ring.X_FA[2, 3]
        assert heights.min() - 0.1 <= label.at_mm[2] <= heights.max() + 0.1
    finally:
        window.close()
