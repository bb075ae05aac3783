"""The gaps of the two compression rings stand over each other."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built, RingBuild
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.rings.angles import separation_deg
from geometry.rings.flow import land_way_mm
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """The second ring turned until its gap stands under that of the top ring."""
    top = ring_words.clock(assembly, bore).angles_deg["top"]
    return ring_words.with_ring(assembly, bore, "second", RingBuild(gap_ring_deg=top))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Distance of the gaps, and the way the gas has from one to the next."""
    clocks = [ring_words.clock(assembly, bore) for assembly in (right, wrong)]
    gaps = [(c.angles_deg["top"], c.angles_deg["second"]) for c in clocks]
    apart, near = [separation_deg(*pair) for pair in gaps], clocks[1].rules.near
    one = wrong.design(bore)
    land = one.block.bore.diameter_mm - one.piston.land_clearance_mm
    ways = [land_way_mm(*pair, land) for pair in gaps]
    area = facts.area(ring_words.fitted(wrong, bore).series_area_mm2 or 0.0)
    both = (f"top_ring {bore}", f"second_ring {bore}")
    return Study(
        rows=(
            facts.row("gaps of top and second ring apart", facts.degrees(apart[0]), facts.degrees(apart[1]),
                      facts.degrees(near.deg), near.source.text, facts.stop("in line")),
            facts.mm_row("way of the gas from gap to gap", ways[0], ways[1]),
            facts.row("gaps in turn, as one opening", area, area, verdict=facts.note("unchanged")),
        ),
        does=f"In bore {bore} the gaps of both compression rings stand over each other. The opening is no larger than "
        f"before, but the gas goes straight through instead of {show_fine(ways[0], system)} round the piston, and "
        "takes the oil film with it on that one line.",
        felt="By hand: nothing; the piston turns as before. A leak test may show a little more loss in this bore.",
        look_for="Before the piston goes in: look down on the rings, gap by gap. A gap found elsewhere after running "
        "proves nothing, rings creep.",
        remedy="Draw the piston and set the gaps by the clock again.",
        signature=Signature(seen_only=True, running=ring_words.LEAK),
        spot=ring_words.ring_spot(wrong, bore, "second", both, f"gaps of both rings {apart[1]:.0f}° apart", "gas_path"),
        look="rings",
    )  # fmt: skip


MISTAKE = Mistake(
    "gaps_in_line",
    "ring gaps in line",
    "The gaps of top and second ring stand over each other.",
    make,
    study,
    ring_words.needs_two_rings,
)
