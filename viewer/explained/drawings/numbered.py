"""A rod that stands turned where both its edges are alike: its numbered side, the side of the tangs, from outside."""

from __future__ import annotations

import numpy as np

from geometry.parts.rod import standing
from geometry.parts.rod_bolt import spans_mm
from geometry.spec.rod import Rod
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import ACCENT, FAINT, PAPER, RIGHT, WRONG, Pen, Xy
from viewer.explained.stamp import stamp

NUMBER = 0.74
"""Height of a number by what it stands on; larger than stamped, to be read."""
TANG = 0.30
"""Size of a tang in the small picture by the bore's radius: larger than true."""


def tang_side(case: MistakeCase, wrong: bool) -> float:
    """+1 where the tangs lie towards +y of the bore's frame, else -1."""
    return float(standing(case.site, case.side(wrong).built)[1, 1])


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Big end and cap from the side on which the tangs belong; the joint runs across the middle."""
    rod = case.right.design(case.place).rod
    half, up, down = rod.big_end.width_mm / 2, rod.bolt.shoulder_mm, rod.bolt.seat_mm
    high = 1.22 * max(up, down)
    pen.frame(-1.3 * half, 1.3 * half, -high, high)
    _outlines(pen, rod)
    seen = tang_side(case, wrong) == tang_side(case, False)
    size = NUMBER * min(up, down, 1.5 * half)
    for middle in (up / 2, -down / 2):
        if seen:
            stamp(pen, str(case.place), (0.0, middle), size, level=6.0)
        else:
            box = 0.55 * size * np.array([[-0.8, -1], [0.8, -1], [0.8, 1], [-0.8, 1], [-0.8, -1]])
            pen.line(box + [0.0, middle], colour=WRONG, width=2.0, style="--", level=6.0)
    _inset(pen, case, rod, wrong)
    _words(pen, case, wrong, up)
    return (0.0, 0.0)


def _outlines(pen: Pen, rod: Rod) -> None:
    """What is seen of rod, cap and bolt along the engine's side: all of it upright rectangles."""
    half, bolt = rod.big_end.width_mm / 2, rod.bolt
    thick, ring = rod.beam.thickness_mm / 2, rod.big_end.outside_mm / 2

    def box(wide: float, low: float, high: float) -> np.ndarray:
        return np.array([[-wide, low], [wide, low], [wide, high], [-wide, high]])

    pen.fill(box(thick, 0.0, 3 * ring), "rod", hatch=False, level=2.0)
    pen.fill(box(half, 0.0, ring), "rod", hatch=False, level=2.1)
    pen.fill(box(half, -max(rod.cap.height_mm, ring), 0.0), "cap", hatch=False, level=2.1)
    for place, (radius, low, high) in spans_mm(bolt).items():
        if place != "shank":
            pen.fill(box(radius, low, high), "bolt", level=2.6)
    pen.fill(box(half, 0.0, bolt.shoulder_mm), "rod", accent=True, hatch=False, level=3.0)
    pen.fill(box(half, -bolt.seat_mm, 0.0), "cap", accent=True, hatch=False, level=3.0)


def _inset(pen: Pen, case: MistakeCase, rod: Rod, wrong: bool) -> None:
    """The big end from the front, small: the tangs, and from which side the large picture sees it."""
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = 0.27 * (right - left), 0.34 * (high - low)
    ground = np.array(
        [[right - wide, high - tall], [right, high - tall], [right, high], [right - wide, high]]
    )
    pen.axis.fill(*ground.T, fc=PAPER, ec=FAINT, lw=1.0, zorder=6.9)
    middle = np.array([right - wide / 2, high - 0.56 * tall])
    reach = rod.bolt.spacing_mm / 2 + rod.bolt.diameter_mm
    scale = 0.34 * wide / reach
    radius = rod.big_end.bore_mm / 2

    def put(points: np.ndarray) -> np.ndarray:
        return np.asarray(middle + scale * points)

    def box(y0: float, y1: float, z0: float, z1: float) -> np.ndarray:
        return put(np.array([[y0, z0], [y1, z0], [y1, z1], [y0, z1]]))

    blade = rod.beam.width_big_mm / 2
    pen.fill(box(-blade, blade, 0.0, 2.0 * radius), "rod", hatch=False, level=7.0)
    pen.fill(box(-reach, reach, 0.0, rod.bolt.shoulder_mm), "rod", hatch=False, level=7.1)
    pen.fill(box(-reach, reach, -rod.bolt.seat_mm, 0.0), "cap", hatch=False, level=7.1)
    turn = np.linspace(0.0, 2 * np.pi, 90)
    around = np.column_stack([np.cos(turn), np.sin(turn)])
    pen.fill(put(rod.big_end.outside_mm / 2 * around), "rod", hatch=False, level=7.2)
    pen.fill(put(radius * around), "shell", level=7.3)
    pen.fill(put((radius - 0.14 * radius) * around), "crank", hatch=False, level=7.4)
    at = -tang_side(case, wrong) * 0.93 * radius  # from the front +y lies at the left
    lug = TANG * radius
    pen.axis.fill(*box(at - lug / 2, at + lug / 2, -lug, lug).T, fc=WRONG if wrong else ACCENT, zorder=7.6)
    eye = -tang_side(case, False) * 1.42 * reach
    start, end = put(np.array([[eye, 0.0], [0.72 * eye, 0.0]]))
    pen.arrow((float(start[0]), float(start[1])), (float(end[0]), float(end[1])), width=1.6, level=8.0)
    pen.label("from the front", (float(middle[0]), float(high - tall + 0.09 * tall)), small=True)


def _words(pen: Pen, case: MistakeCase, wrong: bool, up: float) -> None:
    (left, right), (low, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    wide, tall = right - left, high - low
    place = (left + 0.19 * wide, high - 0.14 * tall)
    if wrong:
        pen.label(
            "numbers and tangs\non the other side", (-0.3 * up, 0.6 * up), place, colour=WRONG, bold=True
        )
    else:
        pen.label("numbers and tangs\non this side", (-0.3 * up, 0.6 * up), place, colour=RIGHT, bold=True)
    pen.label("rod", (left + 0.07 * wide, 0.16 * tall), small=True)
    pen.label("cap", (left + 0.07 * wide, -0.16 * tall), small=True)
    front = left if tang_side(case, False) < 0 else right
    inward = 1.0 if front == left else -1.0
    y = low + 0.07 * tall
    pen.arrow((front + inward * 0.16 * wide, y), (front + inward * 0.03 * wide, y), width=2.0)
    pen.label("front", (front + inward * 0.22 * wide, y), small=True, bold=True)


def said(case: MistakeCase) -> str:
    """From where it is seen, and what is assumed of the numbers."""
    side = "right" if tang_side(case, False) > 0 else "left"
    return (
        f"Big end and cap from the {side} of an upright bore, to scale but for the numbers, which are drawn large; "
        "tangs in the small picture too. Numbers on the side of the tangs: common practice, no source."
    )


DRAWING = Drawing("numbered", draw, said)
