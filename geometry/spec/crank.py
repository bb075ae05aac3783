"""The crankshaft as a builder would measure it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import Angle, NonNegativeLength, PositiveAngle, PositiveLength, SpecModel, hold

NamedThrows = Literal[
    "single", "twin-360", "twin-180", "three", "flat-plane", "cross-plane", "five", "inline-six", "boxer"
]


class Journal(SpecModel):
    """One bearing journal: crankpin or main."""

    diameter_mm: PositiveLength = Field(description="Journal diameter.", examples=["2.100 in", "53.3 mm"])
    width_mm: PositiveLength = Field(
        description="Length of the journal between the cheeks.", examples=["1.900 in", "48 mm"]
    )
    fillet_mm: NonNegativeLength = Field(
        description="Radius of the fillet where the journal meets the cheek.", examples=["0.100 in", "2.5 mm"]
    )


class Cheek(SpecModel):
    """A crank cheek: the web between main journal and crankpin."""

    main_radius_mm: PositiveLength = Field(
        description="Radius of the cheek around the main journal.", examples=["1.75 in", "44 mm"]
    )
    pin_radius_mm: PositiveLength = Field(
        description="Radius of the cheek around the crankpin.", examples=["1.45 in", "37 mm"]
    )
    thickness_mm: PositiveLength | None = Field(
        default=None,
        description="Thickness; follows from the bore spacing, so needed with a single throw only.",
        examples=["0.80 in", "20 mm"],
    )


class Counterweight(SpecModel):
    """A sector opposite the throw, as thick as the cheek."""

    radius_mm: PositiveLength = Field(
        description="Outer radius from the crank axis.", examples=["3.10 in", "78 mm"]
    )
    spread_deg: Annotated[PositiveAngle, Field(le=180)] = Field(
        description="Angle of the whole sector.", examples=["130 deg"]
    )
    cheeks: Literal["every", "outer", "none"] | list[int] = Field(
        default="every",
        description=(
            "Which cheeks carry one: 'every', 'outer' (first and last of the crank), 'none', or the numbers "
            "of the cheeks counted from the front, from 1."
        ),
    )


class Crank(SpecModel):
    """The crankshaft."""

    stroke_mm: PositiveLength = Field(
        description="Twice the throw, as sold; a pin offset makes the piston's own stroke a little longer.",
        examples=["3.480 in", "88.4 mm"],
    )
    throws: NamedThrows | list[Angle] = Field(
        description=(
            "A named layout, or one angle per throw from the front: how far each throw runs ahead of the "
            "first in the direction of rotation."
        ),
        examples=["cross-plane"],
    )
    rods_per_throw: Literal[1, 2] | None = Field(
        default=None, description="2 where two rods share a pin (vee), 1 otherwise; default by layout."
    )
    split_deg: Angle = Field(
        default=0.0,
        description=(
            "Split pins: degrees added to the bank angle between the top dead centres of a pair; 0 for a "
            "common pin."
        ),
        examples=["60 deg"],
    )
    split_web_mm: NonNegativeLength = Field(
        default=0.0, description="Thickness of the thin web between split pins.", examples=["0.25 in"]
    )
    pin: Journal = Field(description="The crankpins.")
    main: Journal = Field(description="The main journals.")
    cheek: Cheek = Field(description="The cheeks.")
    counterweight: Counterweight = Field(description="The counterweights.")
    material: Literal["steel", "cast_iron"] = Field(default="steel", description="What the crank is made of.")

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
