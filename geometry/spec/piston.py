"""The piston with its pin, crown, skirt, pockets and ring grooves."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import (
    Expansion,
    Length,
    Mass,
    NonNegativeLength,
    NonNegativeVolume,
    PositiveAngle,
    PositiveLength,
    SpecModel,
    Temperature,
    hold,
    said,
)


class PistonPin(SpecModel):
    """The piston pin."""

    diameter_mm: PositiveLength = said("Outside diameter.", "0.927 in", "23 mm")
    length_mm: PositiveLength = said("Length.", "2.75 in", "70 mm")
    bore_mm: NonNegativeLength = said("Inside diameter; 0 for a solid pin.", "0.60 in", "14 mm")
    offset_mm: NonNegativeLength = said(
        "How far the pin stands from the middle of the piston; 0 when left out (none).",
        "0.040 in",
        "1 mm",
        default=0.0,
    )
    offset_side: Literal["major", "minor"] = said(
        "Towards the major thrust side (usual: quietens the piston) or the minor side.", default="major"
    )


class Crown(SpecModel):
    """The top of the piston. Volumes of pockets are counted apart from the shape's own."""

    shape: Literal["flat", "dish", "dome"] = said("Flat, dished or domed.")
    volume_cm3: NonNegativeVolume = said(
        "Volume of the dish (adds room) or the dome (takes room), valve pockets included; "
        "for a flat crown the volume of its pockets.",
        "5.0 cc",
        default=0.0,
    )
    diameter_mm: PositiveLength | None = said(
        "Diameter of the dish or dome.", "3.2 in", "80 mm", default=None
    )
    thickness_mm: PositiveLength = said("Thickness of the crown at its thinnest.", "0.25 in", "7 mm")

    @model_validator(mode="after")
    def _complete(self) -> Crown:
        hold(("piston.crown.diameter", self.shape != "flat" and (self.diameter_mm is None or self.volume_cm3 <= 0),
              f"a {self.shape} needs its diameter and volume",
              'for example diameter = "3.2 in" and volume = "5.0 cc"'))  # fmt: skip
        return self


class Pocket(SpecModel):
    """A valve pocket, as a round recess in the crown."""

    valve: Literal["intake", "exhaust"] = said("Which valve it makes room for.")
    forward_mm: Length = said("Centre towards the front of the engine; negative to the rear.", "0.9 in")
    inward_mm: Length = said(
        "Centre across the piston: towards the valley of a vee, upwards on a flat, to the engine's "
        "right on an inline; negative the other way.",
        "0.4 in",
    )
    diameter_mm: PositiveLength = said("Diameter of the recess.", "2.1 in")
    depth_mm: PositiveLength = said("Depth below the crown.", "0.12 in")


class Skirt(SpecModel):
    """The skirt: two panels across the pin axis."""

    bottom_mm: PositiveLength = said("From the pin centre down to the end of the skirt.", "0.95 in", "24 mm")
    spread_deg: Annotated[PositiveAngle, Field(le=180)] = said("Angle that each panel covers.", "90 deg")
    thickness_mm: PositiveLength = said("Thickness.", "0.12 in", "3 mm")
    clearance_mm: PositiveLength = said(
        "Piston to wall, on the diameter, measured at the skirt.", "0.0030 in", "0.05 mm"
    )
    ovality_mm: NonNegativeLength = said(
        "How much narrower the skirt is along the pin axis, on the diameter.", "0.008 in", "0.2 mm"
    )


class Boss(SpecModel):
    """The two pin bosses."""

    outside_mm: PositiveLength = said("Outside diameter.", "1.45 in", "37 mm")
    gap_mm: PositiveLength = said("Between the bosses, where the rod's small end goes.", "1.02 in", "26 mm")
    bore_mm: PositiveLength | None = said(
        "Bore of the bosses, in which the pin turns.", "0.9404 in", "23.006 mm", default=None
    )


class Clips(SpecModel):
    """The two clips that keep a floating pin in its piston."""

    apart_mm: PositiveLength | None = said(
        "Between the outer walls of their two grooves.", "2.90 in", "73.5 mm", default=None
    )
    thickness_mm: PositiveLength | None = said(
        "Thickness of one clip along the pin; of round wire its diameter.", "0.042 in", "1.1 mm", default=None
    )
    groove_mm: PositiveLength | None = said(
        "Width of one groove along the pin.", "0.046 in", "1.2 mm", default=None
    )


class SkirtHeat(SpecModel):
    """How warm skirt and wall run, for the clearance that is left. An assumption of the builder's."""

    skirt_c: Temperature | None = said("Mean temperature of the skirt.", "110 degC", default=None)
    wall_c: Temperature | None = said("The wall beside it.", "95 degC", default=None)
    expansion_per_k: Expansion | None = said(
        "Expansion of the piston; default by material.", "19.4e-6/K", default=None
    )

    @model_validator(mode="after")
    def _both(self) -> SkirtHeat:
        hold(("", (self.skirt_c is None) != (self.wall_c is None),
              "one temperature alone says nothing of a clearance", "both skirt and wall"))  # fmt: skip
        return self


class Groove(SpecModel):
    """A ring groove."""

    ring: Literal["top", "second", "oil"] = said("Which ring sits in it.")
    from_crown_mm: PositiveLength = said(
        "From the crown's edge down to the top of the groove.", "0.28 in", "7 mm"
    )
    height_mm: PositiveLength = said("Axial height of the groove.", "0.0615 in", "1.53 mm")
    root_mm: PositiveLength = said("Diameter at the root of the groove.", "3.62 in", "92 mm")


class Piston(SpecModel):
    """The piston."""

    compression_height_mm: PositiveLength = said(
        "From the pin centre up to the flat of the crown.", "1.560 in", "39.6 mm"
    )
    land_clearance_mm: PositiveLength = said(
        "Top land smaller than the bore by this much, on the diameter.", "0.030 in", "0.7 mm"
    )
    pin: PistonPin = said("The piston pin and its offset.")
    crown: Crown = said("The top.")
    skirt: Skirt = said("The skirt.")
    boss: Boss = said("The pin bosses.")
    clips: Clips | None = said("The clips of a floating pin.", default=None)
    heat: SkirtHeat | None = said(
        "Running temperatures; default: warmed through, illustrative.", default=None
    )
    grooves: list[Groove] = said("The ring grooves, from the top.", min_length=1, max_length=5)
    pockets: list[Pocket] = said("Valve pockets.", default=[], max_length=8)
    front_mark: Literal["arrow", "dot", "notch"] = said(
        "The mark on the crown that points to the front of the engine.", default="arrow"
    )
    mass_kg: Mass | None = said(
        "Piston without pin and rings; computed from the solid when left out.", default=None
    )
    material: Literal["cast_aluminium", "forged_aluminium", "cast_iron"] = said(
        "What it is made of; sets its expansion.", default="cast_aluminium"
    )

    @model_validator(mode="after")
    def _fits(self) -> Piston:
        self.hold_together()
        return self

    def hold_together(self) -> None:
        """Refuse sizes that are at odds with each other; asked again where one bore has sizes of its own.

        Raises
        ------
        Refused : its sizes are at odds with each other
        """
        seen = [groove.ring for groove in self.grooves]
        ends = [0.0, *(groove.from_crown_mm + groove.height_mm for groove in self.grooves)]
        hold(
            ("piston.grooves", len(set(seen)) != len(seen),
             "two grooves hold the same ring", "one groove each for top, second, oil"),
            *((f"piston.grooves[{index}].from_crown", groove.from_crown_mm <= ends[index],
               "this groove starts above the end of the one before",
               "grooves from the top down, with a land between them")
              for index, groove in enumerate(self.grooves)),
            ("piston.grooves", ends[-1] >= self.compression_height_mm + self.skirt.bottom_mm,
             "the grooves reach below the end of the skirt", "grooves within compression height plus skirt"),
        )  # fmt: skip
