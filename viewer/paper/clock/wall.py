"""What every clock sheet shares: the page, its words at head and foot, and a face with its labels on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from geometry.assembly import Assembly
from geometry.rings.schemes import RINGS_TURN_NOTE, ROLE_WORDS
from geometry.units import System
from viewer.cautions import SHORT
from viewer.paper.clock import face, legend
from viewer.paper.clock.face import Words
from viewer.paper.clock.plans import ClockPlan, plans_of
from viewer.paper.lettering import line_in, wrapped, write
from viewer.paper.page import HATCH, INK, LIGHT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PAGES_IN: Final = {"A5": (5.83, 8.27), "A4": (8.27, 11.69), "A3": (11.69, 16.54), "A2": (16.54, 23.39)}
MARGIN_IN: Final = 0.32
"""Printers leave about a quarter of an inch blank."""
TITLE_PT, HEAD_PT, FOOT_PT = 15.0, 7.6, 6.4


@dataclass(frozen=True, slots=True)
class Content:
    """What a sheet says.

    Attributes
    ----------
    plans : one face each
    system : units of every length
    assumed : how many values of the engine are assumed, in words; empty where none is
    title, head : at the top
    foot : paragraphs at the bottom, under the legend
    """

    plans: list[ClockPlan]
    system: System
    assumed: str
    title: str
    head: str
    foot: list[str]

    @property
    def legend(self) -> list[legend.Entry]:
        """What needs explaining on it."""
        return legend.entries([plan.clock for plan in self.plans], any(plan.moved for plan in self.plans))


def content_of(
    assembly: Assembly, bore: int | None, record: str, assumed: str, system: System | None
) -> Content:
    """All words of a sheet."""
    plans = plans_of(assembly, bore)
    return Content(
        plans=plans,
        system=system or assembly.spec.engine.units or "mm",
        assumed=assumed,
        title=f"{assembly.spec.engine.name}: ring clock",
        head=_head_words(plans, record),
        foot=[*([f"{assumed}."] if assumed else []), *_foot_words(plans)],
    )


def blank(size_in: tuple[float, float]) -> tuple[Figure, Axes]:
    """An empty page, and an axis over all of it that counts in inches."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=size_in, dpi=150)
    page = figure.add_axes((0, 0, 1, 1))
    page.set_axis_off()
    page.set_xlim(0, size_in[0])
    page.set_ylim(0, size_in[1])
    return figure, page


def draw_plan(
    figure: Figure, plan: ClockPlan, words: Words, place_in: tuple[float, float], wide_in: float, scale: float
) -> float:
    """Draw a face with its labels; ``place_in`` is the upper left corner. Returns the level under it, inches."""
    unit = face.UNIT_IN * scale
    low, high = face.extent(plan.clock, words, unit)
    page_wide, page_high = figure.get_size_inches()
    left, top = place_in
    tall = (high - low) * unit
    axis = figure.add_axes(
        (left / page_wide, (top - tall) / page_high, wide_in / page_wide, tall / page_high)
    )
    axis.set_xlim(-wide_in / 2 / unit, wide_in / 2 / unit)
    axis.set_ylim(low, high)
    face.draw_face(axis, plan, words, scale)
    return top - tall


def _head_words(plans: Sequence[ClockPlan], record: str) -> str:
    state = f"As found in {record}; as planned where nothing is recorded." if record else "As planned."
    seen = "Each piston seen from above its own crown, front of the engine up; angles run clockwise from the front."
    shared = (
        [] if all(len(plan.sites) == 1 for plan in plans) else ["One face for all bores that share a plan."]
    )
    return " ".join([state, seen, *shared])


def head_in(content: Content, wide_in: float, print_size: float) -> float:
    """Height of title and head, inches."""
    lines = len(wrapped(content.head, HEAD_PT * print_size, wide_in - 2 * MARGIN_IN))
    return MARGIN_IN + line_in(TITLE_PT * print_size) + 0.1 + lines * line_in(HEAD_PT * print_size)


def draw_head(figure: Figure, content: Content, print_size: float) -> None:
    """Title and head at the top of the page."""
    wide, high = figure.get_size_inches()
    top, title_pt, head_pt = high - MARGIN_IN, TITLE_PT * print_size, HEAD_PT * print_size
    write(figure, MARGIN_IN, top, content.title, title_pt, weight="bold", color=INK)
    top -= line_in(title_pt)
    for line in wrapped(content.head, head_pt, wide - 2 * MARGIN_IN):
        write(figure, MARGIN_IN, top, line, head_pt, color=HATCH)
        top -= line_in(head_pt)


def _foot_words(plans: Sequence[ClockPlan]) -> list[str]:
    scheme = plans[0].clock.scheme
    sources: dict[str, list[str]] = {}
    for plan in plans:
        for role in plan.clock.angles_deg:
            for fit in plan.fits_of(role)[:1]:
                of = sources.setdefault(fit.verdict.target.source.text, [])
                of += [ROLE_WORDS[role]] if ROLE_WORDS[role] not in of else []
    return [
        f"Scheme “{scheme.key}”: {scheme.words} Source: {scheme.source}.",
        "Limits of gaps: " + "; ".join(f"{' and '.join(of)}: {text}" for text, of in sources.items()) + ".",
        f"Rings can turn in service. {RINGS_TURN_NOTE}",
        SHORT,
    ]


def foot_in(content: Content, wide_in: float, print_size: float) -> float:
    """Height of legend and foot, inches."""
    room, size = wide_in - 2 * MARGIN_IN, FOOT_PT * print_size
    lines = sum(len(wrapped(text, size, room)) for text in content.foot)
    return MARGIN_IN + lines * line_in(size) + legend.height_in(content.legend, room, size) + 0.2


def draw_foot(figure: Figure, page: Axes, content: Content, high_in: float, print_size: float) -> None:
    """Legend and foot at the bottom of the page."""
    room, size = float(figure.get_size_inches()[0]) - 2 * MARGIN_IN, FOOT_PT * print_size
    top = high_in - 0.08
    page.plot([MARGIN_IN, MARGIN_IN + room], [top + 0.06] * 2, color=LIGHT, lw=0.6)
    legend.draw_legend(figure, page, content.legend, MARGIN_IN, top, room, size)
    top -= legend.height_in(content.legend, room, size) + 0.04
    for text in content.foot:
        for line in wrapped(text, size, room):
            write(figure, MARGIN_IN, top, line, size, color=HATCH)
            top -= line_in(size)
