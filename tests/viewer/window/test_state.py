"""Every action of the window as a change of plain state."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.kinematics.slider_crank import dead_centres
from viewer.scene import build_scene, read_view
from viewer.scene.eye import Eye
from viewer.window import journeys as j
from viewer.window import state as s
from viewer.window.actions import ACTIONS, BY_KEY, press
from viewer.window.events import key_name
from viewer.window.options import cut_plane, options_of, view_name
from viewer.window.state import Destination, EngineFacts, ViewState, facts_of, first_state
from viewer.window.under_way import next_step, typed_words

FACTS = EngineFacts(
    (1, 2, 3),
    (0.0, 120.0, 240.0),
    (180.0, 300.0, 60.0),
    (
        Destination(75.0, 2, 0, "near"),
        Destination(200.0, 3, 0, "near"),
        Destination(310.0, None, 1, "near"),
        Destination(None, 1, 2, "rings"),
    ),
)


def keys(*names, state=None):
    state = state or first_state(FACTS)
    for name in names:
        state = press(state, FACTS, name)
    return state


def test_keys_are_named_once_and_all_listed():
    assert len(BY_KEY) == len(ACTIONS)
    assert all(action.shown and action.words for action in ACTIONS)


def test_steps_of_one_and_a_tenth():
    assert keys("Right", "Right", "Left").crank_deg == 1.0
    assert keys(*["shift+Right"] * 30).crank_deg == pytest.approx(3.0, abs=1e-12)  # no rounding piles up
    assert keys("Up", "Down", "Down").crank_deg == -10.0


def test_typing_an_angle():
    assert keys("7", "5", "Return").crank_deg == 75.0
    assert keys("1", "2", ".", "5", "Return").crank_deg == 12.5
    # 12.5 degrees after bore 2's top dead centre, which stands at 120.
    assert keys("Tab", "1", "2", ".", "5", "a", "Return").crank_deg == 132.5
    assert keys("1", "2", "BackSpace", "Return").crank_deg == 1.0
    broken = keys(".", "Return")
    assert broken.crank_deg == 0.0
    assert "not an angle" in broken.message


def test_letters_do_other_things_while_nothing_is_typed():
    assert keys("a").alone
    assert not keys("1", "a").alone


def test_dead_centres_come_round_in_running_direction():
    top = keys("Tab", "t")
    assert (top.crank_deg, top.bore) == (120.0, 2)
    again = press(top, FACTS, "t")
    assert again.crank_deg == 480.0  # the next one, a turn later
    assert keys("b").crank_deg == 180.0


def test_playing_forwards_backwards_and_stopping():
    running = keys("space")
    assert s.advance(running, 0.5).crank_deg == pytest.approx(30.0)
    assert keys("space", "space").playing == 0
    back = keys("shift+space")
    assert s.advance(back, 0.5).crank_deg == pytest.approx(-30.0)
    assert s.advance(keys("space", "plus"), 0.5).crank_deg == pytest.approx(60.0)
    assert keys("space", "Right").playing == 0
    assert s.advance(keys(), 5.0).crank_deg == 0.0


def test_walking_through_the_places():
    worst = keys("w")
    assert (worst.crank_deg, worst.bore, worst.place, worst.distances, worst.near) == (
        75.0,
        2,
        0,
        "turn",
        True,
    )
    like = press(worst, FACTS, "shift+w")  # the like place of the next bore
    assert (like.crank_deg, like.bore, like.place) == (200.0, 3, 1)
    assert press(like, FACTS, "shift+w").place == 0
    second = press(like, FACTS, "n")  # on to the next line
    assert second.bore == 3  # a place of no bore leaves the chosen one
    assert second.crank_deg == pytest.approx(310.0)
    third = press(second, FACTS, "n")
    assert (third.crank_deg, third.bore, third.view, third.near) == (second.crank_deg, 1, "rings", False)
    assert press(third, FACTS, "n").place == 0
    assert press(worst, FACTS, "shift+n").place == 3
    none = press(first_state(FACTS), replace(FACTS, places=(), missing="still being worked out"), "w")
    assert "being worked out" in none.message


def test_a_line_of_the_list_goes_to_its_worst_then_to_the_next_bore():
    first = j.to_line(first_state(FACTS), FACTS, 0)
    assert first.place == 0
    assert j.to_line(first, FACTS, 0).place == 1
    assert j.to_line(j.to_line(first, FACTS, 0), FACTS, 0).place == 0
    assert j.to_line(first, FACTS, 1).place == 2


def test_backspace_goes_back_step_by_step_to_where_one_stood():
    eye = Eye((1.0, 2.0, 3.0), 10.0, -20.0, 0.0, 80.0, 26.0)
    start = replace(keys("f", "Up", "x", "Tab"), eye=eye)
    there = keys("w", "n", "i", state=start)
    assert there.view == "iso"
    once = press(there, FACTS, "BackSpace")  # back at the worst place
    assert (once.place, once.near, once.crank_deg) == (0, True, 75.0)
    twice = press(once, FACTS, "BackSpace")
    assert replace(twice, message="") == replace(start, message="")
    assert "nowhere to go back to" in press(twice, FACTS, "BackSpace").message


def test_backspace_rubs_out_while_an_angle_is_typed():
    typing = keys("w", "1", "2", "BackSpace")
    assert (typing.typed, typing.place) == ("1", 0)
    assert keys("BackSpace", "BackSpace", state=typing).place is None


def test_a_view_by_name_undoes_zoom_and_nearness():
    eye = Eye((1.0, 2.0, 3.0), 10.0, -20.0, 0.0, 80.0, 26.0)
    away = press(replace(keys("w"), eye=eye), FACTS, "f")
    assert (away.eye, away.from_deg, away.near, away.view) == (None, None, False, "front")
    fitted = s.fit(replace(keys("f"), eye=eye), eye)
    assert (fitted.eye, fitted.from_deg) == (None, (10.0, -20.0))


def test_a_close_place_is_reached_the_short_way_round():
    near = press(replace(first_state(FACTS), crank_deg=700.0), FACTS, "w")
    assert near.crank_deg == pytest.approx(795.0)


def test_bores_go_round():
    assert [keys(*["Tab"] * n).bore for n in range(4)] == [1, 2, 3, 1]
    assert keys("shift+Tab").bore == 3


def test_hiding_and_fading_the_clicked_part():
    assert "click a part first" in keys("Delete").message
    clicked = s.pick(first_state(FACTS), "rod 2", 2, (0.0, 0.0, 0.0))
    assert clicked.bore == 2
    gone = press(clicked, FACTS, "Delete")
    assert "rod 2" in gone.hidden
    assert "rod 2" not in press(gone, FACTS, "Delete").hidden
    assert "rod 2" in press(clicked, FACTS, "backslash").faded
    assert press(gone, FACTS, "Home").hidden == ViewState().hidden


def test_measuring_takes_two_points_and_starts_again():
    measuring = keys("q")
    for at in ((0.0, 0.0, 0.0), (3.0, 4.0, 0.0), (1.0, 1.0, 1.0)):
        measuring = s.pick(measuring, "crank", None, at)
    assert [point.at_mm for point in measuring.points] == [(1.0, 1.0, 1.0)]
    assert measuring.picked == ""
    assert press(measuring, FACTS, "q").points == ()


def test_measuring_says_what_to_do_next_at_every_step():
    measuring, said = keys("q"), []
    for at in ((0.0, 0.0, 0.0), (3.0, 4.0, 0.0), (1.0, 1.0, 1.0)):
        said.append(next_step(measuring))
        measuring = s.pick(measuring, "crank", None, at, "C")
    assert ["first point, on any part" in said[0], "second" in said[1], "another" in said[2]] == [True] * 3
    assert next_step(measuring) == said[1]  # the third click began anew
    assert next_step(s.let_go(measuring)) == ""


def test_letting_go_ends_everything_under_way():
    busy = replace(
        keys("q", "question", "7"), picked="crank", mistake=("x", 1), highlighted=frozenset({"crank"})
    )
    listless = s.let_go(busy)  # a list that is open goes first, and nothing with it
    assert listless == replace(busy, keys=False)
    calm = s.let_go(listless)
    assert (calm.measuring, calm.keys, calm.typed, calm.picked, calm.mistake) == (False, False, "", "", None)
    assert s.let_go(calm) == calm


@given(st.lists(st.sampled_from([a.key for a in ACTIONS if a.run is not None]), max_size=25))
def test_any_keys_in_any_order_leave_a_state_that_can_be_shown(pressed):
    state = keys(*pressed)
    assert np.isfinite(state.crank_deg)
    assert state.bore in FACTS.bores
    assert isinstance(hash(replace(state)), int)
    assert {f.name for f in fields(state)} == set(ViewState.__slots__)


def test_facts_are_those_of_the_motion(tern):
    facts = facts_of(tern)
    assert facts.bores == tuple(range(1, 9))
    centres = dead_centres(tern.linkage)
    for bore, top in zip(facts.bores, facts.top_deg, strict=True):
        assert top == pytest.approx(centres.top_deg[tern.layout.index(bore)])


def test_views_of_the_state_are_views_of_the_scene(tern):
    for action in ACTIONS:
        if action.run is not None:
            state = press(first_state(facts_of(tern)), facts_of(tern), action.key)
            read_view(view_name(state), tern.layout)


def test_the_cut_moves_against_its_normal(tern):
    state = replace(first_state(facts_of(tern)), block="cut", cut_way="across", bore=3)
    plane = cut_plane(state, tern)
    deeper = cut_plane(press(state, facts_of(tern), "bracketright"), tern)
    assert plane.point_mm[0] == pytest.approx(tern.layout.site(3).x_mm)
    assert (deeper.point_mm - plane.point_mm) @ plane.normal == pytest.approx(-3.0)
    volume_left = [
        build_scene(tern, options_of(one, tern, "mm")).item("block").mesh.vertices[:, 0].min()
        for one in (state, s.move_cut(state, 20.0))
    ]
    assert volume_left[1] == pytest.approx(volume_left[0] + 20.0)


@pytest.mark.parametrize(
    "symbol, shift, name",
    [
        ("Right", False, "Right"),
        ("Right", True, "shift+Right"),
        ("n", False, "n"),
        ("N", True, "shift+n"),
        ("ISO_Left_Tab", True, "shift+Tab"),
        ("KP_7", False, "7"),
        ("KP_Decimal", False, "."),
        ("period", False, "."),
        ("question", True, "question"),
        ("KP_Enter", False, "Return"),
        ("J", True, "j"),
    ],
)
def test_names_of_keys(symbol, shift, name):
    assert key_name(symbol, shift) == name


def test_an_angle_after_the_bores_own_top_ends_with_its_letter():
    typed = keys("Tab", "1", "5", "a", "7")  # nothing more is taken after the letter
    assert (typed.typed, typed.typed_own, typed_words(typed)) == ("15", True, "15a")
    assert press(typed, FACTS, "Return").crank_deg == 135.0
    assert press(press(typed, FACTS, "BackSpace"), FACTS, "Return").crank_deg == 15.0
    assert not press(typed, FACTS, "Return").typed_own
    assert "'.a' is not an angle" in keys(".", "a", "Return").message


def test_the_face_of_a_cut_is_picked_as_its_part(tern):
    scene = build_scene(tern, options_of(replace(first_state(facts_of(tern)), block="cut"), tern, "mm"))
    assert scene.item("block cut").whole == "block"
    assert scene.item("crank").whole == "crank"


def test_the_line_under_the_title_counts_from_the_bore_that_is_looked_at(tern):
    """Near a place of bore 3 it says the same angle as the view along the crank at that bore does."""
    state = replace(first_state(facts_of(tern)), bore=3, crank_deg=75.0)
    near, along = (
        build_scene(tern, options_of(replace(state, view=view), tern, "mm")).caption[1]
        for view in ("iso", "bore")
    )
    assert near == along
    assert near.endswith("after top dead centre of bore 3")
