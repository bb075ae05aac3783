"""One ring in its groove, cut through: piston, bore wall, the ring, its clearances and the way it leans.

Axes count in mm, radial 0 at the wall of the bore and negative inward, axial 0 at the bottom of the groove.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.arrays import Array
from geometry.rings.clocked import groove_for
from geometry.rings.section import OilPack, twisted
from geometry.rings.types import Twist
from geometry.spec.engine import Engine
from viewer.paper.page import HATCH, INK, LIGHT, OTHER, SHELL, STEEL, arrow, label

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LEAN_DEG: Final = 3.0
"""Lean drawn for a ring that twists; in the groove it is a few tenths of a degree."""
WORDS_PT: Final = 6.8
WORDS: Final[dict[str, Any]] = {
    "fontsize": WORDS_PT, "zorder": 10, "bbox": {"boxstyle": "round,pad=0.16", "fc": "white", "ec": "none"},
}  # fmt: skip
ASPECT: Final = 2.05
"""Width over height of a drawing; a narrow one shows more of the piston."""
_LAND, _BEHIND, _WALL = 0.85, 0.42, 0.34
"""Land drawn above and below, piston behind the root, per groove height and depth; thickness drawn of the wall."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Piston and wall around one groove, mm.

    Attributes
    ----------
    root, land : radial places of the groove's root and of the land, below zero
    high : height of the groove
    """

    root: float
    land: float
    high: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, right, lower and upper edge of what is drawn."""
        deep, low, top = abs(self.root), -_LAND * self.high, (1 + _LAND) * self.high
        left, right = -deep * (1 + _BEHIND), deep * _WALL
        spare = max(0.0, ASPECT * (top - low) - (right - left))
        return left - 0.72 * spare, right + 0.28 * spare, low, top


def ground_of(spec: Engine, ring: str) -> Ground:
    """The ground of one ring's own groove: ``top``, ``second`` or ``oil``."""
    groove, bore = groove_for(spec, ring), spec.block.bore.diameter_mm / 2
    return Ground(groove.root_mm / 2 - bore, -spec.piston.land_clearance_mm / 2, groove.height_mm)


def draw_ground(axis: Axes, ground: Ground) -> None:
    """Piston with its groove, the wall of the bore, and which way the crown lies."""
    left, right, low, high = ground.box
    piston = [
        (left, low), (ground.land, low), (ground.land, 0), (ground.root, 0), (ground.root, ground.high),
        (ground.land, ground.high), (ground.land, high), (left, high),
    ]  # fmt: skip
    wall = [(0, low), (right, low), (right, high), (0, high)]
    for outline, fill, hatch in ((piston, OTHER, "\\\\"), (wall, STEEL, "//")):
        xs, ys = zip(*outline, strict=True)
        axis.fill(xs, ys, fc=fill, ec=LIGHT, lw=0.0, hatch=hatch)
    axis.plot(*zip(*piston[0:], strict=True), color=INK, lw=1.1)
    axis.plot([0, 0], [low, high], color=INK, lw=1.1)
    axis.set_aspect("equal")
    axis.set_axis_off()
    axis.set_xlim(left, right)
    axis.set_ylim(low, high)
    words(axis, "bore wall", (right / 2, (low + high) / 2), rotation=90)
    top = (left + 0.05 * (right - left), high - 0.06 * ground.high)
    arrow(axis, (top[0], top[1] - 0.42 * ground.high), top)
    words(axis, "crown", (top[0] + 0.02 * (right - left), top[1] - 0.22 * ground.high), ha="left")


def draw_ring(axis: Axes, outline: Array) -> None:
    """The section of a ring or of one of its pieces."""
    axis.fill(outline[:, 0], outline[:, 1], fc=SHELL, ec=INK, lw=1.3, zorder=6)


def draw_lean(axis: Axes, ground: Ground, outline: Array, twist: Twist, words_below: bool) -> None:
    """The same section leaning as it twists, dashed and exaggerated, and the edge that then touches the wall."""
    if twist == "none":
        return
    leant = twisted(outline, LEAN_DEG if twist == "positive" else -LEAN_DEG)
    leant[:, 1] += outline[:, 1].mean() - leant[:, 1].mean()
    closed = np.vstack([leant, leant[:1]])
    axis.plot(closed[:, 0], closed[:, 1], color=INK, lw=1.0, ls=(0, (4, 2)), zorder=8)
    level = float(leant[int(np.argmax(leant[:, 0])), 1])
    which = "lower" if twist == "positive" else "upper"
    place = (0.5 * ground.root, (-0.42 if words_below else 1.42) * ground.high)
    _named(axis, f"leans so in the bore, {which} edge to the wall", (0.0, level), place)


def draw_mark(axis: Axes, mark: str, wall_mm: float, level_mm: float, ground: Ground, up: bool) -> None:
    """The maker's mark on one side of the ring."""
    spot = (-0.30 * wall_mm, level_mm)
    axis.plot(*spot, marker="o", color=INK, ms=4.6, zorder=9)
    text = f"{'dot' if mark == 'dot' else 'word (TOP)'} {'up' if up else 'DOWN'}"
    _named(axis, text, spot, (spot[0], (1.62 if up else -0.62) * ground.high))


def draw_side(axis: Axes, ground: Ground, ring_high_mm: float, x: float, text: str) -> None:
    """The side clearance: two arrow heads at the slit above the ring, which lies on the bottom of its groove."""
    reach = 0.20 * ground.high
    for tail, tip in ((ground.high + reach, ground.high), (ring_high_mm - reach, ring_high_mm)):
        arrow(axis, (x, tail), (x, tip), zorder=9)
    words(axis, text, (x, ground.high + reach + 0.13 * ground.high))


def draw_back(axis: Axes, ground: Ground, wall_mm: float, level_mm: float, text: str) -> None:
    """The back clearance, from the root of the groove to the inside of the ring."""
    arrow(axis, (ground.root, level_mm), (-wall_mm, level_mm), both=True)
    _named(axis, text, ((ground.root - wall_mm) / 2, level_mm), (0.90 * ground.root, -0.22 * ground.high))


def draw_pack(axis: Axes, pack: OilPack, slack_mm: float) -> None:
    """A three-piece oil ring; rails that nothing presses out stand back from the wall by ``slack_mm``."""
    (left, right), (low, high) = axis.get_xlim(), axis.get_ylim()
    names = (
        ("expander", pack.expander, 0.50),
        ("lower rail", pack.lower_rail, 0.24),
        ("upper rail", pack.upper_rail, 0.76),
    )
    for name, piece, level in names:
        shape = piece - np.array([slack_mm, 0.0])
        draw_ring(axis, shape)
        inner = (float(shape[:, 0].min()) * 0.82 + float(shape[:, 0].max()) * 0.18, float(shape[:, 1].mean()))
        place = (left + 0.22 * (right - left), low + level * (high - low))
        axis.plot([place[0], inner[0]], [place[1], inner[1]], color=INK, lw=0.7, zorder=9)
        axis.plot(*inner, marker="o", ms=2.4, color=INK, zorder=9)
        words(axis, name, place)


def draw_joint(axis: Axes, overlapped: bool) -> None:
    """The expander laid flat where its ends meet: butting, or one over the other."""
    axis.set_axis_off()
    axis.set_xlim(-1, 1)
    axis.set_ylim(-0.5, 0.5)
    lap, lift = (0.30, 0.09) if overlapped else (-0.012, 0.0)
    for way in (-1.0, 1.0):
        x = np.linspace(0.98, -lap, 400)
        wave = 0.13 * np.sign(np.sin(2 * np.pi * x * 6)) + way * lift
        axis.plot(
            way * x, wave, color=INK if way < 0 else HATCH, lw=1.5, ls="-" if way < 0 else (0, (3, 0.8))
        )
        axis.plot(-way * lap, wave[-1], marker="o", ms=3.4, color=INK, zorder=5)


def words(axis: Axes, text: str, at: tuple[float, float], **look: Any) -> None:
    """Words on a white ground."""
    label(axis, text, at, **WORDS | look)


def _named(axis: Axes, text: str, at: tuple[float, float], place: tuple[float, float]) -> None:
    axis.plot([place[0], at[0]], [place[1], at[1]], color=INK, lw=0.7, zorder=9)
    words(axis, text, place)
