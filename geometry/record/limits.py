"""What a reading is held against, and what it means to be outside.

The trade's figures are defaults to be replaced; a part maker's figure always goes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, TypeAlias

from pydantic import Field, model_validator

from geometry.checks.section import Severity
from geometry.record.readings import value_text
from geometry.rings.source import Source
from geometry.spec.base import Length, Mass, SpecModel, Torque, hold, said
from geometry.trade import FitRange
from geometry.units import System

SaidBy: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]


class LengthLimit(SpecModel):
    """What a length is held against in place of the trade's figure."""

    least_mm: Length | None = said("Least allowed.", "16 thou", default=None)
    most_mm: Length | None = said("Most allowed.", "20 thou", default=None)
    source: SaidBy = said("Who says so.", "sheet in the box of rings")

    @model_validator(mode="after")
    def _in_order(self) -> LengthLimit:
        _limits_in_order(self.least_mm, self.most_mm)
        return self


class TorqueLimit(SpecModel):
    """What a torque is held against in place of the trade's figure."""

    least_nm: Torque | None = said("Least allowed.", "43 lbf*ft", default=None)
    most_nm: Torque | None = said("Most allowed.", "47 lbf*ft", default=None)
    source: SaidBy = said("Who says so.", "the bolt maker's sheet")

    @model_validator(mode="after")
    def _in_order(self) -> TorqueLimit:
        _limits_in_order(self.least_nm, self.most_nm)
        return self


class MassLimit(SpecModel):
    """What a weight is held against in place of the lightest of its kind."""

    least_kg: Mass | None = said("Least allowed.", "500 g", default=None)
    most_kg: Mass | None = said("Most allowed.", "504 g", default=None)
    source: SaidBy = said("Who says so.", "the piston maker's sheet")

    @model_validator(mode="after")
    def _in_order(self) -> MassLimit:
        _limits_in_order(self.least_kg, self.most_kg)
        return self


def _limits_in_order(least: float | None, most: float | None) -> None:
    hold(
        ("", least is None and most is None, "a limit needs least, most or both", "add the one that is missing"),
        ("most", least is not None and most is not None and most < least,
         "the most is below the least", "least, then most"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReadingLimit:
    """Least and most of a quantity, in the house unit of its dimension.

    Attributes
    ----------
    least, most : None where there is no such limit
    source : where the figures come from
    dimension : a key of ``geometry.units.DIMENSIONS``
    """

    least: float | None
    most: float | None
    source: Source
    dimension: str = "length"

    def text(self, system: System) -> str:
        """The limit as a builder reads it; empty when there is none."""
        least, most = (
            None if bound is None else value_text(bound, self.dimension, system)
            for bound in (self.least, self.most)
        )
        if least and most and self.least != 0.0:
            return f"{least} to {most}"
        if most:
            return f"at most {most}"
        return f"at least {least}" if least else ""


def of_trade(fit: FitRange | None) -> ReadingLimit | None:
    """The trade's figure for a fit as a limit; None where it gives none."""
    return None if fit is None else ReadingLimit(fit.least_mm, fit.most_mm, fit.source)


@dataclass(frozen=True, slots=True)
class Cure:
    """What it means that something is not as it should be: how bad it is, what it does, and what to do."""

    severity: Severity
    text: str
    remedy: str
