"""The list that a mistake is chosen from by its name; those that cannot be made in this engine say why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from geometry.assembly import Assembly
from geometry.mistakes.mistake import mistakes
from viewer.looks import Colour
from viewer.scene.flat import Measure
from viewer.scene.placing import Rectangle
from viewer.window.beside import place_at
from viewer.window.hud import BAR_HEIGHT, CHOSEN, INK, MARK, SOFT, Button, Panel, unit_of
from viewer.window.state import EngineFacts, Picker, ViewState, next_bore

LINE = 22.0
NONE = ""
"""Stands in the list for the engine as it should be."""
GREY: Colour = (0.60, 0.62, 0.64)
KEYS = "type to search, enter, esc; tab: next bore"


@dataclass(frozen=True, slots=True)
class Offer:
    """One line of the list.

    Attributes
    ----------
    key, title : of the mistake
    different : what would be different, one sentence
    place : the bore or main bearing that it would sit in; None where it cannot be made
    reason : why it cannot
    """

    key: str
    title: str
    different: str
    place: int | None
    reason: str = ""


@lru_cache(maxsize=64)
def offers(assembly: Assembly, bore: int) -> tuple[Offer, ...]:
    """Every mistake by its name, as it can be made at this bore."""
    found = []
    for mistake in mistakes():
        place = place_at(mistake, assembly, bore)
        reason = (mistake.refuse(assembly, bore) or "cannot be made here") if place is None else ""
        found.append(Offer(mistake.key, mistake.title, mistake.different, place, reason))
    return tuple(sorted(found, key=lambda offer: offer.title))


def listed(state: ViewState, assembly: Assembly) -> tuple[Offer, ...]:
    """The lines that hold all typed words, by their names first; with none typed, one takes out what is shown."""
    words = state.picker.sought.split() if state.picker is not None else []
    own = offers(assembly, state.bore)
    if not words:
        back = (Offer(NONE, "none: as it should be", "", state.bore),) if state.mistake is not None else ()
        return (*back, *own)
    named = [o for o in own if all(word in o.title.lower() for word in words)]
    told = [
        o for o in own if o not in named and all(word in f"{o.title} {o.different}".lower() for word in words)
    ]
    return (*named, *told)


def typed(
    state: ViewState, facts: EngineFacts, assembly: Assembly, key: str
) -> tuple[ViewState, Offer | None]:
    """The state after a key while the list is open, and the line that was taken by it."""
    picker, found = state.picker or Picker(), listed(state, assembly)
    line = min(picker.line, max(len(found) - 1, 0))
    state = replace(state, message="")
    if key in ("Up", "Down"):
        line = (line + (1 if key == "Down" else -1)) % max(len(found), 1)
    elif key == "Return":
        return state, found[line] if found else None
    elif key in ("Tab", "shift+Tab"):
        return replace(next_bore(state, facts, 1 if key == "Tab" else -1), picker=picker), None
    else:
        sought = picker.sought[:-1] if key == "BackSpace" else picker.sought + _letter(key)
        return replace(state, picker=Picker(sought, 0 if sought != picker.sought else line)), None
    return replace(state, picker=Picker(picker.sought, line)), None


def _letter(key: str) -> str:
    """What a key writes: letters are searched for whether shift is held or not."""
    key = key.removeprefix("shift+")
    return " " if key == "space" else key if len(key) == 1 else ""


def picker_panel(state: ViewState, assembly: Assembly, size_px: tuple[int, int], measure: Measure) -> Panel:
    """The list at the right edge, beside the engine that it is about; smaller where the room asks for it."""
    picker, found = state.picker or Picker(), listed(state, assembly)
    edge = 16.0 * unit_of(size_px)
    room = size_px[0] - 2 * edge, size_px[1] - 2 * edge - BAR_HEIGHT * unit_of(size_px)
    lines = len(offers(assembly, state.bore)) + 3
    unit = unit_of(size_px)
    unit *= min(1.0, room[1] / ((lines * LINE + 24.0) * unit))
    width = min(_width(state, assembly, unit, measure), room[0])
    panel, size, line = Panel(measure=measure), 15.0 * unit, LINE * unit
    height = (max(len(found), 1) + 2) * line + 20.0 * unit
    left, top = size_px[0] - width - edge, size_px[1] - edge
    inner = left + 16.0 * unit
    panel.plate(Rectangle(left, top - height, width, height))
    middle = top - 10.0 * unit - line / 2
    heading = panel.write("Put a mistake in", inner, middle, 1.08 * size, MARK, bold=True)
    panel.write(f"bore {state.bore}", inner + heading + 10.0 * unit, middle, size, SOFT)
    middle -= line
    panel.write(
        f"{picker.sought}_" if picker.sought else KEYS, inner, middle, size, MARK if picker.sought else SOFT
    )
    if not found:
        panel.write("no mistake of that name", inner, middle - line, size, SOFT)
    for number, offer in enumerate(found):
        middle -= line
        row = Rectangle(left, middle - line / 2, width, line)
        if number == min(picker.line, len(found) - 1):
            panel.fill(row.corners, CHOSEN)
        here = state.mistake is not None and state.mistake[0] == offer.key
        wide = panel.write(
            offer.title, inner, middle, size, INK if offer.place is not None else GREY, bold=here
        )
        if offer.reason:
            at = inner + wide + 10.0 * unit
            panel.fitted(offer.reason, at, middle, 0.9 * size, left + width - 16.0 * unit - at, SOFT)
        panel.buttons.append(Button(row, "mistake", offer.key, (offer.different, "")))
    return panel


def _width(state: ViewState, assembly: Assembly, unit: float, measure: Measure) -> float:
    """Room for the widest line of the whole list, px, so that the panel stands still while one is typed for."""
    size = 15.0 * unit
    lines = [
        measure(o.title, size, True)[0]
        + (10.0 * unit + measure(o.reason, 0.9 * size, False)[0] if o.reason else 0.0)
        for o in offers(assembly, state.bore)
    ]
    return max(*lines, measure(KEYS, size, False)[0]) + 32.0 * unit
