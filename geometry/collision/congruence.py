"""Which pairs are the same problem in another place: bores of equal bays are solved once.

Turning the whole engine about the crank axis, shifting it along that axis and counting the crank angle from
another zero change no distance. A pair is brought to a standard place by these three: the bore axis of its
first linked body upright and its throw in line with it at angle zero; without a linked body, its first valve
upright and fully open at angle zero; without a valve, the first piece of its first turning body pointing up at
angle zero. Two pairs whose laws and pieces then agree to
``GRAIN_MM`` have the same answer to well below the rounding allowance of the search.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Array
from geometry.collision.support import circles_of
from geometry.kinematics.laws import Law
from geometry.solids import Piece

GRAIN_MM = 1e-9
_GRAIN_TURNS = 1e-12


@dataclass(frozen=True, slots=True)
class Displacement:
    """Where a pair stands: turned by ``turn_rad`` about +x, shifted by ``x_mm``, angle zero at ``zero_deg``.

    A point of the standard place is ``p' = Rx(-turn) (p - (x, 0, 0))``, its crank angle ``crank - zero``.
    """

    turn_rad: float
    x_mm: float
    zero_deg: float

    def to_standard(self, p: Array, shifted: Array) -> Array:
        """Vectors (3, k) of E in the standard place; those are shifted whose ``shifted`` (k,) is 1 and not 0."""
        return _turned(p - self._shift(shifted), -self.turn_rad)

    def from_standard(self, p: Array, shifted: Array) -> Array:
        """The inverse of ``to_standard``."""
        return np.asarray(_turned(p, self.turn_rad) + self._shift(shifted))

    def _shift(self, shifted: Array) -> Array:
        shift = np.zeros((3, shifted.size))
        shift[0] = self.x_mm * shifted
        return shift


def _turned(p: Array, angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    out = np.empty_like(p)
    out[0] = p[0]
    out[1] = c * p[1] - s * p[2]
    out[2] = s * p[1] + c * p[2]
    return out


class _Shape:
    """Pieces as numbers: what turns and shifts with them in columns, and the rest, which does not, once for all."""

    def __init__(self, pieces: tuple[Piece, ...]) -> None:
        self.pieces = pieces
        circles = [circles_of(piece) for piece in pieces]
        self.points = np.concatenate([np.vstack([c.centre_mm, c.origin]) for c in circles]).T
        self.vectors = np.array([v for c in circles for v in (c.axis, c.first, c.second)]).T
        still = [
            part
            for c in circles
            for part in (
                (c.middle_rad, c.half_rad, c.inner_mm, c.wrap_mm, float(c.outward)),
                (len(c.radius_mm), len(c.inner_lines)),
                c.radius_mm,
                c.inner_lines.ravel(),
            )
        ]
        self.still = _grains(np.concatenate(still))

    def key(self, turn: float, shift: Array) -> Hashable:
        """The pieces, turned about +x and shifted, as whole grains."""
        moved = [(_turned(self.points, turn) + shift[:, None]).ravel(), _turned(self.vectors, turn).ravel()]
        return self.still, _grains(np.concatenate(moved))


def _grains(numbers: Array) -> bytes:
    return bytes((np.round(numbers / GRAIN_MM) + 0.0).tobytes())


class Fingerprints:
    """Standard places and keys of pairs; remembers the numbers of every piece list it has seen."""

    def __init__(self) -> None:
        self._shapes: dict[int, _Shape] = {}
        self._sides: dict[Hashable, Hashable] = {}

    def of(
        self, sides: Sequence[tuple[Law, tuple[Piece, ...]]], period_deg: float
    ) -> tuple[Hashable, Displacement]:
        """Key and place of a pair: two pairs of one key are the same problem."""
        place = self._place(sides)
        return (round(period_deg, 9), *(self._side(law, pieces, place) for law, pieces in sides)), place

    def _place(self, sides: Sequence[tuple[Law, tuple[Piece, ...]]]) -> Displacement:
        for law, _ in sides:
            if law.kind in ("rod", "piston"):
                zero = -law.sense * (law.pin_deg - law.bank_deg)
                return Displacement(math.radians(law.bank_deg), law.x_mm, zero)
        for law, _ in sides:
            if law.kind == "valve":
                return Displacement(math.radians(law.bank_deg), law.x_mm, law.full_deg)
        first = circles_of(sides[0][1][0])
        x = sides[0][0].x_mm + float(first.centre_mm[0, 0])
        for law, pieces in sides:
            if law.kind == "spin" and law.rate:
                middle = circles_of(pieces[0]).centre_mm.mean(axis=0)
                if math.hypot(middle[1], middle[2]) < 1e-6:
                    middle = circles_of(pieces[0]).first
                lean = math.degrees(math.atan2(-middle[1], middle[2])) + law.turn_deg
                return Displacement(0.0, x, -lean / law.rate)
        return Displacement(0.0, x, 0.0)

    def _side(self, law: Law, pieces: tuple[Piece, ...], place: Displacement) -> Hashable:
        asked = (law, id(pieces), place)
        if asked not in self._sides:
            self._sides[asked] = self._side_key(law, pieces, place)
        return self._sides[asked]

    def _side_key(self, law: Law, pieces: tuple[Piece, ...], place: Displacement) -> Hashable:
        x = law.x_mm - place.x_mm
        if law.kind in ("rod", "piston"):
            lean = law.bank_deg - math.degrees(place.turn_rad)
            phase = law.pin_deg - law.bank_deg + law.sense * place.zero_deg
            numbers = (round(x, 9), _turns(lean), _turns(phase), law.throw_mm, law.rod_mm, law.offset_mm)
            return (law.kind, law.sense, *numbers, self._shape(pieces, 0.0, np.zeros(3)))
        if law.kind == "valve":
            lean = law.bank_deg - math.degrees(place.turn_rad)
            open_ = law.lift_rate * (law.full_deg - place.zero_deg)
            curve = (law.lift_scale_mm, law.lift_shut, law.lift_ramp_mm, law.lift_rate)
            at = (round(x, 9), _turns(lean), _turns(open_))
            return ("valve", *at, *curve, self._shape(pieces, 0.0, np.zeros(3)))
        turn = math.radians(law.turn_deg + law.rate * place.zero_deg) - place.turn_rad
        axis = _turned(np.array([[x], [law.y_mm], [law.z_mm]]), -place.turn_rad)[:, 0]
        if law.kind == "spin":
            fixed_axis = tuple(np.round(axis[1:] / GRAIN_MM).tolist())
            return ("spin", law.rate, *fixed_axis, self._shape(pieces, turn, np.array([x, 0.0, 0.0])))
        return ("fixed", self._shape(pieces, turn, axis))

    def _shape(self, pieces: tuple[Piece, ...], turn: float, shift: Array) -> Hashable:
        if id(pieces) not in self._shapes:
            self._shapes[id(pieces)] = _Shape(pieces)
        return self._shapes[id(pieces)].key(turn, shift)


def _turns(angle_deg: float) -> int:
    """An angle as whole grains of a turn, the same for the same direction."""
    grains = round(1.0 / _GRAIN_TURNS)
    return round((angle_deg / 360.0 % 1.0) * grains) % grains
