"""The block as slabs and turned walls: one list that both the clearance pieces and the mesh are made from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from manifold3d import CrossSection

from geometry.arrays import Array
from geometry.feature import Feature
from geometry.kinematics.poses import compose, translation
from geometry.parts.shapes import block_places
from geometry.parts.shapes.block_section import (
    DECK_PLATE_MM,
    OVERLAP_MM,
    ROOF_PLATE_MM,
    SKIN_MM,
    Bank,
    BlockSection,
    Side,
)
from geometry.parts.shapes.convex import SMALLEST_AREA_MM2, polygon_between, prisms, region
from geometry.parts.shapes.meshing import ALONG_X
from geometry.solids import Piece, Revolved, rectangle

RING_MM: Final = 4.0
"""Thickness of the turned wall around a main bore; flat-sided pieces begin behind it."""
THINNEST_MM: Final = 0.5
HOLLOW_MM: Final = 2.0
HOLLOW_CORNERS: Final = 24
"""The hollows under the bores stand this far outside them; they are true polygons, in mesh and pieces alike."""


@dataclass(frozen=True, slots=True, eq=False)
class Slab:
    """A plane region with thickness, and the place of the block that it makes, a feature still without pieces.

    ``outline`` is the region before round holes are made; ``holes`` are the polygons taken out of it for the
    clearance pieces, each lying inside the turned wall of its round hole. ``parted`` where the pieces are told
    apart by the barrels that they stand beside.
    """

    of: Feature
    outline: CrossSection
    low_mm: float
    high_mm: float
    X_AP: Array
    holes: tuple[Array, ...] = ()
    parted: bool = False

    def pieces(self) -> list[Piece]:
        """The slab with its holes as exact convex prisms."""
        shape = self.outline
        if self.holes:
            shape = shape - region(*self.holes)
        return list(prisms(shape, self.low_mm, self.high_mm, self.X_AP))


def block_slabs(section: BlockSection) -> list[Slab]:
    """Every flat-sided part of the block."""
    slabs: list[Slab] = list(_pan_rails(section))
    for bank in section.banks:
        slabs += _bank_slabs(bank)
    for bay in range(len(section.layout.main_x_mm) - 1):
        slabs += _walls(section, bay)
    for web in range(len(section.layout.main_x_mm)):
        slabs += _web(section, web)
    return [slab for slab in slabs if slab.outline.area() > SMALLEST_AREA_MM2]


def block_features(section: BlockSection, slabs: Sequence[Slab]) -> tuple[Feature, ...]:
    """Every place of the block that a builder would point at, in the engine frame."""
    grouped: dict[tuple[str, str, str], tuple[Feature, list[Piece]]] = {}
    for of, pieces in _placed_pieces(section, slabs):
        grouped.setdefault((of.name, of.place, of.part), (of, []))[1].extend(pieces)
    return tuple(replace(of, pieces=tuple(pieces)) for of, pieces in grouped.values())


def _placed_pieces(section: BlockSection, slabs: Sequence[Slab]) -> Iterator[tuple[Feature, Sequence[Piece]]]:
    for bank in section.banks:
        for bore, x in zip(bank.bores, bank.bores_x_mm, strict=True):
            yield block_places.bore_wall(bank, bore), bore_walls(section, bank, x)
    for slab in slabs:
        for part in _by_barrels(section, slab) if slab.parted else (slab,):
            yield part.of, part.pieces()
    for web in range(len(section.layout.main_x_mm)):
        yield block_places.main_web(web), [main_bore_wall(section, web)]
        if section.spec.cam is not None:
            yield block_places.cam_tunnel(web), [cam_tunnel(section, web)]


def _pan_rails(section: BlockSection) -> Iterator[Slab]:
    """The pan rail, right and left, over the length of the block."""
    rail = section.spec.block.pan_rail
    inner, outer = rail.inside_mm, rail.inside_mm + rail.width_mm
    low, high = rail.height_mm, rail.height_mm + rail.thickness_mm
    for place, across in (("right", (inner, outer)), ("left", (-outer, -inner))):
        shape = region(rectangle(*across, low, high))
        yield Slab(block_places.pan_rail(place), shape, 0.0, section.layout.length_mm, ALONG_X)


def bore_walls(section: BlockSection, bank: Bank, x_mm: float) -> list[Revolved]:
    """The wall of one bore: chamfered all round, or in sectors where notches are cut."""
    bank = bank.at_bore(x_mm)
    X = compose(translation([x_mm, 0.0, 0.0]), bank.X_EB)
    whole = bore_profile(section, bank)
    notch = section.spec.block.bore.notch
    if notch is None:
        return [Revolved(whole, X_AP=X, outward=True)]
    spans = notch_spans(section, bank, x_mm)
    walls = []
    for (start, end), (following, _) in zip(spans, [*spans[1:], spans[0]], strict=True):
        for profile in notch_profiles(section, bank):
            walls.append(Revolved(profile, start, end, X, outward=True))
        walls.append(
            Revolved(whole, end, following + (360.0 if following <= start else 0.0), X, outward=True)
        )
    return walls


def notch_spans(section: BlockSection, bank: Bank, x_mm: float) -> list[tuple[float, float]]:
    """Where the notches of the bore at ``x_mm`` begin and end, degrees from +x towards +y of the bore frame."""
    notch = section.spec.block.bore.notch
    assert notch is not None
    middle = notch.offset_mm * towards_partner(section, bank, x_mm)
    # At ``a`` degrees from the crank's direction a point of the bore stands radius times cos(a) along it.
    ends = [(middle + side * notch.width_mm / 2) / bank.radius_mm for side in (1.0, -1.0)]
    start, end = (float(np.degrees(np.arccos(np.clip(share, -1.0, 1.0)))) for share in ends)
    at_right = {"both": (True, False), **{
        side: (is_right(section, bank, side),) for side in ("major", "minor", "inboard", "outboard")
    }}[notch.sides]  # fmt: skip
    return [(start, end) if right else (360.0 - end, 360.0 - start) for right in at_right]


def is_right(section: BlockSection, bank: Bank, side: str) -> bool:
    """Whether a side of a bore is the one at +y of its frame; inboard is towards the middle of a vee."""
    if side in ("inboard", "outboard"):
        return (bank.bank_deg > 0) == (side == "inboard")
    return (section.layout.sense > 0) == (side == "major")


def towards_partner(section: BlockSection, bank: Bank, x_mm: float) -> float:
    """+1 where the bore that shares the throw of the bore at ``x_mm`` stands behind it, -1 in front, 0: none."""
    bore = bank.bores[bank.bores_x_mm.index(x_mm)]
    partner = section.layout.site(bore).partner
    return 0.0 if partner is None else float(np.sign(section.layout.site(partner).x_mm - x_mm))


def chamfer_mm(section: BlockSection, bank: Bank) -> float:
    """Leg of the chamfer at the bottom of the bores, at most as large as the barrel can take."""
    return min(section.spec.block.bore.chamfer_mm, 0.9 * (bank.half_mm - bank.radius_mm))


def bore_profile(section: BlockSection, bank: Bank) -> Array:
    """(5, 2) radius and height of a bore's wall in the bore frame, the chamfer cut off its lower inner edge."""
    chamfer = chamfer_mm(section, bank)
    inner, outer, low, deck = bank.radius_mm, bank.half_mm, bank.low_mm, bank.deck_mm
    profile = [[inner + chamfer, low], [outer, low], [outer, deck], [inner, deck], [inner, low + chamfer]]
    return np.array(profile[: 5 if chamfer > 0 else 4])


def notch_profiles(section: BlockSection, bank: Bank) -> list[Array]:
    """The wall within a notch: the full wall above it and what is left of the wall beside it, if anything."""
    notch = section.spec.block.bore.notch
    assert notch is not None
    inner, outer, low, deck = bank.radius_mm, bank.half_mm, bank.low_mm, bank.deck_mm
    top, cut = low + min(notch.height_mm, bank.roof_mm - low), inner + notch.depth_mm
    profiles = [rectangle(inner, outer, top, deck)]
    if outer - cut > THINNEST_MM:
        profiles.append(rectangle(cut, outer, low, top))
    return profiles


def main_bore_wall(section: BlockSection, web: int) -> Revolved:
    """The upper half of a main bore, turned about the crank axis; its ends lie radially at the joint."""
    low, high = section.web_ends_mm(web)
    inner = section.main_bore_mm
    dip = float(np.degrees(np.arcsin(np.clip(section.spec.block.web_bottom_mm / inner, -0.9, 0.9))))
    return Revolved(rectangle(inner, inner + RING_MM, low, high), dip, 180.0 - dip, ALONG_X)


def cam_tunnel(section: BlockSection, web: int) -> Revolved:
    """The boss around a cam journal in one web."""
    cam = section.spec.cam
    assert cam is not None
    low, high = section.web_ends_mm(web)
    inner = cam.journal_mm / 2
    X = compose(translation([0.0, cam.across_mm, cam.up_mm]), ALONG_X)
    return Revolved(rectangle(inner, inner + cam.tunnel_wall_mm, low, high), X_AP=X)


def bore_polygons(bank: Bank) -> tuple[Array, ...]:
    """A polygon (k, 2) within each barrel, in (x, y) of the bank's frame."""
    return tuple(polygon_between(bank.at_bore(x).radius_mm, bank.half_mm) + [x, 0.0] for x in bank.bores_x_mm)


def hollows(section: BlockSection, bank: Bank) -> tuple[Array, ...]:
    """The many-cornered hollow (k, 2) under each bore, a little wider than the bore and its chamfer."""
    room = max(HOLLOW_MM, chamfer_mm(section, bank) + HOLLOW_MM / 2)
    at = (np.arange(HOLLOW_CORNERS) + 0.5) * (2 * np.pi / HOLLOW_CORNERS)
    around, out = np.column_stack([np.cos(at), np.sin(at)]), np.cos(np.pi / HOLLOW_CORNERS)
    return tuple((bank.at_bore(x).radius_mm + room) / out * around + [x, 0.0] for x in bank.bores_x_mm)


def bank_outline(bank: Bank) -> CrossSection:
    """A bank seen from its deck."""
    return region(rectangle(0.0, bank.length_mm, -bank.before_mm, bank.beyond_mm))


def _bank_slabs(bank: Bank) -> list[Slab]:
    """Deck, roof of the crankcase and the skins between; what they leave free is the water jacket."""
    holes, outline = bore_polygons(bank), bank_outline(bank)

    def slab(of: Feature, shape: CrossSection, low: float, high: float) -> Slab:
        return Slab(of, shape, low, high, bank.X_EB, holes)

    deck, roof = bank.deck_mm - DECK_PLATE_MM, bank.roof_mm + ROOF_PLATE_MM
    if deck - roof < ROOF_PLATE_MM:
        middle = (bank.deck_mm + bank.roof_mm) / 2
        return [
            slab(block_places.deck(bank), outline, middle, bank.deck_mm),
            slab(block_places.roof(bank), outline, bank.roof_mm, middle),
        ]
    across = (-_jacket(bank, bank.before_mm), _jacket(bank, bank.beyond_mm))
    inside = region(rectangle(SKIN_MM, bank.length_mm - SKIN_MM, *across))
    link = (bank.half_mm - bank.radius_mm) / 2
    tied = region(rectangle(bank.bores_x_mm[0] - 1.0, bank.bores_x_mm[-1] + 1.0, -link, link))
    return [
        slab(block_places.deck(bank), outline, deck, bank.deck_mm),
        slab(block_places.bank_side(bank), (outline - inside) + tied, roof, deck),
        slab(block_places.roof(bank), outline, bank.roof_mm, roof),
    ]


def _jacket(bank: Bank, reach_mm: float) -> float:
    """How far the water jacket reaches to one side; where there is little room, only between the barrels."""
    edge = reach_mm - SKIN_MM
    return edge if edge > bank.half_mm + SKIN_MM / 2 else min(edge, bank.half_mm) - SKIN_MM / 2


def _walls(section: BlockSection, bay: int) -> Iterator[Slab]:
    low, high = section.bay_ends_mm(bay)
    sides: tuple[Side, ...] = ("right", "top", "left")
    for side in sides:
        place = f"bay {bay + 1}, {'between the banks' if side == 'top' else f'{side} side'}"
        for wall in section.walls(bay, side):
            yield Slab(block_places.crankcase_wall(place), wall, low, high, ALONG_X, parted=True)


def _by_barrels(section: BlockSection, wall: Slab) -> Iterator[Slab]:
    """A wall of a bay in parts: each beside the barrels of the same banks, or below all of them.

    A piston within its bore has the barrel between itself and whatever stands beside the barrel.
    """
    parts: list[tuple[tuple[Bank, ...], CrossSection]] = [((), wall.outline)]
    for bank in section.banks:
        beside = bank.beside_barrels
        parts = [
            part
            for banks, shape in parts
            for part in ((banks, shape - beside), ((*banks, bank), shape ^ beside))
        ]
    for banks, shape in parts:
        if shape.area() > SMALLEST_AREA_MM2:
            yield replace(wall, of=block_places.crankcase_wall(wall.of.place, banks), outline=shape)


def _web(section: BlockSection, web: int) -> Iterator[Slab]:
    """One main web: below the bores its section, beside them what the barrels leave, at the ends a wall below."""
    low, high = section.web_ends_mm(web)
    of, main = block_places.main_web(web), section.main_bore_mm
    holes = [polygon_between(main, main + RING_MM)]
    cam = section.spec.cam
    if cam is not None:
        journal = cam.journal_mm / 2
        holes.append(polygon_between(journal, journal + cam.tunnel_wall_mm) + [cam.across_mm, cam.up_mm])
    yield Slab(of, section.web(web), low, high, ALONG_X, tuple(holes))
    for bank in section.banks:
        yield from _beside_barrels(section, bank, of, (low, high), above=True)
    yield from _end_wall(section, web)


def _beside_barrels(
    section: BlockSection, bank: Bank, of: Feature, x_mm: tuple[float, float], *, above: bool
) -> Iterator[Slab]:
    """What joins a web or an end wall to the roof in the strip of the bores: round the barrels, and below them.

    A web ends at its lower face, an end wall begins there. Below the barrels it is hollowed out under each bore.
    """
    sine, cosine = (float(v) for v in bank.X_EB[2, 1:3])
    reach = bank.web_edge_mm + OVERLAP_MM
    sides = [-reach, reach]
    bottom = section.spec.block.web_bottom_mm
    if abs(sine) > 1e-9:
        level = min(max((bottom - bank.low_mm * cosine) / sine, sides[0]), sides[1])
        sides[0 if (sine > 0) == above else 1] = level
    elif (bank.low_mm * cosine >= bottom) != above:
        return
    if sides[1] - sides[0] > THINNEST_MM:
        outline = region(rectangle(*x_mm, *sides))
        hollow = outline - region(*hollows(section, bank))
        under, over = bank.low_mm - bank.relief_mm - OVERLAP_MM, bank.low_mm + OVERLAP_MM
        yield Slab(of, hollow, under, over, bank.X_EB)
        roof, holes = block_places.roof(bank), bore_polygons(bank)
        yield Slab(roof, outline, over, bank.roof_mm, bank.X_EB, holes)


def _end_wall(section: BlockSection, web: int) -> Iterator[Slab]:
    half = section.spec.block.web_mm / 2
    mains, length = section.layout.main_x_mm, section.layout.length_mm
    for place, at, low, high in (
        ("front", 0, 0.0, mains[0] - half),
        ("rear", len(mains) - 1, mains[-1] + half, length),
    ):
        if web == at and high - low > THINNEST_MM:
            of = block_places.end_wall(place)
            yield Slab(of, section.end_wall(web), low, high, ALONG_X)
            for bank in section.banks:
                yield from _beside_barrels(section, bank, of, (low, high), above=False)
