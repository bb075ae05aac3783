"""Every key of the window: one table that the window obeys, the help lists and the tests run through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from viewer.window import journeys as j
from viewer.window import state as s
from viewer.window import under_way as u
from viewer.window.state import EngineFacts, ViewState

Run = Callable[[ViewState, EngineFacts], ViewState]


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do.

    Attributes
    ----------
    key : name of the key as the window system calls it, ``shift+`` before it where it is held
    shown : the key as the help writes it
    words : what it does
    run : the change of state; None where the window itself has to act (pictures, films, closing)
    topic : heading in the help, and in the bar of buttons
    label : what its button says; without one the button says the key
    on : whether what it does is so just now, for what is switched on and off
    """

    key: str
    shown: str
    words: str
    run: Run | None
    topic: str
    label: str = ""
    on: Callable[[ViewState], bool] | None = None


def _flag(name: str) -> Run:
    return lambda state, _: replace(state, **{name: not getattr(state, name)})  # type: ignore[arg-type]


def _view(name: str) -> Run:
    return lambda state, _: s.look_from(state, name)


def _is(name: str) -> Callable[[ViewState], bool]:
    return lambda state: bool(getattr(state, name))


def _sees(view: str) -> Callable[[ViewState], bool]:
    return lambda state: state.view == view


CRANK, SEE, PARTS, BORE, CLOSE, KEEP = "Crank", "Looking", "Parts", "Bore", "Clearances", "Keeping"
MOUSE: tuple[tuple[str, str], ...] = (
    ("drag", "turn the view, the horizon level"),
    ("shift drag", "move it; or drag with the middle button"),
    ("wheel", "nearer, farther; or drag with the right button"),
    ("click", "a part: choose it and its bore; a line, a button"),
    ("rest", "on a part or a button: what it is"),
    ("drag the bar", "turn the crank"),
    ("ctrl drag", "move the cut, up and down"),
    ("ctrl shift drag", "tilt the horizon"),
)
"""What the mouse does, for the help."""

ACTIONS: tuple[Action, ...] = (
    Action("Right", "→", "on by 1°", lambda st, _: s.step(st, 1.0), CRANK, "+1°"),
    Action("Left", "←", "back by 1°", lambda st, _: s.step(st, -1.0), CRANK, "-1°"),
    Action("shift+Right", "shift →", "on by 0.1°", lambda st, _: s.step(st, 0.1), CRANK, "+0.1°"),
    Action("shift+Left", "shift ←", "back by 0.1°", lambda st, _: s.step(st, -0.1), CRANK, "-0.1°"),
    Action("Up", "↑", "on by 10°", lambda st, _: s.step(st, 10.0), CRANK, "+10°"),
    Action("Down", "↓", "back by 10°", lambda st, _: s.step(st, -10.0), CRANK, "-10°"),
    Action("space", "space", "run, stop",
        lambda st, _: s.play(st, 1), CRANK, "run", lambda st: st.playing > 0),
    Action("shift+space", "shift space", "run backwards",
        lambda st, _: s.play(st, -1), CRANK, "run back", lambda st: st.playing < 0),
    Action("plus", "+", "run faster", lambda st, _: s.faster(st, 1), CRANK, "faster"),
    Action("minus", "-", "run slower", lambda st, _: s.faster(st, -1), CRANK, "slower"),
    Action("t", "T", "next top dead centre of the bore",
        lambda st, f: s.to_dead_centre(st, f, True), CRANK, "top"),
    Action("b", "B", "next bottom dead centre",
        lambda st, f: s.to_dead_centre(st, f, False), CRANK, "bottom"),
    Action("Return", "75 enter", "go to an angle; 75a: after this bore's top",
        u.finish_typing, CRANK, "go to", lambda st: st.asking),
    Action("w", "W", "go to the worst place", lambda st, f: j.to_place(st, f, 0), CLOSE, "worst"),
    Action("shift+w", "shift W", "the like place of the next bore", lambda st, f: j.like_place(st, f), CLOSE, "alike"),
    Action("n", "N", "next", lambda st, f: j.next_place(st, f, 1), CLOSE, "next"),
    Action("shift+n", "shift N", "the one before", lambda st, f: j.next_place(st, f, -1), CLOSE, "before"),
    Action("BackSpace", "backspace", "back to where one stood", lambda st, _: j.back(st), CLOSE, "back"),
    Action("d", "D", "distances: here, turn, none", lambda st, _: s.cycle_distances(st), CLOSE, "distances"),
    Action("h", "H", "colour by closest approach", _flag("heat"), CLOSE, "heat map", _is("heat")),
    Action("j", "J", "curves", _flag("charts"), CLOSE, "curves", _is("charts")),
    Action("y", "Y", "list", _flag("listing"), CLOSE, "list", _is("listing")),
    Action("q", "Q", "measure between two points",
        lambda st, _: u.toggle_measuring(st), CLOSE, "measure", _is("measuring")),
    Action("Tab", "tab", "next bore", lambda st, f: s.next_bore(st, f, 1), BORE, "next"),
    Action("shift+Tab", "shift tab", "bore before", lambda st, f: s.next_bore(st, f, -1), BORE, "before"),
    Action("a", "A", "this bore alone", lambda st, _: s.toggle_alone(st), BORE, "alone", _is("alone")),
    Action("v", "V", "look along the crank at it", _view("bore"), BORE, "along", _sees("bore")),
    Action("g", "G", "look down on its ring gaps", _view("rings"), BORE, "rings", _sees("rings")),
    Action("c", "C", "its chamfer and fillet, close", _view("chamfer"), BORE, "chamfer", _sees("chamfer")),
    Action("e", "E", "spread piston, rings, pin, rod", lambda st, _: s.cycle_spread(st), BORE, "spread"),
    Action("i", "I", "free view", _view("iso"), SEE, "free", _sees("iso")),
    Action("f", "F", "front", _view("front"), SEE, "front", _sees("front")),
    Action("r", "R", "rear", _view("rear"), SEE, "rear", _sees("rear")),
    Action("l", "L", "left side", _view("left"), SEE, "left", _sees("left")),
    Action("k", "K", "right side", _view("right"), SEE, "right", _sees("right")),
    Action("o", "O", "from above", _view("top"), SEE, "above", _sees("top")),
    Action("u", "U", "from below", _view("below"), SEE, "below", _sees("below")),
    Action("End", "end", "fit the view, level, from where it is seen", None, SEE, "fit"),
    Action("x", "X", "block: glass, cut, solid, away", lambda st, _: s.cycle_block(st), PARTS, "block"),
    Action("z", "Z", "cut along the bores, or across", lambda st, _: s.turn_cut(st), PARTS, "cut way"),
    Action("bracketright", "]", "cut deeper", lambda st, _: s.move_cut(st, 3.0), PARTS, "deeper"),
    Action("bracketleft", "[", "cut less deep", lambda st, _: s.move_cut(st, -3.0), PARTS, "less deep"),
    Action("Delete", "delete", "hide the clicked part", lambda st, _: s.hide(st, st.picked), PARTS, "hide"),
    Action("backslash", "\\", "fade the clicked part", lambda st, _: s.fade(st, st.picked), PARTS, "fade"),
    Action("Home", "home", "everything back", lambda st, _: s.show_all(st), PARTS, "all back"),
    Action("s", "S", "as designed, as built", s.switch_built, KEEP, "built", _is("built")),
    Action("m", "M", "choose a mistake: it stands beside the right way",
        lambda st, _: u.open_picker(st), KEEP, "mistake", lambda st: st.picker is not None),
    Action("shift+m", "shift M", "the next mistake", None, KEEP, "next mistake"),
    Action("shift+s", "shift S", "the mistake as a drawing, in the solids",
        lambda st, _: s.swap_drawing(st), KEEP, "drawing", _is("plane")),
    Action("p", "P", "keep a picture of this", None, KEEP, "picture"),
    Action("shift+p", "shift P", "keep a film of a turn", None, KEEP, "film"),
    Action("question", "?", "keys and mouse", lambda st, _: u.toggle_keys(st), KEEP, "? keys", _is("keys")),
    Action("Escape", "esc", "close this list; close the window", None, KEEP, "close"),
)  # fmt: skip

BY_KEY = {action.key: action for action in ACTIONS}


def press(state: ViewState, facts: EngineFacts, key: str) -> ViewState:
    """The state after a key, for every key that is no matter of the window itself."""
    state = replace(state, message="")
    if len(key) == 1 and (key in "0123456789." or (key == u.OWN_KEY and state.typed)):
        return u.type_key(state, key)
    if key == "BackSpace" and (state.typed or state.asking):
        return u.rub_out(state)
    action = BY_KEY.get(key)
    if action is None or action.run is None:
        return state
    return action.run(state, facts)
