"""The whole clock sheet of an engine, laid out as its banks lie, front at the top."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Any, Final

from geometry.assembly import Assembly
from geometry.layout import BoreSite
from geometry.rings.clocked import BoreClock, bore_clock
from geometry.rings.schemes import RINGS_TURN_NOTE, ROLE_WORDS
from viewer.cautions import SHORT
from viewer.clock.face import draw_face
from viewer.sections.paper import HATCH, INK

CELL_IN: Final = (4.15, 2.9)
HEAD_IN: Final = 0.95
FOOT_IN: Final = {1: 1.6, 2: 0.85}
"""Room for the scheme and its source, by columns: one column is narrow and its lines are many."""
WRAP: Final = 66


def clocks_of(assembly: Assembly, bore: int | None = None) -> list[tuple[BoreSite, BoreClock]]:
    """The clock of every bore, or of one, in the order of ``layout.bores``.

    Raises
    ------
    GeometryError : no such bore, or an unknown scheme
    """
    sites = assembly.layout.bores if bore is None else (assembly.layout.site(bore),)
    return [(site, bore_clock(assembly.spec, site, assembly.built.bore(site.bore))) for site in sites]


def cells(sites: Sequence[BoreSite]) -> tuple[int, int, dict[int, tuple[int, int]]]:
    """Rows, columns and the cell of each bore: banks side by side as seen from above, front at the top.

    One bank alone stands in one column up to three bores, else in two: the front half left, the rear half right.
    """
    banks = {site.bank for site in sites}
    if len(banks) == 2:
        column = {"left": 0, "right": 1}
        rows = max(site.place for site in sites) + 1
        return rows, 2, {site.bore: (site.place, column[site.bank]) for site in sites}
    ordered = sorted(sites, key=lambda site: site.x_mm)
    columns = 1 if len(ordered) <= 3 else 2
    rows = math.ceil(len(ordered) / columns)
    return rows, columns, {site.bore: (k % rows, k // rows) for k, site in enumerate(ordered)}


def draw_sheet(assembly: Assembly, bore: int | None = None) -> Any:
    """A matplotlib figure with one face per bore, its verdict in words, and the scheme with its source."""
    from matplotlib.figure import Figure

    found = clocks_of(assembly, bore)
    rows, columns, at = cells([site for site, _ in found])
    width, height = columns * CELL_IN[0], rows * CELL_IN[1] + HEAD_IN + FOOT_IN[columns]
    figure = Figure(figsize=(width, height), dpi=150)
    _head(figure, assembly, found, columns, height)
    for site, clock in found:
        row, column = at[site.bore]
        left, low = column / columns, (FOOT_IN[columns] + (rows - 1 - row) * CELL_IN[1]) / height
        axis = figure.add_axes((left, low + 0.40 / height, 1 / columns, (CELL_IN[1] - 0.62) / height))
        draw_face(axis, clock)
        middle = left + 0.5 / columns
        figure.text(
            middle, low + (CELL_IN[1] - 0.06) / height, _name(site), ha="center", va="top", fontsize=10,
            weight="bold", color=INK,
        )  # fmt: skip
        figure.text(
            middle, low + 0.38 / height, textwrap.fill(_verdict(clock), WRAP), ha="center", va="top", fontsize=7.4,
            color=INK,
        )  # fmt: skip
    _foot(figure, found[0][1], columns, height)
    return figure


def _name(site: BoreSite) -> str:
    bank = {"line": "", "left": ", left bank", "right": ", right bank"}[site.bank]
    return f"Bore {site.bore}{bank}"


def _verdict(clock: BoreClock) -> str:
    verdict = clock.verdict
    pair = " and ".join(ROLE_WORDS[role] for role in verdict.smallest_pair or ())
    closest = (
        f"Closest gaps {verdict.smallest_deg:.0f}° apart: {pair}. "
        if verdict.smallest_deg is not None
        else ""
    )
    if not verdict.findings:
        return f"{closest}Every rule kept."
    worst = verdict.findings[0]
    word = {"stop": "STOP", "look": "LOOK", "note": "Note"}[worst.severity]
    more = f" (+{len(verdict.findings) - 1} more)" if len(verdict.findings) > 1 else ""
    return f"{closest}{word}: {worst.text}{more}"


def _head(
    figure: Any, assembly: Assembly, found: list[tuple[BoreSite, BoreClock]], columns: int, height: float
) -> None:
    title = f"{assembly.spec.engine.name}: ring clock"
    figure.text(0.5, 1 - 0.16 / height, title, ha="center", va="top", fontsize=14, weight="bold", color=INK)
    banks = {site.bank for site, _ in found}
    order = "left bank left, right bank right, front bores at the top" if len(banks) == 2 else (
        "front bores at the top" if columns == 1 else "front bores in the left column, downwards; then the right column"
    )  # fmt: skip
    text = (
        "Pistons seen from above the crown, front up; angles clockwise from the front. Dotted: pin bosses; "
        f"hatched: valve pockets. {order[0].upper()}{order[1:]}."
    )
    figure.text(
        0.5,
        1 - 0.48 / height,
        textwrap.fill(text, WRAP * columns),
        ha="center",
        va="top",
        fontsize=8,
        color=HATCH,
    )


def _foot(figure: Any, clock: BoreClock, columns: int, height: float) -> None:
    lines = [
        f"Scheme `{clock.scheme.key}`: {clock.scheme.words} Source: {clock.scheme.source}.",
        RINGS_TURN_NOTE,
        SHORT,
    ]
    text = "\n".join(textwrap.fill(line, 88 * columns) for line in lines)
    figure.text(
        0.5, 0.10 / height, text, ha="center", va="bottom", fontsize=6.3, color=HATCH, linespacing=1.15
    )
