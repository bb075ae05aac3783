"""What the parts weigh that have no other key, and what the crank is balanced to: ``[weights]``."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import Field

from geometry.spec.base import Mass, SpecModel, said

BalanceFactor: TypeAlias = Annotated[float, Field(ge=0.0, le=1.0)]


class PartWeights(SpecModel):
    """Weights off the scales; what is left out comes from the modelled solids.

    The piston stands under `piston.mass`, the two ends of the rod under `rod.mass_big` (with cap and bolts) and
    `rod.mass_small`.
    """

    pin_kg: Mass | None = said("One piston pin.", "142 g", default=None)
    locks_kg: Mass | None = said("Both locks of one pin.", "3 g", default=None)
    rings_kg: Mass | None = said("The ring set of one piston.", "38 g", default=None)
    shells_kg: Mass | None = said("Both big-end shells of one rod.", "44 g", default=None)
    oil_kg: Mass | None = said(
        "Oil in one crankpin, for the bob weight; 3 to 5 g by shop, 4 g where nothing is said (from memory).",
        "4 g",
        default=None,
    )
    factor: BalanceFactor | None = said(
        "Share of the reciprocating weight in the bob weight; default: what the layout of the engine asks for.",
        0.5,
        default=None,
    )
    tolerance_kg: Mass | None = said(
        "Most that like parts may differ; 1 g where nothing is said (common practice, no source).",
        "0.5 g",
        default=None,
    )
