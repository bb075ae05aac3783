"""BoreVolumes over one piston: swept, left at the top, and the compression ratio that they make."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.assembly import Assembly
from geometry.capacity import clearance_volume_cm3, compression_ratio, displacement_cm3
from geometry.kinematics.slider_crank import dead_centres
from geometry.spec.engine import Engine
from geometry.stack import stack_of


@dataclass(frozen=True, slots=True)
class BoreVolumes:
    """BoreVolumes of one bore, cm3: what its piston sweeps, and what it leaves at the top."""

    swept_cm3: float
    left_cm3: float

    @property
    def ratio(self) -> float | None:
        """The compression ratio; None where nothing is left at the top."""
        return compression_ratio(self.swept_cm3, self.left_cm3) if self.left_cm3 > 0.0 else None


def volumes_of(assembly: Assembly, bore: int) -> BoreVolumes:
    """The volumes of one bore, with its own diameter, stroke, deck and crown."""
    stroke_mm = float(dead_centres(assembly.linkage).stroke_mm[assembly.layout.index(bore)])
    deck_mm = stack_of(assembly.spec, assembly.layout, bore, assembly.built).deck_mm
    return volumes(assembly.design(bore), stroke_mm, deck_mm)


def volumes(spec: Engine, stroke_mm: float, deck_mm: float) -> BoreVolumes:
    """The volumes of a bore with a stroke and a deck that are given."""
    bore_mm, crown = spec.block.bore.diameter_mm, spec.piston.crown
    left = clearance_volume_cm3(
        chamber_cm3=spec.head.chamber_cm3,
        gasket_bore_mm=spec.gasket.bore_mm,
        gasket_thickness_mm=spec.gasket.thickness_mm,
        deck_clearance_mm=deck_mm,
        bore_mm=bore_mm,
        crown_recess_cm3=-crown.volume_cm3 if crown.shape == "dome" else crown.volume_cm3,
    )
    return BoreVolumes(displacement_cm3(bore_mm, stroke_mm, 1), left)
