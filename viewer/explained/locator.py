"""Where in the engine this is: the engine from above and from the front, in a few lines, and a spot."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from geometry.kinematics.poses import transform
from geometry.kinematics.slider_crank import bore_frames
from viewer.explained.case import MistakeCase
from viewer.explained.pen import ACCENT, FAINT, INK, PAPER
from viewer.paper import lettering

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from geometry.arrays import Array

WORDS_PT = 6.6


def locate(axis: Axes, case: MistakeCase) -> None:
    """Plan to the left (front at the left edge, the engine's right side up), front view to the right."""
    frames = bore_frames(case.right.layout.linkage)
    spec = case.right.spec
    deck, radius = spec.block.deck_height_mm, spec.block.bore.diameter_mm / 2
    heads = np.array([transform(X_EB, [0.0, 0.0, deck]) for X_EB in frames])
    wide = float(np.abs(heads[:, 1]).max()) + radius
    _plan(axis, case, heads, radius, wide)
    gap = case.right.layout.length_mm + 1.1 * wide + 1.5 * radius
    _front(axis, case, frames, deck, radius, gap)
    axis.set_aspect("equal")
    axis.set_axis_off()
    axis.margins(0.04)


def _plan(axis: Axes, case: MistakeCase, heads: Array, radius: float, wide: float) -> None:
    layout = case.right.layout
    length, middle = layout.length_mm, 0.0
    axis.plot([0.0, length], [middle, middle], color=FAINT, lw=1.0, zorder=1)
    for x_mm in layout.main_x_mm:
        axis.plot([x_mm, x_mm], [-0.25 * radius, 0.25 * radius], color=FAINT, lw=1.0, zorder=1)
    for site, (x, y, _) in zip(layout.bores, heads, strict=True):
        here = site.bore in case.bores
        _disc(axis, (x, y), radius, ACCENT if here else PAPER)
        _word(axis, (x, y), str(site.bore), PAPER if here else FAINT, here)
    if case.bore is None:
        _disc(axis, (layout.main_x_mm[case.place - 1], middle), 0.4 * radius, ACCENT)
    tip = -0.5 * radius
    axis.annotate(
        "", xy=(tip - 0.9 * radius, middle), xytext=(tip, middle),
        arrowprops={"arrowstyle": "-|>", "color": INK, "lw": 1.0, "mutation_scale": 7.0},
    )  # fmt: skip
    axis.text(
        tip - 1.0 * radius, middle, "FRONT", fontsize=WORDS_PT, family=lettering.FAMILY, ha="right", va="center",
        color=INK,
    )  # fmt: skip
    axis.plot([tip - 4.5 * radius], [middle], alpha=0.0)  # room for the word


def _front(axis: Axes, case: MistakeCase, frames: Array, deck: float, radius: float, x0: float) -> None:
    """From the front, looking rearward: the engine's right is at the left of the picture."""
    throw = case.right.spec.crank.stroke_mm / 2
    turn = np.linspace(0.0, 2 * np.pi, 73)
    axis.plot(x0 + throw * np.cos(turn), throw * np.sin(turn), color=FAINT, lw=1.0)
    bottom = deck - case.right.spec.block.bore.length_mm
    for X_EB in frames:
        for side in (-radius, radius):
            ends = np.array([transform(X_EB, [0.0, side, z]) for z in (bottom, deck)])
            axis.plot(x0 - ends[:, 1], ends[:, 2], color=FAINT, lw=0.9)
        top = np.array([transform(X_EB, [0.0, side, deck]) for side in (-radius, radius)])
        axis.plot(x0 - top[:, 1], top[:, 2], color=FAINT, lw=0.9)
    at = case.study.spot.to_mm
    if case.bore is not None:
        _crank_and_rod(axis, case, x0)
    if at is not None:
        _disc(axis, (x0 - at[1], at[2]), 0.26 * radius, ACCENT)


def _crank_and_rod(axis: Axes, case: MistakeCase, x0: float) -> None:
    """Throw and rod of the bore as the picture has them: a spot at the big end is seen to be this rod's."""
    poses = case.wrong.frame_poses(case.study.spot.crank_deg)
    line = np.array(
        [[0.0, 0.0], *(transform(poses[f"{frame}{case.bore}"], np.zeros(3))[1:] for frame in "RP")]
    )
    axis.plot(x0 - line[:, 0], line[:, 1], color=INK, lw=1.1, zorder=2)


def _disc(axis: Axes, at: tuple[float, float], radius: float, colour: str) -> None:
    turn = np.linspace(0.0, 2 * np.pi, 49)
    axis.fill(
        at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn), fc=colour, ec=FAINT, lw=0.8, zorder=3
    )


def _word(axis: Axes, at: tuple[float, float], text: str, colour: str, bold: bool) -> None:
    axis.text(
        *at, text, fontsize=WORDS_PT, family=lettering.FAMILY, ha="center", va="center", color=colour, zorder=4,
        weight="bold" if bold else "normal",
    )  # fmt: skip
