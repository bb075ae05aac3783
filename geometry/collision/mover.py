"""What moves: the one thing that everything else in this folder is asked about."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.kinematics.laws import Law
from geometry.solids import Piece


@dataclass(frozen=True, slots=True, eq=False)
class Mover:
    """One feature of one body in motion.

    Attributes
    ----------
    name : for reports
    law : how the body that carries it moves
    pieces : convex or turned, in the frame of that body
    """

    name: str
    law: Law
    pieces: tuple[Piece, ...]
