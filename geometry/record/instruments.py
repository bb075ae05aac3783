"""What each instrument on the bench can tell apart."""

from __future__ import annotations

from geometry.record.entry import AngleStep, MassStep, Step, TorqueStep
from geometry.spec.base import SpecModel, said


class Instruments(SpecModel):
    """What each instrument can tell apart, for readings that do not say so themselves.

    The defaults are those of ordinary workshop instruments; common practice, no source.
    """

    feeler_mm: Step | None = said(
        "Step between blades: then one blade that goes means that the next was tight.",
        "1 thou",
        "0.05 mm",
        default=None,
    )
    micrometer_mm: Step = said("Outside micrometer.", "0.0001 in", default=0.01)
    bore_gauge_mm: Step = said("Bore gauge.", "0.0001 in", default=0.01)
    depth_gauge_mm: Step = said(
        "Dial or depth gauge, for deck, end play and bolt heads.", "0.5 thou", default=0.01
    )
    strip_mm: Step = said("Plastic strip, for oil clearance.", "0.5 thou", "0.01 mm", default=0.0125)
    torque_nm: TorqueStep = said("Torque wrench.", "1 lbf*ft", default=1.0)
    scales_kg: MassStep = said("Scales for parts.", "0.1 g", default=0.001)
    angle_deg: AngleStep = said("A gap's angle judged by eye.", "5 deg", default=5.0)
