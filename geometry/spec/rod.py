"""The connecting rod with its cap, bolts and bearing shells."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import (
    Mass,
    NonNegativeLength,
    Point,
    PositiveLength,
    SpecModel,
    hold,
    said,
)
from geometry.spec.bearings import ShellGrade
from geometry.spec.bolt import Tightened


class BigEnd(SpecModel):
    """The end that runs on the crankpin."""

    bore_mm: PositiveLength = said("Housing bore, without bearing shells.", "2.225 in", "56.5 mm")
    outside_mm: PositiveLength = said("Outside diameter of the ring around the bore.", "2.85 in", "72 mm")
    width_mm: PositiveLength = said("Width along the crank.", "0.940 in", "23.9 mm")


class SmallEnd(SpecModel):
    """The end that carries the piston pin."""

    outside_mm: PositiveLength = said("Outside diameter.", "1.38 in", "35 mm")
    width_mm: PositiveLength = said("Width along the pin.", "0.94 in", "23.9 mm")
    bore_mm: PositiveLength | None = said(
        "What the pin goes into: the bush as honed, or the plain bore that holds a pressed pin.",
        "0.9407 in", "23.01 mm", default=None,
    )  # fmt: skip
    pin: Literal["floating", "press"] | None = said(
        "floating: the pin turns in the rod; press: the rod holds it fast.", default=None
    )


class Beam(SpecModel):
    """The blade between the ends. Width is across the engine, thickness along the crank."""

    section: Literal["I", "H"] = said("I: flanges face across the engine; H: flanges face along the crank.")
    width_big_mm: PositiveLength = said("Width where it meets the big end.", "1.25 in", "32 mm")
    width_small_mm: PositiveLength = said("Width where it meets the small end.", "0.85 in", "22 mm")
    thickness_mm: PositiveLength = said("Thickness along the crank.", "0.70 in", "18 mm")
    web_mm: PositiveLength = said("Thickness of the web.", "0.18 in", "4.5 mm")
    flange_mm: PositiveLength = said("Thickness of the flanges.", "0.16 in", "4 mm")


class Chamfer(SpecModel):
    """Chamfers at the edges of the big-end bore, 45 degrees, given by the leg."""

    cheek_mm: NonNegativeLength = said(
        "Leg of the large chamfer, the side that must face the crank cheek.", "0.110 in", "2.8 mm"
    )
    other_mm: NonNegativeLength = said(
        "Leg of the small chamfer on the other side, towards the neighbour rod.", "0.020 in", "0.5 mm"
    )


class RodCap(SpecModel):
    """The bearing cap under the big end."""

    height_mm: PositiveLength = said(
        "From the centre of the big end to the bottom of the cap.", "1.50 in", "38 mm"
    )
    rib_width_mm: PositiveLength = said(
        "Width across the engine of the rib at the bottom of the cap.", "1.2 in", "30 mm"
    )


class RodBolt(Tightened):
    """The two rod bolts, one each side of the big end, along the rod."""

    kind: Literal["cap_screw", "bolt_and_nut"] = said(
        "A cap screw threads into the rod, head under the cap; a bolt and nut has the nut there."
    )
    diameter_mm: PositiveLength = said("Shank diameter.", "7/16 in", "11 mm")
    spacing_mm: PositiveLength = said("Between the axes of the two bolts.", "2.75 in", "70 mm")
    length_mm: PositiveLength = said("Length under the head.", "1.90 in", "48 mm")
    seat_mm: PositiveLength = said(
        "From the joint line down to the seat of head or nut on the cap.", "0.90 in", "23 mm"
    )
    shoulder_mm: PositiveLength = said(
        "From the joint line up to the top of the rod's shoulder.", "0.85 in", "21 mm"
    )
    head_diameter_mm: PositiveLength = said("Across the corners of the head.", "0.60 in", "15 mm")
    head_height_mm: PositiveLength = said("How far the head stands out.", "0.42 in", "10.5 mm")
    nut_diameter_mm: PositiveLength | None = said(
        "Across the corners of the nut (bolt_and_nut).", "0.62 in", default=None
    )
    nut_height_mm: PositiveLength | None = said("Height of the nut (bolt_and_nut).", "0.40 in", default=None)

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

    wall_mm: PositiveLength = said("Thickness of one shell at its crown.", "0.0612 in", "1.55 mm")
    width_mm: PositiveLength = said("Width along the crank.", "0.80 in", "20 mm")
    tang_mm: PositiveLength = said(
        "Width of the locating tang; 3 mm (1/8 in) is usual and only matters to the eye.",
        "0.125 in",
        "3 mm",
        default=3.0,
    )
    crush_mm: NonNegativeLength | None = said(
        "How far each end of a shell stands proud of its half of the housing, the cap off.",
        "0.0010 in", "0.03 mm", default=None,
    )  # fmt: skip
    grades: list[ShellGrade] = said(
        "Grades of shell that can be had.", '[{ name = "green", wall = "0.0621 in" }]',
        default=[], max_length=20,
    )  # fmt: skip


class Rod(SpecModel):
    """The connecting rod assembly."""

    length_mm: PositiveLength = said("Between the centres of big and small end.", "5.700 in", "144.8 mm")
    big_end: BigEnd = said("The big end.")
    small_end: SmallEnd = said("The small end.")
    beam: Beam = said("The blade.")
    chamfer: Chamfer = said("The chamfers of the big end.")
    cap: RodCap = said("The cap.")
    bolt: RodBolt = said("The rod bolts.")
    bearing: Bearing = said("The big-end bearing shells.")
    mass_big_kg: Mass | None = said(
        "Weighed at the big end; computed from the solid when left out.", default=None
    )
    mass_small_kg: Mass | None = said(
        "Weighed at the small end; computed from the solid when left out.", default=None
    )
    material: Literal["steel", "aluminium"] = said("What the rod is made of.", default="steel")
    mesh: Annotated[str, Field(min_length=1)] | None = said(
        "A measured mesh file (STL, OBJ, PLY, GLB) of rod and cap together, without bolts, in their place; "
        "rod frame; its path counts from the folder of this file.",
        "rod.stl",
        default=None,
    )
    mesh_unit: Literal["mm", "in", "m"] = said("Unit of that mesh.", default="mm")
    mesh_at_mm: Point = said(
        "Where the origin of that mesh lies from the big end's centre: rearwards, across, up the rod.",
        '["0 mm", "0 mm", "0 mm"]',
        default=[0.0, 0.0, 0.0],
    )

    @model_validator(mode="after")
    def _fits(self) -> Rod:
        self.hold_together()
        return self

    def hold_together(self) -> None:
        """Refuse sizes that are at odds with each other; asked again where one bore has sizes of its own.

        Raises
        ------
        Refused : its sizes are at odds with each other
        """
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
