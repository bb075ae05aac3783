"""One rail of the oil ring was left out."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built, RingBuild
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.units import System, show_fine


def make(assembly: Assembly, bore: int) -> Built:
    """Without the lower rail."""
    return ring_words.with_ring(assembly, bore, "lower_rail", RingBuild(missing=True))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """The pack is lower by one rail: it rattles in its groove and scrapes with one edge."""
    oil = wrong.spec.rings.oil
    assert oil is not None
    side = ring_words.ring_fit(right, bore, "upper_rail").groove.side_mm
    loose = side + oil.rail_height_mm
    return Study(
        rows=(
            facts.row("rails in the oil groove", 2, 1, 2, "your engine file", facts.stop("one missing")),
            facts.mm_row("height of the pack", oil.height_mm, oil.height_mm - oil.rail_height_mm, oil.height_mm,
                         "your engine file", facts.stop("one rail short")),
            facts.mm_row("play of the pack in its groove", side, loose, side, "your engine file", facts.stop("loose")),
        ),
        does=f"The lower rail of the oil ring in bore {bore} is not there. One edge scrapes instead of two, and the "
        f"pack has {show_fine(loose, system)} play in its groove instead of {show_fine(side, system)}: it "
        "pumps oil up.",
        felt="By hand: nothing; this piston moves a little more easily. Running: smoke from the start.",
        look_for="Count what is left in the ring box; piston out, two rails must be seen.",
        remedy="Fit the rail, with its gap where the clock puts it.",
        signature=Signature(seen_only=True, running=ring_words.OIL),
        spot=ring_words.ring_spot(
            wrong, bore, "lower_rail", (f"lower_rail {bore}", f"upper_rail {bore}"),
            "lower rail of the oil ring missing", "oil_rail", right,
        ),
        look="rings",
    )  # fmt: skip


MISTAKE = Mistake(
    "rail_missing",
    "oil ring rail missing",
    "One of the two rails of the oil ring was left out.",
    make,
    study,
    ring_words.needs_oil_ring,
)
