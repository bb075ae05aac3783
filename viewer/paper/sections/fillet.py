"""Chamfer against fillet: the close-up of one corner of the big end beside its crank cheek, to scale."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.fillets import SideFit, side_fit
from geometry.spec.engine import Engine
from geometry.units import System, show
from viewer.paper import page as paper

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def draw_fillets(
    right: Assembly, wrong: Assembly, bore: int, title: str, system: System, path: str | os.PathLike[str],
    assumed: str = "",
) -> Path:  # fmt: skip
    """Draw right and wrong side by side, rod pushed against the cheek, and write the sheet."""
    figure, axes = paper.two_panels(title, ("Right", "Wrong"))
    site = right.layout.site(bore)
    fits = [side_fit(assembly, site) for assembly in (right, wrong)]
    largest = max(fit.chamfer_mm for fit in fits)  # one frame for both, so that they compare
    for axis, fit in zip(axes, fits, strict=True):
        draw_corner(axis, right.design(bore), fit, largest, system)
    paper.foot(
        figure,
        "Section through the axis of the crankpin, to scale, the rod pushed against the cheek. "
        f"Simplified model: never replaces a physical check.{f' {assumed}.' if assumed else ''}",
    )
    return paper.write(figure, path)


def draw_corner(axis: Axes, spec: Engine, fit: SideFit, largest_mm: float, system: System) -> None:
    """One corner: cheek to the left, journal below, the rod with its chamfer and the shell above."""
    radius, leg = spec.crank.pin.fillet_mm, fit.chamfer_mm
    gap = (spec.rod.big_end.bore_mm - spec.crank.pin.diameter_mm) / 2
    wall, inset = spec.rod.bearing.wall_mm, (spec.rod.big_end.width_mm - spec.rod.bearing.width_mm) / 2
    wide, high = 2.2 * max(radius, gap) + largest_mm, 1.7 * max(radius, gap) + largest_mm
    back = 0.55 * wide
    _crank(axis, radius, wide, high, back)
    _rod(axis, gap, leg, wide, high)
    shell = np.array([[inset, gap - wall], [wide, gap - wall], [wide, gap], [inset, gap]])
    if inset < wide:
        axis.fill(*shell.T, facecolor=paper.SHELL, edgecolor=paper.INK, lw=1.1, hatch="xxx", zorder=3)
        paper.label(axis, "bearing shell", (0.5 * (inset + wide), gap - wall / 2), fontsize=8.5)
    _bite(axis, radius, gap, leg)
    _words(axis, fit, (radius, gap, leg), (wide, high, back), system)
    axis.set_xlim(-back, wide)
    axis.set_ylim(-0.55 * high, high)


def _crank(axis: Axes, radius: float, wide: float, high: float, back: float) -> None:
    """Cheek, journal and the fillet between them, as one piece of steel."""
    turn = np.radians(np.linspace(180.0, 270.0, 60))
    arc = np.column_stack([radius + radius * np.cos(turn), radius + radius * np.sin(turn)])
    outline = np.vstack(
        [[[-back, high], [0.0, high]], arc, [[wide, 0.0], [wide, -0.55 * high], [-back, -0.55 * high]]]
    )
    axis.fill(*outline.T, facecolor=paper.STEEL, edgecolor="none", zorder=1)
    axis.fill(*outline.T, facecolor="none", edgecolor=paper.LIGHT, hatch="//", lw=0.0, zorder=1.5)
    axis.plot(*np.vstack([[[0.0, high]], arc, [[wide, 0.0]]]).T, color=paper.INK, lw=1.6, zorder=4)


def _rod(axis: Axes, gap: float, leg: float, wide: float, high: float) -> None:
    """The big end with its 45 degree chamfer, face on the cheek."""
    outline = np.array([[0.0, high], [0.0, gap + leg], [leg, gap], [wide, gap], [wide, high]])
    axis.fill(*outline.T, facecolor=paper.OTHER, edgecolor="none", zorder=2)
    axis.fill(*outline.T, facecolor="none", edgecolor=paper.LIGHT, hatch="\\\\", lw=0.0, zorder=2.2)
    axis.plot(*outline[:4].T, color=paper.INK, lw=1.6, zorder=4)


def _bite(axis: Axes, radius: float, gap: float, leg: float) -> None:
    """What rod and fillet would share, filled in: the rod's corner outside the arc's circle."""
    side = np.linspace(0.0, radius, 220)
    x, y = np.meshgrid(side, side)
    in_rod = (y >= gap) & (x + y >= gap + leg)
    in_steel = (x - radius) ** 2 + (y - radius) ** 2 >= radius**2
    both = np.where(in_rod & in_steel, 1.0, 0.0)
    if both.sum() > 3:
        axis.contourf(x, y, both, levels=[0.5, 1.5], colors=[paper.BITE], zorder=5)


def _words(
    axis: Axes,
    fit: SideFit,
    sizes: tuple[float, float, float],
    frame: tuple[float, float, float],
    system: System,
) -> None:
    radius, gap, leg = sizes
    wide, high, back = frame

    def text(value: float) -> str:
        return show(value, "length", system, fine=True)

    paper.label(axis, "crank cheek", (-0.5 * back, 0.75 * high))
    paper.label(axis, "crankpin", (0.55 * wide, -0.3 * high))
    paper.label(axis, "big end of the rod", (0.62 * wide, 0.62 * high + 0.38 * gap))
    knee = (radius * (1 - np.cos(np.pi / 4)), radius * (1 - np.sin(np.pi / 4)))
    paper.label(axis, f"fillet R {text(radius)}", knee, (-0.5 * back, -0.35 * high))
    middle = (0.5 * leg, gap + 0.5 * leg)
    paper.label(axis, f"chamfer {text(leg)} x 45°", middle, (0.5 * wide, 0.93 * high))
    corner = (fit.rod.axial_mm, fit.rod.radial_mm)
    depth = fit.rod.clearance_mm
    if depth < -1e-6:
        centre = np.array([radius, radius])
        way = (np.array(corner) - centre) / np.hypot(*(np.array(corner) - centre))
        wall = centre + radius * way
        paper.arrow(axis, (float(wall[0]), float(wall[1])), corner, both=True)
        paper.label(
            axis, f"{text(-depth)} into the fillet", corner, (-0.5 * back, 0.42 * high), weight="bold",
            color=paper.BITE,
        )  # fmt: skip
    else:
        said = f"clear by {text(depth)}" if depth > 1e-6 else "just clears"
        paper.label(axis, said, middle, (-0.5 * back, 0.42 * high), weight="bold")
