"""A ring standing in its groove with its gap open: what compression rings, rails and expander share.

Frame of a ring: origin on the bore's axis at the ring's lower face, +z to the crown, the gap at the front (ring
angle 0, which is -x). A ring angle runs clockwise seen from above the crown, against the turning sense of +z.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from geometry.built import BoreBuild, Built
from geometry.layout import BoreSite
from geometry.parts import meshing
from geometry.parts.mass import DENSITY_KG_M3
from geometry.parts.part import Body, Part
from geometry.parts.placing import about_z_deg
from geometry.parts.solids import Array, Feature, Mesh, Revolved
from geometry.poses import compose, translation
from geometry.spec.engine import Engine
from geometry.spec.piston import Groove

RING_SEGMENTS: Final = 192
ROLES: Final = ("top", "second", "upper_rail", "expander", "lower_rail")
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
    """A ring lying on the lower side of its groove, as wide as the bore it stands in."""
    build = built.bore(site.bore)
    crown = spec.piston.compression_height_mm + build.compression_height_change_mm
    diameter = build.bore_diameter_mm or spec.block.bore.diameter_mm
    return Standing(
        site, build, groove, crown - groove.from_crown_mm - groove.height_mm, gap_ring_deg, diameter / 2
    )


def ring_body(name: str, part: Part, where: Standing, lift_mm: float = 0.0) -> Body:
    """The ring at its place on the piston, its gap turned to its ring angle."""
    bore = where.site.bore
    X = compose(translation([0.0, 0.0, where.floor_mm + lift_mm]), about_z_deg(-where.gap_ring_deg))
    others = tuple(f"{other} {bore}" for other in ring_names() if other != name)
    joined = (f"piston {bore}", f"piston_pin {bore}", "block", *others)
    return Body(f"{name} {bore}", part, f"P{bore}", X, bore, joined)


def ring_names() -> tuple[str, ...]:
    """Names of the ring bodies of a bore, from the crown down."""
    return ("top_ring", "second_ring", "upper_rail", "expander", "lower_rail")


def gap_half_deg(gap_mm: float, radius_mm: float) -> float:
    """Half of the angle that a gap takes at the bore: its width is measured across, between the two ends."""
    return float(np.degrees(np.arcsin(min(gap_mm / (2 * radius_mm), 1.0))))


def ring_part(kind: str, material: str, section_mm: Array, radius_mm: float, gap_mm: float) -> Part:
    """A ring of a section turned round the bore, with its gap cut out as an exact sector.

    Parameters
    ----------
    kind : ``top_ring`` ...
    material : of the ring, a key of ``mass.DENSITY_KG_M3``
    section_mm : (k, 2) radial from the running face (inwards negative) and axial from the lower face
    radius_mm : of the bore
    gap_mm : end gap
    """
    half = gap_half_deg(gap_mm, radius_mm)
    start, end = FRONT_DEG + half, FRONT_DEG + 360.0 - half
    profile = np.column_stack([section_mm[:, 0] + radius_mm, section_mm[:, 1]])
    low, high = profile.min(axis=0), profile.max(axis=0)
    box = np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])

    def mesh() -> Mesh:
        return meshing.to_mesh(meshing.revolve(profile, start, end, RING_SEGMENTS))

    looks = "steel" if material == "steel" else "cast_iron"
    feature = Feature(kind, (Revolved(box, start, end),))
    return Part(kind, looks, DENSITY_KG_M3[material], (feature,), mesh)


class Shared:
    """Equal rings share one part; keyed by the numbers that make them."""

    def __init__(self) -> None:
        self._made: dict[tuple[object, ...], Part] = {}

    def part(self, key: tuple[object, ...], make: Callable[[], Part]) -> Part:
        """The part of this key, made on first use."""
        if key not in self._made:
            self._made[key] = make()
        return self._made[key]
