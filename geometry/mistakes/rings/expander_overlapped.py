"""The ends of the oil ring's expander lie over each other."""

from __future__ import annotations

from math import pi

from geometry.assembly import Assembly
from geometry.built import Built, RingBuild
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.rings.clock import OVERLAP
from geometry.rings.types import OIL_RING_WORDS
from geometry.units import System, show_fine

OVERLAP_MM = 3.0
"""A usual overlap: about one pitch of the expander. From memory, no source."""


def make(assembly: Assembly, bore: int) -> Built:
    """The expander's ends overlapped."""
    return ring_words.with_ring(assembly, bore, "expander", RingBuild(overlapped=True))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """How much too small the expander stands: overlap over pi."""
    smaller, overlapped = OVERLAP_MM / pi, facts.stop("overlapped")
    return Study(
        rows=(
            facts.row("ends of the expander", "butted", "overlapped", "butted", OVERLAP.text, overlapped),
            facts.mm_row("overlap, estimate", 0.0, OVERLAP_MM, 0.0, OVERLAP.text, overlapped),
            facts.mm_row("diameter lost to it", 0.0, smaller, 0.0, "overlap / pi", facts.stop("too small")),
        ),
        does=f"The ends of the expander in bore {bore} lie over each other. It is then "
        f"{show_fine(smaller, system)} smaller across and does not press the rails out. "
        f"{OIL_RING_WORDS['three_piece'].wrong}",
        felt="By hand: nothing; the piston even moves more easily than the others. Running: smoke from the start.",
        look_for="Piston out: both coloured ends of the expander must be seen side by side.",
        remedy="Take the rails off, butt the ends, put the rails back, and look at the joint again after each rail.",
        signature=Signature(seen_only=True, running=ring_words.OIL),
        spot=ring_words.ring_spot(
            wrong, bore, "expander", (f"expander {bore}",), "expander's ends overlapped", "expander_joint"
        ),
        look="rings",
    )


MISTAKE = Mistake(
    "expander_overlapped",
    "expander overlapped",
    "The ends of the oil ring's expander lie over each other instead of butting.",
    make,
    study,
    ring_words.needs_oil_ring,
)
