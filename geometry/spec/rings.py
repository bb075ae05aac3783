"""The rings of one piston and where their gaps stand."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field, model_validator

from geometry.spec.base import (
    Angle,
    Expansion,
    Length,
    NonNegativeLength,
    PositiveLength,
    SpecModel,
    Temperature,
    hold,
)

Face = Literal[
    "rectangular", "barrel", "barrel_asymmetric", "taper", "napier", "taper_napier", "scraper", "keystone",
    "half_keystone",
]  # fmt: skip
Inside = Literal["plain", "bevel_top", "bevel_bottom", "step_top", "step_bottom"]


LEAST_SEPARATION_DEG: Final = 45.0
"""Least distance of two ring gaps where the file gives none; `geometry/rings/clock.py` says where it comes from."""


def _in_order(key: str, least_mm: float | None, most_mm: float | None, what: str = "gap") -> None:
    is_broken = least_mm is not None and most_mm is not None and most_mm < least_mm
    hold((key, is_broken, f"the greatest {what} is below the least", "least, then most"))


class CompressionRing(SpecModel):
    """A compression or scraper ring, described by the terms of ISO 6621-1."""

    face: Face = Field(
        description=(
            "Running face or section: rectangular, barrel, taper, napier (hook), scraper (step), keystone, "
            "or a half or combined form of these."
        )
    )
    inside: Inside = Field(
        default="plain", description="Inner edge: plain, bevelled or stepped on top or at the bottom."
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
    gap_least_mm: PositiveLength | None = Field(
        default=None, description="Least gap by the maker's sheet; default: by duty.", examples=["16 thou"]
    )
    gap_most_mm: PositiveLength | None = Field(
        default=None, description="Greatest gap by the maker's sheet.", examples=["20 thou"]
    )
    free_gap_mm: PositiveLength | None = Field(
        default=None,
        description="Gap of the ring lying free; gives its tension.",
        examples=["0.45 in", "11.5 mm"],
    )
    material: Literal["cast_iron", "ductile_iron", "steel"] = Field(
        default="cast_iron", description="What it is made of; sets its expansion."
    )

    @model_validator(mode="after")
    def _gaps(self) -> CompressionRing:
        _in_order("gap_most", self.gap_least_mm, self.gap_most_mm)
        hold(("free_gap", self.free_gap_mm is not None and self.free_gap_mm <= self.gap_mm,
              "the free gap is not wider than the end gap: the ring would not press on the wall",
              "the gap of the ring lying on the bench"))  # fmt: skip
        return self


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
    rail_gap_least_mm: PositiveLength | None = Field(
        default=None,
        description="Least gap by the maker's sheet; default: the trade's.",
        examples=["15 thou"],
    )
    rail_gap_most_mm: PositiveLength | None = Field(
        default=None, description="Greatest gap by the maker's sheet.", examples=["50 thou"]
    )

    @model_validator(mode="after")
    def _gaps(self) -> OilRing:
        _in_order("rail_gap_most", self.rail_gap_least_mm, self.rail_gap_most_mm)
        return self


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
        default=LEAST_SEPARATION_DEG,
        description=(
            f"Neighbour gaps closer than this are reported; {LEAST_SEPARATION_DEG:g} degrees is common practice, "
            "no source."
        ),
    )
    heat: Heat | None = Field(
        default=None, description="Running temperatures; default by duty, illustrative."
    )
    oversize_mm: NonNegativeLength = Field(
        default=0.0,
        description="A file-fit set larger than the bore by this much on the diameter; stock to file off.",
        examples=["0.005 in"],
    )
    side_least_mm: PositiveLength | None = Field(
        default=None,
        description="Least side clearance of the compression rings by the maker's sheet; default: by duty.",
        examples=["0.0015 in", "0.04 mm"],
    )
    side_most_mm: PositiveLength | None = Field(
        default=None,
        description="Greatest side clearance of the compression rings by the maker's sheet.",
        examples=["0.0035 in", "0.09 mm"],
    )
    gap_bore_mm: Length | None = Field(
        default=None,
        description="The bore in which the gaps above were measured, where it is not the finished bore.",
    )

    @model_validator(mode="after")
    def _sides(self) -> Rings:
        _in_order("side_most", self.side_least_mm, self.side_most_mm, "side clearance")
        return self
