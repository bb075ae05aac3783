"""The connecting rod with its cap, bolts and bearing shells."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import (
    Mass,
    NonNegativeLength,
    Point,
    PositiveLength,
    Pressure,
    SpecModel,
    Torque,
    hold,
)


class BigEnd(SpecModel):
    """The end that runs on the crankpin."""

    bore_mm: PositiveLength = Field(
        description="Housing bore, without bearing shells.", examples=["2.225 in", "56.5 mm"]
    )
    outside_mm: PositiveLength = Field(
        description="Outside diameter of the ring around the bore.", examples=["2.85 in", "72 mm"]
    )
    width_mm: PositiveLength = Field(description="Width along the crank.", examples=["0.940 in", "23.9 mm"])


class SmallEnd(SpecModel):
    """The end that carries the piston pin."""

    outside_mm: PositiveLength = Field(description="Outside diameter.", examples=["1.38 in", "35 mm"])
    width_mm: PositiveLength = Field(description="Width along the pin.", examples=["0.94 in", "23.9 mm"])


class Beam(SpecModel):
    """The blade between the ends. Width is across the engine, thickness along the crank."""

    section: Literal["I", "H"] = Field(
        description="I: flanges face across the engine; H: flanges face along the crank."
    )
    width_big_mm: PositiveLength = Field(
        description="Width where it meets the big end.", examples=["1.25 in", "32 mm"]
    )
    width_small_mm: PositiveLength = Field(
        description="Width where it meets the small end.", examples=["0.85 in", "22 mm"]
    )
    thickness_mm: PositiveLength = Field(
        description="Thickness along the crank.", examples=["0.70 in", "18 mm"]
    )
    web_mm: PositiveLength = Field(description="Thickness of the web.", examples=["0.18 in", "4.5 mm"])
    flange_mm: PositiveLength = Field(description="Thickness of the flanges.", examples=["0.16 in", "4 mm"])


class Chamfer(SpecModel):
    """Chamfers at the edges of the big-end bore, 45 degrees, given by the leg."""

    cheek_mm: NonNegativeLength = Field(
        description="Leg of the large chamfer, the side that must face the crank cheek.",
        examples=["0.110 in", "2.8 mm"],
    )
    other_mm: NonNegativeLength = Field(
        description="Leg of the small chamfer on the other side, towards the neighbour rod.",
        examples=["0.020 in", "0.5 mm"],
    )


class RodCap(SpecModel):
    """The bearing cap under the big end."""

    height_mm: PositiveLength = Field(
        description="From the centre of the big end to the bottom of the cap.",
        examples=["1.50 in", "38 mm"],
    )
    rib_width_mm: PositiveLength = Field(
        description="Width across the engine of the rib at the bottom of the cap.",
        examples=["1.2 in", "30 mm"],
    )


class RodBolt(SpecModel):
    """The two rod bolts, one each side of the big end, along the rod."""

    kind: Literal["cap_screw", "bolt_and_nut"] = Field(
        description="A cap screw threads into the rod, head under the cap; a bolt and nut has the nut there."
    )
    diameter_mm: PositiveLength = Field(description="Shank diameter.", examples=["7/16 in", "11 mm"])
    pitch_mm: PositiveLength | None = Field(
        default=None, description="Thread pitch, for preload.", examples=["1.0 mm", "0.05 in"]
    )
    spacing_mm: PositiveLength = Field(
        description="Between the axes of the two bolts.", examples=["2.75 in", "70 mm"]
    )
    length_mm: PositiveLength = Field(description="Length under the head.", examples=["1.90 in", "48 mm"])
    seat_mm: PositiveLength = Field(
        description="From the joint line down to the seat of head or nut on the cap.",
        examples=["0.90 in", "23 mm"],
    )
    shoulder_mm: PositiveLength = Field(
        description="From the joint line up to the top of the rod's shoulder.", examples=["0.85 in", "21 mm"]
    )
    head_diameter_mm: PositiveLength = Field(
        description="Across the corners of the head.", examples=["0.60 in", "15 mm"]
    )
    head_height_mm: PositiveLength = Field(
        description="How far the head stands out.", examples=["0.42 in", "10.5 mm"]
    )
    nut_diameter_mm: PositiveLength | None = Field(
        default=None, description="Across the corners of the nut (bolt_and_nut).", examples=["0.62 in"]
    )
    nut_height_mm: PositiveLength | None = Field(
        default=None, description="Height of the nut (bolt_and_nut).", examples=["0.40 in"]
    )
    torque_nm: Torque | None = Field(
        default=None, description="Tightening torque by the bolt's maker.", examples=["45 lbf*ft", "60 N*m"]
    )
    proof_mpa: Pressure | None = Field(
        default=None, description="Proof stress of the bolt, for preload.", examples=["970 MPa", "120 ksi"]
    )

    @property
    def thread_out_mm(self) -> float:
        """How far the thread stands out beyond the nut; zero for a cap screw."""
        if self.kind == "cap_screw" or self.nut_height_mm is None:
            return 0.0
        return self.length_mm - self.seat_mm - self.shoulder_mm - self.nut_height_mm

    @model_validator(mode="after")
    def _complete(self) -> RodBolt:
        has_nut = self.kind == "bolt_and_nut"
        hold(
            ("rod.bolt.length", not has_nut and self.length_mm <= self.seat_mm,
             "the bolt is too short to reach the rod's thread", "a length under the head greater than rod.bolt.seat"),
            ("rod.bolt.nut_height", has_nut and (self.nut_diameter_mm is None or self.nut_height_mm is None),
             "a bolt and nut needs nut_diameter and nut_height",
             'for example nut_diameter = "0.62 in" and nut_height = "0.40 in"'),
            ("rod.bolt.length", self.thread_out_mm < 0,
             "the bolt is too short to pass through rod, cap and nut",
             "a length of at least shoulder + seat + nut_height"),
        )  # fmt: skip
        return self


class Bearing(SpecModel):
    """The bearing shells of one journal."""

    wall_mm: PositiveLength = Field(
        description="Thickness of one shell at its crown.", examples=["0.0612 in", "1.55 mm"]
    )
    width_mm: PositiveLength = Field(description="Width along the crank.", examples=["0.80 in", "20 mm"])
    tang_mm: PositiveLength = Field(
        default=3.0,
        description="Width of the locating tang; 3 mm (1/8 in) is usual and only matters to the eye.",
        examples=["0.125 in", "3 mm"],
    )


class Rod(SpecModel):
    """The connecting rod assembly."""

    length_mm: PositiveLength = Field(
        description="Between the centres of big and small end.", examples=["5.700 in", "144.8 mm"]
    )
    big_end: BigEnd = Field(description="The big end.")
    small_end: SmallEnd = Field(description="The small end.")
    beam: Beam = Field(description="The blade.")
    chamfer: Chamfer = Field(description="The chamfers of the big end.")
    cap: RodCap = Field(description="The cap.")
    bolt: RodBolt = Field(description="The rod bolts.")
    bearing: Bearing = Field(description="The big-end bearing shells.")
    mass_big_kg: Mass | None = Field(
        default=None, description="Weighed at the big end; computed from the solid when left out."
    )
    mass_small_kg: Mass | None = Field(
        default=None, description="Weighed at the small end; computed from the solid when left out."
    )
    material: Literal["steel", "aluminium"] = Field(default="steel", description="What the rod is made of.")
    mesh: Annotated[str, Field(min_length=1)] | None = Field(
        default=None,
        description=(
            "A measured mesh file (STL, OBJ, PLY, GLB) of rod and cap together, without bolts, in their place; "
            "rod frame; its path counts from the folder of this file."
        ),
        examples=["rod.stl"],
    )
    mesh_unit: Literal["mm", "in", "m"] = Field(default="mm", description="Unit of that mesh.")
    mesh_at_mm: Point = Field(
        default=[0.0, 0.0, 0.0],
        description="Where the origin of that mesh lies from the big end's centre: rearwards, across, up the rod.",
        examples=['["0 mm", "0 mm", "0 mm"]'],
    )

    @model_validator(mode="after")
    def _fits(self) -> Rod:
        big_end, chamfer = self.big_end, self.chamfer
        hold(
            ("rod.big_end.outside", big_end.outside_mm <= big_end.bore_mm,
             "the big end's outside is not larger than its bore", "an outside diameter larger than rod.big_end.bore"),
            ("rod.chamfer.cheek",
             max(chamfer.cheek_mm, chamfer.other_mm) >= (big_end.outside_mm - big_end.bore_mm) / 2,
             "a chamfer as large as the wall of the big end", "a leg smaller than the big end's wall"),
            ("rod.cap.height", self.cap.height_mm <= big_end.bore_mm / 2,
             "the cap ends inside the big-end bore", "a height greater than half of rod.big_end.bore"),
            ("rod.bolt.spacing", self.bolt.spacing_mm - self.bolt.diameter_mm <= big_end.bore_mm,
             "the bolts would pass through the big-end bore", "a spacing greater than the bore plus a bolt diameter"),
        )  # fmt: skip
        return self
