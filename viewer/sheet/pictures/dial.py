"""Where the crank stands for pushing a piston in: a dial from the front, the bore upright."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from viewer.paper.page import HATCH, INK, LIGHT
from viewer.sheet.content import VectorPicture
from viewer.sheet.pictures.drawn import DARK, NUMBER_PT, OTHER, PAPER, PART, PaperDrawing, blank, box, turned
from viewer.sheet.wording import say

Stretches = tuple[tuple[float, float], ...]
HIGH_MM: Final = 50.0
RADIUS_MM: Final = 13.5
INNER: Final = 0.74
"""Inner edge of the band of safe angles, by the dial's radius."""


def draw_dial(
    safe_after_top_deg: Stretches, best_deg: float | None, sense: int, wide_mm: float
) -> VectorPicture:
    """The dial.

    Parameters
    ----------
    safe_after_top_deg : stretches of crank angle after the bore's own top dead centre, the end may pass 360
    best_deg : recommended; None where no angle is safe
    sense : 1 where the crank turns clockwise seen from the front, else -1
    """
    drawn = blank(wide_mm, HIGH_MM)
    middle = np.array([wide_mm / 2, 22.0])
    bore, deck = 8.5, HIGH_MM - 5.5
    for side in (-1.0, 1.0):
        wall = box(bore, bore + 2.0, middle[1] + 1.18 * RADIUS_MM, deck)
        drawn.face(middle * [1.0, 0.0] + wall * [side, 1.0], PART, hatch="//", line_pt=1.0)
    drawn.face(middle * [1.0, 0.0] + box(-bore, bore, deck - 5.5, deck), OTHER, line_pt=1.2)
    drawn.arrow((middle[0], deck + 5.0), (middle[0], deck - 6.0), line_pt=2.6, size=16.0)
    drawn.disc((float(middle[0]), float(middle[1])), RADIUS_MM, PAPER, line_pt=1.0, level=3.0)
    for start, end in safe_after_top_deg:
        arc = sense * np.linspace(start, end, 120)
        band = np.vstack([turned(arc), INNER * turned(arc)[::-1]]) * RADIUS_MM
        drawn.face(middle + band, DARK, line_pt=1.2, level=3.5)
        if end - start < 360.0:
            for edge in (math.ceil(start), math.floor(end)):  # inwards
                _number(drawn, middle, edge, sense)
    drawn.line(middle + RADIUS_MM * np.array([[0.0, INNER], [0.0, 1.08]]), line_pt=1.4)
    if best_deg is not None:
        tip = middle + 0.87 * RADIUS_MM * turned([sense * best_deg])[0]
        drawn.line(np.array([middle, tip]), line_pt=4.0, level=4.0)
        drawn.disc((float(tip[0]), float(tip[1])), 3.2, PAPER, line_pt=2.2, level=5.0)
        _number(drawn, middle, best_deg, sense, bold=True)
    drawn.disc((float(middle[0]), float(middle[1])), 1.3, INK, line_pt=0.0, level=5.0)
    _turning(drawn, middle, sense)
    said = " and ".join(
        f"{math.ceil(start)}° to {math.floor(end) % 360}°" for start, end in safe_after_top_deg
    )
    return drawn.done(say("bore", "dial said", safe=said or say("bore", "none safe")))


def _number(
    drawn: PaperDrawing, middle: np.ndarray, after_deg: float, sense: int, bold: bool = False
) -> None:
    """Degrees after top dead centre outside the dial."""
    way = turned([sense * after_deg])[0]
    at = middle + way * [1.45 * RADIUS_MM, 1.44 * RADIUS_MM]
    drawn.words(f"{after_deg % 360:.0f}°", (float(at[0]), float(at[1])), NUMBER_PT + 2.0 * bold, bold=bold)


def _turning(drawn: PaperDrawing, middle: np.ndarray, sense: int) -> None:
    """Which way the crank turns."""
    arc = middle + 0.45 * RADIUS_MM * turned(sense * np.linspace(-60.0, 40.0, 40))
    drawn.line(arc[:-1], HATCH, 1.2, level=4.5)
    drawn.arrow(
        (float(arc[-4, 0]), float(arc[-4, 1])), (float(arc[-1, 0]), float(arc[-1, 1])), 1.2, 10.0, 4.5
    )
    drawn.line(middle + RADIUS_MM * np.array([[0.0, 0.0], [0.0, INNER]]), LIGHT, 0.7, (0, (3, 2)), 3.1)
