"""The cylinder block: bores, crankcase, main webs and caps, pan rail."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field, model_validator

from geometry.spec.base import Angle, Length, NonNegativeLength, Point, PositiveLength, SpecModel, hold

NotchSides: TypeAlias = Literal["both", "major", "minor", "inboard", "outboard"]


class Notch(SpecModel):
    """Relief ground into the bottom of each bore so that the big end passes.

    It follows the bore: a sector of the given width along the crank, as high and as deep as said.
    """

    width_mm: PositiveLength = Field(
        description="Width along the crank, measured as a chord of the bore.", examples=["1.2 in", "30 mm"]
    )
    height_mm: PositiveLength = Field(
        description="How far up from the bottom of the bore it reaches.", examples=["0.25 in", "6 mm"]
    )
    depth_mm: PositiveLength = Field(
        description="How deep it cuts into the wall.", examples=["0.12 in", "3 mm"]
    )
    sides: NotchSides = Field(
        default="both",
        description=(
            "On which side across the engine: major thrust side, minor, or both; in a vee also inboard "
            "(towards the valley) or outboard, the same in both banks."
        ),
    )
    offset_mm: Length = Field(
        default=0.0,
        description=(
            "How far its middle stands from the bore's axis along the crank, towards the bore that shares its "
            "throw; negative away from it. 0 where no two rods share a throw."
        ),
        examples=["0.45 in", "12 mm"],
    )


class Bore(SpecModel):
    """The finished bores."""

    diameter_mm: PositiveLength = Field(description="Finished diameter.", examples=["4.030 in", "102 mm"])
    spacing_mm: PositiveLength | None = Field(
        default=None,
        description="Between neighbour bores of one bank; needed with more than one bore in a bank.",
        examples=["4.40 in", "112 mm"],
    )
    stagger_mm: NonNegativeLength | None = Field(
        default=None,
        description=(
            "How far the bores of one bank stand behind those of the other (two rods on a pin); "
            "default: what centres each rod under its bore."
        ),
        examples=["0.94 in", "24 mm"],
    )
    length_mm: PositiveLength = Field(
        description="From the deck down to the bottom of the bore.", examples=["5.6 in", "142 mm"]
    )
    wall_mm: PositiveLength = Field(
        description="Thickness of the bore's wall where it stands in the crankcase.",
        examples=["0.20 in", "5 mm"],
    )
    chamfer_mm: NonNegativeLength = Field(
        default=0.0, description="Leg of the 45 degree chamfer at the bottom edge of the bore."
    )
    notch: Notch | None = Field(default=None, description="Relief at the bottom of the bore.")
    material: Literal["cast_iron", "steel", "aluminium"] | None = Field(
        default=None,
        description=(
            "What the wall that the rings run on is made of: that of the liners, or aluminium where the block's "
            "own bores are plated; default: iron, in an aluminium block as liners."
        ),
    )


class PanRail(SpecModel):
    """The flange that the oil pan bolts to."""

    height_mm: Length = Field(
        description="Height of the rail's lower face; negative below the crank axis.",
        examples=["-2.4 in", "-60 mm"],
    )
    inside_mm: PositiveLength = Field(
        description="From the crank's middle plane out to the inner edge of the rail.",
        examples=["3.6 in", "92 mm"],
    )
    width_mm: PositiveLength = Field(description="Width of the flange.", examples=["0.8 in", "20 mm"])
    thickness_mm: PositiveLength = Field(description="Thickness.", examples=["0.4 in", "10 mm"])


class Crankcase(SpecModel):
    """The inside of the crankcase between two main webs, as a section across the engine.

    Each point is [across, up] from the crank axis, walking up from the pan rail to the roof beside the bores.
    The right half is enough when the case is symmetrical.
    """

    section: Annotated[
        list[Annotated[list[Length], Field(min_length=2, max_length=2)]], Field(min_length=2, max_length=60)
    ] = Field(
        description="Inner wall of the right half, from the pan rail upwards: [[across, up], ...].",
        examples=['[["3.6 in", "-2.4 in"], ["3.6 in", "0.6 in"]]'],
    )
    section_left: (
        Annotated[
            list[Annotated[list[Length], Field(min_length=2, max_length=2)]],
            Field(min_length=2, max_length=60),
        ]
        | None
    ) = Field(
        default=None,
        description="Inner wall of the left half (across counted to the left); default: as right.",
    )
    wall_mm: PositiveLength = Field(description="Wall thickness.", examples=["0.22 in", "5.5 mm"])
    bays: dict[str, list[Annotated[list[Length], Field(min_length=2, max_length=2)]]] = Field(
        default={},
        description="A different right-and-left section for one bay: bay number from the front = section.",
    )


class MainCap(SpecModel):
    """The main bearing caps, one at each main web."""

    width_mm: PositiveLength = Field(description="Width across the engine.", examples=["4.6 in", "116 mm"])
    height_mm: PositiveLength = Field(
        description="From the crank axis down to the bottom of the cap.", examples=["2.0 in", "50 mm"]
    )
    thickness_mm: PositiveLength = Field(description="Thickness along the crank.", examples=["0.8 in"])
    bolt_spacing_mm: PositiveLength = Field(
        description="Between the two cap bolts.", examples=["3.7 in", "94 mm"]
    )
    bolt_diameter_mm: PositiveLength = Field(description="Bolt diameter.", examples=["7/16 in", "11 mm"])


class Block(SpecModel):
    """The block."""

    deck_height_mm: PositiveLength = Field(
        description="From the crank axis to the deck, along the bore.", examples=["9.025 in", "229 mm"]
    )
    bore: Bore = Field(description="The bores.")
    crankcase: Crankcase = Field(description="The inside of the crankcase.")
    pan_rail: PanRail = Field(description="The pan rail.")
    web_mm: PositiveLength = Field(
        description="Thickness of the main webs along the crank.", examples=["0.85 in", "20 mm"]
    )
    web_bottom_mm: Length = Field(
        default=0.0,
        description="Height of the main webs' lower face; 0 when the caps split on the crank axis.",
    )
    main_cap: MainCap = Field(description="The main caps.")
    end_wall_mm: PositiveLength = Field(
        default=8.0,
        description="Front and rear wall beyond the end main webs; 8 mm is only for the eye.",
    )
    slant_deg: Angle = Field(
        default=0.0, description="An inline engine leaning over: positive to the engine's right."
    )
    material: Literal["cast_iron", "aluminium"] = Field(
        default="cast_iron", description="What it is made of."
    )
    mesh: Annotated[str, Field(min_length=1)] | None = Field(
        default=None,
        description=(
            "A measured mesh file (STL, OBJ, PLY, GLB) in place of the parametric block, engine frame; "
            "its path counts from the folder of this file."
        ),
        examples=["block.stl"],
    )
    mesh_unit: Literal["mm", "in", "m"] = Field(default="mm", description="Unit of that mesh.")
    mesh_at_mm: Point = Field(
        default=[0.0, 0.0, 0.0],
        description="Where the origin of that mesh lies in the engine: rearwards, right, up.",
        examples=['["0 mm", "0 mm", "12 mm"]'],
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
