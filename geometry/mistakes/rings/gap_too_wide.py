"""A top ring for a larger bore's wear, or filed too far: the gap leaks."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.rings.flow import hole_diameter_mm
from geometry.units import System, show_fine

TIMES = 3.0
"""Three times the greatest gap, or the least where nobody gives a greatest: a set one size too small."""


def make(assembly: Assembly, bore: int) -> Built:
    """A top ring with three times the gap."""
    fit = ring_words.ring_fit(assembly, bore, "top")
    target = fit.verdict.target
    wide = TIMES * (target.max_mm if target.max_mm is not None else target.min_mm)
    return ring_words.with_ring(assembly, bore, "top", ring_words.with_gap(fit, wide))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The area left open, alone and with the second ring behind it."""
    before, after = (ring_words.ring_fit(assembly, bore, "top") for assembly in (right, wrong))
    gap = show_fine(after.gap_mm, system)
    series = [ring_words.fitted(assembly, bore).series_area_mm2 or 0.0 for assembly in (right, wrong)]
    holes = [hole_diameter_mm(area) for area in series]
    target = after.verdict.target
    limit, source = target.max_mm, target.source.text
    if limit is None:
        limit, source = before.gap_mm, "your engine file: nobody gives a greatest gap for this engine"
    return Study(
        rows=(
            facts.mm_row("gap of the top ring", before.gap_mm, after.gap_mm, limit, source,
                         facts.stop("too wide")),
            facts.row("opening of the top gap", facts.area(before.area_mm2), facts.area(after.area_mm2)),
            facts.row("compression gaps in turn, as one opening", facts.area(series[0]), facts.area(series[1])),
            facts.mm_row("as one round hole", holes[0], holes[1]),
        ),
        does=f"The top ring of bore {bore} has a gap of {gap}. The way past the rings is "
        f"{series[1] / series[0]:.2f} times as large as it should be; gas goes into the crankcase and carries oil out "
        "with it.",
        felt="By hand: nothing in the turning; less spring against compression in this bore.",
        look_for="Leak test; piston out, the ring in the bore and a feeler blade in the gap.",
        remedy="A ring of the next oversize, filed to fit.",
        signature=Signature(seen_only=True, running=ring_words.LEAK),
        spot=ring_words.ring_spot(wrong, bore, "top", (f"top_ring {bore}",),
                                  f"top ring's gap {gap}, too wide", "ring_gap"),
        look="ring_gap",
    )  # fmt: skip


MISTAKE = Mistake(
    "gap_too_wide",
    "ring gap too wide",
    "The gap of the top ring is three times as wide as the widest that is wanted.",
    make,
    study,
)
