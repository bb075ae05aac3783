"""Mistakes in the window: put where they belong at the chosen bore, the wrong engine in the right half."""

from dataclasses import replace

import pytest

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from tests.geometry.off_surface import FACETS_MM, off_surface_mm
from viewer.scene import build_scene, project
from viewer.window.beside import next_mistake, place_at
from viewer.window.loaded import Loaded
from viewer.window.options import options_of
from viewer.window.state import facts_of, first_state
from viewer.window.view import EngineWindow

SIZE = (640, 420)
# By hand from a drawing of a V8: five main bearings, each throw with its two bores between two of them; bores 1
# and 2 lie behind the front bearing. In each pair of bores the odd one stands half a rod's width further forward.
BESIDE = {1: (1,), 2: (1, 2), 3: (2,), 4: (2, 3), 5: (3,), 6: (3, 4), 7: (4,), 8: (4, 5)}


def round_of(assembly, bore):
    """All that the key comes by, from no mistake to no mistake again."""
    found, at = [None], next_mistake(assembly, None, bore, 1)
    while at is not None:
        found.append(at)
        at = next_mistake(assembly, at, bore, 1)
    return found


def press_until(view, bore, key):
    """Press the key with the window at the mistake before the one that is wanted."""
    order = round_of(view.assembly, bore)
    keys = [None if one is None else one[0] for one in order]
    view.state = replace(view.state, bore=bore, mistake=order[keys.index(key) - 1])
    view.press("shift+m")
    assert view.state.mistake[0] == key


def test_main_caps_are_put_at_a_bearing_beside_the_chosen_bore(tern):
    for mistake in mistakes():
        for bore, bearings in BESIDE.items():
            place = place_at(mistake, tern, bore)
            assert place in (bearings if mistake.where == "main" else (bore, None)), (mistake.key, bore)


def test_the_last_bore_shows_its_main_cap(tern):
    # Bores 6 to 8 have numbers that no main bearing has.
    found = dict(round_of(tern, 8)[1:])
    for mistake in mistakes():
        if mistake.where == "main":
            place = found[mistake.key]
            wrong = assemble(tern.spec, mistake.make(tern, place))
            assert mistake.study(tern, wrong, place, "mm").spot.bodies == (f"main_cap {place}",)
            assert place in BESIDE[8]


def test_the_wrong_engine_stands_in_the_right_half_marked_where_it_is_wrong(knot):
    view = EngineWindow(Loaded(knot), off_screen=True, size=SIZE, quality="fast")
    try:
        view.apply(view._beside.choose(view.state, knot, "mm", ("wrong_compression_height", 1)))
        halves = (view.stage, view._beside._stage)
        assert [stage.renderer.GetViewport()[0] for stage in halves] == [0.0, 0.5]
        top = [stage.scene.item("piston 1").mesh.vertices[:, 2].max() for stage in halves]
        assert top[1] - top[0] == pytest.approx(2.54)  # the crown that is too high stands in the right half
        marks = [[label for label in half.scene.labels if label.kind == "callout"] for half in halves]
        assert [len(found) for found in marks] == [0, 1]
        wrong = view._beside._made.wrong
        at = halves[1].scene.in_engine(marks[1][0].frame, marks[1][0].at_mm)
        assert off_surface_mm(wrong, "piston 1", at, view.state.crank_deg) < FACETS_MM
        # One camera on both, near, the trouble in the middle third of either half; both parts alone in the light.
        assert view.state.near
        for half in halves:
            x, y = project(half.camera(), half.size_px, at[None, :])[0, :2] / half.size_px
            assert 1 / 3 < x < 2 / 3
            assert 1 / 3 < y < 2 / 3
            solid = {i.whole for i in half.scene.items if i.visible and i.opacity == 1.0}
            assert solid == {"piston 1", "head"}
        view.press("BackSpace")
        assert (view.state.mistake, view.state.near, view._beside.shown) == (None, False, False)
    finally:
        view.close()


def test_leaving_a_mistake_leaves_nothing_of_it(knot):
    view = EngineWindow(Loaded(knot), off_screen=True, size=SIZE, quality="fast")
    try:
        press_until(view, 1, "rings_exchanged")
        wrong = view._beside._stage.scene
        heights = [
            wrong.item(name).mesh.vertices[:, 2].mean() + wrong.item(name).X_FA[2, 3]
            for name in ("second_ring 1", "top_ring 1")
        ]
        assert heights[0] > heights[1] + 5.0  # each ring stands over the groove that it lies in
        (label,) = [one for one in wrong.labels if one.kind == "callout"]
        assert label.at_mm[2] == pytest.approx(max(heights), abs=3.0)
        view.press("Escape")
        assert (view.state.mistake, view.state.highlighted) == (None, frozenset())
        assert not [item for item in view.scene.items if item.look == "highlight"]
    finally:
        view.close()


@pytest.mark.parametrize(("key", "part"), [("rod_turned", "rod 3"), ("cap_turned", "rod_cap 3")])
def test_the_section_letters_each_half_as_it_was_built(tern, key, part):
    """A rod turned round, and a cap: the small chamfer is lettered in the wrong half alone, on the same half of it."""
    state = replace(first_state(facts_of(tern)), bore=3, view="chamfer", mistake=(key, 3))
    mistake = next(one for one in mistakes() if one.key == key)
    options = options_of(state, tern, "in")
    wrong = assemble(tern.spec, mistake.make(tern, 3), kinds=())
    scenes = [build_scene(assembly, options) for assembly in (tern, wrong)]
    said = [{label.text for label in scene.labels} for scene in scenes]
    assert "chamfer 0.125 in x 45°" in said[0]
    assert not any("into the fillet" in text for text in said[0])
    assert {"chamfer 0.010 in x 45°", "0.0104 in into the fillet"} <= said[1]
    assert all(any(item.name.startswith(f"{part} section") for item in scene.items) for scene in scenes)
