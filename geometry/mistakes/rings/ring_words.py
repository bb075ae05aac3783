"""Ring facts that several ring mistakes share: which rings there are, where to look, how pictures are framed."""

from __future__ import annotations

from functools import lru_cache

from geometry.assembly import Assembly
from geometry.built import Built, RingBuild
from geometry.mistakes import facts
from geometry.mistakes.mistake import Spot
from geometry.rings.clocked import BoreClock, bore_clock, rings_of
from geometry.rings.fitted import BoreRings, RingFit, bore_rings

OIL = frozenset({"burns_oil"})
"""Oil comes up past a piston whose oil ring, or scraping edge, does not take it down."""
LEAK = frozenset({"low_compression", "burns_oil"})
"""Gas that goes down past the rings carries oil film and mist with it: a ring maker's check list for oil consumption
names too wide gaps and rings in the wrong groove; common practice else, no source."""


def ring_fit(assembly: Assembly, bore: int, name: str) -> RingFit:
    """One ring in one bore as put together; it must be there."""
    return next(ring for ring in fitted(assembly, bore).rings if ring.name == name)


@lru_cache(maxsize=64)
def fitted(assembly: Assembly, bore: int) -> BoreRings:
    """All rings of one bore; those of the right engine are asked for once per mistake."""
    (rings,) = bore_rings(assembly.spec, assembly.layout, assembly.built, bore)
    return rings


def clock(assembly: Assembly, bore: int) -> BoreClock:
    """The clock of one bore as put together."""
    return bore_clock(assembly.spec, assembly.layout.site(bore), assembly.built.bore(bore))


def with_ring(assembly: Assembly, bore: int, name: str, ring: RingBuild) -> Built:
    """The build with one ring changed."""
    rings = {**assembly.built.bore(bore).rings, name: ring}
    return assembly.built.with_bore(bore, rings=rings)


def with_gap(fit: RingFit, gap_mm: float) -> RingBuild:
    """A ring with another gap where its bore is tightest."""
    return RingBuild(gap_mm=gap_mm, gap_depth_mm=fit.along.tightest_depth_mm)


def needs_oil_ring(assembly: Assembly, bore: int) -> str | None:
    """The reason against a mistake with rails or expander."""
    lacks = "this piston has no oil ring of rails and expander"
    return lacks if assembly.spec.rings.oil is None else None


def needs_two_rings(assembly: Assembly, bore: int) -> str | None:
    """The reason against a mistake with two compression rings."""
    return None if "second" in rings_of(assembly.spec) else "this piston has only one compression ring"


def ring_spot(
    assembly: Assembly,
    bore: int,
    role: str,
    bodies: tuple[str, ...],
    text: str,
    drawing: str,
    clocked: Assembly | None = None,
) -> Spot:
    """The place of a ring's gap on the ring belt, in the view of the rings spread apart.

    Parameters
    ----------
    assembly, bore : the engine as put together, and where
    role : the ring, by its name on the clock
    bodies, text : what to bring out, and the words
    drawing : the kind of drawing that shows it on paper
    clocked : the engine that tells where the gap stands, where the ring is missing in this one
    """
    ring_deg = clock(clocked or assembly, bore).angles_deg.get(role, 0.0)
    crank = facts.top_deg(assembly.linkage, assembly.layout.index(bore))
    pose = assembly.frame_poses(crank)[f"P{bore}"]
    spec, groove = assembly.design(bore).piston, role if role in ("top", "second") else "oil"
    cut = next((g for g in spec.grooves if g.ring == groove), spec.grooves[0])
    height = spec.compression_height_mm - cut.from_crown_mm - cut.height_mm / 2
    radius = assembly.design(bore).block.bore.diameter_mm / 2
    x, y = facts.on_clock(ring_deg, radius)
    at = pose @ [x, y, height, 1.0]
    place = (float(at[0]), float(at[1]), float(at[2]))
    return Spot(crank, "rings", bore, bodies, "stop", None, place, text, drawing)
