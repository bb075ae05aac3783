"""One clock face: the rings of one piston seen from above, front up, every gap named in words.

A ring angle runs clockwise from the front, so on paper it points to (sin, cos): 90 degrees is to the right.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from geometry.rings.clocked import BoreClock
from geometry.rings.schemes import ROLE_WORDS
from viewer.sections.paper import HATCH, INK, LIGHT

RADII: Final = {"top": 1.0, "second": 0.87, "upper_rail": 0.74, "expander": 0.62, "lower_rail": 0.50}
LINES: Final = {"top": 2.6, "second": 2.6, "upper_rail": 1.3, "expander": 1.3, "lower_rail": 1.3}
OPEN_DEG: Final = 5.0
"""Half of the opening drawn for a gap: much wider than the gap, so that it is seen."""
LABEL_RADIUS: Final = 1.30
APART_DEG: Final = 21.0
"""Labels stand at least this far apart round the face."""
REACH: Final = (2.72, 1.60)
"""Half width and half height of a face with its labels."""


def point(ring_deg: float, radius: float) -> tuple[float, float]:
    """Where a ring angle lies on paper."""
    angle = np.radians(ring_deg)
    return float(radius * np.sin(angle)), float(radius * np.cos(angle))


def draw_face(axis: Any, clock: BoreClock) -> None:
    """Draw the clock of one bore into an empty axis."""
    axis.set_aspect("equal")
    axis.set_axis_off()
    axis.set_xlim(-REACH[0], REACH[0])
    axis.set_ylim(-REACH[1], REACH[1])
    _still_places(axis, clock)
    for role, angle in clock.angles_deg.items():
        _ring(axis, role, angle)
    axis.plot([0, 0], [-0.42, 0.42], color=HATCH, lw=0.9, ls=(0, (9, 3, 2, 3)))
    axis.text(0.06, 0.0, "pin axis", fontsize=6.5, color=HATCH, rotation=90, va="center", ha="left")
    labels = [(angle, f"{ROLE_WORDS[role]} {angle:.0f}°", role) for role, angle in clock.angles_deg.items()]
    labels.append((clock.thrust_deg, f"MAJOR THRUST SIDE\n({clock.thrust_words})", "thrust"))
    placed = spread([angle for angle, _, _ in labels])
    for (angle, text, role), at in zip(labels, placed, strict=True):
        _label(axis, role, angle, at, text)


def spread(angles_deg: list[float], apart_deg: float = APART_DEG) -> list[float]:
    """Angles near the wanted ones, none closer to the next than ``apart_deg``, round the face.

    The front (0) is kept free for the word FRONT.
    """
    order = np.argsort(np.asarray(angles_deg) % 360.0, kind="stable")
    wanted = (np.asarray(angles_deg)[order] % 360.0).astype(float)
    found = np.clip(wanted, apart_deg * 0.9, 360.0 - apart_deg * 0.9)
    for _ in range(400):
        steps = np.diff(found)
        short = apart_deg - steps
        tight = short > 1e-9
        if not tight.any():
            break
        found[:-1][tight] -= short[tight] / 2
        found[1:][tight] += short[tight] / 2
        found = np.clip(found, apart_deg * 0.9, 360.0 - apart_deg * 0.9)
    out = np.empty(len(found))
    out[order] = found
    return [float(angle) for angle in out]


def _arc(axis: Any, radius: float, start_deg: float, end_deg: float, **look: Any) -> None:
    angles = np.radians(np.linspace(start_deg, end_deg, 181))
    axis.plot(radius * np.sin(angles), radius * np.cos(angles), solid_capstyle="butt", **look)


def _ring(axis: Any, role: str, gap_deg: float) -> None:
    radius = RADII[role]
    style = (0, (2.2, 1.1)) if role == "expander" else "-"
    open_deg = 2.5 if role == "expander" else OPEN_DEG
    _arc(axis, radius, gap_deg + open_deg, gap_deg + 360.0 - open_deg, color=INK, lw=LINES[role], ls=style)
    for end in (gap_deg - open_deg, gap_deg + open_deg):
        x, y = point(end, radius)
        dx, dy = point(end, 0.045)
        axis.plot([x - dx, x + dx], [y - dy, y + dy], color=INK, lw=1.1)


def _still_places(axis: Any, clock: BoreClock) -> None:
    """Pin bosses and valve pockets, faintly; thrust and anti-thrust marks; the front."""
    from matplotlib.patches import Wedge

    for arc, inner, hatch in (
        *((boss, (0.0, 0.40), "....") for boss in clock.places.bosses),
        *((pocket, (1.03, 1.12), "////") for pocket in clock.places.pockets),
    ):
        low, high = 90.0 - arc.centre_deg - arc.half_deg, 90.0 - arc.centre_deg + arc.half_deg
        axis.add_patch(
            Wedge(
                (0, 0),
                inner[1],
                low,
                high,
                width=inner[1] - inner[0],
                fc="#f2f3f5",
                ec=LIGHT,
                lw=0.5,
                hatch=hatch,
            )
        )
    for angle, width in ((clock.thrust_deg, 4.5), (clock.thrust_deg + 180.0, 1.8)):
        _arc(axis, 1.16, angle - 11.0, angle + 11.0, color=INK, lw=width)
    pointer = {"arrowstyle": "-|>", "color": INK, "lw": 1.6, "mutation_scale": 11}
    axis.annotate("", xy=(0, 1.42), xytext=(0, 1.2), arrowprops=pointer)
    axis.text(0, 1.45, "FRONT", ha="center", va="bottom", fontsize=8, weight="bold", color=INK)


def _label(axis: Any, role: str, angle_deg: float, at_deg: float, text: str) -> None:
    x, y = point(at_deg, LABEL_RADIUS)
    side = "left" if x > 0.05 else "right" if x < -0.05 else "center"
    weight = "bold" if role == "thrust" else "normal"
    start = point(angle_deg, 1.16 if role == "thrust" else RADII[role])
    elbow = point(at_deg, 1.24)
    axis.plot([start[0], elbow[0]], [start[1], elbow[1]], color=HATCH, lw=0.7)
    size = 6.8 if role == "thrust" else 7.6
    vertical = "top" if side == "center" else "center"
    axis.text(x, y, text, ha=side, va=vertical, fontsize=size, color=INK, weight=weight, linespacing=1.05)
