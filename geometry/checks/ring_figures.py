"""The numbers that each ring is judged by, as figures held to their limits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from geometry.assembly import Assembly
from geometry.checks.section import Figure, Severity, asked
from geometry.rings.fitted import BoreRings, RingFit, gapped_rings
from geometry.rings.groove import BACK_SOURCE
from geometry.rings.schemes import ROLE_WORDS

HOT = "by definition: the ends must not meet"
IN_BORE = "by definition: the ring stays in the full bore"


def ring_figures(assembly: Assembly, bores: Sequence[BoreRings]) -> tuple[Figure, ...]:
    """Gap, hot gap, side, back and travel of every ring of some bores."""
    first, row = {}, 0
    for _, site in asked(assembly, None):
        first[site.bore] = row
        there = [assembly.built.bore(site.bore).ring(name) for name in gapped_rings(assembly.spec)]
        row += sum(not ring.missing for ring in there)
    notched = assembly.spec.block.bore.notch is not None
    return tuple(
        figure
        for bore in bores
        for place, ring in enumerate(bore.rings)
        for figure in (
            *_gap_figures(first[bore.bore] + place, bore.bore, ring),
            *_groove_figures(first[bore.bore] + place, bore.bore, ring),
            *_travel_figures(first[bore.bore] + place, bore.bore, ring, notched),
        )
    )


def _gap_figures(row: int, bore: int, ring: RingFit) -> Iterator[Figure]:
    name, along, target, hot = ROLE_WORDS[ring.name], ring.along, ring.verdict.target, ring.hot
    source, most = target.source.text, target.max_mm
    surely: Severity = "stop" if along.tightest.upper_mm <= max(target.min_mm, 0.0) else "look"
    yield Figure(
        f"gap of {name}", bore, ring.gap_mm, target.min_mm, None if along.worn else most, "length", row, "gap_mm",
        source, surely, "look",
    )  # fmt: skip
    if along.worn:
        yield Figure(
            f"widest gap of {name}", bore, along.widest.upper_mm, None, most, "length", row, "gap_widest_mm",
            source, above="look",
        )  # fmt: skip
    butts: Severity = "stop" if along.tightest.upper_mm <= hot.closing_mm else "look"
    yield Figure(
        f"hot gap of {name}", bore, hot.hot_gap_mm, 0.0, None, "length", row, "hot_gap_mm", HOT, butts
    )


def _groove_figures(row: int, bore: int, ring: RingFit) -> Iterator[Figure]:
    name, fit, limits = ROLE_WORDS[ring.name], ring.groove, ring.side_limits
    if ring.side is not None:
        yield Figure(
            f"side of {name}", bore, fit.side_mm, limits.min_mm, limits.max_mm, "length", row, "side_mm",
            limits.source.text, "stop", "stop" if ring.side == "replace" else "look",
        )  # fmt: skip
    back, at_wall = fit.back_mm, fit.back_at_wall_mm
    yield Figure(f"back of {name}", bore, back, 0.0, None, "length", row, "back_mm", BACK_SOURCE.text)
    yield Figure(
        f"back of {name} at the wall", bore, at_wall, 0.0, None, "length", row, "back_at_wall_mm",
        BACK_SOURCE.text, "look",
    )  # fmt: skip


def _travel_figures(row: int, bore: int, ring: RingFit, notched: bool) -> Iterator[Figure]:
    name, travel = ROLE_WORDS[ring.name], ring.travel
    held: list[tuple[str, float, str, Severity]] = [
        (f"{name} above TDC", travel.top_margin_mm, "wall_above_mm", "stop"),
        (f"{name} below BDC", travel.bottom_margin_mm, "wall_below_mm", "stop"),
    ]
    if notched:
        held.append((f"{name} above the notch", travel.notch_margin_mm, "wall_above_notch_mm", "look"))
    for what, value, column, grave in held:
        yield Figure(what, bore, value, 0.0, None, "length", row, column, IN_BORE, grave)
