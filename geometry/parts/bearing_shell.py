"""The two big-end bearing shells of each rod, with their tangs.

Frame: R of the rod, or of the cap, that the shell lies in. Both tangs lie on the same side, side by side; the
lower shell is the upper one turned about +y, and has no oil hole. Spread and crush are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from geometry.arrays import Array
from geometry.built import Built
from geometry.feature import Feature, Fit, Group, seats
from geometry.kinematics.layout import BoreSite, Layout
from geometry.kinematics.poses import compose, translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.rod import standing
from geometry.parts.rod_cap import cap_standing
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import TUMBLED, along_x
from geometry.parts.shapes.rod_shape import tang
from geometry.solids import Mesh, Revolved, rectangle
from geometry.spec.engine import Engine
from geometry.spec.rod import Rod

if TYPE_CHECKING:
    from manifold3d import Manifold

OIL_HOLE: Final = 0.15
"""Diameter of the upper shell's oil hole, by the shell's width; for the eye, and to tell the halves apart."""
TANG_PLAY_MM: Final = 0.1


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """Two shells for each rod. Exchanged, the upper shell lies in the cap and the lower one in the rod."""
    parts: dict[tuple[float, float], tuple[Part, Part]] = {}
    found = []
    for site in layout.bores:
        n = site.bore
        rod = built.design(spec, n).rod
        key = (rod.big_end.bore_mm, rod.bearing.wall_mm)
        if key not in parts:
            parts[key] = _part(rod, with_hole=True), _part(rod, with_hole=False)
        for name, part in zip(("upper_shell", "lower_shell"), parts[key], strict=True):
            in_cap = (name == "lower_shell") != built.bore(n).shells_exchanged
            X_RA = _standing(site, built, in_cap)
            found.append(Body(f"{name} {n}", part, f"R{n}", X_RA, n))
    return found


def _standing(site: BoreSite, built: Built, in_cap: bool) -> Array:
    """Pose in frame R; a shell whose tang missed its notch in the cap stands proud towards the pin."""
    if not in_cap:
        return standing(site, built)
    proud = translation([0.0, 0.0, built.bore(site.bore).shell_proud_mm])
    return compose(proud, cap_standing(site, built), TUMBLED)


def _part(rod: Rod, with_hole: bool) -> Part:
    outer, half = rod.big_end.bore_mm / 2, rod.bearing.width_mm / 2
    inner = outer - rod.bearing.wall_mm
    ring = Revolved(rectangle(inner, outer, -half, half), 0.0, 180.0, along_x(0.0))
    features = (Feature("bearing_shell", (ring,), group=Group.SHELL, runs_in=seats(Fit.CRANKPIN)),)
    return Part("bearing_shell", "bearing_metal", features, lambda: _mesh(rod, ring, with_hole))


def _mesh(rod: Rod, ring: Revolved, with_hole: bool) -> Mesh:
    whole = meshing.union([meshing.piece_solid(ring), _tang(rod)])
    if with_hole:
        outer = rod.big_end.bore_mm
        hole = meshing.cylinder(
            OIL_HOLE * rod.bearing.width_mm / 2, outer, translation([0.0, 0.0, outer / 2]), segments=32
        )
        whole = meshing.difference(whole, [hole])
    return meshing.to_mesh(whole)


def _tang(rod: Rod) -> Manifold:
    lug = tang(rod)
    reach = lug.outer_mm - TANG_PLAY_MM - lug.inner_mm
    size = (lug.width_mm - 2 * TANG_PLAY_MM, reach, lug.height_mm - TANG_PLAY_MM)
    middle = [lug.x_mm, lug.inner_mm + reach / 2, size[2] / 2]
    return meshing.box(size, translation(middle))


PART = PartType("bearing_shell", bodies)
