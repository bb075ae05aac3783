"""A ring standing in its groove with its gap open: what compression rings, rails and expander share.

Frame of a ring: origin on the bore's axis at the ring's lower face, +z to the crown, the gap at the front (ring
angle 0, which is -x). A ring angle runs clockwise seen from above the crown, against the turning sense of +z.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from geometry.arrays import Array
from geometry.built import BoreBuild, Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import BoreSite
from geometry.kinematics.poses import compose, translation
from geometry.parts.part import Body, Part
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import about_z_deg
from geometry.rings.gap import gap_in_other_bore
from geometry.solids import Mesh, Revolved, rectangle
from geometry.spec.engine import Engine
from geometry.spec.piston import Groove
from geometry.stack import crown_height_mm

if TYPE_CHECKING:
    from manifold3d import Manifold

RING_SEGMENTS: Final = 192
DRAWN_WITHIN_MM: Final = 0.004
"""How far the drawn section may leave the true one, so that a barrel face does not cost ten thousand facets."""
MARK_DEG: Final = 4.0
MARK_DEEP_MM: Final = 0.2
MARK_WIDE: Final = 0.35
WORD_LONG: Final = 5.0
"""The mark that goes up: this far round from the gap, its depth, its width by the ring's wall; a word is so many
widths long."""
FRONT_DEG: Final = 180.0
"""Where the front lies in the turning sense of +z: the frame's -x."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One ring of one bore: its groove, the height of its lower face in frame P, ring angle and width of its gap."""

    site: BoreSite
    build: BoreBuild
    groove: Groove
    floor_mm: float
    gap_ring_deg: float
    radius_mm: float


def groove_of(spec: Engine, ring: str) -> Groove | None:
    """The groove cut for ``top``, ``second`` or ``oil``; None where the piston has none."""
    return next((groove for groove in spec.piston.grooves if groove.ring == ring), None)


def standing(spec: Engine, site: BoreSite, built: Built, groove: Groove, gap_ring_deg: float) -> Standing:
    """A ring lying on the lower side of its groove, as wide as the bore it stands in.

    Parameters
    ----------
    spec : the engine as it is in that bore (``Built.design``)
    """
    build = built.bore(site.bore)
    crown = crown_height_mm(spec, build)
    diameter = build.bore_diameter_mm or spec.block.bore.diameter_mm
    return Standing(
        site, build, groove, crown - groove.from_crown_mm - groove.height_mm, gap_ring_deg, diameter / 2
    )


def ring_body(name: str, part: Part, where: Standing, lift_mm: float = 0.0) -> Body:
    """The ring at its place on the piston, its gap turned to its ring angle."""
    bore = where.site.bore
    X = compose(translation([0.0, 0.0, where.floor_mm + lift_mm]), about_z_deg(-where.gap_ring_deg))
    return Body(f"{name} {bore}", part, f"P{bore}", X, bore)


def gap_in_bore_mm(spec: Engine, build: BoreBuild, role: str, written_mm: float) -> float:
    """The end gap of a ring in the bore as it was built: as found, or as written and carried to this bore."""
    found = build.ring(role).gap_mm
    if found is not None:
        return max(found, 0.0)
    finished = spec.block.bore.diameter_mm
    measured_in = spec.rings.gap_bore_mm or finished
    return max(gap_in_other_bore(written_mm, measured_in, build.bore_diameter_mm or finished), 0.0)


def gap_half_deg(gap_mm: float, radius_mm: float) -> float:
    """Half of the angle that a gap takes at the bore: its width is measured across, between the two ends."""
    return float(np.degrees(np.arcsin(min(gap_mm / (2 * radius_mm), 1.0))))


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a ring is made of: its section as installed, the bore it stands in, its gap, and its mark.

    Attributes
    ----------
    kind : ``top_ring`` ...
    material : a key of ``part.DENSITY_KG_M3``
    radius_mm : of the bore
    gap_mm : end gap
    mark : the mark on its upper side
    turned_over : the mark, and the section with it, face down
    """

    kind: str
    material: str
    radius_mm: float
    gap_mm: float
    mark: Literal["none", "dot", "word"] = "none"
    turned_over: bool = False


def ring_part(ring: Drawn, section_mm: Array) -> Part:
    """A ring of a section turned round the bore, with its gap left out as an exact sector.

    The clearance piece is the rectangle round the section: it holds the section's bevels, hook and barrel too.

    Parameters
    ----------
    section_mm : (k, 2) radial from the running face (inwards negative) and axial from the lower face
    """
    half = gap_half_deg(ring.gap_mm, ring.radius_mm)
    start, end = FRONT_DEG + half, FRONT_DEG + 360.0 - half
    profile = np.column_stack([section_mm[:, 0] + ring.radius_mm, section_mm[:, 1]])
    low, high = profile.min(axis=0), profile.max(axis=0)
    box = rectangle(low[0], high[0], low[1], high[1])

    def mesh() -> Mesh:
        turned = meshing.revolve(meshing.thinned(profile, DRAWN_WITHIN_MM), start, end, RING_SEGMENTS)
        return meshing.to_mesh(meshing.difference(turned, _mark_cutters(ring, box, start)))

    looks = "steel" if ring.material == "steel" else "cast_iron"
    feature = Feature(ring.kind, (Revolved(box, start, end),), group=Group.RING, runs_in=seats(Fit.BORE))
    return Part(ring.kind, looks, (feature,), mesh, ring.material)


def _mark_cutters(ring: Drawn, box_mm: Array, start_deg: float) -> list[Manifold]:
    """The mark sunk into the side that should face up, beside the gap."""
    if ring.mark == "none":
        return []
    (inner, low), (outer, high) = box_mm[0], box_mm[2]
    wide = MARK_WIDE * (outer - inner)
    face = low if ring.turned_over else high
    X = about_z_deg(start_deg + MARK_DEG) @ translation([(inner + outer) / 2, 0.0, face])
    if ring.mark == "dot":
        return [meshing.cylinder(wide / 2, 2 * MARK_DEEP_MM, X, segments=24)]
    return [meshing.box((wide, WORD_LONG * wide, 2 * MARK_DEEP_MM), X)]


class Shared:
    """Equal rings share one part; keyed by the numbers that make them."""

    def __init__(self) -> None:
        self._made: dict[tuple[object, ...], Part] = {}

    def part(self, key: tuple[object, ...], make: Callable[[], Part]) -> Part:
        """The part of this key, made on first use."""
        if key not in self._made:
            self._made[key] = make()
        return self._made[key]
