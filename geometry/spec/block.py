"""The cylinder block: bores, crankcase, main webs and caps, pan rail."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field, model_validator

from geometry.spec.base import Angle, Length, NonNegativeLength, Point, PositiveLength, SpecModel, hold, said
from geometry.spec.bearings import MainBearing, ThrustBearing
from geometry.spec.bolt import MainBolt

NotchSides: TypeAlias = Literal["both", "major", "minor", "inboard", "outboard"]


class Notch(SpecModel):
    """Relief ground into the bottom of each bore so that the big end passes.

    It follows the bore: a sector of the given width along the crank, as high and as deep as said.
    """

    width_mm: PositiveLength = said(
        "Width along the crank, measured as a chord of the bore.", "1.2 in", "30 mm"
    )
    height_mm: PositiveLength = said("How far up from the bottom of the bore it reaches.", "0.25 in", "6 mm")
    depth_mm: PositiveLength = said("How deep it cuts into the wall.", "0.12 in", "3 mm")
    sides: NotchSides = said(
        "On which side across the engine: major thrust side, minor, or both; in a vee also inboard "
        "(towards the valley) or outboard, the same in both banks.",
        default="both",
    )
    offset_mm: Length = said(
        "How far its middle stands from the bore's axis along the crank, towards the bore that shares its "
        "throw; negative away from it. 0 where no two rods share a throw.",
        "0.45 in",
        "12 mm",
        default=0.0,
    )


class Bore(SpecModel):
    """The finished bores."""

    diameter_mm: PositiveLength = said("Finished diameter.", "4.030 in", "102 mm")
    spacing_mm: PositiveLength | None = said(
        "Between neighbour bores of one bank; needed with more than one bore in a bank.",
        "4.40 in",
        "112 mm",
        default=None,
    )
    stagger_mm: NonNegativeLength | None = said(
        "How far the bores of one bank stand behind those of the other (two rods on a pin); "
        "default: what centres each rod under its bore.",
        "0.94 in",
        "24 mm",
        default=None,
    )
    length_mm: PositiveLength = said("From the deck down to the bottom of the bore.", "5.6 in", "142 mm")
    wall_mm: PositiveLength = said(
        "Thickness of the bore's wall where it stands in the crankcase.", "0.20 in", "5 mm"
    )
    chamfer_mm: NonNegativeLength = said(
        "Leg of the 45 degree chamfer at the bottom edge of the bore.", default=0.0
    )
    notch: Notch | None = said("Relief at the bottom of the bore.", default=None)
    material: Literal["cast_iron", "steel", "aluminium"] | None = said(
        "What the wall that the rings run on is made of: that of the liners, or aluminium where the block's "
        "own bores are plated; default: iron, in an aluminium block as liners.",
        default=None,
    )


class PanRail(SpecModel):
    """The flange that the oil pan bolts to."""

    height_mm: Length = said(
        "Height of the rail's lower face; negative below the crank axis.", "-2.4 in", "-60 mm"
    )
    inside_mm: PositiveLength = said(
        "From the crank's middle plane out to the inner edge of the rail.", "3.6 in", "92 mm"
    )
    width_mm: PositiveLength = said("Width of the flange.", "0.8 in", "20 mm")
    thickness_mm: PositiveLength = said("Thickness.", "0.4 in", "10 mm")


class Crankcase(SpecModel):
    """The inside of the crankcase between two main webs, as a section across the engine.

    Each point is [across, up] from the crank axis, walking up from the pan rail to the roof beside the bores.
    The right half is enough when the case is symmetrical.
    """

    section: Annotated[
        list[Annotated[list[Length], Field(min_length=2, max_length=2)]], Field(min_length=2, max_length=60)
    ] = said(
        "Inner wall of the right half, from the pan rail upwards: [[across, up], ...].",
        '[["3.6 in", "-2.4 in"], ["3.6 in", "0.6 in"]]',
    )
    section_left: (
        Annotated[
            list[Annotated[list[Length], Field(min_length=2, max_length=2)]],
            Field(min_length=2, max_length=60),
        ]
        | None
    ) = said("Inner wall of the left half (across counted to the left); default: as right.", default=None)
    wall_mm: PositiveLength = said("Wall thickness.", "0.22 in", "5.5 mm")
    bays: dict[str, list[Annotated[list[Length], Field(min_length=2, max_length=2)]]] = said(
        "A different right-and-left section for one bay: bay number from the front = section.", default={}
    )


class MainCap(SpecModel):
    """The main bearing caps, one at each main web."""

    width_mm: PositiveLength = said("Width across the engine.", "4.6 in", "116 mm")
    height_mm: PositiveLength = said("From the crank axis down to the bottom of the cap.", "2.0 in", "50 mm")
    thickness_mm: PositiveLength = said("Thickness along the crank.", "0.8 in")
    bolt_spacing_mm: PositiveLength = said("Between the two cap bolts.", "3.7 in", "94 mm")
    bolt_diameter_mm: PositiveLength = said("Bolt diameter.", "7/16 in", "11 mm")
    bolt: MainBolt | None = said("What is known of the bolts, to tighten them by.", default=None)


class Block(SpecModel):
    """The block."""

    deck_height_mm: PositiveLength = said(
        "From the crank axis to the deck, along the bore.", "9.025 in", "229 mm"
    )
    bore: Bore = said("The bores.")
    crankcase: Crankcase = said("The inside of the crankcase.")
    pan_rail: PanRail = said("The pan rail.")
    web_mm: PositiveLength = said("Thickness of the main webs along the crank.", "0.85 in", "20 mm")
    web_bottom_mm: Length = said(
        "Height of the main webs' lower face; 0 when the caps split on the crank axis.", default=0.0
    )
    main_cap: MainCap = said("The main caps.")
    main_bearing: MainBearing | None = said("The main bearings.", default=None)
    thrust_bearing: ThrustBearing | None = said("The bearing that takes the crank's thrust.", default=None)
    end_wall_mm: PositiveLength = said(
        "Front and rear wall beyond the end main webs; 8 mm is only for the eye.", default=8.0
    )
    slant_deg: Angle = said("An inline engine leaning over: positive to the engine's right.", default=0.0)
    material: Literal["cast_iron", "aluminium"] = said("What it is made of.", default="cast_iron")
    mesh: Annotated[str, Field(min_length=1)] | None = said(
        "A measured mesh file (STL, OBJ, PLY, GLB) in place of the parametric block, engine frame; "
        "its path counts from the folder of this file.",
        "block.stl",
        default=None,
    )
    mesh_unit: Literal["mm", "in", "m"] = said("Unit of that mesh.", default="mm")
    mesh_at_mm: Point = said(
        "Where the origin of that mesh lies in the engine: rearwards, right, up.",
        '["0 mm", "0 mm", "12 mm"]',
        default=[0.0, 0.0, 0.0],
    )

    @model_validator(mode="after")
    def _fits(self) -> Block:
        first, spacing_mm = self.crankcase.section[0], self.bore.spacing_mm
        hold(
            ("block.bore.length", self.bore.length_mm >= self.deck_height_mm,
             "the bore reaches the crank axis", "a bore shorter than the deck height"),
            ("block.bore.spacing", spacing_mm is not None and spacing_mm <= self.bore.diameter_mm,
             "neighbour bores overlap", "a spacing greater than the bore's diameter"),
            ("block.crankcase.section",
             abs(first[1] - self.pan_rail.height_mm) > 1e-6 + self.pan_rail.thickness_mm,
             "the section does not start at the pan rail", "a first point at the height of block.pan_rail"),
        )  # fmt: skip
        return self
