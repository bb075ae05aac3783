"""The block for the eye: its slabs and barrels joined, then every round hole bored."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from geometry.parts import meshing
from geometry.parts.block_features import Slab, bore_profile, cam_tunnel, pan_rails
from geometry.parts.block_section import Bank, Section
from geometry.parts.meshing import ALONG_X
from geometry.parts.solids import Array, Mesh
from geometry.poses import compose, translation

if TYPE_CHECKING:
    from manifold3d import Manifold

BEYOND_MM = 1.0
"""How far a cutter reaches beyond the face it cuts, so that no skin of no thickness is left."""


def block_mesh(section: Section, slabs: Sequence[Slab]) -> Mesh:
    """Watertight surface of the block in the engine frame."""
    solid = [extruded(slab) for slab in slabs]
    solid += [meshing.piece_solid(rail) for _, rail in pan_rails(section)]
    for bank in section.banks:
        solid += [_barrel(bank, x) for x in bank.bores_x_mm]
    if section.spec.cam is not None:
        solid += [
            _disc_of(cam_tunnel(section, web).profile_mm, section)
            for web in range(len(section.layout.main_x_mm))
        ]
    return meshing.to_mesh(meshing.difference(meshing.union(solid), list(_cutters(section))))


def extruded(slab: Slab) -> Manifold:
    """A slab without its holes, in the frame of its part."""
    low, high = slab.low_mm, slab.high_mm
    return meshing.transform(slab.outline.extrude(high - low).translate((0.0, 0.0, low)), slab.X_AP)


def _barrel(bank: Bank, x_mm: float) -> Manifold:
    profile = [
        [0.0, bank.low_mm],
        [bank.half_mm, bank.low_mm],
        [bank.half_mm, bank.deck_mm],
        [0.0, bank.deck_mm],
    ]
    return meshing.transform(meshing.revolve(profile), compose(translation([x_mm, 0.0, 0.0]), bank.X_EB))


def _disc_of(ring: Array, section: Section) -> Manifold:
    """A cam boss without its hole."""
    cam = section.spec.cam
    assert cam is not None
    radius, low, high = ring[:, 0].max(), ring[:, 1].min(), ring[:, 1].max()
    X = compose(translation([(low + high) / 2, cam.across_mm, cam.up_mm]), ALONG_X)
    return meshing.cylinder(radius, high - low, X)


def _cutters(section: Section) -> Iterator[Manifold]:
    for bank in section.banks:
        for x in bank.bores_x_mm:
            X = compose(translation([x, 0.0, 0.0]), bank.X_EB)
            yield from (meshing.transform(cutter, X) for cutter in _bore_cutters(section, bank))
    length = section.layout.length_mm
    along = length + 2 * BEYOND_MM
    yield meshing.cylinder(section.main_bore_mm, along, compose(translation([length / 2, 0.0, 0.0]), ALONG_X))
    cam = section.spec.cam
    if cam is not None:
        X = compose(translation([length / 2, cam.across_mm, cam.up_mm]), ALONG_X)
        yield meshing.cylinder(cam.journal_mm / 2, along, X)


def _bore_cutters(section: Section, bank: Bank) -> Iterator[Manifold]:
    """The free space of one bore with its chamfer, and its notches, in the bore frame."""
    wall = bore_profile(section, bank)
    mouth, low, deck, radius = wall[0, 0], bank.low_mm, bank.deck_mm, bank.radius_mm
    start = low + (mouth - radius)
    profile = [[0.0, low - BEYOND_MM], [mouth, low - BEYOND_MM], [mouth, low], [radius, start]]
    yield meshing.revolve([*profile, [radius, deck + BEYOND_MM], [0.0, deck + BEYOND_MM]])
    notch = section.spec.block.bore.notch
    if notch is None:
        return
    half = float(np.degrees(np.arcsin(min(1.0, notch.width_mm / (2 * radius)))))
    major = 90.0 if section.layout.sense > 0 else 270.0
    top, cut = (
        low + min(notch.height_mm, bank.roof_mm - low),
        min(radius + notch.depth_mm, bank.half_mm + BEYOND_MM),
    )
    for centre in {"both": (90.0, 270.0), "major": (major,), "minor": (360.0 - major,)}[notch.sides]:
        corners = [[0.0, low - BEYOND_MM], [cut, low - BEYOND_MM], [cut, top], [0.0, top]]
        yield meshing.revolve(corners, centre - half, centre + half)
