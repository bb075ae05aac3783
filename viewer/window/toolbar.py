"""The slim bar of buttons: everything that a key does, to be clicked.

It is drawn from the table of actions, one topic at a time, so that a new action is in it by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from viewer.looks import Colour
from viewer.scene.flat import PAPER, WHITE, Measure, Words
from viewer.scene.placing import Rectangle
from viewer.window.actions import ACTIONS, BY_KEY, Action
from viewer.window.hud import BAR_HEIGHT, CHOSEN, INK, MARK, PALE, SOFT, Button, Panel, unit_of
from viewer.window.state import ViewState

HEIGHT = 28.0
TOPICS = tuple(dict.fromkeys(action.topic for action in ACTIONS))
ALWAYS, OF_MISTAKES = ("question", "Escape"), "shift+s"
"""Keys whose buttons stand at the right end, whatever the topic; the last one while a mistake is shown."""
SIZES = ((14.5, 9.0), (14.5, 6.0), (13.5, 5.0), (12.5, 4.0), (11.0, 3.0), (9.5, 2.5))
"""Letters and the room beside them, in units: the first with which all buttons fit."""
FIGURES = (*"0123456789.", "a", "BackSpace", "Return", "Escape")
FIGURE_WORDS = {"a": "after top", "BackSpace": "rub out", "Return": "go there", "Escape": "leave it"}
GAP = 3.0


@dataclass(frozen=True, slots=True)
class _Face:
    """How one button looks, and what it is for."""

    text: str
    button: tuple[str, str]
    tip: tuple[str, str]
    pressed: bool = False
    accent: bool = False
    tab: bool = False


def toolbar(state: ViewState, size_px: tuple[int, int], measure: Measure) -> Panel:
    """The buttons over the crank bar: topics, then what the chosen topic can do; keys and close at the right end.

    While an angle is asked for, figures stand there instead.
    """
    panel, unit = Panel(measure=measure), unit_of(size_px)
    left, right = _faces(state)
    room = size_px[0] - 24.0 * unit
    for size, pad in SIZES:
        width = sum(_width(face, size * unit, pad * unit, measure) + GAP * unit for face in (*left, *right))
        if width <= room:
            break
    bottom = (BAR_HEIGHT - HEIGHT) * unit
    panel.stroke([(0.0, bottom), (size_px[0], bottom)], PALE, max(1.0, unit))
    _row(panel, left, 12.0 * unit, size * unit, pad * unit, unit)
    own = sum(_width(face, size * unit, pad * unit, measure) + GAP * unit for face in right)
    _row(panel, right, size_px[0] - 12.0 * unit - own, size * unit, pad * unit, unit)
    return panel


def _faces(state: ViewState) -> tuple[list[_Face], list[_Face]]:
    if state.asking or state.typed:
        return [_figure(key) for key in FIGURES], []
    tabs = [_Face(t, ("topic", t), ("", ""), t == state.topic, tab=True) for t in TOPICS]
    always = ALWAYS if state.mistake is None else (OF_MISTAKES, *ALWAYS)
    own = [_face(a, state) for a in ACTIONS if a.topic == state.topic and a.key not in always]
    return [*tabs, *own], [_face(BY_KEY[key], state) for key in always]


def _face(action: Action, state: ViewState) -> _Face:
    pressed = action.on is not None and action.on(state)
    text = action.label or action.shown
    unknown = action.key == "question" and not state.keys_used
    return _Face(text, ("key", action.key), (action.words, action.shown), pressed, unknown)


def _figure(key: str) -> _Face:
    tips = {"a": ("count from this bore's top dead centre", "A"), "Return": (BY_KEY["Return"].words, "enter")}
    return _Face(FIGURE_WORDS.get(key, key), ("key", key), tips.get(key, ("", "")), accent=key == "Return")


def _width(face: _Face, size: float, pad: float, measure: Measure) -> float:
    return measure(face.text, size, face.tab)[0] + 2 * pad


def _row(panel: Panel, faces: Sequence[_Face], left: float, size: float, pad: float, unit: float) -> None:
    """Buttons beside one another; the topics first, set off by their line below instead of a ground."""
    bottom, height = (BAR_HEIGHT - HEIGHT + 3.0) * unit, (HEIGHT - 6.0) * unit
    for face in faces:
        box = Rectangle(left, bottom, _width(face, size, pad, panel.measure), height)
        if face.tab:
            colour: Colour = MARK if face.pressed else SOFT
            if face.pressed:
                ends = [
                    (box.left + pad, bottom - 2.0 * unit),
                    (box.left + box.width - pad, bottom - 2.0 * unit),
                ]
                panel.stroke(ends, MARK, 2.5 * unit)
            panel.words.append(Words(face.text, box, size, True, colour))
        else:
            written, ground = (WHITE, MARK) if face.accent else (INK, CHOSEN if face.pressed else PAPER)
            frame = MARK if face.pressed or face.accent else PALE
            panel.words.append(Words(face.text, box, size, False, written, ground, frame))
        kind, name = face.button
        panel.buttons.append(Button(box, "topic" if kind == "topic" else "key", name, face.tip))
        left += box.width + GAP * unit
