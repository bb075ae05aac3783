"""The kinds of entry that a build record holds: readings, which way round, and what was found."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, TypeAlias

from pydantic import Field, model_validator

from geometry.spec.base import (
    Angle,
    Mass,
    NonNegativeLength,
    PositiveLength,
    Quantity,
    SpecModel,
    Torque,
    hold,
    said,
)

Small: TypeAlias = Annotated[float, Quantity("length", 0.0, 10.0, meaning="a gap, clearance or rise")]
Depth: TypeAlias = Annotated[float, Quantity("length", -10.0, 25.0, meaning="a depth below the deck")]
Step: TypeAlias = Annotated[float, Quantity("length", 0.0, 5.0, True, "what the instrument can tell apart")]
TorqueStep: TypeAlias = Annotated[
    float, Quantity("torque", 0.0, 500.0, True, "what the wrench can tell apart")
]
MassStep: TypeAlias = Annotated[float, Quantity("mass", 0.0, 0.1, True, "what the scales can tell apart")]
AngleStep: TypeAlias = Annotated[float, Quantity("angle", 0.0, 90.0, True, "how closely an angle can be set")]


PartName: TypeAlias = Annotated[str, Field(min_length=1, max_length=40)]


class Entry(SpecModel):
    """One finding, with who made it and when."""

    by: Annotated[str, Field(min_length=1, max_length=40)] | None = said(
        "Initials of whoever measured or looked.", "EH", default=None
    )
    on: date | None = said("The day, year first.", date(2026, 3, 14), default=None)
    note: Annotated[str, Field(min_length=1, max_length=500)] | None = said(
        "Anything worth knowing.", "filed twice", default=None
    )


class ClearanceReading(Entry):
    """A gap or clearance: one value, or a pair of feeler blades."""

    value_mm: Small | None = said("As read.", "2.0 thou", "0.05 mm", default=None)
    resolution_mm: Step | None = said(
        "What the instrument can tell apart; default: its line under [instruments].",
        "0.5 thou",
        "0.01 mm",
        default=None,
    )
    go_mm: Small | None = said(
        "Thickest feeler blade, or stack, that goes; zero where none does.",
        "18 thou",
        "0.45 mm",
        default=None,
    )
    tight_mm: Small | None = said("Thinnest that does not go.", "19 thou", "0.50 mm", default=None)

    @model_validator(mode="after")
    def _one_kind(self) -> ClearanceReading:
        go, tight = self.go_mm, self.tight_mm
        hold(
            ("", (self.value_mm is None) == (go is None), "a value or the blade that goes is needed, one of the two",
             'write value = "2.0 thou", or go = "18 thou" with tight = "19 thou"'),
            ("tight", tight is not None and go is None, "tight belongs with go", 'write go = "18 thou" beside it'),
            ("tight", go is not None and tight is not None and tight <= go,
             "the tight blade is not thicker than the one that goes",
             "first the blade that goes, then a thicker one that is tight"),
        )  # fmt: skip
        return self


class GapReading(ClearanceReading):
    """End gap of a ring squared in its bore."""

    depth_mm: NonNegativeLength | None = said(
        "Below the deck, where in the bore it was measured: in a worn bore the gap differs by height.",
        "3.6 in",
        "90 mm",
        default=None,
    )


class DepthReading(Entry):
    """How far the crown stands below the deck at top dead centre; negative when it stands out."""

    value_mm: Depth = said("As read; negative when the piston stands out of the block.", "10 thou", "0.25 mm")
    resolution_mm: Step | None = said(
        "What the instrument can tell apart.", "0.5 thou", "0.01 mm", default=None
    )


class SizeReading(Entry):
    """A size taken with a micrometer or the like."""

    value_mm: PositiveLength = said("As read.", "4.0270 in", "102.29 mm")
    resolution_mm: Step | None = said(
        "What the instrument can tell apart.", "0.0001 in", "0.01 mm", default=None
    )


class BoreReading(Entry):
    """The bore's diameter at one height, along the crank and across it."""

    depth_mm: NonNegativeLength = said("Below the deck.", "0.5 in", "12 mm")
    along_mm: PositiveLength = said("Along the crank.", "4.0300 in", "102.36 mm")
    across_mm: PositiveLength = said("Across it, in the thrust direction.", "4.0302 in", "102.37 mm")
    resolution_mm: Step | None = said(
        "What the bore gauge can tell apart.", "0.0001 in", "0.01 mm", default=None
    )


class TorqueReading(Entry):
    """A torque, of a wrench or needed to turn the crank."""

    value_nm: Torque = said("As read.", "45 lbf*ft", "60 N*m")
    resolution_nm: TorqueStep | None = said(
        "What the wrench can tell apart.", "1 lbf*ft", "1 N*m", default=None
    )


class MassReading(Entry):
    """A weight off the scales."""

    value_kg: Mass = said("As read.", "512 g", "18.1 oz")
    resolution_kg: MassStep | None = said("What the scales can tell apart.", "0.1 g", "1 g", default=None)


class AngleReading(Entry):
    """Where a gap stands, clockwise seen from above the crown."""

    value_deg: Angle = said("Angle from the datum, clockwise.", "240 deg")
    datum: Literal["front", "thrust"] = said(
        "Counted from the front of the engine, or from the major thrust side.", default="front"
    )
    resolution_deg: AngleStep | None = said("How closely it could be judged.", "5 deg", default=None)


class Way(Entry):
    """Which way round a part went in: the right way round (`correct`), or turned by half a turn."""

    value: Literal["correct", "turned"] = said("As found.", "correct")


class RingWay(Entry):
    """Which way up a ring went in: mark, or the side that belongs up, facing up or down."""

    value: Literal["up", "down"] = said("As found.", "up")


class RingGroove(Entry):
    """The groove that a ring went into."""

    value: Literal["top", "second"] = said("As found.", "top")


class Fitted(Entry):
    """Whether a ring is there at all."""

    value: Literal["yes", "missing"] = said("As found.", "yes")


class Ends(Entry):
    """How the expander's ends meet."""

    value: Literal["butted", "overlapped"] = said("As found.", "butted")


class Stamped(Entry):
    """The number stamped on a part: the bore, or the main bearing, that it belongs to."""

    value: Annotated[int, Field(ge=1, le=99)] = said("As found.", 3)


class PartsChosen(Entry):
    """Which of the parts on the shelf go into a bore, by the names that they have there."""

    piston: PartName | None = said("The piston.", "C", default=None)
    pin: PartName | None = said("Its pin.", "C", default=None)
    rod: PartName | None = said("The rod.", "4", default=None)
    shells: PartName | None = said("The grade of its shells.", "green", default=None)
    top_ring: PartName | None = said("The top ring.", "2", default=None)
    second_ring: PartName | None = said("The second ring.", "7", default=None)

    @model_validator(mode="after")
    def _some(self) -> PartsChosen:
        hold(("", not self.chosen(), "no part is named", 'piston = "C", for example'))
        return self

    def chosen(self) -> dict[str, str]:
        """Names by kind in words."""
        kinds = ("piston", "pin", "rod", "shells", "top_ring", "second_ring")
        return {
            kind.replace("_", " "): getattr(self, kind) for kind in kinds if getattr(self, kind) is not None
        }


class SeatFound(Entry):
    """Where a bearing shell lies."""

    value: Literal["rod", "cap"] = said("As found.", "rod")


class TangFound(Entry):
    """Whether the tang of a shell lies in its notch."""

    value: Literal["in_notch", "out"] = said("As found.", "in_notch")
