"""In which order main caps and heads are tightened: each bolt with its number, seen as the builder stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, Literal

import numpy as np

from geometry.checks.bolt_order import OrderStage, TighteningOrder, tightening_orders
from geometry.units import System, show
from viewer.looks import LOOKS
from viewer.paper import page as paper
from viewer.paper.lettering import FAMILY, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from geometry.assembly import Assembly

WIDE_IN, HIGH_IN = 7.4, 9.6
TITLE_PT, TEXT_PT = 14.0, 10.0
ACCENT: Final = LOOKS["mark"].colour
AROUND: Final = {"main": 0.16, "head": 0.28}
"""Radius of a bolt on paper by the distance to its nearest neighbour; its number stands in it."""
SEEN: Final = {
    "main": "Seen from below, the engine upside down, its front up: its right side is on your left.",
    "head": "Seen from above, along the bores, the engine's front up.",
}
TITLES: Final = {"main": "main caps", "head": "head bolts"}


def draw_order(assembly: Assembly, which: Literal["main", "head"], system: System) -> Figure | None:
    """A matplotlib figure of the order of the main caps or of every head, with its stages; None without head bolts."""
    from matplotlib.figure import Figure

    orders = tightening_orders(assembly, which)
    if not orders:
        return None
    figure = Figure(figsize=(WIDE_IN, HIGH_IN), dpi=paper.DPI)
    head = f"{assembly.spec.engine.name}: order of tightening, {TITLES[which]}"
    said = [SEEN[which], *stage_lines(orders[0], system), *_sources(orders[0])]
    lines = [line for text in said for line in wrapped(text, TEXT_PT, WIDE_IN - 0.8)]
    foot = 0.35 + len(lines) * TEXT_PT * 1.5 / 72
    look: dict[str, Any] = {"family": FAMILY, "color": paper.INK}
    figure.text(0.4 / WIDE_IN, 1 - 0.35 / HIGH_IN, head, fontsize=TITLE_PT, weight="bold", va="top", **look)
    figure.text(
        0.4 / WIDE_IN,
        (foot - 0.1) / HIGH_IN,
        "\n".join(lines),
        fontsize=TEXT_PT,
        va="top",
        linespacing=1.45,
        **look,
    )
    room = (1.0 - 0.8 / WIDE_IN) / len(orders)
    for place, order in enumerate(orders):
        area = (0.4 / WIDE_IN + place * room, (foot + 0.1) / HIGH_IN, room, 1.0 - (foot + 0.9) / HIGH_IN)
        order_on(figure.add_axes(area), assembly, order)
    return figure


def stage_lines(order: TighteningOrder, system: System) -> list[str]:
    """The stages in words, a line each."""
    if not order.stages:
        return ["To the torque and in the stages of the maker: the engine file gives none."]
    return [
        f"Stage {number}: all bolts in this order {_to(stage, system)}."
        for number, stage in enumerate(order.stages, start=1)
    ]


def _to(stage: OrderStage, system: System) -> str:
    if stage.torque_nm is not None:
        return f"to {show(stage.torque_nm, 'torque', system)}"
    return f"{show(stage.angle_deg or 0.0, 'angle', system, 0)} further"


def _sources(order: TighteningOrder) -> list[str]:
    said = [f"Order: {order.source}."]
    if order.stages:
        said.append(f"Stages: {order.stages_source}.")
    if order.positions_assumed:
        said.append("Places of the bolts: drawn by the bores, not by the file; count them on the head.")
    return said


def order_on(axes: Axes, assembly: Assembly, order: TighteningOrder) -> None:
    """Draw one order on axes of its own: what is tightened, every bolt with when it comes, the front at the top."""
    axes.set_aspect("equal")
    axes.set_axis_off()
    hand = -1.0 if order.which == "main" else 1.0
    at = {bolt.number: (hand * bolt.y_mm, -bolt.x_mm) for bolt in order.bolts}
    points = np.array(list(at.values()))
    radius = AROUND[order.which] * _apart(points)
    if order.which == "main":
        _caps(axes, assembly, order)
    else:
        _bores(axes, assembly, order, points, radius)
    for rank, bolt in order.ranked:
        _bolt(axes, at[bolt.number], radius, rank)
    _ends(axes, order, points, radius)


def _apart(points: np.ndarray[Any, Any]) -> float:
    """How far the nearest two stand apart."""
    apart = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    return float(apart[apart > 1e-6].min())


def _bolt(axes: Axes, at: tuple[float, float], radius: float, rank: int) -> None:
    from matplotlib.patches import Circle

    first = rank == 1
    face = ACCENT if first else "white"
    axes.add_patch(Circle(at, radius, facecolor=face, edgecolor=paper.INK, lw=1.2, zorder=3))
    axes.text(
        *at, str(rank), fontsize=13, weight="bold", ha="center", va="center_baseline", family=FAMILY, zorder=4,
        color="white" if first else paper.INK,
    )  # fmt: skip


def _caps(axes: Axes, assembly: Assembly, order: TighteningOrder) -> None:
    from matplotlib.patches import Rectangle

    cap = assembly.spec.block.main_cap
    for number, x in enumerate(assembly.layout.main_x_mm, start=1):
        corner = (-cap.width_mm / 2, -x - cap.thickness_mm / 2)
        axes.add_patch(
            Rectangle(
                corner, cap.width_mm, cap.thickness_mm, fc=paper.OTHER, ec=paper.HATCH, lw=1.0, zorder=1
            )
        )
        axes.text(0.0, -x, f"cap {number}", fontsize=TEXT_PT, ha="center", va="center", family=FAMILY, color=paper.INK,
                  bbox={"fc": paper.OTHER, "ec": "none", "pad": 1.0}, zorder=3)  # fmt: skip


def _bores(
    axes: Axes, assembly: Assembly, order: TighteningOrder, points: np.ndarray[Any, Any], radius: float
) -> None:
    from matplotlib.patches import Circle, Rectangle

    low, high = points.min(axis=0) - 1.6 * radius, points.max(axis=0) + 1.6 * radius
    axes.add_patch(Rectangle(tuple(low), *(high - low), fc=paper.OTHER, ec=paper.HATCH, lw=1.0, zorder=1))
    for site in assembly.layout.bores:
        if site.bank != order.bank:
            continue
        bore = assembly.design(site.bore).block.bore.diameter_mm
        axes.add_patch(Circle((0.0, -site.x_mm), bore / 2, fc="white", ec=paper.LIGHT, lw=1.0, zorder=1))
        axes.text(0.0, -site.x_mm, f"bore {site.bore}", fontsize=TEXT_PT, ha="center", va="center", family=FAMILY,
                  color=paper.HATCH, bbox={"fc": "white", "ec": "none", "pad": 1.0}, zorder=2.5)  # fmt: skip


def _ends(axes: Axes, order: TighteningOrder, points: np.ndarray[Any, Any], radius: float) -> None:
    """Which way the front is, and which side is which."""
    low, high = points.min(axis=0), points.max(axis=0)
    over = high[1] + 2.2 * radius
    paper.arrow(axes, (0.0, over), (0.0, over + 2.4 * radius), lw=2.0, size=1.4)
    look: dict[str, Any] = {"family": FAMILY, "color": paper.INK, "ha": "center"}
    axes.text(0.0, over + 2.8 * radius, "FRONT", fontsize=11, weight="bold", va="bottom", **look)
    left, right = ("right", "left") if order.which == "main" else ("left", "right")
    bank = "" if order.bank in (None, "line") else f"{order.bank} bank"
    under = low[1] - 2.4 * radius
    for x, side in ((low[0], left), (high[0], right)):
        axes.text(x, under, side, fontsize=TEXT_PT, va="top", **look)
    if bank:
        axes.text(0.0, under - 2.4 * radius, bank, fontsize=11, weight="bold", va="top", **look)
    axes.set_xlim(low[0] - 3 * radius, high[0] + 3 * radius)
    axes.set_ylim(under - 5 * radius, over + 5 * radius)
