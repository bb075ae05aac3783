"""What measuring costs in the builder's own shop: ``[measuring]``."""

from __future__ import annotations

from typing import TypeAlias

from geometry.spec.base import PositiveRatio, SpecModel, said

OwnMinutes: TypeAlias = PositiveRatio | None


class Measuring(SpecModel):
    """Minutes for one value with each instrument, a plain number, where your shop differs from the table.

    They decide what `fullturn check --measure` puts first.
    """

    micrometer_minutes: OwnMinutes = said("Outside micrometer.", 3, default=None)
    bore_gauge_minutes: OwnMinutes = said("Bore gauge.", 8, default=None)
    caliper_minutes: OwnMinutes = said("Caliper.", 3, default=None)
    depth_gauge_minutes: OwnMinutes = said("Depth gauge.", 5, default=None)
    height_gauge_minutes: OwnMinutes = said("Height gauge on a surface plate.", 15, default=None)
    rule_minutes: OwnMinutes = said("Rule.", 2, default=None)
    feeler_minutes: OwnMinutes = said("Feeler blades.", 3, default=None)
    burette_minutes: OwnMinutes = said("Burette and plate.", 20, default=None)
    protractor_minutes: OwnMinutes = said("Protractor.", 8, default=None)
    radius_gauge_minutes: OwnMinutes = said("Radius gauges.", 3, default=None)
    thread_gauge_minutes: OwnMinutes = said("Thread gauge.", 2, default=None)
    scales_minutes: OwnMinutes = said("Scales.", 3, default=None)
    torque_wrench_minutes: OwnMinutes = said("Torque wrench.", 5, default=None)
    sheet_minutes: OwnMinutes = said("Finding the maker's sheet, or asking.", 10, default=None)
    clay_minutes: OwnMinutes = said(
        "Clay between two parts: a trial assembly, turned by hand and opened again.", 40, default=None
    )

    def of(self, instrument: str, usual: float) -> float:
        """Minutes for one value: the shop's own, else the usual."""
        own = getattr(self, f"{instrument}_minutes")
        return usual if own is None else float(own)
