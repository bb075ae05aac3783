"""The order and the stages in which bolts are tightened, as picture and as rows to tick off."""

from __future__ import annotations

from io import StringIO
from typing import TYPE_CHECKING, Any, Final

from geometry.checks.bolt_order import TighteningOrder, Which, tightening_orders
from viewer.paper import page as paper
from viewer.paper.lettering import FAMILY
from viewer.paper.order import stage_lines
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import Block, Paragraph, SheetCell, SheetColumn, SheetTable, VectorPicture
from viewer.sheet.wording import say

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDE_MM: Final = 178.0
ENDS_MM: Final = 24.0
"""Kept free at either end, for the front's arrow and the words."""
BOLT_MM: Final = 4.4
ROW_MM: Final = 11.0
"""From the middle to a row of the main caps' bolts; their true spacing is no matter here."""
MOST_SCALE: Final = 0.6
RANK_PT, NAME_PT = 11.0, 9.0
INCH_MM: Final = 25.4
HAND: Final[dict[Which, float]] = {"main": -1.0, "head": 1.0}
"""Which way the engine's right lies on paper, front at the left: down seen from below, up seen from above."""


def tightening(asked: SheetAsked, which: Which) -> tuple[Block, ...]:
    """One picture for the main caps or for each head, and the stages; nothing without such bolts."""
    orders = tightening_orders(asked.job.assembly, which)
    blocks: list[Block] = [_picture(asked, order) for order in orders]
    return (*blocks, *_stages(asked, orders[0])) if orders else ()


def _stages(asked: SheetAsked, order: TighteningOrder) -> tuple[Block, ...]:
    """A square to tick for each stage, and who says order and stages."""
    columns = (SheetColumn("", 8), SheetColumn("", 2), SheetColumn("", 3))
    rows = tuple(
        (SheetCell(line, strong=bool(order.stages)), SheetCell(say("order", "done"), "tick"), SheetCell("", "box"))
        for line in stage_lines(order, asked.system)
    )  # fmt: skip
    said = [say("order", "source", source=order.source)]
    if order.stages:
        said.append(say("order", "stages", source=order.stages_source))
    if order.positions_assumed:
        said.append(say("order", "positions"))
    return (SheetTable(columns, rows, 7.0, say("order", "to")), Paragraph(" ".join(said), "small"))


def _picture(asked: SheetAsked, order: TighteningOrder) -> VectorPicture:
    """The bolts with the front at the left, each with when it comes."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    along = [bolt.x_mm for bolt in order.bolts]
    span = max(max(along) - min(along), 1.0)
    scale = min((WIDE_MM - 2 * ENDS_MM) / span, MOST_SCALE)
    left = (WIDE_MM - scale * span) / 2 - scale * min(along)
    across = ROW_MM if order.which == "main" else scale * max(abs(bolt.y_mm) for bolt in order.bolts)
    high = 2 * (across + BOLT_MM + 2.0)
    figure = Figure(figsize=(WIDE_MM / INCH_MM, high / INCH_MM), facecolor="none")
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, WIDE_MM)
    axes.set_ylim(-high / 2, high / 2)
    _metal(axes, asked, order, left, scale, across)
    for rank, bolt in order.ranked:
        y = (
            ROW_MM * (bolt.y_mm > 0) - ROW_MM * (bolt.y_mm < 0)
            if order.which == "main"
            else scale * bolt.y_mm
        )
        _bolt(axes, left + scale * bolt.x_mm, HAND[order.which] * y, rank)
    _words(axes, order, across)
    drawn = StringIO()
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "sheet"}):
        figure.savefig(drawn, format="svg", metadata={"Date": None})
    bank = say("order", f"bank_{order.bank}") if order.bank in ("left", "right") else ""
    said = say("order", "caption", what=say("order", order.which), bank=bank)
    words = "; ".join(f"{rank}: {bolt.words}" for rank, bolt in order.ranked)
    return VectorPicture(drawn.getvalue(), WIDE_MM, f"{said}. {words}.", said)


def _metal(
    axes: Axes, asked: SheetAsked, order: TighteningOrder, left: float, scale: float, across: float
) -> None:
    """What is held down: main caps by number, or the head over its bores."""
    from matplotlib.patches import Circle, Rectangle

    look: dict[str, Any] = {
        "fontsize": NAME_PT,
        "family": FAMILY,
        "color": paper.INK,
        "ha": "center",
        "va": "center",
    }
    assembly = asked.job.assembly
    if order.which == "main":
        half, tall = 7.5, across + BOLT_MM + 1.5
        for number, x in enumerate(assembly.layout.main_x_mm, start=1):
            at = left + scale * float(x)
            axes.add_patch(
                Rectangle((at - half, -tall), 2 * half, 2 * tall, fc=paper.OTHER, ec=paper.HATCH, lw=0.8)
            )
            axes.text(at, 0.0, say("order", "cap", number=number), **look)
        return
    ends = [left + scale * bolt.x_mm for bolt in order.bolts]
    edge = BOLT_MM + 1.5
    low, wide = min(ends) - edge, max(ends) - min(ends) + 2 * edge
    axes.add_patch(
        Rectangle((low, -across - edge), wide, 2 * (across + edge), fc=paper.OTHER, ec=paper.HATCH, lw=0.8)
    )
    for site in assembly.layout.bores:
        if site.bank == order.bank:
            middle = left + scale * site.x_mm, 0.0
            bore_mm = assembly.design(site.bore).block.bore.diameter_mm
            axes.add_patch(Circle(middle, scale * bore_mm / 2, fc="white", ec=paper.LIGHT, lw=0.8))
            axes.text(*middle, say("order", "bore", bore=site.bore), **look)


def _bolt(axes: Axes, x: float, y: float, rank: int) -> None:
    from matplotlib.patches import Circle

    axes.add_patch(Circle((x, y), BOLT_MM, fc="white", ec=paper.INK, lw=2.0 if rank == 1 else 1.0, zorder=3))
    axes.text(
        x, y, str(rank), fontsize=RANK_PT, weight="bold", family=FAMILY, color=paper.INK, ha="center",
        va="center_baseline", zorder=4,
    )  # fmt: skip


def _words(axes: Axes, order: TighteningOrder, across: float) -> None:
    """The front at the left, and which side is which."""
    paper.arrow(axes, (15.0, 0.0), (3.0, 0.0), lw=1.6, size=1.2)
    look: dict[str, Any] = {"family": FAMILY, "color": paper.INK, "va": "center"}
    axes.text(
        9.0,
        2.0,
        say("order", "front"),
        fontsize=NAME_PT,
        weight="bold",
        **{**look, "va": "bottom", "ha": "center"},
    )
    up, down = ("right", "left") if HAND[order.which] > 0 else ("left", "right")
    for side, y in ((up, across), (down, -across)):
        axes.text(WIDE_MM - 1.0, y, say("order", f"side_{side}"), fontsize=NAME_PT, ha="right", **look)
