"""Going to a place and back again: pure changes of the state that keys, clicks and buttons all call."""

from __future__ import annotations

from dataclasses import fields, replace

from viewer.window.state import EngineFacts, Standpoint, ViewState, turn_to

MOST_STEPS = 50
"""So many places one can go back through."""
_STANDS = tuple(field.name for field in fields(Standpoint))


def to_place(state: ViewState, facts: EngineFacts, number: int) -> ViewState:
    """Go to a place: its angle, its bore, and near enough to see it; counted from the worst, round and round."""
    if not facts.places:
        return replace(state, message=facts.missing)
    chosen = number % len(facts.places)
    goal = facts.places[chosen]
    near = goal.look == "near"
    there = replace(
        departed(state), place=chosen, near=near,
        view="iso" if near else goal.look, bore=state.bore if goal.bore is None else goal.bore, distances="turn",
        eye=None, from_deg=None, cut_offset_mm=0.0, spread=0.0, alone=False, mistake=None, plane=False,
        highlighted=frozenset(), picked="",
    )  # fmt: skip
    if goal.crank_deg is None:
        return there
    # a working cycle has two turns, and a valve that is nearest in one of them is shut in the other
    return turn_to(there, state.crank_deg + (goal.crank_deg - state.crank_deg + 360.0) % 720.0 - 360.0)


def to_line(state: ViewState, facts: EngineFacts, line: int) -> ViewState:
    """Go to the worst place of a line of the list; of the line where one is already, to the like place that follows."""
    numbers = [n for n, goal in enumerate(facts.places) if goal.line == line]
    if not numbers:
        return replace(state, message=facts.missing)
    at = numbers.index(state.place) + 1 if state.place in numbers else 0
    return to_place(state, facts, numbers[at % len(numbers)])


def next_place(state: ViewState, facts: EngineFacts, way: int) -> ViewState:
    """The next worse or better line of the list, its worst place."""
    line = line_at(state, facts)
    if line is None:
        return to_place(state, facts, 0)
    count = facts.places[-1].line + 1
    wanted = (line + way) % count
    return to_place(state, facts, next(n for n, goal in enumerate(facts.places) if goal.line == wanted))


def like_place(state: ViewState, facts: EngineFacts) -> ViewState:
    """The like place of the bore that follows, in the line where one is; the worst of all where one is nowhere."""
    line = line_at(state, facts)
    return to_place(state, facts, 0) if line is None else to_line(state, facts, line)


def line_at(state: ViewState, facts: EngineFacts) -> int | None:
    """The line of the list that is chosen."""
    if state.place is None or not facts.places:
        return None
    return facts.places[state.place % len(facts.places)].line


def departed(state: ViewState) -> ViewState:
    """The state of one who is about to go elsewhere and will want to come back."""
    return replace(state, trail=(*state.trail, stand_of(state))[-MOST_STEPS:])


def stand_of(state: ViewState) -> Standpoint:
    """Where one stands: eye, crank, block, view, and what is chosen there."""
    return Standpoint(*(getattr(state, name) for name in _STANDS))


def back(state: ViewState) -> ViewState:
    """Back to where one stood before the last place that one went to."""
    if not state.trail:
        return replace(state, message="nowhere to go back to")
    stand = state.trail[-1]
    return replace(
        state,
        trail=state.trail[:-1],
        playing=0,
        picked="",
        **{name: getattr(stand, name) for name in _STANDS},
    )
