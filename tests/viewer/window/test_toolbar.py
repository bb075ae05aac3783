"""Everything that a key does can be clicked: the bar of buttons runs through the same function as the keys."""

from dataclasses import replace

import pytest

from geometry.mistakes.mistake import mistakes
from tests.viewer.window.seen import panel_words
from viewer.draw.overlay import measure
from viewer.scene.placing import Rectangle
from viewer.window import hud, toolbar
from viewer.window.actions import ACTIONS, BY_KEY, Action
from viewer.window.picker import listed, offers, typed
from viewer.window.state import Picker, ViewState, facts_of
from viewer.window.toolbar import FIGURES, TOPICS


def click(view, wanted):
    """Click in the middle of the button that does this."""
    (button,) = [b for b in view._panels.buttons if (b.kind, b.name) == wanted]
    x, y = button.box.centre
    view.click(round(x), round(y))


def test_every_action_is_run_by_a_click_through_the_function_of_its_key(undrawn, monkeypatch):
    pressed = []
    monkeypatch.setattr(undrawn, "press", pressed.append)
    for topic in TOPICS:
        click(undrawn, ("topic", topic))
        assert undrawn.state.topic == topic
        for action in ACTIONS:
            if action.topic == topic:
                click(undrawn, ("key", action.key))
    assert sorted(pressed) == sorted(BY_KEY)


def test_a_new_action_is_in_the_bar_by_itself(monkeypatch):
    new = Action("shift+y", "shift Y", "a thing of tomorrow", lambda st, _: st, "Crank")
    monkeypatch.setattr(toolbar, "ACTIONS", (*ACTIONS, new))
    buttons = toolbar.toolbar(ViewState(), (1280, 800), measure).buttons
    assert [b.tip for b in buttons if b.name == "shift+y"] == [("a thing of tomorrow", "shift Y")]


@pytest.mark.parametrize("size", [(1600, 1000), (1280, 800), (1024, 700)])
def test_all_buttons_stand_in_the_bar_and_none_on_another(size):
    for state in (*(ViewState(topic=topic) for topic in TOPICS), ViewState(asking=True)):
        panel = toolbar.toolbar(state, size, measure)
        boxes = [button.box for button in panel.buttons]
        unit = hud.unit_of(size)
        bar = Rectangle(0.0, (hud.BAR_HEIGHT - toolbar.HEIGHT) * unit, size[0], toolbar.HEIGHT * unit)
        assert all(bar.left <= b.left and b.left + b.width <= bar.width for b in boxes)
        assert all(bar.bottom <= b.bottom and b.bottom + b.height <= bar.bottom + bar.height for b in boxes)
        assert all(a.apart_from(b) for n, a in enumerate(boxes) for b in boxes[:n])
        for word in panel.words:
            assert measure(word.text, word.size_px, word.bold)[0] <= word.box.width


def test_an_angle_can_be_clicked(undrawn):
    click(undrawn, ("key", "Return"))
    assert {b.name for b in undrawn._panels.buttons} == set(FIGURES)
    for figure in ("7", "5", "BackSpace", "0", "Return"):
        click(undrawn, ("key", figure))
    assert undrawn.state.crank_deg == 70.0
    assert not undrawn.state.asking


def test_the_way_to_the_keys_stands_out_until_it_was_used(undrawn):
    def stands_out():
        (words,) = [
            w for w in toolbar.toolbar(undrawn.state, (1280, 800), measure).words if w.text == "? keys"
        ]
        return words.ground == hud.MARK

    assert stands_out()
    click(undrawn, ("key", "question"))
    assert "drag" in panel_words(undrawn)  # what the mouse does is told there too
    assert not stands_out()
    undrawn.press("question")
    assert not stands_out()


def test_closing_by_a_click_is_closing_by_the_key(undrawn):
    undrawn.press("m")
    click(undrawn, ("key", "Escape"))
    assert (undrawn.state.picker, undrawn.over) == (None, False)
    click(undrawn, ("key", "Escape"))
    assert undrawn.over


def test_a_mistake_is_picked_by_its_name(undrawn, knot):
    undrawn.press("m")
    for letter in ("r", "o", "d", "space", "t", "u", "r", "n"):
        undrawn.press(letter)
    assert "rod turn_" in panel_words(undrawn)
    first = listed(undrawn.state, knot)[0]
    assert first.key == "rod_turned"
    undrawn.press("Return")
    assert undrawn.state.mistake == ("rod_turned", 1)
    assert undrawn.state.picker is None
    assert undrawn._beside.shown
    undrawn.press("m")
    click(undrawn, ("mistake", ""))  # the line that takes it out again
    assert undrawn.state.mistake is None
    assert undrawn.state.highlighted == frozenset()


def test_what_cannot_be_made_in_this_engine_says_why(undrawn, knot):
    undrawn.press("m")
    refused = [offer for offer in offers(knot, 1) if offer.place is None]
    # A single has one rod, one cap and one piston: nothing of these can be exchanged.
    assert {offer.key for offer in refused} == {"cap_exchanged", "pistons_exchanged", "rods_exchanged"}
    assert len(offers(knot, 1)) == len(mistakes())
    assert "there is only one piston" in panel_words(undrawn)
    click(undrawn, ("mistake", "pistons_exchanged"))
    assert undrawn.state.mistake is None
    assert any("there is only one piston" in text for text in panel_words(undrawn))


def test_the_list_of_mistakes_is_walked_by_keys(tern):
    facts, state = facts_of(tern), ViewState(picker=Picker())
    count = len(offers(tern, 1))
    up, _ = typed(state, facts, tern, "Up")
    assert up.picker.line == count - 1
    down, taken = typed(up, facts, tern, "Down")
    assert (down.picker.line, taken) == (0, None)
    assert typed(down, facts, tern, "Tab")[0].bore == 2
    nothing = replace(state, picker=Picker("no such thing"))
    assert listed(nothing, tern) == ()
    assert typed(nothing, facts, tern, "Return")[1] is None
    assert typed(nothing, facts, tern, "BackSpace")[0].picker.sought == "no such thin"
