"""The window off-screen, driven through the same functions as its keys and clicks, its actors read back."""

import gc
import time
from dataclasses import replace

import numpy as np
import pytest
from vtkmodules.vtkCommonCore import vtkObjectBase

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.checks.close_places import close_places, closest_at
from geometry.errors import InputError, Problem
from tests.viewer.window.seen import SIZE, Hands, panel_words, words
from viewer.scene.eye import turned
from viewer.window import hud
from viewer.window.closest import callout_at
from viewer.window.finding import BackgroundSearch
from viewer.window.loaded import Loaded
from viewer.window.places import find_places
from viewer.window.view import EngineWindow
from viewer.window.watch import Watch


@pytest.fixture(scope="module")
def places(knot):
    """The places of the single that are worth going to."""
    return find_places(Loaded(knot), knot)


def give(view, places):
    """The close places of the engine on show, as if they had just been worked out."""
    view._places._known[view.assembly,] = tuple(places)
    view.apply(view.state, rebuild=True)


def pose_of(view, frame):
    """A frame's pose as the renderer has it."""
    matrix = view.stage._matrices[frame]
    return np.array([[matrix.GetElement(i, j) for j in range(4)] for i in range(4)])


def test_opens_with_the_engine_and_its_number(view):
    assert "1" in words(view)
    assert "FRONT" in words(view)
    assert any("after top of bore 1" in text for text in panel_words(view))


def test_turning_moves_twenty_matrices_and_nothing_else(view, knot):
    actors = list(view.stage._batches.values())
    view.press("7"), view.press("5"), view.press("Return")
    assert np.allclose(pose_of(view, "P1"), knot.frame_poses(75.0)["P1"])
    assert np.allclose(pose_of(view, "C"), knot.frame_poses(75.0)["C"])
    assert list(view.stage._batches.values()) == actors


def test_coarse_while_moving_and_fine_at_rest(view):
    view.press("Right")
    assert view.stage.moving
    batch = next(iter(view.stage._batches.values()))
    assert batch.fast.GetVisibility()
    assert not batch.fine.GetVisibility()
    view.hands.now += 1.0
    view.tick()
    assert not view.stage.moving
    assert batch.fine.GetVisibility()


def test_edges_are_smoothed_when_nothing_has_happened_for_a_while(view):
    view.rest()
    rough = view.picture().astype(int)
    view.hands.now += 2.0
    view.tick()
    assert view.window.GetMultiSamples() > 0
    smooth = view.picture().astype(int)
    changed = np.abs(smooth - rough).max(axis=2) > 8
    assert 0.001 < changed.mean() < 0.2  # the edges, and nothing but the edges
    view.press("Right")
    assert view.window.GetMultiSamples() == 0


def test_running_follows_the_clock(view):
    view.press("space")
    for _ in range(5):
        view.hands.now += 0.1
        view.tick()
    assert view.state.crank_deg == pytest.approx(30.0)


def test_the_bar_turns_the_crank(view):
    track = hud.track(SIZE)
    x = round(track.left + track.width / 4)
    assert view.on_bar(x, round(track.bottom + track.height / 2))
    assert not view.on_bar(5, SIZE[1] - 5)
    view.grip_bar(x)
    assert view.state.crank_deg == pytest.approx(view.cycle_deg / 4, abs=2.0)


def test_a_click_finds_the_part_through_the_glass(view):
    view.press("f")
    camera = view.stage.camera()
    from viewer.scene import project

    at = view.scene.in_engine("C", np.array([0.0, 0.0, 0.0]))
    x, y, _ = project(camera, SIZE, at[None, :])[0]
    view.click(round(x), round(y))
    assert view.state.picked == "crank"
    view.click(3, SIZE[1] // 2)
    assert view.state.picked == ""


def test_the_clicked_part_can_be_hidden(view):
    view.apply(replace(view.state, picked="crank"))
    view.press("Delete")
    view.apply(replace(view.state, picked=""))
    assert not view.scene.item("crank").visible
    assert not [i for b in view.stage._batches.values() for i in b.items if i.name == "crank"]


def test_cut_views_and_spread_are_drawn(view):
    for key in ("x", "v", "g", "c", "i", "a", "e", "z", "bracketright"):
        view.press(key)
        assert view.stage._batches, key
    assert view.scene.item("block cut").visible


def test_close_places_are_listed_drawn_and_gone_to(view, places):
    assert any("working out" in text for text in panel_words(view))
    give(view, places)
    spot = places[0].spot
    assert spot.words in panel_words(view)
    view.press("w")
    # the nearest is a valve, which is open in one turn of the two
    assert view.state.crank_deg % 720.0 == pytest.approx(spot.crank_deg % 720.0)
    (callout,) = view.scene.callouts
    assert callout.value_mm == pytest.approx(spot.value)
    assert any(callout.verdict in text for text in words(view))
    row, line = view._panels.hits[-1]
    view.click(round(row.left + 5), round(row.bottom + row.height / 2))
    assert places[view.state.place].line == line


def test_distances_can_be_put_away(view, places):
    give(view, places)
    view.press("d")
    view.press("d")
    assert view.scene.callouts == ()


@pytest.fixture(scope="module")
def bound(knot):
    """The single with its rod turned round, as a record would have it."""
    return assemble(knot.spec, AS_DESIGNED.with_bore(1, rod_turned=True, piston_turned=True))


def test_without_a_record_there_is_nothing_to_switch_to(view):
    view.press("s")
    assert not view.state.built
    assert any("no build record is loaded" in text for text in panel_words(view))


def test_switches_between_design_and_as_built(knot, bound, places):
    found = {knot: places, bound: places[:1]}
    view = EngineWindow(
        Loaded(knot, bound), off_screen=True, size=SIZE, find=lambda _, assembly: found[assembly]
    )
    try:
        assert view.assembly is bound
        assert "Knot as built, from the left front, above" in words(view)
        arrive(view, places[:1])
        view.press("s")
        assert view.assembly is knot
        assert "Knot, from the left front, above" in words(view)
        arrive(view, places)
        view.press("s")
        assert view.places == places[:1]  # known already, not worked out again
    finally:
        view.close()


def arrive(view, wanted):
    """Let the search beside the window end."""
    for _ in range(200):
        view.tick()
        if view.places is not None:
            break
        time.sleep(0.01)
    assert view.places == wanted


def test_colours_by_closest_approach(view, knot, monkeypatch):
    monkeypatch.setattr("geometry.clearance.nearness.EDGE_MM", 20.0)  # few points, to be quick
    view.apply(replace(view.state, picked="rod 1"))
    view.press("h")
    assert any("working out the closest approach" in text for text in panel_words(view))
    for _ in range(6000):
        view.tick()
        if view._heat._known:
            break
        time.sleep(0.01)
    rod = view.scene.item("rod 1")
    assert rod.values_mm is not None
    assert "Closest over the turn" in words(view)
    # The least of the map is what is certified over the turn for the rod, to the spacing of the map's points.
    certified = [close.min_mm for close in close_places(knot) if "rod 1" in close.bodies]
    assert min(certified) - 0.05 <= rod.values_mm.min() <= min(certified) + 1.0
    view.press("h")
    assert view.scene.item("rod 1").values_mm is None
    view.press("h")
    assert view.scene.item("rod 1").values_mm is rod.values_mm  # known already


def test_a_search_that_ends_leaves_the_camera_where_a_hand_put_it(view, places):
    view.steer(turned(view.eye, 0.1, 0.0))
    before = view.stage.camera().position_mm
    give(view, places)
    assert np.array_equal(view.stage.camera().position_mm, before)


def test_curves_follow_the_crank(view, places):
    give(view, places)
    view.press("j")
    before = [text for text in panel_words(view) if text.startswith("below top")]
    view.press("Up")
    after = [text for text in panel_words(view) if text.startswith("below top")]
    assert len(before) == len(after) == 1
    assert before != after
    assert any(text.startswith("distance") for text in panel_words(view))


def test_the_list_of_keys(view):
    view.press("question")
    assert "next top dead centre of the bore" in panel_words(view)
    view.press("Escape")
    assert "next top dead centre of the bore" not in panel_words(view)


def test_a_mistake_stands_beside_the_right_way(view, knot):
    view.press("shift+m")
    assert view.state.mistake is not None
    assert view._beside.shown
    other = view._beside._stage
    assert other.renderer.GetActiveCamera() is view.stage.renderer.GetActiveCamera()
    view.press("Up")
    assert np.allclose(pose_of(view, "C"), knot.frame_poses(view.state.crank_deg)["C"])
    assert np.allclose(other.scene.poses["C"], knot.frame_poses(view.state.crank_deg)["C"])
    view.press("Escape")
    assert not view._beside.shown
    assert view.stage.size_px == SIZE


def test_a_saved_edit_shows_and_an_error_keeps_the_last_good_engine(knot, tern):
    clock, saved, engines = Hands(), [False], [tern]

    def reload():
        if not engines:
            raise InputError([Problem("tern.toml", 3, "crank.stroke", "has no unit", 'write "88 mm"')])
        return Loaded(engines.pop())

    view = EngineWindow(
        Loaded(knot), off_screen=True, size=SIZE, reload=reload, watched=lambda: saved[0], clock=clock,
    )  # fmt: skip
    try:
        saved[0] = True
        clock.now += 1.0
        view.tick()
        assert view.scene.title == "Tern"
        clock.now += 1.0
        view.tick()
        assert view.scene.title == "Tern"
        assert any("tern.toml:3: crank.stroke: has no unit" in text for text in panel_words(view))
        engines.append(knot)
        clock.now += 1.0
        view.tick()
        assert view.trouble == ""
        assert view.state.bore == 1
    finally:
        view.close()


def test_files_are_watched_by_their_stamp(tmp_path):
    path = tmp_path / "x.toml"
    path.write_text("a = 1")
    watch = Watch([path])
    assert not watch.changed()
    path.write_text("a = 12")
    assert watch.changed()
    assert not watch.changed()
    path.unlink()
    assert not watch.changed()
    path.write_text("a = 123")
    assert watch.changed()


def test_only_the_last_search_counts(knot, places):
    import threading

    gate, calls = threading.Event(), []

    def find(assembly):
        calls.append(assembly)
        if len(calls) == 1:
            gate.wait(5.0)
            return ()
        return places

    finding = BackgroundSearch(find, "places")
    finding.want("first")
    finding.want("second")
    for _ in range(200):
        if finding.arrived():
            break
        gate.wait(0.01)
    assert finding.of("second") is places
    gate.set()
    time.sleep(0.05)
    assert not finding.arrived()
    assert finding.of("first") is None


def test_a_callout_at_the_minimum_is_the_certified_one(places):
    close = places[0].close
    at_worst = callout_at(close, close.crank_deg, "mm")
    assert at_worst.value_mm == close.min_mm
    away = callout_at(close, close.crank_deg + 40.0, "mm")
    assert away.value_mm > at_worst.value_mm
    assert np.linalg.norm(away.a_mm - away.b_mm) == pytest.approx(abs(away.value_mm), abs=0.02)
    assert closest_at([place.close for place in places], close.crank_deg) is close


def renderer_objects():
    gc.collect()
    return sum(isinstance(o, vtkObjectBase) for o in gc.get_objects())


@pytest.mark.slow
def test_nothing_piles_up_over_many_openings(knot):
    loaded = Loaded(knot)
    for _ in range(2):
        EngineWindow(loaded, off_screen=True, size=(160, 120), quality="fast").close()
    before = renderer_objects()
    for _ in range(5):
        EngineWindow(loaded, off_screen=True, size=(160, 120), quality="fast").close()
    assert renderer_objects() <= before + 3  # one object left over at each opening would make 5
