"""The builder's own shares of doubt: how far out an unmeasured dimension may be, by how it comes to be."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from geometry.spec.base import SpecModel, said

Share: TypeAlias = Annotated[float, Field(ge=0.0, le=0.5)]


class DoubtShares(SpecModel):
    """How far out a value may be either way, as a share of itself; 0 for in no doubt."""

    journal: Share | None = said("Ground journals, bored and honed housings.", 0.01, default=None)
    machined: Share | None = said("Distances and faces that are machined.", 0.02, default=None)
    stock: Share | None = said("Parts bought in standard sizes: bolts, pins, rings.", 0.05, default=None)
    forged: Share | None = said("Forged outsides.", 0.05, default=None)
    cast: Share | None = said("Cast outsides.", 0.04, default=None)
    sheet: Share | None = said("Pressed sheet.", 0.1, default=None)
    depth: Share | None = said("Small depths: chamfers, clearances, gaps.", 0.25, default=None)
    volume: Share | None = said("Volumes.", 0.05, default=None)
    angle: Share | None = said("Angles.", 0.03, default=None)
    mass: Share | None = said("Masses.", 0.05, default=None)
    torque: Share | None = said("Tightening torques.", 0.1, default=None)
    material: Share | None = said(
        "What the material decides: strength, stiffness, expansion.", 0.1, default=None
    )
    speed: Share | None = said("Speeds.", 0.05, default=None)


class DoubtTable(DoubtShares):
    """Your own shares for values written as about; those of values that were filled in stand under filled."""

    spread: Literal["uniform", "normal"] | None = said(
        "How values lie within their doubt for `check --chance`: anywhere alike, or by the bell curve with the doubt "
        "as plus and minus 3 sigma; default: uniform for what nobody measured, normal for a tolerance.",
        default=None,
    )

    filled: DoubtShares = said("Shares for what was filled in by proportion.", default=DoubtShares())
