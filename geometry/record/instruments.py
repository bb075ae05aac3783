"""What each instrument on the bench can tell apart."""

from __future__ import annotations

from pydantic import Field

from geometry.record.entry import AngleStep, Step, TorqueStep
from geometry.spec.base import SpecModel


class Instruments(SpecModel):
    """What each instrument can tell apart, for readings that do not say so themselves.

    The defaults are those of ordinary workshop instruments; common practice, no source.
    """

    feeler_mm: Step | None = Field(
        default=None,
        description="Step between blades: then one blade that goes means that the next was tight.",
        examples=["1 thou", "0.05 mm"],
    )
    micrometer_mm: Step = Field(default=0.01, description="Outside micrometer.", examples=["0.0001 in"])
    bore_gauge_mm: Step = Field(default=0.01, description="Bore gauge.", examples=["0.0001 in"])
    depth_gauge_mm: Step = Field(
        default=0.01,
        description="Dial or depth gauge, for deck, end play and bolt heads.",
        examples=["0.5 thou"],
    )
    strip_mm: Step = Field(
        default=0.0125, description="Plastic strip, for oil clearance.", examples=["0.5 thou", "0.01 mm"]
    )
    torque_nm: TorqueStep = Field(default=1.0, description="Torque wrench.", examples=["1 lbf*ft"])
    angle_deg: AngleStep = Field(default=5.0, description="A gap's angle judged by eye.", examples=["5 deg"])
