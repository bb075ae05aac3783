"""How a ring sits in its groove: side clearance, back clearance, and whether it can stand proud."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from geometry.errors import GeometryError
from geometry.rings.require import positive
from geometry.rings.source import Source
from geometry.units import INCH_MM

SideState = Literal["tight", "within", "loose", "replace"]
BackState = Literal["clear", "bottoms_at_wall", "proud"]

_ROUNDING_MM: Final = 1e-9
"""A clearance is a difference of two sizes: one that is exactly on its limit may come out this much beside it."""


@dataclass(frozen=True, slots=True)
class SideLimits:
    """Limits of the side clearance, mm.

    Attributes
    ----------
    key, words : the row and what kind of engine it comes from
    min_mm, max_mm : range for new parts
    replace_mm : above this, ring or piston is replaced; None where the source gives none
    source : where the row comes from
    """

    key: str
    words: str
    min_mm: float
    max_mm: float
    replace_mm: float | None
    source: Source


SIDE_LIMITS: Final[dict[str, SideLimits]] = {
    row.key: row
    for row in (
        SideLimits(
            "petrol", "petrol engine", 0.030, 0.070, 0.10,
            Source("service data of a 2.4 L petrol engine, 1997", "published"),
        ),
        SideLimits(
            "petrol_v8", "petrol V8", 0.0016 * INCH_MM, 0.0037 * INCH_MM, None,
            Source("service data of a petrol V8, 1999", "published"),
        ),
        SideLimits(
            "diesel", "marine or industrial diesel", 0.0025 * INCH_MM, 0.0040 * INCH_MM, 0.006 * INCH_MM,
            Source("US Army TM 5-1940-277-34 for new parts, TM 9-6115-604-34 for replacement", "published"),
        ),
    )
}  # fmt: skip
"""Side clearance by kind of engine; the maker's own figure goes first."""

BACK_SOURCE: Final = Source(
    "by definition the clearance behind the ring must stay above zero; no source gives a usual value",
    "derived",
)


@dataclass(frozen=True, slots=True)
class GrooveFit:
    """A ring in its groove, mm.

    Attributes
    ----------
    side_mm : groove height less ring height; below zero the ring does not go in
    back_mm : room behind the ring with the piston in the middle of the bore
    back_at_wall_mm : room behind the ring where the piston touches the bore, which is also how far the ring
        can be pushed below flush with the land; below zero it stands proud
    """

    side_mm: float
    back_mm: float
    back_at_wall_mm: float


def groove_fit(
    bore_mm: float,
    land_mm: float,
    root_mm: float,
    groove_height_mm: float,
    ring_height_mm: float,
    ring_wall_mm: float,
) -> GrooveFit:
    """Lay a ring of plain section into a groove.

    Parameters
    ----------
    bore_mm, land_mm, root_mm : diameters of the bore, of the land beside the groove, and of the groove's
        root, mm
    groove_height_mm, ring_height_mm : axial heights, mm
    ring_wall_mm : radial wall of the ring, mm

    Returns
    -------
    The clearances. A keystone ring has its side clearance measured in place; it cannot be told from these
    numbers.

    Raises
    ------
    GeometryError : a size that is not above zero, a land larger than the bore, or a root larger than the land

    Source
    ------
    Back clearance by definition ``(D_bore - D_root) / 2 - wall``. A piston pushed against the bore comes
    nearer to it by ``(D_bore - D_land) / 2``, which leaves ``(D_land - D_root) / 2 - wall``.
    """
    sizes = {"bore": bore_mm, "land": land_mm, "root": root_mm, "groove.height": groove_height_mm}
    for key, value in (sizes | {"ring.height": ring_height_mm, "ring.wall": ring_wall_mm}).items():
        positive(key, value)
    if land_mm > bore_mm:
        raise GeometryError(
            "land_above_bore", "land", "the land is larger than the bore", "a land below the bore"
        )
    if root_mm >= land_mm:
        raise GeometryError(
            "root_above_land", "root", "the groove's root is not below the land", "a smaller root"
        )
    return GrooveFit(
        side_mm=groove_height_mm - ring_height_mm,
        back_mm=(bore_mm - root_mm) / 2 - ring_wall_mm,
        back_at_wall_mm=(land_mm - root_mm) / 2 - ring_wall_mm,
    )


def judge_side(side_mm: float, limits: SideLimits) -> SideState:
    """Compare a side clearance with its limits.

    Parameters
    ----------
    side_mm : clearance, mm
    limits : a row of ``SIDE_LIMITS`` or one of the maker's

    Returns
    -------
    ``tight`` below the range, ``within`` it, ``loose`` above the range for new parts, ``replace`` beyond the
    wear limit.
    """
    if side_mm < limits.min_mm - _ROUNDING_MM:
        return "tight"
    if side_mm <= limits.max_mm + _ROUNDING_MM:
        return "within"
    worn = limits.replace_mm is not None and side_mm > limits.replace_mm + _ROUNDING_MM
    return "replace" if worn else "loose"


def judge_back(fit: GrooveFit) -> BackState:
    """Tell whether there is room behind the ring.

    Returns
    -------
    ``proud`` when the ring would touch the groove's root with the piston in the middle of the bore,
    ``bottoms_at_wall`` when only where the piston touches the bore (the ring can then carry the piston),
    else ``clear``.
    """
    if fit.back_mm <= 0:
        return "proud"
    return "bottoms_at_wall" if fit.back_at_wall_mm < 0 else "clear"
