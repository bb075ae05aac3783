"""A measured rod with its cap: parted at the joint, and what each stretch of its surface is called."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.feature import Feature, Group
from geometry.measured.load import MeshSource, read_measured, solid_of
from geometry.measured.patches import Stretches, patch_features
from geometry.parts.part import Part
from geometry.parts.shapes import meshing
from geometry.parts.shapes.rod_shape import BIG_END_FITS, BLADE_FITS, SMALL_END_FITS
from geometry.solids import Mesh
from geometry.spec.rod import Rod

JOINT: Final = (0.0, 0.0, 1.0)


def measured_part(rod: Rod, kind: str) -> Part:
    """The ``rod`` or the ``rod_cap`` of a measured mesh.

    The mesh for the eye is parted at the joint; the triangles for clearance are those of the file, each with
    the part that its middle lies on.

    Raises
    ------
    GeometryError
        The file cannot stand for the rod.
    """
    assert rod.mesh is not None
    x, y, z = rod.mesh_at_mm
    low, high = implied_box(rod)
    mesh = read_measured(MeshSource("rod.mesh", rod.mesh, rod.mesh_unit, (x, y, z)), low, high)
    above = mesh.vertices[mesh.triangles].mean(axis=1)[:, 2] >= 0
    mine = mesh.triangles[above if kind == "rod" else ~above]
    surface = Mesh(mesh.vertices, mine)
    features = patch_features(surface, stretches(rod, surface.vertices[surface.triangles]))

    def build() -> Mesh:
        halves = solid_of(mesh).split_by_plane(JOINT, 0.0)
        return meshing.to_mesh(halves[0 if kind == "rod" else 1])

    return Part(kind, rod.material, features, build)


def implied_box(rod: Rod) -> tuple[Array, Array]:
    """Corners (3,), (3,) of the box that the engine file's numbers give rod and cap."""
    across = max(rod.big_end.outside_mm / 2, (rod.bolt.spacing_mm + rod.bolt.diameter_mm) / 2)
    half = max(rod.big_end.width_mm, rod.small_end.width_mm) / 2
    top = rod.length_mm + rod.small_end.outside_mm / 2
    return np.array([-half, -across, -rod.cap.height_mm]), np.array([half, across, top])


def stretches(rod: Rod, corners: Array) -> Stretches:
    """Cap, big end, blade and small end, and which of the triangles (n, 3, 3) lie there."""
    height = corners.mean(axis=1)[:, 2]
    small = rod.length_mm - rod.small_end.outside_mm / 2
    bounds = (-np.inf, 0.0, rod.big_end.outside_mm / 2, small, np.inf)
    fits = (BIG_END_FITS, BIG_END_FITS, BLADE_FITS, SMALL_END_FITS)
    return [
        (
            Feature("measured_rod", (), place, group=Group.ROD, runs_in=runs_in),
            (height >= low) & (height < high),
        )
        for place, runs_in, (low, high) in zip(
            ("cap", "big end", "blade", "small end"), fits, pairwise(bounds), strict=True
        )
    ]
