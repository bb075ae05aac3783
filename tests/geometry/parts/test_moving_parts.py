"""What holds for every moving part of the whole fleet: closed surfaces, facing out, covered by exact pieces."""

import numpy as np
import pytest
import trimesh

from geometry.collision.support import circles_of
from geometry.parts.shapes.mass import mass_properties
from tests.geometry.fleet import NAMES, assembly

MOVING = ("piston", "piston_pin", "rod", "rod_cap", "rod_bolt", "bearing_shell", "crank", "cam", "top_ring",
          "second_ring", "upper_rail", "expander", "lower_rail")  # fmt: skip


def parts(name, kinds=MOVING):
    return {id(b.part): b.part for b in assembly(name).bodies if b.part.kind in kinds}.values()


@pytest.mark.parametrize("name", NAMES)
def test_every_surface_is_closed_and_faces_out(name):
    # Independent: trimesh's own predicates.
    for part in parts(name):
        mesh = trimesh.Trimesh(part.mesh.vertices, part.mesh.triangles, process=False)
        assert mesh.is_watertight, part.kind
        assert mesh.is_winding_consistent, part.kind
        assert mesh.volume > 0, part.kind


@pytest.mark.parametrize("name", ["tern", "dunlin"])
def test_mass_centre_and_inertia_agree_with_a_mesh_library(name):
    # Independent: trimesh's mass properties at unit density.
    for part in parts(name):
        found = mass_properties(part)
        mesh = trimesh.Trimesh(part.mesh.vertices, part.mesh.triangles, process=False)
        assert found.volume_mm3 == pytest.approx(mesh.volume, rel=1e-9)
        assert found.centre_mm == pytest.approx(mesh.center_mass, abs=1e-6)
        density = found.mass_kg / found.volume_mm3
        assert found.inertia_kg_mm2 == pytest.approx(density * mesh.moment_inertia, rel=1e-6, abs=1e-4)


def support(piece, directions):
    """Largest reach of a piece in each direction, from its circles: max of c.n + r |n square to the axis|."""
    circles = circles_of(piece)
    across = np.sqrt(np.maximum(0.0, 1.0 - (directions @ circles.axis) ** 2))
    return (directions @ circles.centre_mm.T + across[:, None] * circles.radius_mm).max(axis=1)


@pytest.mark.parametrize("name", NAMES)
def test_no_surface_reaches_outside_its_exact_pieces(name):
    # In 400 directions the mesh may not reach farther than its pieces, which the clearances are computed from.
    rng = np.random.default_rng(7)
    directions = rng.normal(size=(400, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    for part in parts(name, ("piston", "rod", "rod_cap", "rod_bolt", "crank", "cam")):
        reach = (directions @ part.mesh.vertices.T).max(axis=1)
        held = np.max([support(piece, directions) for f in part.features for piece in f.pieces], axis=0)
        assert (reach - held).max() <= 1e-6, part.kind
