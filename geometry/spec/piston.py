"""The piston with its pin, crown, skirt, pockets and ring grooves."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import (
    Length,
    Mass,
    NonNegativeLength,
    NonNegativeVolume,
    PositiveAngle,
    PositiveLength,
    SpecModel,
    hold,
)


class PistonPin(SpecModel):
    """The piston pin."""

    diameter_mm: PositiveLength = Field(description="Outside diameter.", examples=["0.927 in", "23 mm"])
    length_mm: PositiveLength = Field(description="Length.", examples=["2.75 in", "70 mm"])
    bore_mm: NonNegativeLength = Field(
        description="Inside diameter; 0 for a solid pin.", examples=["0.60 in", "14 mm"]
    )
    offset_mm: NonNegativeLength = Field(
        default=0.0,
        description="How far the pin stands from the middle of the piston; 0 when left out (none).",
        examples=["0.040 in", "1 mm"],
    )
    offset_side: Literal["major", "minor"] = Field(
        default="major",
        description="Towards the major thrust side (usual: quietens the piston) or the minor side.",
    )


class Crown(SpecModel):
    """The top of the piston. Volumes of pockets are counted apart from the shape's own."""

    shape: Literal["flat", "dish", "dome"] = Field(description="Flat, dished or domed.")
    volume_cm3: NonNegativeVolume = Field(
        default=0.0,
        description=(
            "Volume of the dish (adds room) or the dome (takes room), valve pockets included; "
            "for a flat crown the volume of its pockets."
        ),
        examples=["5.0 cc"],
    )
    diameter_mm: PositiveLength | None = Field(
        default=None, description="Diameter of the dish or dome.", examples=["3.2 in", "80 mm"]
    )
    thickness_mm: PositiveLength = Field(
        description="Thickness of the crown at its thinnest.", examples=["0.25 in", "7 mm"]
    )

    @model_validator(mode="after")
    def _complete(self) -> Crown:
        hold(("piston.crown.diameter", self.shape != "flat" and (self.diameter_mm is None or self.volume_cm3 <= 0),
              f"a {self.shape} needs its diameter and volume",
              'for example diameter = "3.2 in" and volume = "5.0 cc"'))  # fmt: skip
        return self


class Pocket(SpecModel):
    """A valve pocket, as a round recess in the crown."""

    valve: Literal["intake", "exhaust"] = Field(description="Which valve it makes room for.")
    forward_mm: Length = Field(
        description="Centre towards the front of the engine; negative to the rear.", examples=["0.9 in"]
    )
    inward_mm: Length = Field(
        description=(
            "Centre across the piston: towards the valley of a vee, upwards on a flat, to the engine's "
            "right on an inline; negative the other way."
        ),
        examples=["0.4 in"],
    )
    diameter_mm: PositiveLength = Field(description="Diameter of the recess.", examples=["2.1 in"])
    depth_mm: PositiveLength = Field(description="Depth below the crown.", examples=["0.12 in"])


class Skirt(SpecModel):
    """The skirt: two panels across the pin axis."""

    bottom_mm: PositiveLength = Field(
        description="From the pin centre down to the end of the skirt.", examples=["0.95 in", "24 mm"]
    )
    spread_deg: Annotated[PositiveAngle, Field(le=180)] = Field(
        description="Angle that each panel covers.", examples=["90 deg"]
    )
    thickness_mm: PositiveLength = Field(description="Thickness.", examples=["0.12 in", "3 mm"])
    clearance_mm: PositiveLength = Field(
        description="Piston to wall, on the diameter, measured at the skirt.",
        examples=["0.0030 in", "0.05 mm"],
    )
    ovality_mm: NonNegativeLength = Field(
        description="How much narrower the skirt is along the pin axis, on the diameter.",
        examples=["0.008 in", "0.2 mm"],
    )


class Boss(SpecModel):
    """The two pin bosses."""

    outside_mm: PositiveLength = Field(description="Outside diameter.", examples=["1.45 in", "37 mm"])
    gap_mm: PositiveLength = Field(
        description="Between the bosses, where the rod's small end goes.", examples=["1.02 in", "26 mm"]
    )


class Groove(SpecModel):
    """A ring groove."""

    ring: Literal["top", "second", "oil"] = Field(description="Which ring sits in it.")
    from_crown_mm: PositiveLength = Field(
        description="From the crown's edge down to the top of the groove.", examples=["0.28 in", "7 mm"]
    )
    height_mm: PositiveLength = Field(
        description="Axial height of the groove.", examples=["0.0615 in", "1.53 mm"]
    )
    root_mm: PositiveLength = Field(
        description="Diameter at the root of the groove.", examples=["3.62 in", "92 mm"]
    )


class Piston(SpecModel):
    """The piston."""

    compression_height_mm: PositiveLength = Field(
        description="From the pin centre up to the flat of the crown.", examples=["1.560 in", "39.6 mm"]
    )
    land_clearance_mm: PositiveLength = Field(
        description="Top land smaller than the bore by this much, on the diameter.",
        examples=["0.030 in", "0.7 mm"],
    )
    pin: PistonPin = Field(description="The piston pin and its offset.")
    crown: Crown = Field(description="The top.")
    skirt: Skirt = Field(description="The skirt.")
    boss: Boss = Field(description="The pin bosses.")
    grooves: list[Groove] = Field(description="The ring grooves, from the top.", min_length=1, max_length=5)
    pockets: list[Pocket] = Field(default=[], description="Valve pockets.", max_length=8)
    front_mark: Literal["arrow", "dot", "notch"] = Field(
        default="arrow", description="The mark on the crown that points to the front of the engine."
    )
    mass_kg: Mass | None = Field(
        default=None, description="Piston without pin and rings; computed from the solid when left out."
    )
    material: Literal["cast_aluminium", "forged_aluminium", "cast_iron"] = Field(
        default="cast_aluminium", description="What it is made of; sets its expansion."
    )

    @model_validator(mode="after")
    def _fits(self) -> Piston:
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
        return self
