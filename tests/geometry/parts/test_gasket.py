"""Gaskets against closed forms."""

from math import pi, sin

import numpy as np
import pytest

from geometry.parts.shapes import meshing
from geometry.parts.shapes.mass import mesh_properties
from geometry.parts.shapes.meshing import BORE_SEGMENTS
from tests.geometry.fleet import NAMES, assembly, spec

FACETS = BORE_SEGMENTS / (2 * pi) * sin(2 * pi / BORE_SEGMENTS)


def gaskets(name):
    return [body for body in assembly(name).bodies if body.part.kind == "gasket"]


@pytest.mark.parametrize("name", NAMES)
def test_one_lies_on_each_deck(name):
    engine = spec(name)
    banks = engine.engine.numbering.banks()
    assert len(gaskets(name)) == len(banks)
    for body in gaskets(name):
        low, high = body.part.mesh.vertices[:, 2].min(), body.part.mesh.vertices[:, 2].max()
        assert low == pytest.approx(engine.block.deck_height_mm)
        assert high - low == pytest.approx(engine.gasket.thickness_mm)
        bank = body.name.removeprefix("gasket").strip() or "line"
        assert body.part.features[0].behind == set(banks[bank])  # no piston of its bank can reach it


@pytest.mark.parametrize("name", NAMES)
def test_volume_is_plate_less_openings(name):
    engine = spec(name)
    for body in gaskets(name):
        spans = np.ptp(body.part.mesh.vertices, axis=0)
        bank = body.name.removeprefix("gasket").strip() or "line"
        bores = len(engine.engine.numbering.banks()[bank])
        area = spans[0] * spans[1] - bores * pi * engine.gasket.bore_mm**2 / 4 * FACETS
        volume = mesh_properties(body.part.mesh, 1.0).volume_mm3
        assert volume == pytest.approx(area * engine.gasket.thickness_mm, rel=1e-6)
        pieces = meshing.union([meshing.piece_solid(p) for f in body.part.features for p in f.pieces])
        assert pieces.volume() == pytest.approx(volume, rel=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_openings_stand_over_the_bores(name):
    engine = spec(name)
    for body in gaskets(name):
        vertices = body.part.mesh.vertices
        bank = body.name.removeprefix("gasket").strip() or "line"
        for site in assembly(name).layout.bores:
            if site.bank == bank:
                out = np.hypot(vertices[:, 0] - site.x_mm, vertices[:, 1])
                assert out.min() == pytest.approx(engine.gasket.bore_mm / 2, abs=1e-6)
