"""The rings of one piston and where their gaps stand."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import model_validator

from geometry.spec.base import (
    Angle,
    Expansion,
    Length,
    NonNegativeLength,
    PositiveLength,
    SpecModel,
    Temperature,
    hold,
    said,
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

    face: Face = said(
        "Running face or section: rectangular, barrel, taper, napier (hook), scraper (step), keystone, "
        "or a half or combined form of these."
    )
    inside: Inside = said("Inner edge: plain, bevelled or stepped on top or at the bottom.", default="plain")
    mark: Literal["none", "dot", "word"] = said(
        "The mark that must face up, if the ring has one.", default="none"
    )
    height_mm: PositiveLength = said("Axial height (trade: width).", "0.0600 in", "1.5 mm")
    wall_mm: PositiveLength = said("Radial wall.", "0.165 in", "4.0 mm")
    gap_mm: PositiveLength = said("End gap in the finished bore, as it will be fitted.", "18 thou", "0.45 mm")
    gap_least_mm: PositiveLength | None = said(
        "Least gap by the maker's sheet; default: by duty.", "16 thou", default=None
    )
    gap_most_mm: PositiveLength | None = said("Greatest gap by the maker's sheet.", "20 thou", default=None)
    free_gap_mm: PositiveLength | None = said(
        "Gap of the ring lying free; gives its tension.", "0.45 in", "11.5 mm", default=None
    )
    material: Literal["cast_iron", "ductile_iron", "steel"] = said(
        "What it is made of; sets its expansion.", default="cast_iron"
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

    height_mm: PositiveLength = said("Height of the pack as assembled.", "0.184 in", "4.7 mm")
    rail_height_mm: PositiveLength = said("Thickness of one rail.", "0.020 in", "0.5 mm")
    rail_wall_mm: PositiveLength = said("Radial wall of a rail.", "0.110 in", "2.6 mm")
    rail_gap_mm: PositiveLength = said("End gap of the rails in the finished bore.", "25 thou", "0.6 mm")
    rail_gap_least_mm: PositiveLength | None = said(
        "Least gap by the maker's sheet; default: the trade's.", "15 thou", default=None
    )
    rail_gap_most_mm: PositiveLength | None = said(
        "Greatest gap by the maker's sheet.", "50 thou", default=None
    )

    @model_validator(mode="after")
    def _gaps(self) -> OilRing:
        _in_order("rail_gap_most", self.rail_gap_least_mm, self.rail_gap_most_mm)
        return self


class Clock(SpecModel):
    """A clocking of the builder's own: where each gap stands, clockwise seen from above."""

    datum: Literal["front", "thrust"] = said(
        "Angles count from the front mark, or from the major thrust side.", default="front"
    )
    top_deg: Angle = said("Gap of the top ring.", "45 deg")
    second_deg: Angle | None = said("Gap of the second ring.", "225 deg", default=None)
    upper_rail_deg: Angle | None = said("Gap of the upper rail.", default=None)
    expander_deg: Angle | None = said("Joint of the expander.", default=None)
    lower_rail_deg: Angle | None = said("Gap of the lower rail.", default=None)


class Heat(SpecModel):
    """How hot ring and bore run, for the gap that remains. An assumption of the builder's."""

    ring_c: Temperature = said("Mean temperature of the top ring.", "220 degC")
    second_ring_c: Temperature | None = said("The second ring; default: halfway.", default=None)
    bore_c: Temperature = said("Bore wall.", "120 degC")
    ring_expansion_per_k: Expansion | None = said(
        "Expansion of the ring; default by material.", "11.4e-6/K", default=None
    )
    bore_expansion_per_k: Expansion | None = said(
        "Expansion of the bore; default by material.", "11.4e-6/K", default=None
    )


class Rings(SpecModel):
    """The ring set."""

    top: CompressionRing = said("The top ring.")
    second: CompressionRing | None = said("The second ring.", default=None)
    oil: OilRing | None = said("The oil ring.", default=None)
    scheme: str = said(
        "A named clocking scheme (`fullturn clock --schemes` lists them), unless `clock` is given.",
        default="thirds",
    )
    clock: Clock | None = said("A clocking of your own, in place of a named scheme.", default=None)
    minimum_separation_deg: Angle = said(
        f"Neighbour gaps closer than this are reported; {LEAST_SEPARATION_DEG:g} degrees is common practice, "
        "no source.",
        default=LEAST_SEPARATION_DEG,
    )
    heat: Heat | None = said("Running temperatures; default by duty, illustrative.", default=None)
    oversize_mm: NonNegativeLength = said(
        "A file-fit set larger than the bore by this much on the diameter; stock to file off.",
        "0.005 in",
        default=0.0,
    )
    side_least_mm: PositiveLength | None = said(
        "Least side clearance of the compression rings by the maker's sheet; default: by duty.",
        "0.0015 in",
        "0.04 mm",
        default=None,
    )
    side_most_mm: PositiveLength | None = said(
        "Greatest side clearance of the compression rings by the maker's sheet.",
        "0.0035 in",
        "0.09 mm",
        default=None,
    )
    gap_bore_mm: Length | None = said(
        "The bore in which the gaps above were measured, where it is not the finished bore.", default=None
    )

    @model_validator(mode="after")
    def _sides(self) -> Rings:
        _in_order("side_most", self.side_least_mm, self.side_most_mm, "side clearance")
        return self
