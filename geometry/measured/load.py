"""A mesh file to a closed surface in mm, or one clear line about what is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NoReturn

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.errors import GeometryError
from geometry.files import read_whole
from geometry.measured.crossing import crossings
from geometry.measured.glb import NotBare, bare_glb
from geometry.solids import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

FORMATS: Final = (".stl", ".obj", ".ply", ".glb")
MOST_BYTES: Final = 100_000_000
MOST_TRIANGLES: Final = 400_000
UNIT_MM: Final = {"mm": 1.0, "in": 25.4, "m": 1000.0}
UNIT_WORDS: Final = {"mm": "millimetres", "in": "inches", "m": "metres"}
LIKE: Final = 2.0
"""How many times larger or smaller than the engine file implies a measured part may be."""
COVERED: Final = 0.5
"""Least share of the implied extent, along each axis, that the measured part must cover."""
KEPT: Final = 4


@dataclass(frozen=True, slots=True)
class MeshSource:
    """Which file, what its numbers mean, and where its origin lies.

    Attributes
    ----------
    key : the entry of the engine file that names it, for messages: ``block.mesh``
    path : the file
    unit : ``mm``, ``in`` or ``m``
    at_mm : where the origin of the file lies in the frame of the part
    """

    key: str
    path: str
    unit: str = "mm"
    at_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def refuse(self, code: str, what: str, right: str) -> NoReturn:
        """Say what is wrong with the file.

        Raises
        ------
        GeometryError
            Always.
        """
        raise GeometryError(code, self.key, f"{Path(self.path).name} {what}", right)


def read_measured(source: MeshSource, low_mm: Array, high_mm: Array) -> Mesh:
    """The measured surface in the frame of the part, closed, outward, and where the engine file implies it.

    Parameters
    ----------
    source : the file
    low_mm, high_mm : (3,) corners of the box that the part fills by the numbers of the engine file

    Raises
    ------
    GeometryError
        The file cannot stand for the part; one line says why and what to do.
    """
    path = Path(source.path)
    try:
        found = path.stat()
    except (OSError, ValueError):
        source.refuse(
            "mesh_missing", f"is not in {path.parent}", "a path counts from the folder of the engine file"
        )
    if not path.is_file():
        source.refuse("mesh_missing", "is not a file", "name a mesh file: STL, OBJ, PLY or GLB")
    if path.suffix.lower() not in FORMATS:
        source.refuse(
            "mesh_format", f"is a {path.suffix or 'nameless'} file", "save it as STL, OBJ, PLY or GLB"
        )
    if found.st_size > MOST_BYTES:
        source.refuse("mesh_huge", f"has {found.st_size / 1e6:.0f} MB", _decimate())
    vertices, triangles = _surface(source, found.st_mtime_ns, found.st_size)
    placed = vertices + np.asarray(source.at_mm)
    _require_place(source, placed, low_mm, high_mm)
    return Mesh(placed, triangles)


def _decimate() -> str:
    return (
        f"reduce it to {MOST_TRIANGLES} triangles and {MOST_BYTES / 1e6:.0f} MB at most: decimate it in a mesh "
        "editor (quadric edge collapse), coarser where nothing comes near"
    )


@lru_cache(maxsize=KEPT)
def _surface(source: MeshSource, stamp_ns: int, size: int) -> tuple[Array, NDArray[np.int32]]:
    """Vertices in mm and triangles of a file that has been found good; read again only when it has changed."""
    mesh = _read(source)
    if not len(mesh.faces):
        what = "holds points but no triangles" if len(mesh.vertices) else "holds no triangles"
        source.refuse("mesh_empty", what, "export the part as a closed triangle mesh")
    if len(mesh.faces) > MOST_TRIANGLES:
        source.refuse("mesh_huge", f"has {len(mesh.faces)} triangles", _decimate())
    vertices = np.asarray(mesh.vertices, dtype=float) * UNIT_MM[source.unit]
    if not np.isfinite(vertices).all():
        source.refuse("mesh_numbers", "holds numbers that are not finite", "export it anew")
    _require_closed(source, mesh, vertices)
    triangles = np.asarray(mesh.faces, dtype=np.int32)
    if solid_of(Mesh(vertices, triangles)).status().name != "NoError":
        source.refuse(
            "mesh_branching", "is not a solid: surfaces meet in edges or points",
            "remove inner faces and doubled vertices in a mesh editor",
        )  # fmt: skip
    corners = vertices[triangles]
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    if volume < 0:
        source.refuse(
            "mesh_inside_out",
            "is inside-out: its triangles face inwards",
            "flip all normals and save it again",
        )
    points = crossings(corners)
    if len(points):
        source.refuse(
            "mesh_crossing", f"passes through itself in {len(points)} places, one near {_at(points[0])}",
            "unite its overlapping solids or remove self-intersections in a mesh editor",
        )  # fmt: skip
    return vertices, triangles


def solid_of(mesh: Mesh) -> Manifold:
    """A closed surface as a solid of the library; its ``status`` tells whether it is one."""
    import manifold3d

    return manifold3d.Manifold(
        manifold3d.Mesh64(
            np.ascontiguousarray(mesh.vertices), np.ascontiguousarray(mesh.triangles, dtype=np.uint64)
        )
    )


def _read(source: MeshSource) -> Any:
    import trimesh  # slow to import, and most engines are not measured

    kind = Path(source.path).suffix[1:].lower()
    try:
        content = read_whole(source.path, MOST_BYTES)
        if kind == "glb":
            content = bare_glb(content, MOST_TRIANGLES)
        # without its name, so that nothing else is opened: textures, materials, parts of a model in other files
        mesh = trimesh.load_mesh(BytesIO(content), file_type=kind, skip_materials=True)
        # normals and texture seams double vertices, and every seam would look like an open edge
        mesh.merge_vertices(merge_tex=True, merge_norm=True)
        faces = np.sort(mesh.faces, axis=1)
        mesh.update_faces((faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]))
    except NotBare as packed:
        source.refuse("mesh_huge" if packed.huge else "mesh_packed", packed.what, packed.right or _decimate())
    except Exception:  # readers of many formats fail in as many ways on a spoiled file
        source.refuse(
            "mesh_unreadable", f"cannot be read as {kind.upper()}",
            "export the part again as STL, OBJ, PLY or GLB",
        )  # fmt: skip
    return mesh


def _require_closed(source: MeshSource, mesh: Any, vertices: Array) -> None:
    edges, uses = np.unique(np.sort(mesh.edges, axis=1), axis=0, return_counts=True)
    open_ = edges[uses == 1]
    if len(open_):
        middle = vertices[open_].mean(axis=1)
        source.refuse(
            "mesh_open", f"is not closed: {len(open_)} open edges, the first near {_at(middle[0])}",
            "fill the holes in a mesh editor",
        )  # fmt: skip
    shared = edges[uses % 2 == 1]
    if len(shared):
        middle = vertices[shared].mean(axis=1)
        source.refuse(
            "mesh_branching", f"is not a solid: three faces meet in {len(shared)} edges, one near {_at(middle[0])}",
            "remove inner faces in a mesh editor",
        )  # fmt: skip
    if not mesh.is_winding_consistent:
        source.refuse(
            "mesh_winding", "has triangles that face inwards beside others that face outwards",
            "recalculate its normals outwards and save it again",
        )  # fmt: skip


def _require_place(source: MeshSource, vertices: Array, low: Array, high: Array) -> None:
    """Refuse a part that is a wrong unit large or small, or stands somewhere else than the engine."""
    mine, implied = np.ptp(vertices, axis=0), high - low
    times = float(np.linalg.norm(mine) / np.linalg.norm(implied))
    if not 1 / LIKE < times < LIKE:
        for unit, factor in UNIT_MM.items():
            if 1 / LIKE < times * factor / UNIT_MM[source.unit] < LIKE:
                source.refuse(
                    "mesh_scale", f"is {_large(times)} too {'small' if times < 1 else 'large'}: it looks like "
                    f"{UNIT_WORDS[unit]}", f'write {source.key}_unit = "{unit}"',
                )  # fmt: skip
        source.refuse(
            "mesh_scale", f"is {mine.max():.4g} mm long where the engine file implies {implied.max():.4g} mm",
            f"scale it, or set {source.key}_unit",
        )  # fmt: skip
    shared = np.minimum(vertices.max(axis=0), high) - np.maximum(vertices.min(axis=0), low)
    for axis, share in zip("xyz", shared / implied, strict=True):
        if share < COVERED:
            k = "xyz".index(axis)
            source.refuse(
                "mesh_place", f"reaches from {axis} = {vertices[:, k].min():.1f} to {vertices[:, k].max():.1f} mm "
                f"where the engine file implies {low[k]:.1f} to {high[k]:.1f} mm",
                f"turn it into the part's frame, or move it with {source.key}_at",
            )  # fmt: skip


def _large(times: float) -> str:
    factor = times if times > 1 else 1 / times
    return f"about {factor:.0f} times"


def _at(point_mm: Array) -> str:
    return "(" + ", ".join(f"{value:.1f}" for value in point_mm) + ") mm"
