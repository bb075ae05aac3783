"""How far a point lies from a part as it stands, by a mesh library, and how far facets lie from the true surface."""

import numpy as np
import trimesh

FACETS_MM = 0.1
"""How far a faceted surface may lie inside the circle that it stands for."""


def off_surface_mm(assembly, name, point_mm, crank_deg):
    """Distance of a point (3,) of E from the surface of a body at a crank angle."""
    mesh = assembly.body(name).part.mesh
    X_PE = np.linalg.inv(assembly.pose(name, crank_deg))
    at = X_PE[:3, :3] @ np.asarray(point_mm) + X_PE[:3, 3]
    surface = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    return float(trimesh.proximity.closest_point_naive(surface, at[None, :])[1][0])


def sagitta_mm(radius_mm, segments):
    """How far the middle of a facet lies inside the true circle, by plane geometry."""
    return radius_mm * (1.0 - np.cos(np.pi / segments))
