"""What stands over and under the block: gasket, head, cam, pan."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from geometry.spec.base import (
    Length,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveRatio,
    SpecModel,
    Volume,
)


class Gasket(SpecModel):
    """The head gasket."""

    thickness_mm: PositiveLength = Field(
        description="Thickness when tightened down.", examples=["0.040 in", "1.0 mm"]
    )
    bore_mm: PositiveLength = Field(description="Diameter of its opening.", examples=["4.100 in", "104 mm"])


class Valve(SpecModel):
    """A valve head as it stands when the piston is at top dead centre between exhaust and intake."""

    valve: Literal["intake", "exhaust"] = Field(description="Which valve.")
    forward_mm: Length = Field(description="Centre towards the front, from the bore's axis.")
    inward_mm: Length = Field(
        description="Centre across: to the valley of a vee, up on a flat, to the right on an inline."
    )
    diameter_mm: PositiveLength = Field(description="Diameter of the valve head.", examples=["1.94 in"])
    below_deck_mm: Length = Field(
        description="How far it stands below the head's face at that moment; negative when above.",
        examples=["0.05 in"],
    )


class Head(SpecModel):
    """The cylinder head as far as the piston meets it."""

    chamber_cm3: Volume = Field(description="Volume of the chamber.", examples=["64 cc"])
    valves: list[Valve] = Field(
        default=[], description="Valves near the piston, the same in every bore.", max_length=8
    )


class Cam(SpecModel):
    """A camshaft in the block; leave the table out for an overhead cam."""

    across_mm: Length = Field(default=0.0, description="Its axis to the right of the crank's middle plane.")
    up_mm: PositiveLength = Field(
        description="Its axis above the crank axis.", examples=["4.52 in", "115 mm"]
    )
    base_mm: PositiveLength = Field(description="Base circle diameter of a lobe.", examples=["1.2 in"])
    lift_mm: PositiveLength = Field(description="Lift at the lobe.", examples=["0.31 in", "8 mm"])
    nose_mm: PositiveLength = Field(
        description="Radius of the lobe's nose circle.", examples=["0.30 in", "7 mm"]
    )
    lobe_width_mm: PositiveLength = Field(description="Width of a lobe.", examples=["0.50 in", "12 mm"])
    lobe_gap_mm: PositiveLength = Field(
        description="Between the middles of intake and exhaust lobe of one bore.", examples=["1.0 in"]
    )
    core_mm: PositiveLength = Field(description="Diameter of the shaft between lobes.", examples=["1.0 in"])
    journal_mm: PositiveLength = Field(description="Diameter of the cam journals.", examples=["1.87 in"])
    tunnel_wall_mm: PositiveLength = Field(
        default=5.0, description="Wall around the cam journals in the main webs; 5 mm is usual, no source."
    )
    intake_centre_deg: PositiveAngle = Field(
        default=108.0,
        description="Intake lobe centre after top dead centre; 108 is common practice, no source.",
    )
    exhaust_centre_deg: PositiveAngle = Field(
        default=112.0,
        description="Exhaust lobe centre before top dead centre; 112 is common practice, no source.",
    )
    turns: Literal["with_crank", "against_crank"] = Field(
        default="with_crank", description="Chain or belt: with the crank; a gear pair: against it."
    )
    ratio: PositiveRatio = Field(
        default=0.5, description="Cam turns per crank turn: 0.5 in a four-stroke engine."
    )


class Pan(SpecModel):
    """The oil pan, as far as the crank comes near it."""

    floor_mm: Length = Field(
        description="Height of the floor; negative below the crank axis.", examples=["-6.5 in"]
    )
    tray_mm: Length | None = Field(
        default=None, description="Height of a flat windage tray, if fitted; negative below the crank axis."
    )
    wall_mm: NonNegativeLength = Field(
        default=1.5, description="Sheet thickness; 1.5 mm is only for the eye."
    )


class Limits(SpecModel):
    """Least clearances the builder holds the engine to; each stands in for the default of the trade.

    The defaults and where they come from are listed by `fullturn check --limits`.
    """

    rod_to_block_mm: NonNegativeLength | None = Field(
        default=None, description="Rod, cap and bolts to block."
    )
    rod_to_cam_mm: NonNegativeLength | None = Field(default=None, description="Rod, cap and bolts to cam.")
    rod_to_piston_mm: NonNegativeLength | None = Field(default=None, description="Rod to any piston.")
    rod_to_counterweight_mm: NonNegativeLength | None = Field(
        default=None, description="Rod to a counterweight or a cheek that it does not run against."
    )
    rod_to_rod_mm: NonNegativeLength | None = Field(
        default=None, description="Rod to a rod that does not run beside it on the same pin."
    )
    piston_to_block_mm: NonNegativeLength | None = Field(
        default=None, description="Piston to the block outside its own bore."
    )
    rod_side_mm: NonNegativeLength | None = Field(
        default=None, description="Side clearance on the pin, total."
    )
    counterweight_to_piston_mm: NonNegativeLength | None = Field(
        default=None, description="Counterweight to skirt."
    )
    counterweight_to_block_mm: NonNegativeLength | None = Field(
        default=None, description="Counterweight to block, rail and caps."
    )
    crank_to_cam_mm: NonNegativeLength | None = Field(default=None, description="Crank to cam.")
    crank_to_pan_mm: NonNegativeLength | None = Field(
        default=None, description="Rod or crank to tray and pan."
    )
    piston_to_head_mm: NonNegativeLength | None = Field(default=None, description="Piston to head (squish).")
    piston_to_valve_mm: NonNegativeLength | None = Field(default=None, description="Piston to valve.")
    piston_to_piston_mm: NonNegativeLength | None = Field(
        default=None, description="Skirt to the piston or rod of another bore."
    )
