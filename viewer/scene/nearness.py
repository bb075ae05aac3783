"""Colouring by closest approach over the turn: the scale, its ticks and the colours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.solids import Mesh
from geometry.units import System, show
from viewer.looks import NEARNESS
from viewer.scene.groups import group_of
from viewer.scene.model import Scale

if TYPE_CHECKING:
    from geometry.clearance.nearness import Nearness

FAR_MM = {"mm": 10.0, "in": 12.7}
TICKS = {"mm": (0.0, 0.5, 1.0, 2.0, 5.0, 10.0), "in": (0.0, 0.508, 1.27, 2.54, 6.35, 12.7)}
"""Round figures of either system; 1.27 mm is 0.050 in, the trade's usual least distance round the rods."""


COLOURED = ("rods", "rod bolts")
OF_A_BORE = (*COLOURED, "pistons", "valves")


def coloured_bodies(assembly: Assembly, bore: int | None, picked: str) -> tuple[str, ...]:
    """What is coloured: the clicked part; else what moves of a bore alone; else all rods, caps and bolts."""
    if picked and any(body.name == picked for body in assembly.bodies):
        return (picked,)
    families = COLOURED if bore is None else OF_A_BORE
    return tuple(
        b.name for b in assembly.bodies if bore in (None, b.bore) and group_of(b.part.kind) in families
    )


def scale_for(nearness: Mapping[str, Nearness], units: System) -> Scale:
    """The scale of a picture: from the deepest interference, or touching, to what counts as far.

    That is farther where even the nearest place is not near, so that it never has the colour of far.
    """
    from geometry.clearance.nearness import FAR_MM as TOLD_APART_MM  # loaded by whoever has worked out a map

    lowest = min((float(n.values_mm.min()) for n in nearness.values() if len(n.values_mm)), default=0.0)
    times = min((n.far_mm for n in nearness.values()), default=TOLD_APART_MM) / TOLD_APART_MM
    low = min(0.0, np.floor(lowest))
    marks = ((low,) if low < 0 else ()) + tuple(times * mm for mm in TICKS[units])
    ticks = tuple((mm, show(mm, "length", units)) for mm in marks)
    return Scale("Closest over the turn", float(low), times * FAR_MM[units], ticks)


def carried(mesh: Mesh, values_mm: Array, cut: Mesh) -> tuple[Mesh, Array]:
    """Closest approach of what was cut of a part, made as fine as the part.

    Whatever is nearest to a point in the metal is so across the part's surface: its distance is the least of that of a
    surface point and the way to it. Corners of the surface keep their own; points between
    them are right to a quarter of their spacing.
    """
    from scipy.spatial import cKDTree

    from geometry.clearance.nearness import EDGE_MM
    from geometry.clearance.surface import SAME_MM, split

    fine = split(cut, EDGE_MM)
    away, corner = cKDTree(mesh.vertices).query(fine.vertices)
    found = values_mm[corner] + away
    for new in np.nonzero(away > SAME_MM)[0]:
        way = np.linalg.norm(mesh.vertices - fine.vertices[new], axis=1)
        most, least = (values_mm + way).min(), (values_mm - way).max()
        # close under the surface the corners stand aside of the straight way: the truth is between the two
        found[new] = (most + least) / 2 if away[new] < EDGE_MM / 2 else most
    return fine, np.asarray(found)


def place_on(scale: Scale, values_mm: Array) -> Array:
    """Where values stand along the bar, 0 to 1: a square root, so that the near end has the room.

    Parameters
    ----------
    values_mm : (n,) float

    Returns
    -------
    (n,) float
    """
    share = (np.asarray(values_mm, dtype=float) - scale.low_mm) / (scale.high_mm - scale.low_mm)
    return np.asarray(np.sqrt(np.clip(share, 0.0, 1.0)))


def colours(scale: Scale, values_mm: Array) -> Array:
    """Colours of values: (n,) mm to (n, 3) sRGB 0 to 1."""
    stops = np.linspace(0.0, 1.0, len(NEARNESS))
    table = np.array(NEARNESS)
    place = place_on(scale, values_mm)
    return np.column_stack([np.interp(place, stops, table[:, k]) for k in range(3)])
