"""The cylinder block: bores, decks, crankcase, main webs, cam tunnel and pan rail, in the engine frame.

A measured mesh stands in for all of it where the engine file names one.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from geometry.built import Built
from geometry.kinematics.layout import Layout
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes.block_features import block_features, block_slabs
from geometry.parts.shapes.block_measured import measured_block
from geometry.parts.shapes.block_mesh import block_mesh
from geometry.parts.shapes.block_section import block_section
from geometry.spec.engine import Engine


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """The block, standing still."""
    section = block_section(spec, layout)
    material = spec.block.material
    if spec.block.mesh is not None:
        mesh, features = measured_block(section)
        return [Body("block", Part("block", material, features, lambda: mesh), "E")]
    slabs = block_slabs(section)
    features = block_features(section, slabs)
    return [Body("block", Part("block", material, features, partial(block_mesh, section, slabs)), "E")]


PART = PartType("block", bodies)
