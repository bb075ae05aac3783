"""Pushing a piston in: bore, rod with its open end, and the crankpin at a safe and at an unsafe crank angle."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geometry.assembly import Assembly
from geometry.kinematics.layout import BoreSite
from geometry.mistakes.rods.push import OpenEnd, greatest_lean_rad, open_end, push_in
from geometry.mistakes.rods.rod_pushed_down import range_words
from geometry.spec.engine import Engine
from geometry.units import System, show
from viewer.paper import page as paper

if TYPE_CHECKING:
    from matplotlib.axes import Axes

UNSAFE_SHARE = 0.6
"""Where between top dead centre and the first safe angle the wrong position is drawn."""


def draw_push(
    assembly: Assembly, bore: int, title: str, system: System, path: str | os.PathLike[str], assumed: str = ""
) -> Path:
    """Draw bottom and top dead centre side by side, crown flush with the deck, and write the sheet."""
    site = assembly.layout.site(bore)
    found = push_in(assembly, site)
    bad = UNSAFE_SHARE * (found.safe_after_top_deg[0][0] if found.safe_after_top_deg else 90.0)
    heads = ("Right: bottom dead centre", f"Wrong: crankpin {bad:.0f}° after top dead centre")
    figure, axes = paper.two_panels(title, heads)
    for axis, phi in zip(axes, (180.0, bad), strict=True):
        _panel(axis, assembly, site, phi)
    clear = show(found.at_bottom_mm, "length", system, fine=True)
    paper.caption(axes[0], f"{clear} clear of the crankpin{', as assumed' if assumed else ''}")
    paper.caption(axes[1], "the open end strikes the crankpin", color=paper.BITE, weight="bold")
    paper.foot(
        figure,
        f"Bore {bore}, seen along the crank, to scale; dotted: how far the rod may lean. Safe: "
        f"{range_words(found.safe_after_top_deg)} after top dead centre. Simplified model: never replaces a "
        f"physical check.{f' {assumed}.' if assumed else ''}",
    )
    return paper.write(figure, path)


def _panel(axis: Axes, assembly: Assembly, site: BoreSite, phi_deg: float) -> None:
    spec = assembly.design(site.bore)
    deck, flush = spec.block.deck_height_mm, spec.block.deck_height_mm - spec.piston.compression_height_mm
    half, wall = spec.block.bore.diameter_mm / 2, 2.5 * spec.block.bore.wall_mm
    bottom = deck - spec.block.bore.length_mm
    for side in (-1.0, 1.0):
        corners = np.array([[half, deck], [half + wall, deck], [half + wall, bottom], [half, bottom]]) * [
            side,
            1.0,
        ]
        axis.fill(*corners.T, facecolor=paper.STEEL, edgecolor=paper.INK, hatch="//", lw=1.2)
    _piston(axis, spec, flush)
    end = open_end(spec)
    lean = float(greatest_lean_rad(spec, np.array([flush]))[0])
    for share in (-1.0, 1.0):
        _rod(axis, assembly, site, end, flush, share * lean, ":")
    _rod(axis, assembly, site, end, flush, 0.0, "-")
    throw, radius = spec.crank.stroke_mm / 2, spec.crank.pin.diameter_mm / 2
    phi = np.radians(phi_deg)
    pin = (-throw * np.sin(phi), throw * np.cos(phi))
    around = np.radians(np.linspace(0.0, 360.0, 181))
    axis.plot(throw * np.cos(around), throw * np.sin(around), color=paper.LIGHT, ls="--", lw=0.9)
    look = paper.BITE if phi_deg < 180.0 else paper.SHELL
    axis.fill(pin[0] + radius * np.cos(around), pin[1] + radius * np.sin(around), facecolor=look, edgecolor=paper.INK,
              lw=1.6, alpha=0.75, zorder=5)  # fmt: skip
    axis.plot(0.0, 0.0, marker="+", ms=12, color=paper.INK)
    paper.label(axis, "crankpin", pin, zorder=9)
    paper.label(axis, "bore", (half + wall / 2, 0.5 * (deck + bottom)), rotation=90)
    axis.set_xlim(-half - 2.2 * wall, half + 2.2 * wall)
    axis.set_ylim(-throw - radius - 6.0, deck + 6.0)


def _piston(axis: Axes, spec: Engine, height: float) -> None:
    half = spec.block.bore.diameter_mm / 2 - 0.6
    top, low = height + spec.piston.compression_height_mm, height - spec.piston.skirt.bottom_mm
    thick = spec.piston.skirt.thickness_mm
    under = top - spec.piston.grooves[-1].from_crown_mm - spec.piston.grooves[-1].height_mm
    outline = [
        [-half, top], [half, top], [half, low], [half - thick, low], [half - thick, under], [-half + thick, under],
        [-half + thick, low], [-half, low],
    ]  # fmt: skip
    axis.fill(*np.array(outline).T, facecolor=paper.OTHER, edgecolor=paper.INK, lw=1.2, zorder=2)
    paper.label(axis, "crown flush with deck", (0.0, 0.5 * (top + under)), fontsize=8.0)


def _rod(
    axis: Axes, assembly: Assembly, site: BoreSite, end: OpenEnd, height: float, lean: float, style: str
) -> None:
    """The rod hanging from its pin: blade, half ring, legs, bolts."""
    spec = assembly.design(site.bore)
    length = spec.rod.length_mm
    turn = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])

    def placed(points: Any) -> Any:
        return (np.asarray(points) - [0.0, length]) @ turn.T + [site.offset_mm, height]

    arc = np.radians(np.linspace(0.0, 180.0, 61))
    outer = np.column_stack([end.outer_mm * np.cos(arc), end.outer_mm * np.sin(arc)])
    inner = np.column_stack([end.inner_mm * np.cos(arc[::-1]), end.inner_mm * np.sin(arc[::-1])])
    low, high = spec.rod.beam.width_big_mm / 2, spec.rod.beam.width_small_mm / 2
    small = np.radians(np.linspace(0.0, 360.0, 91))
    shapes = [
        np.vstack([outer, inner]),
        np.array([[-low, end.outer_mm * 0.9], [low, end.outer_mm * 0.9], [high, length], [-high, length]]),
        np.column_stack([np.cos(small), np.sin(small)]) * spec.rod.small_end.outside_mm / 2 + [0.0, length],
    ]
    shapes += [np.array([[y0, z0], [y1, z0], [y1, z1], [y0, z1]]) for y0, y1, z0, z1 in end.boxes_mm]
    for shape in shapes:
        points = placed(shape)
        if style == "-":
            axis.fill(*points.T, facecolor=paper.STEEL, edgecolor=paper.INK, lw=1.0, zorder=4, alpha=0.95)
        else:
            axis.plot(*np.vstack([points, points[:1]]).T, color=paper.HATCH, ls=style, lw=0.8, zorder=3)
