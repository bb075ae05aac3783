"""Watertight solids and their triangle meshes: the few shapes and cuts that parts are made with.

Curved surfaces become flat facets whose corners lie on the true surface. A round solid is therefore a little
smaller than the true one and a round hole a little narrower, by at most ``r (1 - cos(pi / n))`` for n facets.

The solid library is imported on first use: a check that draws nothing never needs it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Array
from geometry.solids import IDENTITY, Box, Cylinder, Hull, Lobe, Mesh, Piece, Revolved

if TYPE_CHECKING:
    from manifold3d import CrossSection, Manifold

BORE_SEGMENTS: Final = 96
"""Facets round a bore, a piston or a big end: with smooth shading the eye sees none."""
ROUND_SEGMENTS: Final = 64
"""Facets round a pin, a bolt or a journal of that size."""
FILLET_SEGMENTS: Final = 6
"""Facets of a quarter circle."""

_COARSER: Final[ContextVar[int]] = ContextVar("coarser", default=1)
LEAST_SEGMENTS: Final = 16


@contextmanager
def coarser(times: int) -> Iterator[None]:
    """Inside it solids have so many times fewer facets: for what a change of shape does to a weight, not for the eye.

    A round solid comes out light by the same share before and after, so that the difference is that of the true ones
    but for a small share of itself.
    """
    token = _COARSER.set(times)
    try:
        yield
    finally:
        _COARSER.reset(token)


def _facets(segments: int) -> int:
    times = _COARSER.get()
    return segments if times == 1 else max(LEAST_SEGMENTS, segments // times)


ALONG_X: Final[Array] = np.array(
    [[0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)
"""Pose of a piece whose own axis +z lies along +x of the part, its own +x along +y."""
ALONG_X.setflags(write=False)


def arc(
    centre_mm: tuple[float, float], radius_mm: float, start_deg: float, end_deg: float, segments: int
) -> Array:
    """Points on a circle from one angle to the other, both ends included.

    Returns
    -------
    (segments + 1, 2) float, mm
    """
    angle = np.radians(np.linspace(start_deg, end_deg, segments + 1))
    return np.column_stack(
        [centre_mm[0] + radius_mm * np.cos(angle), centre_mm[1] + radius_mm * np.sin(angle)]
    )


def revolve(
    profile_rz_mm: ArrayLike, start_deg: float = 0.0, end_deg: float = 360.0, segments: int = BORE_SEGMENTS
) -> Manifold:
    """A profile turned about +z, from ``start_deg`` to ``end_deg`` counted from +x towards +y.

    Parameters
    ----------
    profile_rz_mm : (k, 2) float, mm, corners (r, z) of a simple polygon with r >= 0, either way round
    segments : facets of a full turn; a sector gets its share, at least three
    """
    segments = _facets(segments)
    span = end_deg - start_deg
    section = _section(profile_rz_mm)
    if span >= 360.0 - 1e-9:
        return section.revolve(segments).rotate((0.0, 0.0, start_deg))
    share = max(3, round(segments * span / 360.0))
    # For a sector the library takes the number of facets of the sector itself, and no fewer than three.
    return section.revolve(share, span).rotate((0.0, 0.0, start_deg))


def thinned(polygon_mm: ArrayLike, within_mm: float) -> Array:
    """The same polygon (k, 2) with fewer corners, none of its edges moved further than said."""
    return np.asarray(_section(polygon_mm).simplify(within_mm).to_polygons()[0], dtype=float)


def extrude(polygon_xy_mm: ArrayLike, low_mm: float, high_mm: float) -> Manifold:
    """A prism over a simple polygon (k, 2), from z = ``low_mm`` up to ``high_mm``."""
    return _section(polygon_xy_mm).extrude(high_mm - low_mm).translate((0.0, 0.0, low_mm))


def plate(outlines_xy_mm: Sequence[ArrayLike], low_mm: float, high_mm: float) -> Manifold:
    """A plate whose outline is the union of simple polygons: flush where two of them meet."""
    from manifold3d import CrossSection, OpType

    outline = CrossSection.batch_boolean([_section(polygon) for polygon in outlines_xy_mm], OpType.Add)
    return outline.extrude(high_mm - low_mm).translate((0.0, 0.0, low_mm))


def cylinder(
    radius_mm: float, length_mm: float, X_AP: Array = IDENTITY, segments: int = ROUND_SEGMENTS
) -> Manifold:
    """A round cylinder centred on the origin of its own frame, axis along +z there."""
    from manifold3d import Manifold

    count = _facets(segments)
    return transform(Manifold.cylinder(length_mm, radius_mm, circular_segments=count, center=True), X_AP)


def box(size_mm: Sequence[float], X_AP: Array = IDENTITY) -> Manifold:
    """A block of full edge lengths ``size_mm``, centred on the origin of its own frame."""
    from manifold3d import Manifold

    x, y, z = (float(edge) for edge in size_mm)
    return transform(Manifold.cube((x, y, z), True), X_AP)


def hull(points_mm: ArrayLike) -> Manifold:
    """The convex hull of points (k, 3)."""
    from manifold3d import Manifold

    return Manifold.hull_points(np.ascontiguousarray(points_mm, dtype=float))


def transform(solid: Manifold, X_AB: Array) -> Manifold:
    """A solid known in frame B, measured in frame A."""
    return solid.transform(np.ascontiguousarray(X_AB[:3, :4]))


def union(solids: Sequence[Manifold]) -> Manifold:
    """All solids as one."""
    from manifold3d import Manifold, OpType

    return Manifold.batch_boolean(list(solids), OpType.Add)


def difference(solid: Manifold, cutters: Sequence[Manifold]) -> Manifold:
    """A solid with every cutter taken away."""
    from manifold3d import Manifold, OpType

    return Manifold.batch_boolean([solid, *cutters], OpType.Subtract)


def intersection(solids: Sequence[Manifold]) -> Manifold:
    """What all solids have in common."""
    from manifold3d import Manifold, OpType

    return Manifold.batch_boolean(list(solids), OpType.Intersect)


def piece_solid(piece: Piece, segments: int = BORE_SEGMENTS) -> Manifold:
    """A clearance piece as a faceted solid in the frame of its part."""
    if isinstance(piece, Cylinder):
        return cylinder(piece.radius_mm, piece.length_mm, piece.X_AP, segments)
    if isinstance(piece, Box):
        return box(piece.size_mm, piece.X_AP)
    if isinstance(piece, Hull):
        return transform(hull(piece.points_mm), piece.X_AP)
    if isinstance(piece, Revolved):
        turned = revolve(piece.profile_mm, piece.start_deg, piece.end_deg, segments)
        return transform(turned, piece.X_AP)
    half = piece.length_mm / 2
    return transform(extrude(lobe_outline(piece, segments), -half, half), piece.X_AP)


def lobe_outline(piece: Lobe, segments: int) -> Array:
    """Corners (k, 2) of a lobe's section in its own frame, in order, starting anywhere."""
    reach = (piece.radius_mm - piece.nose_radius_mm) / piece.distance_mm if piece.distance_mm > 0.0 else 2.0
    if abs(reach) >= 1.0:  # one circle lies within the other
        nose_only = piece.nose_radius_mm > piece.radius_mm
        centre = (0.0, piece.distance_mm if nose_only else 0.0)
        return arc(centre, max(piece.radius_mm, piece.nose_radius_mm), 0.0, 360.0, segments)[:-1]
    # The flanks touch both circles where their common normal points: this far above square to the axis.
    lean = float(np.degrees(np.arcsin(reach)))
    over = max(2, round(segments * (180.0 - 2 * lean) / 360.0))
    under = max(2, round(segments * (180.0 + 2 * lean) / 360.0))
    nose = arc((0.0, piece.distance_mm), piece.nose_radius_mm, lean, 180.0 - lean, over)
    return np.vstack([nose, arc((0.0, 0.0), piece.radius_mm, 180.0 - lean, 360.0 + lean, under)])


def to_mesh(solid: Manifold) -> Mesh:
    """The surface of a solid; vertices are shared, so that the mesh is watertight as it stands.

    Raises
    ------
    AssertionError
        When the solid is empty or not manifold: a slip of the part file, never of the user.
    """
    from manifold3d import Error

    assert solid.status() == Error.NoError, f"not a solid: {solid.status()}"
    assert not solid.is_empty(), "nothing is left of this solid"
    raw = solid.to_mesh64()
    # Copies: a view would keep the library's own object alive until the interpreter ends, and it complains.
    return Mesh(np.array(raw.vert_properties[:, :3]), np.array(raw.tri_verts, dtype=np.int32))


def _section(polygon_mm: ArrayLike) -> CrossSection:
    """A simple polygon, whichever way round it was given."""
    from manifold3d import CrossSection

    points = np.ascontiguousarray(polygon_mm, dtype=float)
    x, y = points.T
    area = np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)
    return CrossSection([points if area > 0 else np.ascontiguousarray(points[::-1])])
