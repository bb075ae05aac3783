"""Glass shows the outside of a part alone: no wall and no edge within it, and neither is drawn when it moves."""

import numpy as np
import pytest

from geometry.solids import Mesh
from viewer.draw.batches import edge_actor, grouped, make_batch
from viewer.draw.glass import outside
from viewer.scene import Item
from viewer.scene.shading import shaded

SIGNS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
# Faces of a cube whose corners are numbered by x, y, z, seen from outside counter-clockwise.
FACES = np.array([[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]])


def cube(half):
    triangles = np.vstack([FACES[:, [0, 1, 2]], FACES[:, [0, 2, 3]]])
    return half * SIGNS, triangles


@pytest.fixture(scope="module")
def hollow():
    """A cube of 20 with a hollow of 12 in it."""
    (outer, out), (inner, within) = cube(10.0), cube(6.0)
    return Mesh(np.vstack([outer, inner]), np.vstack([out, within[:, ::-1] + 8]).astype(np.int32))


def test_the_walls_of_a_hollow_are_not_outside(hollow):
    assert outside(hollow).tolist() == [True] * 12 + [False] * 12


def test_each_edge_knows_its_two_triangles(hollow):
    part = shaded(hollow)
    corners = hollow.vertices[hollow.triangles]
    for (start, end), sides in zip(part.edges, part.beside, strict=True):
        for side in sides:
            for point in (start, end):
                assert np.abs(corners[side] - point).sum(axis=1).min() == 0.0


def test_neither_faces_nor_edges_within_are_drawn(hollow):
    from vtkmodules.vtkCommonMath import vtkMatrix4x4
    from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

    item = Item("box", hollow, "E", "steel", "block")
    for opacity, triangles, edges in ((1.0, 24, 24), (0.11, 12, 12)):
        glass = Item("box", hollow, "E", "steel", "block", opacity=opacity)
        ((kind, items),) = grouped([glass]).items()
        batch = make_batch(vtkOpenGLRenderer(), kind, items, None, vtkMatrix4x4())
        assert batch.fine.GetMapper().GetInput().GetNumberOfCells() == triangles
        assert batch.edges.GetMapper().GetInput().GetNumberOfCells() == edges
    moving = edge_actor([item], 0.11, coarsely=True)
    assert moving.GetMapper().GetInput().GetNumberOfCells() == 12
