"""What stands over and under the block: gasket, head, cam, pan."""

from __future__ import annotations

from typing import Final, Literal

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

INTAKE_CENTRE_DEG: Final = 108.0
EXHAUST_CENTRE_DEG: Final = 112.0
"""Lobe centres after and before top dead centre where the file says nothing; common practice, no source."""

ROCKER: Final = 1.5
"""Lift at the valve over lift at the lobe where the file gives neither; common practice, no source."""
LIFT_SHARE: Final = 0.25
"""Full lift over the valve's diameter where the file gives neither lift nor lobe: the curtain under the valve then has
the area of its port, pi D L = pi D^2 / 4 (Heywood, *Internal Combustion Engine Fundamentals*, 6.3; from memory)."""


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
    lift_mm: PositiveLength | None = Field(
        default=None,
        description="Full lift at the valve; else cam.lift times cam.rocker, and without a cam a quarter of the "
        "diameter.",
        examples=["0.435 in", "10.5 mm"],
    )
    duration_deg: PositiveAngle | None = Field(
        default=None,
        description="Crank angle that the valve is open; else that of the lobe as drawn under a flat follower, "
        "and without a cam 240 degrees.",
        examples=["245 deg"],
    )
    duration_at_mm: NonNegativeLength | None = Field(
        default=None,
        description="Lift at the valve from which and to which the duration is counted; else from seat to seat.",
        examples=["0.075 in", "1 mm"],
    )
    centre_deg: PositiveAngle | None = Field(
        default=None,
        description="Full lift: after top dead centre for an intake valve, before it for an exhaust valve. "
        "Only without a [cam] table, which has its own; 108 and 112 are common practice, no source.",
        examples=["108 deg"],
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
        default=INTAKE_CENTRE_DEG,
        description="Intake lobe centre after top dead centre; 108 is common practice, no source.",
    )
    exhaust_centre_deg: PositiveAngle = Field(
        default=EXHAUST_CENTRE_DEG,
        description="Exhaust lobe centre before top dead centre; 112 is common practice, no source.",
    )
    rocker: PositiveRatio | None = Field(
        default=None,
        description="Lift at the valve over lift at the lobe; 1.5 is assumed where nothing is said.",
        examples=[1.5],
    )
    turns: Literal["with_crank", "against_crank"] = Field(
        default="with_crank", description="Chain or belt: with the crank; a gear pair: against it."
    )
    ratio: PositiveRatio = Field(
        default=0.5, description="Cam turns per crank turn: 0.5 in a four-stroke engine."
    )


def full_lift_mm(cam: Cam | None, valve: Valve) -> float:
    """Full lift at a valve: written, or by lobe and rocker, or by its diameter."""
    if valve.lift_mm is not None:
        return valve.lift_mm
    return LIFT_SHARE * valve.diameter_mm if cam is None else cam.lift_mm * (cam.rocker or ROCKER)


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
    rod_oil_mm: NonNegativeLength | None = Field(
        default=None, description="Oil clearance of the big end, on the diameter."
    )
    piston_to_wall_mm: NonNegativeLength | None = Field(
        default=None, description="Skirt to the wall of its own bore, on the diameter."
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
    piston_to_valve_mm: NonNegativeLength | None = Field(
        default=None, description="Piston to any valve, along the bore, where its own limit is not given."
    )
    piston_to_intake_valve_mm: NonNegativeLength | None = Field(
        default=None, description="Piston to intake valve, along the bore."
    )
    piston_to_exhaust_valve_mm: NonNegativeLength | None = Field(
        default=None, description="Piston to exhaust valve, along the bore."
    )
    valve_to_pocket_mm: NonNegativeLength | None = Field(
        default=None, description="Edge of a valve to the wall of its pocket in the piston."
    )
    valve_to_bore_mm: NonNegativeLength | None = Field(
        default=None, description="Valve to the wall of its bore."
    )
    valve_to_valve_mm: NonNegativeLength | None = Field(default=None, description="Valve to valve.")
    piston_to_piston_mm: NonNegativeLength | None = Field(
        default=None, description="Skirt to the piston or rod of another bore."
    )
    notch_wall_mm: NonNegativeLength | None = Field(
        default=None, description="Wall left behind a notch at the bottom of a bore."
    )
