"""What gasket and head have in common: a plate on a bank's deck with round openings over its bores."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from geometry.kinematics.poses import translation
from geometry.parts.shapes import meshing
from geometry.parts.shapes.block_features import bank_outline
from geometry.parts.shapes.block_section import Bank
from geometry.parts.shapes.convex import polygon_between, prisms, region
from geometry.solids import IDENTITY, Mesh, Piece, Revolved, rectangle


def body_name(kind: str, bank: Bank) -> str:
    """Such as ``head left``; just ``head`` on an inline engine."""
    return kind if bank.name == "line" else f"{kind} {bank.name}"


def ring_mm(bank: Bank, opening_mm: float) -> float:
    """Width of the turned rim of an opening: as much as leaves the next opening free, within reason."""
    gaps = np.diff(bank.bores_x_mm)
    between = float(gaps.min()) - 2 * opening_mm if len(gaps) else 10.0
    return max(min(opening_mm * 0.1, between), 0.05)


def plate_pieces(bank: Bank, opening_mm: float, low_mm: float, high_mm: float) -> Iterator[Piece]:
    """The plate in the bank's frame, exact: flat-sided prisms and a turned rim around each opening.

    Parameters
    ----------
    opening_mm : radius of the openings
    low_mm, high_mm : its faces, from the crank axis
    """
    outer = opening_mm + ring_mm(bank, opening_mm)
    hole = polygon_between(opening_mm, outer)
    shape = bank_outline(bank) - region(*(hole + [x, 0.0] for x in bank.bores_x_mm))
    yield from prisms(shape, low_mm, high_mm, IDENTITY)
    for x in bank.bores_x_mm:
        yield Revolved(rectangle(opening_mm, outer, low_mm, high_mm), X_AP=translation([x, 0.0, 0.0]))


def plate_mesh(bank: Bank, opening_mm: float, low_mm: float, high_mm: float) -> Mesh:
    """The plate for the eye, in the bank's frame."""
    body = bank_outline(bank).extrude(high_mm - low_mm).translate((0.0, 0.0, low_mm))
    hole = meshing.revolve(rectangle(0.0, opening_mm, low_mm - 1.0, high_mm + 1.0))
    return meshing.to_mesh(meshing.difference(body, [hole.translate((x, 0.0, 0.0)) for x in bank.bores_x_mm]))
