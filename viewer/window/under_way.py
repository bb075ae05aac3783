"""What takes more than one key or click: an angle that is typed, a measurement, a list that is open."""

from __future__ import annotations

from dataclasses import replace

from viewer.window.state import EngineFacts, Picker, ViewState, turn_to

OWN_KEY = "a"
"""Typed after an angle: count it from the chosen bore's top dead centre."""


def type_key(state: ViewState, key: str) -> ViewState:
    """One more character of a typed angle; an ``a`` ends it and means after this bore's top dead centre."""
    if state.typed_own:
        return state
    if key == OWN_KEY:
        return replace(state, typed_own=bool(state.typed))
    return replace(state, typed=(state.typed + key)[:8])


def rub_out(state: ViewState) -> ViewState:
    """Take the last typed character back."""
    return replace(state, typed=state.typed if state.typed_own else state.typed[:-1], typed_own=False)


def typed_words(state: ViewState) -> str:
    """What has been typed, as it was typed."""
    return f"{state.typed}{OWN_KEY if state.typed_own else ''}"


def finish_typing(state: ViewState, facts: EngineFacts) -> ViewState:
    """Turn to the typed angle; with nothing typed, show the figures to click, or put them away."""
    rest = replace(state, typed="", typed_own=False, asking=False)
    if not state.typed:
        return replace(rest, asking=not state.asking)
    try:
        angle = float(state.typed)
    except ValueError:
        return replace(rest, message=f"'{typed_words(state)}' is not an angle; type for example 75 or 12.5a")
    if state.typed_own:
        angle += facts.top_deg[facts.bores.index(state.bore)]
    return turn_to(rest, angle)


def toggle_measuring(state: ViewState) -> ViewState:
    """Begin or end measuring between two picked points."""
    return replace(state, measuring=not state.measuring, points=())


def next_step(state: ViewState) -> str:
    """What to do next while something is under way that needs more than one step; empty when nothing is."""
    if state.asking:
        return "type or click an angle, then enter; an a behind it counts from this bore's top"
    if not state.measuring:
        return ""
    steps = (
        "measuring: click the first point, on any part",
        "first point taken: now click the second",
        "click on for another measurement; Q or esc ends it",
    )
    return steps[len(state.points)]


def toggle_keys(state: ViewState) -> ViewState:
    """Show or put away the list of keys; from now on nobody needs to be told of it."""
    return replace(state, keys=not state.keys, keys_used=True)


def open_picker(state: ViewState) -> ViewState:
    """Show the list of mistakes."""
    return replace(state, picker=Picker(), keys=False)
