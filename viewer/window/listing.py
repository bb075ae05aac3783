"""The list of places at the top right: like places on one line, what was found, its limit, what is left of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from geometry.units import System
from viewer.breaking import broken
from viewer.looks import LOOKS
from viewer.scene.flat import Measure, width_of
from viewer.scene.placing import Rectangle
from viewer.spot_words import limit_words, value_words, verdict_words
from viewer.window.hud import BAR_HEIGHT, CHOSEN, SOFT, Panel, unit_of
from viewer.window.places import ListedPlace, bores_words
from viewer.window.state import ViewState

MOST_LINES = 8
HEIGHT_SHARE, WIDTH_SHARE = 0.5, 0.40
"""The list covers at most so much of the room over the crank bar, and of the window's width."""
UNDER = 0.87
"""Size of the lower half of a line by that of the upper."""
TITLE = "Where to look, the worst first"


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the list: what and how bad, and under it where, which limit and what is left of it."""

    name: str
    value: str
    verdict: str
    look: str
    under: str
    size: float
    width: float

    def write(self, panel: Panel, left: float, right: float, middle: float, line: float) -> None:
        """Both halves of it, the upper one about a height."""
        panel.write(self.name, left, middle, self.size)
        verdict = panel.width(self.verdict, self.size, True)
        value = panel.width(self.value, self.size, True) if self.value else 0.0
        panel.write(self.verdict, right - verdict, middle, self.size, LOOKS[self.look].colour, bold=True)
        panel.write(self.value, right - verdict - 0.6 * self.size - value, middle, self.size, bold=True)
        panel.write(self.under, left, middle - line, UNDER * self.size, SOFT)


def _row(
    alike: Sequence[ListedPlace],
    chosen: ListedPlace | None,
    units: System,
    measure: Measure,
    size: float,
    assumed: str,
) -> _Row:
    """What a line says: of the place chosen in it, else of its worst."""
    place = next((one for one in alike if one is chosen), alike[0])
    spot = place.spot
    value, verdict = value_words(spot, units), verdict_words(spot, assumed)
    under = "  ·  ".join(filter(None, (bores_words(alike, place, assumed), limit_words(spot, units))))
    upper = measure(spot.words, size, False)[0] + sum(
        measure(words, size, True)[0] + 0.8 * size for words in (value, verdict) if words
    )
    wide = max(upper, measure(under, UNDER * size, False)[0])
    return _Row(spot.words, value, verdict, spot.nearby, under, size, wide)


def _span(count: int, chosen: int | None, size_px: tuple[int, int], unit: float) -> tuple[int, int]:
    """The first line that is shown and how many are, so that the chosen one is among them."""
    room = HEIGHT_SHARE * (size_px[1] - BAR_HEIGHT * unit)
    shown = min(count, MOST_LINES, max(2, int((room - 62.0 * unit) / (46.0 * unit))))
    at = 0 if chosen is None else chosen
    return min(max(0, at - shown + 1), max(0, count - shown)), shown


def place_list(
    state: ViewState,
    places: Sequence[ListedPlace] | None,
    units: System,
    size_px: tuple[int, int],
    measure: Measure,
    missing: str = "",
    assumed: str = "",
) -> Panel:
    """Each line goes to its worst place when clicked, then on to the like place of the next bore.

    ``missing`` says why there are no ``places`` at all; ``assumed`` how many values of the engine are assumed.
    """
    panel, unit = Panel(measure=measure), unit_of(size_px)
    size, line, pad = 15.0 * unit, 21.0 * unit, 10.0 * unit
    lines = [list(alike) for _, alike in groupby(places or (), key=lambda place: place.line)]
    chosen = places[state.place % len(places)] if places and state.place is not None else None
    first, count = _span(len(lines), chosen.line if chosen else None, size_px, unit)
    rows = [_row(alike, chosen, units, measure, size, assumed) for alike in lines[first : first + count]]
    note = missing if places is None else "nothing comes close" if not rows else ""
    notes = broken(note, WIDTH_SHARE * size_px[0], width_of(measure, size, False)) if note else []
    foot = f"{len(lines) - first - count} more: N" if len(lines) > first + count else ""
    head = TITLE if not first else f"{TITLE}, from {first + 1}"
    wide = [
        panel.width(head, size, True),
        *(panel.width(words, size) for words in notes),
        *(r.width for r in rows),
    ]
    width = max(wide) + 2 * pad + 22.0 * unit
    height = line * (1 + len(notes) + bool(foot)) + 2 * pad + sum(2.0 * line + 4.0 * unit for _ in rows)
    left, top = size_px[0] - width - 12.0 * unit, size_px[1] - 12.0 * unit
    panel.plate(Rectangle(left, top - height, width, height))
    middle = top - pad - line / 2
    panel.write(head, left + pad, middle, size, bold=True)
    middle -= line
    for number, row in enumerate(rows, start=first):
        box = Rectangle(left, middle - 1.5 * line - 2.0 * unit, width, 2.0 * line + 4.0 * unit)
        if chosen is not None and chosen.line == number:
            panel.fill(box.corners, CHOSEN)
        panel.hits.append((box, number))
        panel.write(f"{number + 1}", left + pad, middle, size, SOFT)
        row.write(panel, left + pad + 22.0 * unit, left + width - pad, middle, line)
        middle -= 2.0 * line + 4.0 * unit
    for words in notes or ([foot] if foot else []):
        panel.write(words, left + pad, middle, size, SOFT)
        middle -= line
    return panel
