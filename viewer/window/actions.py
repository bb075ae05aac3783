"""Every key of the window: one table that the window obeys, the help lists and the tests run through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from viewer.window import state as s
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
    topic : heading in the help
    """

    key: str
    shown: str
    words: str
    run: Run | None
    topic: str


def _flag(name: str) -> Run:
    return lambda state, _: replace(state, **{name: not getattr(state, name)})  # type: ignore[arg-type]


def _view(name: str) -> Run:
    return lambda state, _: s.look_from(state, name)


CRANK, SEE, BORE, CLOSE, KEEP = "Crank", "Looking", "Bore", "Clearances", "Keeping"

ACTIONS: tuple[Action, ...] = (
    Action("Right", "→", "on by 1°", lambda st, _: s.step(st, 1.0), CRANK),
    Action("Left", "←", "back by 1°", lambda st, _: s.step(st, -1.0), CRANK),
    Action("shift+Right", "shift →", "on by 0.1°", lambda st, _: s.step(st, 0.1), CRANK),
    Action("shift+Left", "shift ←", "back by 0.1°", lambda st, _: s.step(st, -0.1), CRANK),
    Action("Up", "↑", "on by 10°", lambda st, _: s.step(st, 10.0), CRANK),
    Action("Down", "↓", "back by 10°", lambda st, _: s.step(st, -10.0), CRANK),
    Action("space", "space", "run, stop", lambda st, _: s.play(st, 1), CRANK),
    Action("shift+space", "shift space", "run backwards", lambda st, _: s.play(st, -1), CRANK),
    Action("plus", "+", "run faster", lambda st, _: s.faster(st, 1), CRANK),
    Action("minus", "-", "run slower", lambda st, _: s.faster(st, -1), CRANK),
    Action("t", "T", "next top dead centre of the bore", lambda st, f: s.to_dead_centre(st, f, True), CRANK),
    Action("b", "B", "next bottom dead centre", lambda st, f: s.to_dead_centre(st, f, False), CRANK),
    Action("Return", "75 enter", "go to an angle; 75a: after this bore's top", s.finish_typing, CRANK),
    Action("w", "W", "worst clearance", lambda st, f: s.to_place(st, f, 0), CLOSE),
    Action("n", "N", "next", lambda st, f: s.next_place(st, f, 1), CLOSE),
    Action("shift+n", "shift N", "the one before", lambda st, f: s.next_place(st, f, -1), CLOSE),
    Action("d", "D", "distances: here, turn, none", lambda st, _: s.cycle_distances(st), CLOSE),
    Action("h", "H", "colour by closest approach", _flag("heat"), CLOSE),
    Action("j", "J", "curves", _flag("charts"), CLOSE),
    Action("y", "Y", "list", _flag("listing"), CLOSE),
    Action("q", "Q", "measure between two points", lambda st, _: s.toggle_measuring(st), CLOSE),
    Action("Tab", "tab", "next bore", lambda st, f: s.next_bore(st, f, 1), BORE),
    Action("shift+Tab", "shift tab", "bore before", lambda st, f: s.next_bore(st, f, -1), BORE),
    Action("a", "A", "this bore alone", lambda st, _: s.toggle_alone(st), BORE),
    Action("v", "V", "look along the crank at it", _view("bore"), BORE),
    Action("g", "G", "look down on its ring gaps", _view("rings"), BORE),
    Action("c", "C", "its chamfer and fillet, close", _view("chamfer"), BORE),
    Action("e", "E", "spread piston, rings, pin, rod", lambda st, _: s.cycle_spread(st), BORE),
    Action("i", "I", "free view", _view("iso"), SEE),
    Action("f", "F", "front", _view("front"), SEE),
    Action("r", "R", "rear", _view("rear"), SEE),
    Action("l", "L", "left side", _view("left"), SEE),
    Action("k", "K", "right side", _view("right"), SEE),
    Action("o", "O", "from above", _view("top"), SEE),
    Action("u", "U", "from below", _view("below"), SEE),
    Action("x", "X", "block: glass, cut, solid, away", lambda st, _: s.cycle_block(st), SEE),
    Action("z", "Z", "cut along the bores, or across", lambda st, _: s.turn_cut(st), SEE),
    Action("bracketright", "]", "cut deeper", lambda st, _: s.move_cut(st, 3.0), SEE),
    Action("bracketleft", "[", "cut less deep", lambda st, _: s.move_cut(st, -3.0), SEE),
    Action("Delete", "delete", "hide the clicked part", lambda st, _: s.hide(st, st.picked), SEE),
    Action("backslash", "\\", "fade the clicked part", lambda st, _: s.fade(st, st.picked), SEE),
    Action("Home", "home", "everything back", lambda st, _: s.show_all(st), SEE),
    Action("s", "S", "as designed, as built", s.switch_built, KEEP),
    Action("m", "M", "put a mistake in, beside the right way", None, KEEP),
    Action("shift+m", "shift M", "the mistake before", None, KEEP),
    Action("p", "P", "keep a picture of this", None, KEEP),
    Action("shift+p", "shift P", "keep a film of a turn", None, KEEP),
    Action("question", "?", "keys", _flag("keys"), KEEP),
    Action("Escape", "esc", "close this list; close the window", None, KEEP),
)  # fmt: skip

BY_KEY = {action.key: action for action in ACTIONS}


def press(state: ViewState, facts: EngineFacts, key: str) -> ViewState:
    """The state after a key, for every key that is no matter of the window itself."""
    state = replace(state, message="")
    if len(key) == 1 and (key in "0123456789." or (key == s.OWN_KEY and state.typed)):
        return s.type_key(state, key)
    if key == "BackSpace":
        return s.rub_out(state)
    action = BY_KEY.get(key)
    if action is None or action.run is None or (key == "Return" and not state.typed):
        return state
    return action.run(state, facts)
