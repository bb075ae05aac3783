"""The rings of one piston and where their gaps stand."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from geometry.spec.base import (
    Angle,
    Expansion,
    Length,
    NonNegativeLength,
    PositiveLength,
    SpecModel,
    Temperature,
)

Face = Literal["rectangular", "barrel", "taper", "napier", "keystone"]


class CompressionRing(SpecModel):
    """A compression or scraper ring, described by the terms of ISO 6621-1."""

    face: Face = Field(
        description="Running face or section: rectangular, barrel, taper, napier (scraper), keystone."
    )
    inside: Literal["plain", "bevel_top", "bevel_bottom", "step_top"] = Field(
        default="plain", description="Inner edge: plain, bevelled on top or bottom, stepped on top."
    )
    mark: Literal["none", "dot", "word"] = Field(
        default="none", description="The mark that must face up, if the ring has one."
    )
    height_mm: PositiveLength = Field(
        description="Axial height (trade: width).", examples=["0.0600 in", "1.5 mm"]
    )
    wall_mm: PositiveLength = Field(description="Radial wall.", examples=["0.165 in", "4.0 mm"])
    gap_mm: PositiveLength = Field(
        description="End gap in the finished bore, as it will be fitted.", examples=["18 thou", "0.45 mm"]
    )
    material: Literal["cast_iron", "ductile_iron", "steel"] = Field(
        default="cast_iron", description="What it is made of; sets its expansion."
    )


class OilRing(SpecModel):
    """A three-piece oil ring: two rails and the expander between them."""

    height_mm: PositiveLength = Field(
        description="Height of the pack as assembled.", examples=["0.184 in", "4.7 mm"]
    )
    rail_height_mm: PositiveLength = Field(
        description="Thickness of one rail.", examples=["0.020 in", "0.5 mm"]
    )
    rail_wall_mm: PositiveLength = Field(
        description="Radial wall of a rail.", examples=["0.110 in", "2.6 mm"]
    )
    rail_gap_mm: PositiveLength = Field(
        description="End gap of the rails in the finished bore.", examples=["25 thou", "0.6 mm"]
    )


class Clock(SpecModel):
    """A clocking of the builder's own: where each gap stands, clockwise seen from above."""

    datum: Literal["front", "thrust"] = Field(
        default="front", description="Angles count from the front mark, or from the major thrust side."
    )
    top_deg: Angle = Field(description="Gap of the top ring.", examples=["45 deg"])
    second_deg: Angle | None = Field(
        default=None, description="Gap of the second ring.", examples=["225 deg"]
    )
    upper_rail_deg: Angle | None = Field(default=None, description="Gap of the upper rail.")
    expander_deg: Angle | None = Field(default=None, description="Joint of the expander.")
    lower_rail_deg: Angle | None = Field(default=None, description="Gap of the lower rail.")


class Heat(SpecModel):
    """How hot ring and bore run, for the gap that remains. An assumption of the builder's."""

    ring_c: Temperature = Field(description="Mean temperature of the top ring.", examples=["220 degC"])
    second_ring_c: Temperature | None = Field(default=None, description="The second ring; default: halfway.")
    bore_c: Temperature = Field(description="Bore wall.", examples=["120 degC"])
    ring_expansion_per_k: Expansion | None = Field(
        default=None, description="Expansion of the ring; default by material.", examples=["11.4e-6/K"]
    )
    bore_expansion_per_k: Expansion | None = Field(
        default=None, description="Expansion of the bore; default by material.", examples=["11.4e-6/K"]
    )


class Rings(SpecModel):
    """The ring set."""

    top: CompressionRing = Field(description="The top ring.")
    second: CompressionRing | None = Field(default=None, description="The second ring.")
    oil: OilRing | None = Field(default=None, description="The oil ring.")
    scheme: str = Field(
        default="thirds",
        description="A named clocking scheme (`fullturn clock --schemes` lists them), unless `clock` is given.",
    )
    clock: Clock | None = Field(
        default=None, description="A clocking of your own, in place of a named scheme."
    )
    minimum_separation_deg: Angle = Field(
        default=45.0,
        description="Neighbour gaps closer than this are reported; 45 degrees is common practice, no source.",
    )
    heat: Heat | None = Field(
        default=None, description="Running temperatures; default by duty, illustrative."
    )
    oversize_mm: NonNegativeLength = Field(
        default=0.0,
        description="A file-fit set larger than the bore by this much on the diameter; stock to file off.",
        examples=["0.005 in"],
    )
    gap_bore_mm: Length | None = Field(
        default=None,
        description="The bore in which the gaps above were measured, where it is not the finished bore.",
    )
