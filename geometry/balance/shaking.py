"""What shakes the engine at a speed: what is left of the first order once the crank is balanced, and the second."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.balance.bob import Balancing
from geometry.balance.phasors import (
    OrderShake,
    Phasor,
    Vectors,
    couple_nm,
    force_n,
    middle_of_crank_mm,
    shake,
)

Path: TypeAlias = Literal["none", "line", "circle", "oval"]
SMOOTH: Final = 0.02
"""Share of what one piston pushes with, in the first order, below which nothing is felt; judgement, no source."""
FLAT: Final = 0.1
"""Least over most below which a path counts as a line, and above one less which as a circle; for the words alone."""


@dataclass(frozen=True, slots=True)
class Shaking:
    """What shakes an engine whose crank is balanced to its bob weights.

    Attributes
    ----------
    bare_first : the first order of the pistons before any counterweight, of the reciprocating weights alone
    first : the same with a crank that is balanced to the bob weights
    second : the second order, which no counterweight changes
    one_kg_mm : what one piston pushes with in the first order, the mean of the bores
    arm_mm : half the length of the crank, between the outer main bearings: the scale of a couple
    middle_mm : the middle of the crank, which couples are taken about, from the block's front face
    """

    bare_first: OrderShake
    first: OrderShake
    second: OrderShake
    one_kg_mm: float
    arm_mm: float
    middle_mm: float

    def force_n(self, crank_deg: Array, speed_rpm: float) -> Vectors:
        """Both orders together at crank angles, N, a complex number as ``geometry.balance`` has vectors."""
        size = self.first.force.at(crank_deg) + self.second.force.at(crank_deg)
        return size * force_n(1.0, speed_rpm)

    def couple_nm(self, crank_deg: Array, speed_rpm: float) -> Vectors:
        """The same of the couple, N m: the way that it pushes the rear end."""
        size = self.first.couple.at(crank_deg) + self.second.couple.at(crank_deg)
        return size * couple_nm(1.0, speed_rpm)

    def path(self, phasor: Phasor, couple: bool) -> Path:
        """What the tip of a force or couple draws over the turn."""
        if phasor.most < SMOOTH * self.one_kg_mm * (self.arm_mm if couple else 1.0):
            return "none"
        flat = phasor.least / phasor.most
        return "line" if flat < FLAT else "circle" if flat > 1.0 - FLAT else "oval"

    def parts(self) -> tuple[tuple[int, bool, Phasor], ...]:
        """Order, whether it is a couple, and the vector: of all that is left."""
        return (
            (1, False, self.first.force),
            (1, True, self.first.couple),
            (2, False, self.second.force),
            (2, True, self.second.couple),
        )


def shaking(assembly: Assembly, plan: Balancing) -> Shaking:
    """What is left to shake the engine, its crank balanced to the bob weights of the plan.

    The bob weights hold big ends, shells and oil, which turn, and ``factor`` of what goes up and down; so the crank
    takes that share of the pistons out as it turns, at the pins' angles.
    """
    layout, linkage = assembly.layout, assembly.linkage
    middle = middle_of_crank_mm(layout)
    mass = np.array([plan.reciprocating_kg[site.bore] for site in layout.bores])
    first = shake(linkage, mass, middle, 1)
    pins = [(bob.x_mm, bob.reciprocating_kg, bob.pin_deg) for bob in plan.bobs]
    throw = assembly.spec.crank.stroke_mm / 2
    force, couple = 0j, 0j
    for x, kg, angle in pins:
        held = plan.factor * kg * throw * complex(np.exp(1j * np.radians(angle)))
        force, couple = force + held, couple + held * (x - middle)
    left = OrderShake(first.force.less(force), first.couple.less(couple))
    one = float(mass.mean()) * float(linkage.throw_mm.mean())
    arm = (layout.main_x_mm[-1] - layout.main_x_mm[0]) / 2
    return Shaking(first, left, shake(linkage, mass, middle, 2), one, arm, middle)


def peak_of(size: Vectors) -> float:
    """The largest over the turn of what ``force_n`` or ``couple_nm`` give."""
    return float(np.abs(size).max())
