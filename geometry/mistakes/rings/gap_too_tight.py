"""A top ring whose gap was not filed: its ends meet when it is hot."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.section import Amount
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.rings.feeler import blade_mm, blade_text
from geometry.units import System, show, show_fine

SHARE = 0.25
"""A ring as it comes from the box, not filed: a quarter of the least gap. From memory, no source."""


def make(assembly: Assembly, bore: int) -> Built:
    """A top ring with a quarter of the least gap."""
    fit = ring_words.ring_fit(assembly, bore, "top")
    gap = ring_words.with_gap(fit, SHARE * fit.verdict.target.min_mm)
    return ring_words.with_ring(assembly, bore, "top", gap)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The gap cold and hot, and the temperature at which the ends meet."""
    before, after = (ring_words.ring_fit(assembly, bore, "top") for assembly in (right, wrong))
    target, hot = after.verdict.target, after.hot
    gap, least = (show_fine(value, system) for value in (after.gap_mm, target.min_mm))
    blade = blade_mm(target.min_mm, system, up=True)

    def heat(value: float) -> Amount:
        return Amount(value, "temperature", digits=0)

    runs = show(hot.heat.ring_c, "temperature", system, 0)
    meets = show(hot.butts_at_ring_c, "temperature", system, 0)
    seizes = not hot.survives
    wall = f", {after.wall.source.text}" if after.wall.assumed else ""
    return Study(
        rows=(
            facts.mm_row("gap of the top ring, cold", before.gap_mm, after.gap_mm, target.min_mm, target.source.text,
                         facts.Judged("note" if after.verdict.state == "within" else "stop", after.verdict.state)),
            facts.mm_row("gap left hot", before.hot.hot_gap_mm, hot.hot_gap_mm, 0.0,
                         f"linear expansion of ring and bore{wall}",
                         facts.stop("ends meet") if seizes else facts.note("open")),
            facts.row("ends meet when the ring has", heat(before.hot.butts_at_ring_c), heat(hot.butts_at_ring_c),
                      heat(hot.heat.ring_c), f"assumed in running: {hot.heat.source.text}",
                      facts.stop("seizes") if seizes else facts.note("holds")),
        ),
        does=f"The top ring of bore {bore} has a gap of only {gap}; {least} is the least. Its ends meet at {meets}; "
        f"running it has about {runs}. "
        + ("From then on it is pressed against the wall, scuffs it and tears the land off the piston."
           if seizes else "It lasts as long as nothing runs hotter than that."),
        felt="By hand: nothing at all, cold. Running: it tightens and seizes when hot."
        if seizes else "By hand: nothing at all.",
        look_for="Piston out: push the ring into the bore with a piston and measure the gap where the bore is "
        "smallest.",
        remedy=f"File both ends alike until a blade of {blade_text(blade, system)} goes in, and break the edges.",
        signature=Signature(when_hot=seizes, seen_only=not seizes,
                            running=frozenset({"seizes_hot"}) if seizes else frozenset()),
        spot=ring_words.ring_spot(wrong, bore, "top", (f"top_ring {bore}",),
                                  f"top ring's gap {gap}, too tight", "ring_gap"),
        look="ring_gap",
    )  # fmt: skip


MISTAKE = Mistake(
    "gap_too_tight",
    "ring gap too tight",
    "The gap of the top ring was never filed: it is far below the least gap.",
    make,
    study,
)
