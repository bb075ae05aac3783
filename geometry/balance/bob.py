"""Bob weights: what is clamped to each crankpin while the crank is balanced.

B = rotating (big ends with cap and bolts, shells, oil) + factor times reciprocating (pistons, pins, locks, rings, small
ends), of the rods on that pin. Source: crank grinders' and trade articles.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.balance.factor import BobFactor, own_factor
from geometry.balance.weights import BoreWeight, oil_kg, weigh_bores
from geometry.kinematics.layout import Layout, PinSite


@dataclass(frozen=True, slots=True)
class BobWeight:
    """What stands for rods and pistons on one crankpin, or on one half of a split one.

    Attributes
    ----------
    pin : from the front, from 1
    throw : from the front, from 1
    bores : whose rods run on it, from the front
    x_mm, pin_deg : where the pin is, as ``PinSite``
    rotating_kg : big ends and shells
    oil_kg : in the pin
    reciprocating_kg : whole, before the factor
    mass_kg : the bob weight
    """

    pin: int
    throw: int
    bores: tuple[int, ...]
    x_mm: float
    pin_deg: float
    rotating_kg: float
    oil_kg: float
    reciprocating_kg: float
    mass_kg: float


@dataclass(frozen=True, slots=True)
class Balancing:
    """What the crank of an engine is balanced to.

    Attributes
    ----------
    weights : of every bore, by the builder's numbers
    own : the factor that the layout asks for
    factor : the one that is used: the file's own, else that
    is_own : the file gives none
    bobs : of every pin, from the front
    """

    weights: tuple[BoreWeight, ...]
    own: BobFactor
    factor: float
    is_own: bool
    bobs: tuple[BobWeight, ...]

    @property
    def reciprocating_kg(self) -> Mapping[int, float]:
        """What goes up and down, by bore."""
        return {one.bore: one.reciprocating_kg for one in self.weights}


def balancing(assembly: Assembly) -> Balancing:
    """Weights, factor and bob weights of an engine as put together."""
    weights = weigh_bores(assembly)
    own = own_factor(assembly.layout)
    said = assembly.spec.weights.factor
    factor = own.factor if said is None else said
    bobs = bob_weights(assembly.layout, weights, factor, oil_kg(assembly))
    return Balancing(weights, own, factor, said is None, bobs)


def bob_weight_kg(rotating_kg: float, oil_in_pin_kg: float, factor: float, reciprocating_kg: float) -> float:
    """The bob weight of one pin.

    Two rods of 420 g big ends with 44 g shells, 4 g oil, and on each 500 + 118 + 2 + 36 + 180 g, by one half:

    >>> round(1000 * bob_weight_kg(2 * 0.464, 0.004, 0.5, 2 * 0.836))
    1768
    """
    return rotating_kg + oil_in_pin_kg + factor * reciprocating_kg


def bob_weights(
    layout: Layout, weights: Sequence[BoreWeight], factor: float, oil_in_pin_kg: float
) -> tuple[BobWeight, ...]:
    """The bob weight of every pin, from the front."""
    of_bore = {one.bore: one for one in weights}
    found = []
    for number, pin in enumerate(layout.pins, 1):
        bores = _on_pin(layout, pin)
        rotating = sum(of_bore[bore].rotating_kg for bore in bores)
        moving = sum(of_bore[bore].reciprocating_kg for bore in bores)
        mass = bob_weight_kg(rotating, oil_in_pin_kg, factor, moving)
        found.append(
            BobWeight(
                number, pin.throw + 1, bores, pin.x_mm, pin.pin_deg, rotating, oil_in_pin_kg, moving, mass
            )
        )
    return tuple(found)


def _on_pin(layout: Layout, pin: PinSite) -> tuple[int, ...]:
    """Bores whose rods run on a pin, from the front; where pins are split, the one beside it."""
    is_split = sum(other.throw == pin.throw for other in layout.pins) > 1
    here = sorted((site for site in layout.bores if site.throw == pin.throw), key=lambda site: site.x_mm)
    return tuple(site.bore for site in here if not is_split or abs(site.x_mm - pin.x_mm) < 1e-6)
