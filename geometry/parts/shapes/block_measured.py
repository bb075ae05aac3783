"""A measured block: where it must stand by the engine file, and what each stretch of its surface is called."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.feature import Feature, Fit, Group, Seat, seats
from geometry.measured.load import MeshSource, read_measured
from geometry.measured.patches import Stretches, patch_features
from geometry.parts.shapes.block_section import BlockSection
from geometry.solids import Mesh

NEAR_ROUND_MM: Final = 1.5
"""A triangle whose corners all lie this near a bore's wall belongs to that bore, though the bore was worn or cast."""
END_MM: Final = 1.0
EDGE_MM: Final = 5.0
"""How far below the bottom of the bores by the engine file a bank, and the edge of a bore, may begin."""
FACE_MM: Final = 1.5
"""How far the faces of a main web may stand from where the engine file puts them."""


def measured_block(section: BlockSection) -> tuple[Mesh, tuple[Feature, ...]]:
    """The surface of a measured block in the engine frame, and its places.

    Raises
    ------
    GeometryError
        The file cannot stand for the block.
    """
    block = section.spec.block
    assert block.mesh is not None
    x, y, z = block.mesh_at_mm
    low, high = implied_box(section)
    mesh = read_measured(MeshSource("block.mesh", block.mesh, block.mesh_unit, (x, y, z)), low, high)
    return mesh, patch_features(mesh, stretches(section, mesh.vertices[mesh.triangles]))


def implied_box(section: BlockSection) -> tuple[Array, Array]:
    """Corners (3,), (3,) of the box that the engine file's numbers give the block."""
    rail = section.spec.block.pan_rail
    out = rail.inside_mm + rail.width_mm
    corners = [np.array([side * out, rail.height_mm]) for side in (-1, 1)]
    for bank in section.banks:
        corners += [bank.point(across, bank.deck_mm) for across in (-bank.before_mm, bank.beyond_mm)]
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    return np.array([0.0, *low]), np.array([section.layout.length_mm, *high])


def stretches(section: BlockSection, corners: Array) -> Stretches:
    """``bore 3``, ``web 2``, ``bay 1, left side`` .., and which of the triangles (n, 3, 3) may lie there."""
    return [*_holes(section, corners), *_banks(section, corners), *_case(section, corners)]


def _stretch(
    place: str, seat_of: Iterable[Seat] = (), behind: Iterable[int] = (), bore: int | None = None
) -> Feature:
    seats_of, banks = frozenset(seat_of), frozenset(behind)
    return Feature("measured_block", (), place, group=Group.BLOCK, bore=bore, seat_of=seats_of, behind=banks)


def _holes(section: BlockSection, corners: Array) -> Stretches:
    """Main bores and cam tunnel, with the faces of webs that begin at their edges."""
    every = range(1, len(section.layout.main_x_mm) + 1)
    bearings = seats(Fit.MAIN_BEARING, Fit.CAM_BEARING, numbers=every)
    found = [(_stretch("main bore", bearings), _round(corners, 0.0, 0.0, section.main_bore_mm))]
    cam = section.spec.cam
    if cam is not None:
        tunnel = _round(corners, cam.across_mm, cam.up_mm, cam.journal_mm / 2)
        found.append((_stretch("cam tunnel", bearings), tunnel))
    return found


def _banks(section: BlockSection, corners: Array) -> Iterator[tuple[Feature, NDArray[np.bool_]]]:
    """Bore walls, and whatever stands beside the bores of a bank."""
    for bank in section.banks:
        own = corners @ bank.X_EB[:3, :3]
        middle = own.mean(axis=1)
        up = middle[:, 2] > bank.low_mm - END_MM
        for bore, x in zip(bank.bores, bank.bores_x_mm, strict=True):
            radius = np.hypot(own[..., 0] - x, own[..., 1])
            at_wall = np.abs(radius - bank.at_bore(x).radius_mm) < NEAR_ROUND_MM
            wall = at_wall.all(axis=1) & (middle[:, 2] > 0)
            wall |= at_wall.any(axis=1) & (middle[:, 2] > bank.low_mm - EDGE_MM)
            barrel = up & (np.hypot(middle[:, 0] - x, middle[:, 1]) < bank.half_mm + NEAR_ROUND_MM)
            yield _stretch(f"bore {bore}", seats(Fit.BORE, numbers=[bore]), bank.bores, bore), wall | barrel
        beside = (middle[:, 1] > -bank.before_mm - FACE_MM) & (middle[:, 1] < bank.beyond_mm + FACE_MM)
        yield _stretch("bank" if bank.name == "line" else f"{bank.name} bank", behind=bank.bores), up & beside


def _case(section: BlockSection, corners: Array) -> Iterator[tuple[Feature, NDArray[np.bool_]]]:
    """Pan rail, webs, ends, and the sides of the bays."""
    middle = corners.mean(axis=1)
    rail = section.spec.block.pan_rail
    on_rail = (middle[:, 2] < rail.height_mm + rail.thickness_mm) & (
        np.abs(middle[:, 1]) > rail.inside_mm - FACE_MM
    )
    for side, sign in (("right", 1.0), ("left", -1.0)):
        yield _stretch(f"pan rail, {side}"), on_rail & (sign * middle[:, 1] > 0)
    half = section.spec.block.web_mm / 2 + FACE_MM
    for web, x in enumerate(section.layout.main_x_mm):
        bearings = seats(Fit.MAIN_BEARING, Fit.CAM_BEARING, numbers=[web + 1])
        yield _stretch(f"web {web + 1}", bearings), np.abs(middle[:, 0] - x) < half
    yield _stretch("front"), middle[:, 0] < section.layout.main_x_mm[0]
    yield _stretch("rear"), middle[:, 0] > section.layout.main_x_mm[-1]
    for bay in range(len(section.layout.main_x_mm) - 1):
        within = middle[:, 0] < section.bay_ends_mm(bay)[1]
        yield _stretch(f"bay {bay + 1}, between the banks"), within & _between_the_banks(section, middle)
        yield _stretch(f"bay {bay + 1}, right side"), within & (middle[:, 1] > 0)
        yield _stretch(f"bay {bay + 1}, left side"), within


def _round(corners: Array, across_mm: float, up_mm: float, radius_mm: float) -> NDArray[np.bool_]:
    """Triangles of the wall of a round hole along the crank, and those of its faces that begin at its edge."""
    radius = np.hypot(corners[..., 1] - across_mm, corners[..., 2] - up_mm)
    return np.asarray((np.abs(radius - radius_mm) < NEAR_ROUND_MM).any(axis=1))


def _between_the_banks(section: BlockSection, middle: Array) -> NDArray[np.bool_]:
    """Whether points lie over the crank between the two banks of a vee or flat engine."""
    if len(section.banks) < 2:
        return np.zeros(len(middle), dtype=bool)
    inside = middle[:, 2] > 0
    for bank in section.banks:
        across = middle @ bank.X_EB[:3, 1]
        inside &= across * np.sign(bank.bank_deg) < 0
    return np.asarray(inside)
