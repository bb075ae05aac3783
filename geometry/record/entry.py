"""The kinds of entry that a build record holds: readings, which way round, and what was found."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, TypeAlias

from pydantic import Field, model_validator

from geometry.spec.base import Angle, NonNegativeLength, PositiveLength, Quantity, SpecModel, Torque, refuse

Small: TypeAlias = Annotated[float, Quantity("length", 0.0, 10.0, meaning="a gap, clearance or rise")]
Depth: TypeAlias = Annotated[float, Quantity("length", -10.0, 25.0, meaning="a depth below the deck")]
Step: TypeAlias = Annotated[float, Quantity("length", 0.0, 5.0, True, "what the instrument can tell apart")]
TorqueStep: TypeAlias = Annotated[
    float, Quantity("torque", 0.0, 500.0, True, "what the wrench can tell apart")
]
AngleStep: TypeAlias = Annotated[float, Quantity("angle", 0.0, 90.0, True, "how closely an angle can be set")]


class Entry(SpecModel):
    """One finding, with who made it and when."""

    by: Annotated[str, Field(min_length=1, max_length=40)] | None = Field(
        default=None, description="Initials of whoever measured or looked.", examples=["EH"]
    )
    on: date | None = Field(default=None, description="The day, year first.", examples=[date(2026, 3, 14)])
    note: Annotated[str, Field(min_length=1, max_length=500)] | None = Field(
        default=None, description="Anything worth knowing.", examples=["filed twice"]
    )


class ClearanceReading(Entry):
    """A gap or clearance: one value, or a pair of feeler blades."""

    value_mm: Small | None = Field(default=None, description="As read.", examples=["2.0 thou", "0.05 mm"])
    resolution_mm: Step | None = Field(
        default=None,
        description="What the instrument can tell apart; default: its line under [instruments].",
        examples=["0.5 thou", "0.01 mm"],
    )
    go_mm: Small | None = Field(
        default=None,
        description="Thickest feeler blade, or stack, that goes; zero where none does.",
        examples=["18 thou", "0.45 mm"],
    )
    tight_mm: Small | None = Field(
        default=None, description="Thinnest that does not go.", examples=["19 thou", "0.50 mm"]
    )

    @model_validator(mode="after")
    def _one_kind(self) -> ClearanceReading:
        if (self.value_mm is None) == (self.go_mm is None):
            refuse(
                "",
                "a value or the blade that goes is needed, one of the two",
                'write value = "2.0 thou", or go = "18 thou" with tight = "19 thou"',
            )
        if self.tight_mm is not None and self.go_mm is None:
            refuse("tight", "tight belongs with go", 'write go = "18 thou" beside it')
        if self.go_mm is not None and self.tight_mm is not None and self.tight_mm <= self.go_mm:
            refuse(
                "tight",
                "the tight blade is not thicker than the one that goes",
                "first the blade that goes, then a thicker one that is tight",
            )
        return self


class GapReading(ClearanceReading):
    """End gap of a ring squared in its bore."""

    depth_mm: NonNegativeLength | None = Field(
        default=None,
        description="Below the deck, where in the bore it was measured: in a worn bore the gap differs by height.",
        examples=["3.6 in", "90 mm"],
    )


class DepthReading(Entry):
    """How far the crown stands below the deck at top dead centre; negative when it stands out."""

    value_mm: Depth = Field(
        description="As read; negative when the piston stands out of the block.",
        examples=["10 thou", "0.25 mm"],
    )
    resolution_mm: Step | None = Field(
        default=None, description="What the instrument can tell apart.", examples=["0.5 thou", "0.01 mm"]
    )


class SizeReading(Entry):
    """A size taken with a micrometer or the like."""

    value_mm: PositiveLength = Field(description="As read.", examples=["4.0270 in", "102.29 mm"])
    resolution_mm: Step | None = Field(
        default=None, description="What the instrument can tell apart.", examples=["0.0001 in", "0.01 mm"]
    )


class BoreReading(Entry):
    """The bore's diameter at one height, along the crank and across it."""

    depth_mm: NonNegativeLength = Field(description="Below the deck.", examples=["0.5 in", "12 mm"])
    along_mm: PositiveLength = Field(description="Along the crank.", examples=["4.0300 in", "102.36 mm"])
    across_mm: PositiveLength = Field(
        description="Across it, in the thrust direction.", examples=["4.0302 in", "102.37 mm"]
    )
    resolution_mm: Step | None = Field(
        default=None, description="What the bore gauge can tell apart.", examples=["0.0001 in", "0.01 mm"]
    )


class TorqueReading(Entry):
    """A torque, of a wrench or needed to turn the crank."""

    value_nm: Torque = Field(description="As read.", examples=["45 lbf*ft", "60 N*m"])
    resolution_nm: TorqueStep | None = Field(
        default=None, description="What the wrench can tell apart.", examples=["1 lbf*ft", "1 N*m"]
    )


class AngleReading(Entry):
    """Where a gap stands, clockwise seen from above the crown."""

    value_deg: Angle = Field(description="Angle from the datum, clockwise.", examples=["240 deg"])
    datum: Literal["front", "thrust"] = Field(
        default="front", description="Counted from the front of the engine, or from the major thrust side."
    )
    resolution_deg: AngleStep | None = Field(
        default=None, description="How closely it could be judged.", examples=["5 deg"]
    )


class Way(Entry):
    """Which way round a part went in: the right way round (`correct`), or turned by half a turn."""

    value: Literal["correct", "turned"] = Field(description="As found.", examples=["correct"])


class RingWay(Entry):
    """Which way up a ring went in: mark, or the side that belongs up, facing up or down."""

    value: Literal["up", "down"] = Field(description="As found.", examples=["up"])


class RingGroove(Entry):
    """The groove that a ring went into."""

    value: Literal["top", "second"] = Field(description="As found.", examples=["top"])


class Fitted(Entry):
    """Whether a ring is there at all."""

    value: Literal["yes", "missing"] = Field(description="As found.", examples=["yes"])


class Ends(Entry):
    """How the expander's ends meet."""

    value: Literal["butted", "overlapped"] = Field(description="As found.", examples=["butted"])


class Stamped(Entry):
    """The number stamped on a part: the bore, or the main bearing, that it belongs to."""

    value: Annotated[int, Field(ge=1, le=99)] = Field(description="As found.", examples=[3])


class SeatFound(Entry):
    """Where a bearing shell lies."""

    value: Literal["rod", "cap"] = Field(description="As found.", examples=["rod"])


class TangFound(Entry):
    """Whether the tang of a shell lies in its notch."""

    value: Literal["in_notch", "out"] = Field(description="As found.", examples=["in_notch"])
