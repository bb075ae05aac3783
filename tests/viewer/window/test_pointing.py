"""The tag beside the mouse: comes at rest, stays as it is, goes with the next thing that is done."""

import numpy as np
import pytest

from geometry.checks.close_places import close_places
from viewer.draw.overlay import measure
from viewer.scene import project
from viewer.window.pointing import Tag, least_of_bodies, part_tag, tag_panel


@pytest.fixture(scope="module")
def places(knot):
    return close_places(knot)


def rest_at(view, x, y, seconds=1.0):
    view.point(round(x), round(y))
    view.hands.now += seconds
    view.tick()


def crank_px(view):
    """A pixel of the crank, seen from the front."""
    view.press("f")
    view.rest()
    at = view.scene.in_engine("C", np.array([0.0, 0.0, 0.0]))
    return project(view.stage.camera(), view.stage.size_px, at[None, :])[0][:2]


def wait_for_clearances(view):
    while view._pointing._leasts._wanted is not None:
        view.tick()


def test_it_names_the_part_and_its_least_clearance_with_limit(undrawn, places):
    x, y = crank_px(undrawn)
    rest_at(undrawn, x, y)
    assert undrawn._pointing.tag == Tag("crank", lines=("working out its clearances ...",))
    wait_for_clearances(undrawn)
    # What the list shows for the crank, certified there in another run.
    worst = next(close for close in places if "crank" in close.bodies)
    told = " ".join(undrawn._pointing.tag.lines)
    assert f"least {worst.min_mm:.3f} mm over the turn" in told
    assert f"limit {worst.limit_mm:.2f} mm (" in told
    assert undrawn._pointing.tag.verdict == worst.verdict


def test_over_assumed_values_its_verdict_says_so(knot):
    leasts = least_of_bodies(knot)
    tag = part_tag("crank", "crank", leasts, "", "in", "3 of 90 values are assumed")
    assert (tag.verdict, tag.look) == (f"{leasts['crank'].verdict}, as assumed", leasts["crank"].verdict)
    assert part_tag("crank", "crank", leasts, "", "in", "").verdict == leasts["crank"].verdict


def test_it_stays_until_the_mouse_rests_on_something_else(undrawn):
    x, y = crank_px(undrawn)
    rest_at(undrawn, x, y)
    wait_for_clearances(undrawn)
    tag = undrawn._pointing.tag
    drawn = []
    undrawn._pointing._overlay.draw = drawn.append
    for step in (2, 4, 6):
        rest_at(undrawn, x + step, y, 0.1)
        assert undrawn._pointing.tag is tag
    rest_at(undrawn, x + 3, y)
    assert undrawn._pointing.tag is tag
    assert drawn == []  # nothing was drawn anew: nothing could flicker
    rest_at(undrawn, 3, 200)
    assert undrawn._pointing.tag is None


def test_it_goes_with_the_next_thing_that_is_done(undrawn):
    x, y = crank_px(undrawn)
    rest_at(undrawn, x, y)
    assert undrawn._pointing.tag is not None
    undrawn.press("Right")
    assert undrawn._pointing.tag is None


def test_a_crank_that_runs_is_not_asked_what_is_under_the_mouse(undrawn, monkeypatch):
    x, y = crank_px(undrawn)
    asked = []
    monkeypatch.setattr(undrawn.stage, "under", lambda *at: asked.append(at))
    undrawn.press("space")
    for _ in range(3):
        rest_at(undrawn, x, y)
    assert asked == []
    undrawn.press("space")
    undrawn.rest()
    rest_at(undrawn, x, y)
    assert len(asked) == 1


def test_buttons_say_what_they_do_and_by_which_key(undrawn):
    (button,) = [b for b in undrawn._panels.buttons if b.name == "t"]
    rest_at(undrawn, *button.box.centre)
    assert undrawn._pointing.tag == Tag("next top dead centre of the bore", "T")


def test_every_body_has_its_least(knot, places):
    leasts = least_of_bodies(knot)
    for close in places:
        for body in close.bodies:
            # No pair of the list leaves less of its limit than what is told of either part.
            assert leasts[body].spare_mm <= close.min_mm - close.limit_mm + 1e-9


@pytest.mark.parametrize("at", [(0, 0), (639, 0), (0, 419), (639, 419), (320, 210)])
def test_it_stays_inside_the_window(at):
    tag = Tag(
        "rod bolt, bore 3, major", "", ("a line that is as long as such lines come to be", "limit"), "clear"
    )
    (box,) = tag_panel(tag, at, (640, 420), measure).taken
    assert min(box.left, box.bottom) >= 0
    assert (box.left + box.width, box.bottom + box.height) <= (640, 420)
