"""A bearing seen from the front: its two halves, shells and tangs as plane regions, and what is stamped on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from geometry.assembly import Assembly
from geometry.parts.main_cap import HEAD_ACROSS, HEAD_HEIGHT
from geometry.parts.rod_bolt import spans_mm
from geometry.parts.shapes.convex import region
from geometry.parts.shapes.rod_shape import seat_radius_mm, tang
from viewer.explained.pen import Ground
from viewer.explained.plane import box, disc, half_plane

if TYPE_CHECKING:
    from manifold3d import CrossSection

    from geometry.arrays import Array

FAR_MM = 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class BearingFace:
    """One bearing from the front, mm about its axis, the engine's right at the left; the cap below.

    Attributes
    ----------
    bore_mm, wall_mm : radius of the bare housing, and the shell in it
    half_mm, cap_low_mm, low_mm : how far the cap reaches to either side, downwards, and with its heads downwards
    joint_mm : height of the joint
    upper, cap : both halves, the bore not cut
    ground : what the upper half is
    heads : under the cap, corners each
    tangs : of upper and lower shell; none where shells are not drawn
    numbers : stamped on upper half and cap
    cap_back_to_front : the cap against its upper half
    """

    bore_mm: float
    wall_mm: float
    half_mm: float
    cap_low_mm: float
    low_mm: float
    joint_mm: float
    upper: CrossSection
    cap: CrossSection
    ground: Ground
    heads: tuple[Array, ...]
    tangs: tuple[Array, ...]
    numbers: tuple[int, int]
    cap_back_to_front: bool

    def half(self, upper: bool) -> tuple[CrossSection, CrossSection]:
        """Housing and shell of one half, the bore cut."""
        side = half_plane(self.joint_mm, upper, FAR_MM)
        whole = self.upper if upper else self.cap
        return (whole ^ side) - disc(self.bore_mm), (
            disc(self.bore_mm) - disc(self.bore_mm - self.wall_mm)
        ) ^ side


def rod_face(assembly: Assembly, bore: int) -> BearingFace:
    """The big end of one bore, its rod upright."""
    rod, build = assembly.design(bore).rod, assembly.built.bore(bore)
    bolt, blade, rib = rod.bolt, rod.beam.width_big_mm / 2, rod.cap.rib_width_mm / 2
    half = bolt.spacing_mm / 2 + seat_radius_mm(bolt)
    ring = disc(rod.big_end.outside_mm / 2)
    upper = ring + region(box(-half, half, 0.0, bolt.shoulder_mm)) + region(box(-blade, blade, 0.0, FAR_MM))
    cap = (
        ring + region(box(-half, half, -bolt.seat_mm, 0.0)) + region(box(-rib, rib, -rod.cap.height_mm, 0.0))
    )
    radius, head_low, head_high = spans_mm(bolt)["head" if bolt.kind == "cap_screw" else "nut"]
    return BearingFace(
        rod.big_end.bore_mm / 2,
        rod.bearing.wall_mm,
        half,
        -rod.cap.height_mm,
        min(-rod.cap.height_mm, head_low),
        0.0,
        upper,
        cap ^ region(box(-FAR_MM, FAR_MM, -rod.cap.height_mm, FAR_MM)),
        "rod",
        _heads(bolt.spacing_mm, radius, head_low, head_high),
        tuple(_tang(assembly, bore, name) for name in ("upper_shell", "lower_shell")),
        (build.rod_from or bore, build.cap_from or bore),
        build.cap_turned,
    )


def main_face(assembly: Assembly, main: int) -> BearingFace:
    """One main bearing: the web above, the cap below. Its shell is as thick as the rods', as in the solids."""
    spec, built = assembly.spec, assembly.built
    cap, wall = spec.block.main_cap, spec.rod.bearing.wall_mm
    half, joint = cap.width_mm / 2, spec.block.web_bottom_mm
    radius, high = HEAD_ACROSS * cap.bolt_diameter_mm / 2, HEAD_HEIGHT * cap.bolt_diameter_mm
    return BearingFace(
        spec.crank.main.diameter_mm / 2 + wall,
        wall,
        half,
        -cap.height_mm,
        -cap.height_mm - high,
        joint,
        region(box(-1.12 * half, 1.12 * half, joint, FAR_MM)),
        region(box(-half, half, -cap.height_mm, joint)),
        "block",
        _heads(cap.bolt_spacing_mm, radius, -cap.height_mm - high, -cap.height_mm),
        (),
        (main, built.main_cap_order[main - 1] if built.main_cap_order else main),
        main in built.main_cap_turned,
    )


def _heads(spacing_mm: float, radius_mm: float, low_mm: float, high_mm: float) -> tuple[Array, ...]:
    middles = (-spacing_mm / 2, spacing_mm / 2)
    return tuple(box(middle - radius_mm, middle + radius_mm, low_mm, high_mm) for middle in middles)


def _tang(assembly: Assembly, bore: int, shell: str) -> Array:
    """The tang of a shell as it lies in the engine, at its height over the joint, lifted or not."""
    lug = tang(assembly.design(bore).rod)
    X_RA = assembly.body(f"{shell} {bore}").X_FA
    ends = np.array([[lug.x_mm, y, z, 1.0] for y, z in ((lug.inner_mm, 0.0), (lug.outer_mm, lug.height_mm))])
    (_, y0, z0, _), (_, y1, z1, _) = ends @ X_RA.T
    return box(*sorted((-y0, -y1)), *sorted((z0, z1)))
