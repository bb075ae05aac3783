"""What shakes an engine at a speed, as the path that the force draws, seen from the front."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.assembly import Assembly
from geometry.balance.phasors import Phasor, Vectors, couple_nm, force_n
from geometry.balance.shaking import SMOOTH, Shaking
from geometry.balance.words import MACHINE, shake_lines
from geometry.units import System, show
from viewer.paper.lettering import FAMILY
from viewer.paper.page import DPI, HATCH, INK, SIZE_IN, arrow, foot

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TURN_DEG: Final = np.arange(0.0, 361.0, 1.0)
MARKS_DEG: Final = (0, 90, 180, 270)
VALUES_DEG: Final = np.array([135.0, 115.0, 155.0])
"""Where the value of a ring may stand, clockwise from up."""
ACCENT: Final = "#1d6f7a"
"""The calm teal of what is picked out."""
RING: Final = "#c9ced4"
FIRST: Final[dict[str, Any]] = {"color": HATCH, "lw": 1.2, "ls": (0, (6, 2.5))}
SECOND: Final[dict[str, Any]] = {"color": HATCH, "lw": 1.2, "ls": (0, (1.4, 1.6))}
BOTH: Final[dict[str, Any]] = {"color": ACCENT, "lw": 2.4}
SIDE: Final = 1.62
"""From the middle of a panel to its sides, in its outer ring."""
TOP: Final = 1.4
PANEL_IN: Final = 5.6
SMALL: Final[dict[str, Any]] = {"fontsize": 8.5, "color": HATCH, "family": FAMILY}
MARK: Final[dict[str, Any]] = {
    "fontsize": 9.0, "color": INK, "family": FAMILY,
    "bbox": {"boxstyle": "round,pad=0.12", "fc": "white", "ec": "none", "alpha": 0.85},
}  # fmt: skip
NAME: Final[dict[str, Any]] = {"fontsize": 11.5, "color": INK, "family": FAMILY, "weight": "bold"}
UNIT: Final[dict[System, dict[str, float]]] = {
    "in": {"force": 4.4482216152605, "torque": 1.3558179483314}, "mm": {"force": 1.0, "torque": 1.0},
}  # fmt: skip
"""One lbf in N, one lbf ft in N m (exact by definition, NIST SP 811): rings stand at round numbers of these."""


@dataclass(frozen=True, slots=True)
class ShakePath:
    """What one panel shows: force, or couple, in its house unit.

    Attributes
    ----------
    title : over the panel
    first, second : of each order over ``TURN_DEG``, as ``geometry.balance`` has vectors
    one : what one piston pushes with in the first order, for scale; of a couple, at half the length of the crank
    dimension : ``force`` or ``torque``
    at : where that one piston stands, in words that follow
    """

    title: str
    first: Vectors
    second: Vectors
    one: float
    dimension: str
    at: str = " by itself"

    @property
    def both(self) -> Vectors:
        """Both orders together."""
        found: Vectors = self.first + self.second
        return found

    @property
    def peak(self) -> float:
        """The largest of both together."""
        return float(np.abs(self.both).max())


def shake_paths(left: Shaking, speed_rpm: float) -> tuple[ShakePath, ShakePath]:
    """Force and couple of an engine at a speed."""
    newton, newton_metre = force_n(1.0, speed_rpm), couple_nm(1.0, speed_rpm)

    def path(title: str, first: Phasor, second: Phasor, unit: float, one: float, *rest: str) -> ShakePath:
        return ShakePath(title, first.at(TURN_DEG) * unit, second.at(TURN_DEG) * unit, one * unit, *rest)

    one, arm = left.one_kg_mm, left.one_kg_mm * left.arm_mm
    first, second = left.first, left.second
    rocks = "Couple: how it pushes the rear end, the front the other way"
    return (
        path("Force on the engine", first.force, second.force, newton, one, "force"),
        path(rocks, first.couple, second.couple, newton_metre, arm, "torque", " at an end of the crank"),
    )


def draw_shaking(
    assembly: Assembly, left: Shaking, speed_rpm: float, system: System, rests_on: str = ""
) -> Figure:
    """A sheet of two panels: the force that shakes the engine, and the couple.

    Parameters
    ----------
    left : what is left with the crank balanced
    system : in whose units it is told
    rests_on : how many values of the engine are assumed, in words; empty where none is
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_IN, dpi=DPI)
    wide, high = SIZE_IN
    for number, path in enumerate(shake_paths(left, speed_rpm)):
        low_in = (wide / 2 - PANEL_IN) / 2 + number * wide / 2
        axis = figure.add_axes((low_in / wide, 0.45 / high, PANEL_IN / wide, PANEL_IN / high))
        shaking_panel(axis, path, assembly, system)
    speed = show(speed_rpm, "rotation", system)
    title = f"{assembly.spec.engine.name}: what shakes it at {speed}, seen from the front"
    figure.suptitle(title, fontsize=13, color=INK, y=0.97)
    told = "; ".join(shake_lines(left, speed_rpm, system))
    more = f"Crank balanced to its bob weights, couples about the middle of the crank; {MACHINE}."
    foot(figure, f"{told[:1].upper()}{told[1:]}. {more}" + (f" {rests_on}." if rests_on else ""))
    return figure


def shaking_panel(axis: Axes, path: ShakePath, assembly: Assembly, system: System) -> None:
    """One path on square axes, which may stand on any sheet: rings for scale, bores, sides, the crank's way."""
    ring = ring_of(path, system)
    axis.set_aspect("equal")
    axis.set_axis_off()
    axis.set_xlim(-SIDE * ring, SIDE * ring)
    axis.set_ylim((TOP - 2 * SIDE) * ring, TOP * ring)
    axis.text(-SIDE * ring, TOP * ring, path.title, ha="left", va="top", **NAME)
    _ground(axis, path, ring, system)
    _bores(axis, assembly, ring)
    _crank_way(axis, assembly.layout.sense, ring)
    _paths(axis, path, ring)
    _key(axis, path, ring, system)


def ring_of(path: ShakePath, system: System) -> float:
    """Radius of the outer ring: a round number, above all that is drawn; above one piston where there is little."""
    shown = max(float(np.abs(vectors).max()) for vectors in (path.both, path.first, path.second))
    unit = UNIT[system][path.dimension]
    least = (path.one if shown < SMOOTH * path.one else shown) / unit
    power = 10.0 ** math.floor(math.log10(max(least, 1e-9)))
    return unit * next(step * power for step in (1.0, 2.0, 4.0, 6.0, 10.0) if step * power >= least * 0.9999)


def _ground(axis: Axes, path: ShakePath, ring: float, system: System) -> None:
    """Rings with their values, up and down, and the engine's sides as they are seen from the front."""
    turn = np.radians(TURN_DEG)
    marks = path.both[list(MARKS_DEG)]
    for share in (0.5, 1.0):
        axis.plot(share * ring * np.sin(turn), share * ring * np.cos(turn), color=RING, lw=0.8, zorder=1)
        # where no marked angle stands: the words begin on the ring and go outward
        places = share * ring * np.exp(1j * np.radians(VALUES_DEG)) * 1.02
        far = np.abs(places[:, None] + 0.1j * ring - marks[None, :]).min(axis=1)
        at = places[int(far.argmax())]
        words = show(share * ring, path.dimension, system, 0)
        axis.text(at.imag, at.real, words, ha="left", va="top", zorder=2, **SMALL)
    axis.plot([-ring, ring], [0, 0], color=RING, lw=0.8, zorder=1)
    axis.plot([0, 0], [-ring, ring], color=RING, lw=0.8, zorder=1)
    # who stands in front of the engine and looks at it has its left side on the right hand
    axis.text(1.13 * ring, 0, "engine's\nleft side", ha="left", va="center", **SMALL)
    axis.text(-1.13 * ring, 0, "engine's\nright side", ha="right", va="center", **SMALL)
    axis.text(0, -1.03 * ring, "down", ha="center", va="top", **SMALL)


def _bores(axis: Axes, assembly: Assembly, ring: float) -> None:
    """A stroke outside the ring where the bores of each bank point."""
    banks = {round(site.bank_deg, 6): site.bank for site in assembly.layout.bores}
    for lean_deg, bank in banks.items():
        way = np.array([np.sin(np.radians(lean_deg)), np.cos(np.radians(lean_deg))])
        near, far = 1.02 * ring * way, 1.10 * ring * way
        axis.plot([near[0], far[0]], [near[1], far[1]], color=INK, lw=5.0, solid_capstyle="butt", zorder=3)
        words = "bores" if bank == "line" else f"{bank} bank"
        side = "center" if abs(lean_deg) < 5.0 else "left" if lean_deg > 0 else "right"
        level = 1.13 * way[1] if abs(lean_deg) < 80.0 else 0.14
        axis.text(1.13 * ring * way[0], level * ring, words, ha=side, va="bottom", **SMALL)
    if 0.0 not in banks:
        axis.text(0, 1.03 * ring, "up", ha="center", va="bottom", **SMALL)


def _crank_way(axis: Axes, sense: int, ring: float) -> None:
    """An arrow the way the crank turns, outside the ring at the lower left."""
    turn = np.radians(np.linspace(212.0, 240.0, 20))[:: 1 if sense > 0 else -1]
    xs, ys = 1.12 * ring * np.sin(turn), 1.12 * ring * np.cos(turn)
    axis.plot(xs, ys, color=INK, lw=1.0)
    arrow(axis, (xs[-2], ys[-2]), (xs[-1], ys[-1]))
    axis.text(-0.88 * ring, -0.82 * ring, "crank\nturns", ha="right", va="top", **SMALL)


def _paths(axis: Axes, path: ShakePath, ring: float) -> None:
    """Each order thin where both are there, the two together thick, with where they are at each quarter turn."""
    if path.peak < SMOOTH * ring:
        axis.plot([0], [0], marker="o", ms=6, color=ACCENT, zorder=6)
        axis.text(0, 0.07 * ring, "nothing left", ha="center", va="bottom", zorder=7, **MARK)
        return
    if all(np.abs(one).max() > SMOOTH * ring for one in (path.first, path.second)):
        axis.plot(path.first.imag, path.first.real, zorder=4, **FIRST)
        axis.plot(path.second.imag, path.second.real, zorder=4, **SECOND)
    axis.plot(path.both.imag, path.both.real, zorder=5, **BOTH)
    placed: dict[tuple[int, int], list[str]] = {}
    for degrees in MARKS_DEG:
        tip = path.both[degrees]
        axis.plot([tip.imag], [tip.real], marker="o", ms=6, color=ACCENT, zorder=6)
        near = (round(tip.imag / ring * 10), round(tip.real / ring * 10))
        placed.setdefault(near, []).append(f"{degrees}°")
    for (across, up), words in placed.items():
        x, y, left = across / 10 * ring, up / 10 * ring, across < 0
        if abs(across) > 7 and abs(up) < 2:  # there is no room beside it
            axis.text(x, y + 0.07 * ring, ", ".join(words), ha="center", va="bottom", zorder=7, **MARK)
            continue
        x += (-0.06 if left else 0.06) * ring
        axis.text(x, y, ", ".join(words), ha="right" if left else "left", va="center", zorder=7, **MARK)


def _key(axis: Axes, path: ShakePath, ring: float, system: System) -> None:
    """What each line is, with its peak; what one piston does, for scale."""
    rows: list[tuple[str, float, dict[str, Any] | None]] = [
        ("both together, at its peak", path.peak, BOTH),
        ("first order, once a turn", float(np.abs(path.first).max()), FIRST),
        ("second order, twice a turn", float(np.abs(path.second).max()), SECOND),
        (f"for scale: one piston{path.at}", path.one, None),
    ]
    for number, (words, peak, look) in enumerate(rows):
        level = (-1.24 - 0.12 * number) * ring
        if look is not None:
            axis.plot([-1.3 * ring, -1.08 * ring], [level, level], **look)
        axis.text(-1.0 * ring, level, words, ha="left", va="center", **SMALL)
        peak_text = show(peak, path.dimension, system, 0)
        axis.text(1.5 * ring, level, peak_text, ha="right", va="center", **SMALL)
    told = "marked: the crank, degrees after top dead centre of bore 1"
    axis.text(-1.0 * ring, (-1.24 - 0.12 * len(rows)) * ring, told, ha="left", va="center", **SMALL)
