"""A compression ring put on upside down."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built, RingBuild
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.rings.schemes import ROLE_WORDS
from geometry.rings.types import way_up
from geometry.units import System


def ring_of(assembly: Assembly) -> str | None:
    """The ring for which it matters most: the second if its ways up differ, else the top ring."""
    rings = assembly.spec.rings
    for name, ring in (("second", rings.second), ("top", rings.top)):
        if ring is not None:
            way = way_up(ring.face, ring.inside, ring.mark)
            if way.side_up != "either" and not way.symmetric:
                return name
    return None


def refuse(assembly: Assembly, bore: int) -> str | None:
    """Rings that are the same both ways up cannot be upside down."""
    alike = "every compression ring of this engine is the same both ways up"
    return alike if ring_of(assembly) is None else None


def make(assembly: Assembly, bore: int) -> Built:
    """One ring over."""
    name = ring_of(assembly)
    assert name is not None
    return ring_words.with_ring(assembly, bore, name, RingBuild(upside_down=True))


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Which way it twists and which edge scrapes."""
    name = ring_of(right)
    assert name is not None
    fit = ring_words.ring_fit(wrong, bore, name)
    assert fit.way is not None
    way, words = fit.way, ROLE_WORDS[name]
    reversed_twist = way.twist != way.twist_upside_down
    up = "marked side" if way.side_up == "mark" else "by its section"
    rows = (
        facts.row(f"side of the {words} that faces up", up, "the other", up, way.source.text,
                  facts.stop("upside down")),
        facts.row("twist in the bore", way.twist, way.twist_upside_down, way.twist, "product of inertia of the section",
                  facts.stop("reversed") if reversed_twist else facts.note("none either way")),
        facts.row(f"{words}: section", way.term, way.term),
    )  # fmt: skip
    return Study(
        rows=rows,
        does=f"The {words} of bore {bore} is upside down. {way.upside_down}",
        felt="By hand: nothing at all. Running: blue smoke and oil use in this bore.",
        look_for=f"Piston out: {way.how}",
        remedy="Take the ring off with ring pliers and turn it over; look at its edge for damage.",
        signature=Signature(seen_only=True, running=ring_words.LEAK if name == "top" else ring_words.OIL),
        spot=ring_words.ring_spot(
            wrong, bore, name, (f"{name}_ring {bore}",), f"{words} upside down", "ring_side"
        ),
        look="rings",
    )


MISTAKE = Mistake(
    "ring_upside_down",
    "ring upside down",
    "A compression ring whose two sides differ is on upside down.",
    make,
    study,
    refuse,
)
