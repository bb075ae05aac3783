"""Many items in few actors: whatever rides on one frame and is equally solid is drawn in one go.

A V8 has some hundred bodies but about twenty frames; with one actor per frame a turn of the crank changes twenty
matrices and makes twenty draw calls. Materials differ inside an actor by a palette: each vertex carries its
colour and a place in a small texture that holds roughness and metalness. Each triangle knows its item, so that a
click finds the part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkTexture

from geometry.arrays import Array
from viewer.draw.glass import outside
from viewer.draw.light import colour_texture
from viewer.draw.vtk_calls import to_vtk
from viewer.looks import LOOKS, look_of, machined_look
from viewer.scene import Item, Scale
from viewer.scene.nearness import colours
from viewer.scene.shading import coarse, shaded

ITEM = "item"
LOOK_NAMES = tuple(LOOKS)
GLASS = 0.5
"""Below this opacity a part is drawn as clear glass, whatever it is made of."""
EDGE_SHARE = (0.34, 0.40)
"""Strength of the edges of solid parts and of glass."""
FAST_TOLERANCE_MM = 0.35
"""How far a coarse mesh may lie off the true one while the crank moves: under half a pixel on the whole engine."""


@dataclass(slots=True)
class Batch:
    """The actors of one frame and one solidity; ``items`` by their number in the triangles."""

    items: tuple[Item, ...]
    opacity: float
    flat: bool
    scale: Scale | None
    matrix: vtkMatrix4x4
    fine: vtkActor
    edges: vtkActor | None
    fast: vtkActor | None = None
    """Made when the crank first moves; a still never needs it."""

    @property
    def actors(self) -> tuple[vtkActor, ...]:
        """All that have been made."""
        return tuple(a for a in (self.fine, self.edges, self.fast) if a is not None)

    def show(self, renderer: vtkRenderer, moving: bool) -> None:
        """Choose between the fine and the fast actors."""
        if moving and self.fast is None:
            self.fast = self._make_fast()
            self.fast.SetUserMatrix(self.matrix)
            renderer.AddViewProp(self.fast)
        self.fine.SetVisibility(not moving)
        if self.fast is not None:
            self.fast.SetVisibility(moving)
        if self.edges is not None:
            self.edges.SetVisibility(not moving)

    def item_of(self, actor: vtkActor | None, cell: int) -> Item | None:
        """The item that a triangle of one of the actors belongs to."""
        if actor is None or actor not in (self.fine, self.fast) or cell < 0:
            return None
        owner = actor.GetMapper().GetInput().GetCellData().GetArray(ITEM)
        return self.items[int(owner.GetValue(cell))] if owner is not None else None

    def _make_fast(self) -> vtkActor:
        """A cheap stand-in: coarse surfaces, seen from outside only; of glass no more than the edges."""
        if self.opacity < GLASS:
            edges = edge_actor(self.items, self.opacity, coarsely=True)
            return edges if edges is not None else vtkActor()
        lean = _merged(self.items, self.scale, self.opacity, coarsely=True)
        actor = _surface(lean, self.opacity, fine=False, flat=self.flat)
        actor.GetProperty().BackfaceCullingOn()
        return actor


Kind = tuple[str, float, bool]
"""Frame, opacity, and whether the light is left out of it."""


def grouped(items: Sequence[Item]) -> dict[Kind, tuple[Item, ...]]:
    """Visible items by what one actor can hold."""
    found: dict[Kind, list[Item]] = {}
    for item in items:
        if item.visible and len(item.mesh.triangles):
            kind = (item.frame, round(item.opacity, 3), look_of(item.look).flat)
            found.setdefault(kind, []).append(item)
    return {key: tuple(members) for key, members in found.items()}


def make_batch(
    renderer: vtkRenderer, kind: Kind, items: tuple[Item, ...], scale: Scale | None, matrix: vtkMatrix4x4
) -> Batch:
    """Build the fine actors of one kind and put them into a renderer."""
    _, opacity, flat = kind
    fine = _surface(_merged(items, scale, opacity, coarsely=False), opacity, fine=True, flat=flat)
    batch = Batch(items, opacity, flat, scale, matrix, fine, edge_actor(items, opacity))
    for actor in batch.actors:
        actor.SetUserMatrix(matrix)
        renderer.AddViewProp(actor)
    return batch


def _merged(items: Sequence[Item], scale: Scale | None, opacity: float, *, coarsely: bool) -> pv.PolyData:
    points, normals, triangles, colour, place, owner = [], [], [], [], [], []
    start = 0
    for number, item in enumerate(items):
        lean = coarsely and item.values_mm is None
        part = shaded(coarse(item.mesh, FAST_TOLERANCE_MM) if lean else item.mesh)
        shown = part.triangles[outside(item.mesh)] if opacity < GLASS else part.triangles
        rotation, shift = item.X_FA[:3, :3], item.X_FA[:3, 3]
        points.append(part.vertices @ rotation.T + shift)
        normals.append(part.normals @ rotation.T)
        triangles.append(shown + start)
        count = len(part.vertices)
        start += count
        name = "glass" if opacity < GLASS else "heat" if item.values_mm is not None else item.look
        finer = machined_look(name)
        colour.append(
            np.where(
                part.turned[:, None],
                _vertex_colours(item, finer, part.source, scale, count),
                _vertex_colours(item, name, part.source, scale, count),
            )
        )
        place.append(np.where(part.turned, _column(finer), _column(name)))
        owner.append(np.full(len(shown), number, dtype=np.int32))
    vertices: NDArray[Any] = np.vstack(points).astype(np.float32)
    faces: NDArray[Any] = np.vstack(triangles)
    surface: pv.PolyData = pv.PolyData.from_regular_faces(vertices, faces)
    data = surface.GetPointData()
    data.SetNormals(to_vtk(np.vstack(normals).astype(np.float32), "Normals"))
    data.SetScalars(to_vtk(np.vstack(colour), "colour"))
    column = (np.concatenate(place) + 0.5) / len(LOOK_NAMES)
    data.SetTCoords(
        to_vtk(np.column_stack([column, np.full(len(column), 0.5)]).astype(np.float32), "palette")
    )
    surface.GetCellData().AddArray(to_vtk(np.concatenate(owner), ITEM))
    return surface


def _column(look: str) -> int:
    """Where a look stands in the palette; an unknown one reads as steel."""
    return LOOK_NAMES.index(look if look in LOOKS else "steel")


def _vertex_colours(
    item: Item, look: str, source: NDArray[np.int32], scale: Scale | None, count: int
) -> NDArray[np.uint8]:
    if item.values_mm is not None and scale is not None:
        chosen = colours(scale, item.values_mm[source])
    else:
        chosen = np.tile(look_of(look).colour, (count, 1))
    return np.asarray(np.round(chosen * 255.0), dtype=np.uint8)


@lru_cache(maxsize=1)
def _palette() -> vtkTexture:
    """Occlusion, roughness and metalness of every look, one texel each."""
    texels = [(255, round(255 * look.roughness), round(255 * look.metallic)) for look in LOOKS.values()]
    return colour_texture(np.array([texels], dtype=np.uint8), smooth=False)


def _surface(surface: pv.PolyData, opacity: float, *, fine: bool, flat: bool) -> vtkActor:
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(surface)
    mapper.SetColorModeToDirectScalars()
    mapper.ScalarVisibilityOn()
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetOpacity(opacity)
    if fine:
        look.SetInterpolationToPBR()
        look.SetMetallic(1.0)
        look.SetRoughness(1.0)
        look.SetORMTexture(_palette())
    else:
        look.SetInterpolationToPhong()
        look.SetAmbient(0.36)
        look.SetDiffuse(0.85)
        look.SetSpecular(0.22)
        look.SetSpecularPower(22.0)
    if opacity < 1.0:
        look.BackfaceCullingOn()
        actor.PickableOff()
    if flat:
        look.SetInterpolationToFlat()
        look.LightingOff()
    return actor


def edge_actor(items: Sequence[Item], opacity: float, *, coarsely: bool = False) -> vtkActor | None:
    """Sharp edges as thin lines; through glass they are what shows its shape."""
    found = []
    for item in items:
        mesh = coarse(item.mesh, FAST_TOLERANCE_MM) if coarsely else item.mesh
        part = shaded(mesh)
        ends = part.edges
        if len(ends) and opacity < GLASS:
            ends = ends[outside(mesh)[part.beside].any(axis=1)]
        if len(ends):
            found.append(ends @ item.X_FA[:3, :3].T + item.X_FA[:3, 3])
    if not found:
        return None
    actor = line_actor(np.vstack(found), LOOKS["glass edge" if coarsely else "edge"].colour, 1.0)
    if not coarsely:
        actor.GetProperty().SetOpacity(EDGE_SHARE[opacity < GLASS])
    actor.PickableOff()
    return actor


def line_actor(segments_mm: Array, colour: tuple[float, float, float], width_px: float) -> vtkActor:
    """Line segments (k, 2, 3) in one actor, lit by nothing."""
    points = np.asarray(segments_mm, dtype=np.float32).reshape(-1, 3)
    count = len(points) // 2
    lines = np.column_stack([np.full(count, 2), np.arange(0, 2 * count, 2), np.arange(1, 2 * count, 2)])
    data = pv.PolyData()
    data.points = points
    data.lines = lines.ravel()
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    actor = vtkActor()
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.SetColor(*colour)
    look.SetLineWidth(width_px)
    look.LightingOff()
    return actor
