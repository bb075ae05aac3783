"""The flat panels of the window: crank bar, list, curves, keys, messages; laid out as plain data with their places.

Every panel returns lines and words for the overlay, and the boxes that a click can hit.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from viewer.breaking import broken
from viewer.looks import LOOKS, Colour
from viewer.scene.flat import PAPER, WHITE, Lettering, Measure, Words, width_of
from viewer.scene.placing import Rectangle
from viewer.window.state import EngineFacts, ViewState, own_angle_deg
from viewer.window.under_way import typed_words

INK, SOFT, MARK = LOOKS["ink"].colour, LOOKS["axis"].colour, LOOKS["mark"].colour
PALE: Colour = (0.86, 0.885, 0.91)
CHOSEN: Colour = (0.80, 0.87, 0.93)
TRACK_SIDE = 56.0
TRACK_HEIGHT = 50.0
BAR_HEIGHT = 118.0
"""Crank bar and bar of buttons."""
ROWS = 8
LEAST_UNIT, SMALLEST_PX = 0.8, (1000, 660)
"""A window of this size and more is lettered at least so large; in a smaller one the words shrink with it."""
CAPTION_HEIGHT = 92.0
COMPASS_WIDTH, CAUTION_HEIGHT = 280.0, 50.0


ButtonKind = Literal["key", "topic", "mistake"]


@dataclass(frozen=True, slots=True)
class Button:
    """A place to click.

    Attributes
    ----------
    kind, name : what a click does: press the key of this name, show the buttons of this topic, take this mistake
    tip : what it says when the mouse rests on it, and the key that does the same
    """

    box: Rectangle
    kind: ButtonKind
    name: str
    tip: tuple[str, str] = ("", "")


@dataclass(slots=True)
class Panel(Lettering):
    """What a panel draws, the room it takes, and what a click on it does: go to a place by its number, or a button."""

    measure: Measure = field(kw_only=True)
    taken: list[Rectangle] = field(default_factory=list)
    hits: list[tuple[Rectangle, int]] = field(default_factory=list)
    buttons: list[Button] = field(default_factory=list)

    def width(self, text: str, size: float, bold: bool = False) -> float:
        """Room that words take, px."""
        return self.measure(text, size, bold)[0]

    def write(
        self, text: str, left: float, middle: float, size: float, colour: Colour = INK, bold: bool = False
    ) -> float:
        """Write from a left edge, centred on a height; gives the width."""
        width, height = self.measure(text, size, bold)
        box = Rectangle(left, middle - height / 2, width, height)
        self.words.append(Words(text, box, size, bold, colour, left_aligned=True))
        return width

    def fitted(
        self,
        text: str,
        left: float,
        middle: float,
        size: float,
        room: float,
        colour: Colour = INK,
        bold: bool = False,
    ) -> None:
        """Write from a left edge, smaller where the room asks for it."""
        self.write(text, left, middle, fitting(self.measure, text, size, room, bold), colour, bold)

    def centred(
        self, text: str, x: float, middle: float, size: float, colour: Colour = INK, bold: bool = False
    ) -> None:
        """Write about a point."""
        self.write(text, x - self.width(text, size, bold) / 2, middle, size, colour, bold)

    def plate(self, box: Rectangle) -> None:
        """A ground under what follows, framed and taken."""
        edge = Rectangle(box.left - 1.0, box.bottom - 1.0, box.width + 2.0, box.height + 2.0)
        self.fill(edge.corners, PALE)
        self.fill(box.corners, PAPER)
        self.taken.append(box)


def fitting(measure: Measure, text: str, size: float, room: float, bold: bool = False) -> float:
    """The size, no larger than the one that is wanted, at which words fit into a room, px."""
    width = measure(text, size, bold)[0]
    while width > room and size > 1.0:
        size *= min(0.97, room / width)
        width = measure(text, size, bold)[0]
    return size


def unit_of(size_px: tuple[int, int]) -> float:
    """Pixels of one unit of the flat layer: it grows with the window, and in a small one words stay readable."""
    width, height = size_px
    readable = min(LEAST_UNIT, width / SMALLEST_PX[0], height / SMALLEST_PX[1])
    return max(readable, min(height / 1000.0, width / 1280.0))


# ---- the bar under the picture ------------------------------------------------------------------------------


def track(size_px: tuple[int, int]) -> Rectangle:
    """Where the crank bar can be gripped."""
    unit = unit_of(size_px)
    left, right = TRACK_SIDE * unit, size_px[0] - TRACK_SIDE * unit
    return Rectangle(left, (TRACK_HEIGHT - 22.0) * unit, right - left, 44.0 * unit)


def angle_on_track(x_px: float, size_px: tuple[int, int], cycle_deg: float) -> float:
    """Crank angle under a pixel of the bar."""
    box = track(size_px)
    return float(np.clip((x_px - box.left) / box.width, 0.0, 1.0) * cycle_deg)


def bar(facts: EngineFacts, cycle_deg: float, size_px: tuple[int, int], measure: Measure) -> Panel:
    """The still part of the crank bar: the track with its degrees, and the bores over their top dead centres."""
    panel, unit, box = Panel(measure=measure), unit_of(size_px), track(size_px)
    middle = TRACK_HEIGHT * unit
    panel.plate(Rectangle(0.0, 0.0, float(size_px[0]), BAR_HEIGHT * unit))
    panel.stroke([(box.left, middle), (box.left + box.width, middle)], PALE, 8.0 * unit)
    _degrees(panel, box, cycle_deg, unit)
    for turn in range(round(cycle_deg / 360.0)):
        places: dict[float, list[int]] = {}
        for bore, top in zip(facts.bores, facts.top_deg, strict=True):
            places.setdefault(round(top % 360.0, 1), []).append(bore)
        for top, bores in sorted(places.items()):
            x = box.left + (top + 360.0 * turn) / cycle_deg * box.width
            panel.stroke([(x, middle - 8 * unit), (x, middle + 9 * unit)], MARK, 2.5 * unit)
            panel.centred("·".join(map(str, bores)), x, middle + 21.0 * unit, 15.0 * unit, MARK, bold=True)
    return panel


def _degrees(panel: Panel, box: Rectangle, cycle_deg: float, unit: float) -> None:
    """A stroke every ten degrees under the track, a longer one with its figure every thirty or ninety."""
    middle = TRACK_HEIGHT * unit
    shown = 30.0 if box.width > 1.7 * cycle_deg * unit else 90.0
    for angle in np.arange(0.0, cycle_deg + 1.0, 10.0):
        x, figure = box.left + angle / cycle_deg * box.width, angle % shown == 0.0
        low = middle - (10.0 if figure else 7.0) * unit
        panel.stroke([(x, low), (x, middle - 4 * unit)], SOFT, (1.5 if figure else 1.0) * unit)
        if figure:
            panel.centred(f"{angle:.0f}°", x, middle - 19.0 * unit, 12.5 * unit, SOFT)


def knob(
    state: ViewState, facts: EngineFacts, cycle_deg: float, size_px: tuple[int, int], measure: Measure
) -> Panel:
    """The moving part of the bar: the knob, the angle in engine degrees and after the chosen bore's top."""
    panel, unit, box = Panel(measure=measure), unit_of(size_px), track(size_px)
    middle = TRACK_HEIGHT * unit
    x = box.left + (state.crank_deg % cycle_deg) / cycle_deg * box.width
    panel.dot((x, middle), 13.0 * unit, WHITE)
    panel.dot((x, middle), 10.0 * unit, MARK)
    if state.typed:
        text = f"go to {typed_words(state)}_"
    else:
        text = f"{state.crank_deg % cycle_deg:.1f}°   {own_angle_deg(state, facts):.1f}° after top of bore {state.bore}"
    size = 17.0 * unit
    panel.centred(text, box.left + box.width / 2, 12.0 * unit, size, MARK, bold=True)
    return panel


# ---- messages ----------------------------------------------------------------------------------------------


def message(
    text: str, size_px: tuple[int, int], measure: Measure, trouble: bool = False, halves: bool = False
) -> Panel:
    """A short word on what just happened, or the trouble with an edited file.

    It stands above the caution, clear of the compass; with two pictures side by side under their titles,
    since the middle of the foot belongs to a compass there.
    """
    panel, unit = Panel(measure=measure), unit_of(size_px)
    size = 17.0 * unit
    room = max(size_px[0] - 2.0 * COMPASS_WIDTH * unit, 0.45 * size_px[0])
    lines = [
        piece
        for one in text.splitlines()[:6]
        for piece in broken(one, room, width_of(measure, size, trouble))
    ]
    sizes = [measure(one, size, trouble) for one in lines]
    width = max(w for w, _ in sizes) + 32.0 * unit
    line = max(h for _, h in sizes) + 6.0 * unit
    height = line * len(lines) + 14.0 * unit
    low = size_px[1] - CAPTION_HEIGHT * unit - height if halves else (BAR_HEIGHT + CAUTION_HEIGHT) * unit
    box = Rectangle((size_px[0] - width) / 2, low, width, height)
    panel.plate(box)
    for number, one in enumerate(lines):
        middle = box.bottom + box.height - 7.0 * unit - (number + 0.5) * line
        colour = LOOKS["touches"].colour if trouble else INK
        panel.write(one, box.left + 16.0 * unit, middle, size, colour, bold=trouble)
    return panel
