"""The block for the eye: its webs bored for the shafts, slabs and barrels joined to them, then the bores bored."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.arrays import Array
from geometry.kinematics.poses import compose, translation
from geometry.parts.shapes import block_places, meshing
from geometry.parts.shapes.block_features import Slab, chamfer_mm, notch_spans
from geometry.parts.shapes.block_section import DECK_PLATE_MM, Bank, BlockSection
from geometry.parts.shapes.convex import region
from geometry.parts.shapes.meshing import ALONG_X, ROUND_SEGMENTS, arc
from geometry.solids import Mesh, rectangle

if TYPE_CHECKING:
    from manifold3d import Manifold

UNDER_MM: Final = 0.5
BEYOND_MM: Final = 1.0
"""How far cutters reach beyond the bottom of a bore and beyond other faces, so that no skin is left there."""


def block_mesh(section: BlockSection, slabs: Sequence[Slab]) -> Mesh:
    """Watertight surface of the block in the engine frame.

    What shares a frame is joined in that frame first: there, faces that lie in one plane do so to the last bit.
    """
    joined = []
    for X_EP, more in (
        (ALONG_X, [_bored_webs(section, slabs)]),
        *((bank.X_EB, [_barrel(bank, x) for x in bank.bores_x_mm]) for bank in section.banks),
    ):
        here = [extruded(slab) for slab in slabs if slab.X_AP is X_EP and not _is_bored(slab)]
        joined.append(meshing.transform(meshing.union([*here, *more]), X_EP))
    return meshing.to_mesh(meshing.difference(meshing.union(joined), list(_cutters(section))))


def _is_bored(slab: Slab) -> bool:
    """Whether the shafts run through a slab: the clearance pieces have their holes there and nowhere else."""
    return slab.X_AP is ALONG_X and bool(slab.holes)


def _bored_webs(section: BlockSection, slabs: Sequence[Slab]) -> Manifold:
    """The main webs and the bosses around the cam, bored for both shafts, their axis along z.

    What else stands in the line of a shaft keeps its metal: a lobe that meets a barrel is seen to.
    """
    webs = [extruded(slab) for slab in slabs if _is_bored(slab)]
    bosses = [_boss(section, web) for web in _webs_with_cam(section)]
    return meshing.difference(meshing.union([*webs, *bosses]), list(_shaft_cutters(section)))


def extruded(slab: Slab) -> Manifold:
    """A slab without its holes, in its own frame, its ends exactly where they were written.

    The library keeps outlines to eight decimals, but not as the nearest numbers; seven make them agree again.
    """
    low, high = slab.low_mm, slab.high_mm

    def to_ends(points: Array) -> Array:
        return np.column_stack([points[:, :2].round(7), np.where(points[:, 2] > (high - low) / 2, high, low)])

    return slab.outline.extrude(high - low).warp_batch(to_ends)


def _barrel(bank: Bank, x_mm: float) -> Manifold:
    """A barrel without its bore, up into the deck plate, in the bank's frame."""
    top = bank.deck_mm - DECK_PLATE_MM / 2
    return meshing.revolve(rectangle(0.0, bank.half_mm, bank.low_mm, top)).translate((x_mm, 0.0, 0.0))


def _webs_with_cam(section: BlockSection) -> range:
    return range(len(section.layout.main_x_mm) if section.spec.cam is not None else 0)


def _boss(section: BlockSection, web: int) -> Manifold:
    """The boss around a cam journal without its hole, its axis along z."""
    cam = section.spec.cam
    assert cam is not None
    low, high = section.web_ends_mm(web)
    around = arc(
        (cam.across_mm, cam.up_mm), cam.journal_mm / 2 + cam.tunnel_wall_mm, 0.0, 360.0, ROUND_SEGMENTS
    )
    return extruded(Slab(block_places.cam_tunnel(web), region(around[:-1]), low, high, ALONG_X))


def _cutters(section: BlockSection) -> Iterator[Manifold]:
    for bank in section.banks:
        for x in bank.bores_x_mm:
            X = compose(translation([x, 0.0, 0.0]), bank.X_EB)
            yield from (meshing.transform(cutter, X) for cutter in _bore_cutters(section, bank, x))


def _shaft_cutters(section: BlockSection) -> Iterator[Manifold]:
    """Main bore and cam tunnel over the length of the block, their axis along z."""
    length = section.layout.length_mm
    along = length + 2 * BEYOND_MM
    yield meshing.cylinder(section.main_bore_mm, along, translation([0.0, 0.0, length / 2]))
    cam = section.spec.cam
    if cam is not None:
        X = translation([cam.across_mm, cam.up_mm, length / 2])
        yield meshing.cylinder(cam.journal_mm / 2, along, X)


def _bore_cutters(section: BlockSection, bank: Bank, x_mm: float) -> Iterator[Manifold]:
    """The free space of one bore with its chamfer, and its notches, in the bore frame."""
    bank = bank.at_bore(x_mm)
    low, deck, radius, leg = bank.low_mm, bank.deck_mm, bank.radius_mm, chamfer_mm(section, bank)
    mouth = radius + (leg + UNDER_MM if leg > 0 else 0.0)  # the cone of the chamfer runs on below the bore
    profile = [[0.0, low - UNDER_MM], [mouth, low - UNDER_MM], [radius, low + leg]]
    yield meshing.revolve([*profile, [radius, deck + BEYOND_MM], [0.0, deck + BEYOND_MM]])
    notch = section.spec.block.bore.notch
    if notch is None:
        return
    top = low + min(notch.height_mm, bank.roof_mm - low)
    cut = rectangle(0.0, min(radius + notch.depth_mm, bank.half_mm + BEYOND_MM), low - UNDER_MM, top)
    for start, end in notch_spans(section, bank, x_mm):
        yield meshing.revolve(cut, start, end)
