"""The legend of the clock sheet: what every line, marker and patch means."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final, TypeAlias

from geometry.rings.clocked import BoreClock
from geometry.rings.schemes import ROLE_WORDS, ROLES
from viewer.paper.clock.looks import (
    EDGE,
    FAINT,
    LOOKS,
    PIN_DASHES,
    POCKET_HATCH,
    THRUST_PT,
    WHITE,
    marker_style,
)
from viewer.paper.lettering import line_in, width_in, write
from viewer.paper.page import HATCH, INK, LIGHT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SAMPLE_IN: Final = 0.34
_STEP: Final = 1.22
"""Lines of the legend stand this much further apart than lines of text."""

Entry: TypeAlias = "tuple[str, Callable[[Axes, float, float], None]]"
"""Words, and what draws the sample in inches: its left end and its middle height."""


def entries(clocks: Sequence[BoreClock], shows_planned: bool) -> list[Entry]:
    """What this sheet needs explained, and nothing that it does not show."""
    there = [role for role in ROLES if any(role in clock.angles_deg for clock in clocks)]
    found: list[Entry] = [(_ring_words(role), _ring(role)) for role in there]
    if shows_planned:
        found.append(("where the scheme puts it", _planned))
    found += [("major thrust side", _thrust("major")), ("minor thrust side", _thrust("minor"))]
    found += [("pin axis", _pin), ("over a pin boss", _patch(FAINT, "none", ""))]
    pockets = {arc.valve for clock in clocks for arc in clock.places.pockets if arc.valve is not None}
    found += [
        (f"{valve} valve pocket", _patch(WHITE, EDGE, POCKET_HATCH[valve])) for valve in sorted(pockets)
    ]
    found += [("front mark of the piston", _mark), ("closest two gaps", _dimension)]
    return found


def _ring_words(role: str) -> str:
    return ROLE_WORDS[role] if role == "expander" else f"{ROLE_WORDS[role]}, its gap"


def columns_for(shown: Sequence[Entry], room_in: float, size_pt: float) -> int:
    """How many entries stand side by side."""
    widest = max(width_in(words, size_pt) for words, _ in shown) + SAMPLE_IN + 0.16
    return max(1, int(room_in / widest))


def height_in(shown: Sequence[Entry], room_in: float, size_pt: float) -> float:
    """Height of the legend, inches."""
    columns = columns_for(shown, room_in, size_pt)
    return -(-len(shown) // columns) * line_in(size_pt) * _STEP


def draw_legend(
    figure: Figure, axis: Axes, shown: Sequence[Entry], left_in: float, top_in: float, room_in: float, size_pt: float
) -> None:  # fmt: skip
    """Draw the legend; ``axis`` covers the page and counts in inches."""
    columns = columns_for(shown, room_in, size_pt)
    for place, (words, sample) in enumerate(shown):
        row, column = divmod(place, columns)
        x, y = left_in + column * room_in / columns, top_in - row * line_in(size_pt) * _STEP
        sample(axis, x, y - 0.45 * line_in(size_pt))
        write(figure, x + SAMPLE_IN + 0.07, y, words, size_pt, color=INK)


def _ring(role: str) -> Callable[[Axes, float, float], None]:
    def draw(axis: Axes, x: float, y: float) -> None:
        look, middle = LOOKS[role], x + SAMPLE_IN / 2
        for start, end in ((x, middle - 0.06), (middle + 0.06, x + SAMPLE_IN)):
            axis.plot(
                [start, end], [y, y], color=INK, lw=look.width_pt, ls=look.dashes, solid_capstyle="butt"
            )
            if look.hollow:
                axis.plot([start, end], [y, y], color=WHITE, lw=look.width_pt * 0.42, solid_capstyle="butt")
        axis.plot(middle, y, **marker_style(role, 4.2))

    return draw


def _planned(axis: Axes, x: float, y: float) -> None:
    axis.plot(x + SAMPLE_IN / 2, y, **marker_style("top", 3.4, LIGHT))


def _thrust(which: str) -> Callable[[Axes, float, float], None]:
    def draw(axis: Axes, x: float, y: float) -> None:
        axis.plot(
            [x + SAMPLE_IN / 2] * 2, [y - 0.06, y + 0.06], color=INK, lw=THRUST_PT[which], solid_capstyle="butt"
        )  # fmt: skip

    return draw


def _pin(axis: Axes, x: float, y: float) -> None:
    axis.plot([x, x + SAMPLE_IN], [y, y], color=HATCH, lw=0.7, ls=PIN_DASHES)


def _patch(face: str, edge: str, hatch: str) -> Callable[[Axes, float, float], None]:
    def draw(axis: Axes, x: float, y: float) -> None:
        from matplotlib.patches import Rectangle

        axis.add_patch(
            Rectangle((x + 0.04, y - 0.045), SAMPLE_IN - 0.08, 0.09, fc=face, ec=edge, lw=0.6, hatch=hatch)
        )

    return draw


def _mark(axis: Axes, x: float, y: float) -> None:
    middle = x + SAMPLE_IN / 2
    axis.fill(
        [middle - 0.04, middle, middle + 0.04], [y - 0.04, y + 0.04, y - 0.04], fc=WHITE, ec=INK, lw=0.8
    )


def _dimension(axis: Axes, x: float, y: float) -> None:
    axis.plot([x + 0.05, x + SAMPLE_IN - 0.05], [y, y], color=INK, lw=0.9)
    for end in (x + 0.05, x + SAMPLE_IN - 0.05):
        axis.plot([end, end], [y - 0.035, y + 0.035], color=INK, lw=0.9)
