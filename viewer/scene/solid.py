"""Meshes to and from the solids library."""

from __future__ import annotations

import manifold3d
import numpy as np

from geometry.solids import Mesh


def as_solid(mesh: Mesh) -> manifold3d.Manifold | None:
    """A mesh as a solid, or None when it is not closed."""
    # The library takes writable arrays only, so these are copies.
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(
            np.array(mesh.vertices, order="C"), np.array(mesh.triangles, dtype=np.uint64, order="C")
        )
    )
    return None if solid.status() != manifold3d.Error.NoError or solid.is_empty() else solid


def as_mesh(solid: manifold3d.Manifold) -> Mesh:
    """The surface of a solid."""
    found = solid.to_mesh64()
    vertices = np.array(found.vert_properties, dtype=float)[:, :3]
    return Mesh(vertices, np.array(found.tri_verts, dtype=np.int32))
