"""The crankshaft as a builder would measure it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import Angle, NonNegativeLength, PositiveAngle, PositiveLength, SpecModel, hold, said

NamedThrows = Literal[
    "single", "twin-360", "twin-180", "three", "flat-plane", "cross-plane", "five", "inline-six", "boxer"
]


class Journal(SpecModel):
    """One bearing journal: crankpin or main."""

    diameter_mm: PositiveLength = said("Journal diameter.", "2.100 in", "53.3 mm")
    width_mm: PositiveLength = said("Length of the journal between the cheeks.", "1.900 in", "48 mm")
    fillet_mm: NonNegativeLength = said(
        "Radius of the fillet where the journal meets the cheek.", "0.100 in", "2.5 mm"
    )


class Cheek(SpecModel):
    """A crank cheek: the web between main journal and crankpin."""

    main_radius_mm: PositiveLength = said("Radius of the cheek around the main journal.", "1.75 in", "44 mm")
    pin_radius_mm: PositiveLength = said("Radius of the cheek around the crankpin.", "1.45 in", "37 mm")
    thickness_mm: PositiveLength | None = said(
        "Thickness; follows from the bore spacing, so needed with a single throw only.",
        "0.80 in",
        "20 mm",
        default=None,
    )


class Counterweight(SpecModel):
    """A sector opposite the throw, as thick as the cheek."""

    radius_mm: PositiveLength = said("Outer radius from the crank axis.", "3.10 in", "78 mm")
    spread_deg: Annotated[PositiveAngle, Field(le=180)] = said("Angle of the whole sector.", "130 deg")
    cheeks: Literal["every", "outer", "none"] | list[int] = said(
        "Which cheeks carry one: 'every', 'outer' (first and last of the crank), 'none', or the numbers "
        "of the cheeks counted from the front, from 1.",
        default="every",
    )


class Crank(SpecModel):
    """The crankshaft."""

    stroke_mm: PositiveLength = said(
        "Twice the throw, as sold; a pin offset makes the piston's own stroke a little longer.",
        "3.480 in",
        "88.4 mm",
    )
    throws: NamedThrows | list[Angle] = said(
        "A named layout, or one angle per throw from the front: how far each throw runs ahead of the "
        "first in the direction of rotation.",
        "cross-plane",
    )
    rods_per_throw: Literal[1, 2] | None = said(
        "2 where two rods share a pin (vee), 1 otherwise; default by layout.", default=None
    )
    split_deg: Angle = said(
        "Split pins: degrees added to the bank angle between the top dead centres of a pair; 0 for a "
        "common pin.",
        "60 deg",
        default=0.0,
    )
    split_web_mm: NonNegativeLength = said(
        "Thickness of the thin web between split pins.", "0.25 in", default=0.0
    )
    pin: Journal = said("The crankpins.")
    main: Journal = said("The main journals.")
    cheek: Cheek = said("The cheeks.")
    counterweight: Counterweight = said("The counterweights.")
    material: Literal["steel", "cast_iron"] = said("What the crank is made of.", default="steel")

    @model_validator(mode="after")
    def _fits(self) -> Crank:
        hold(
            *((f"crank.{key}.fillet", journal.fillet_mm >= journal.width_mm / 2,
               "the fillet is as large as half the journal's width",
               "a fillet well under half the journal's width")
              for key, journal in (("pin", self.pin), ("main", self.main))),
            ("crank.cheek.pin_radius", self.cheek.pin_radius_mm <= self.pin.diameter_mm / 2,
             "the cheek is no larger than the crankpin it carries", "a radius larger than half the pin's diameter"),
            ("crank.cheek.main_radius", self.cheek.main_radius_mm <= self.main.diameter_mm / 2,
             "the cheek is no larger than the main journal", "a radius larger than half the main journal's diameter"),
            ("crank.split_web", self.split_deg != 0 and not self.split_web_mm,
             "split pins need the web between them", 'a thickness such as split_web = "0.25 in"'),
        )  # fmt: skip
        return self
