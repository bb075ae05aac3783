"""What stands over and under the block: gasket, head, cam, pan."""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from pydantic import model_validator

from geometry.spec.base import (
    Length,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveRatio,
    SpecModel,
    Volume,
    hold,
    said,
)
from geometry.spec.bolt import HeadBolt

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

    thickness_mm: PositiveLength = said("Thickness when tightened down.", "0.040 in", "1.0 mm")
    bore_mm: PositiveLength = said("Diameter of its opening.", "4.100 in", "104 mm")


class Valve(SpecModel):
    """A valve head as it stands when the piston is at top dead centre between exhaust and intake."""

    valve: Literal["intake", "exhaust"] = said("Which valve.")
    forward_mm: Length = said("Centre towards the front, from the bore's axis.")
    inward_mm: Length = said(
        "Centre across: to the valley of a vee, up on a flat, to the right on an inline."
    )
    diameter_mm: PositiveLength = said("Diameter of the valve head.", "1.94 in")
    below_deck_mm: Length = said(
        "How far it stands below the head's face at that moment; negative when above.", "0.05 in"
    )
    lift_mm: PositiveLength | None = said(
        "Full lift at the valve; else cam.lift times cam.rocker, and without a cam a quarter of the "
        "diameter.",
        "0.435 in",
        "10.5 mm",
        default=None,
    )
    duration_deg: PositiveAngle | None = said(
        "Crank angle that the valve is open; else that of the lobe as drawn under a flat follower, "
        "and without a cam 240 degrees.",
        "245 deg",
        default=None,
    )
    duration_at_mm: NonNegativeLength | None = said(
        "Lift at the valve from which and to which the duration is counted; else from seat to seat.",
        "0.075 in",
        "1 mm",
        default=None,
    )
    centre_deg: PositiveAngle | None = said(
        "Full lift: after top dead centre for an intake valve, before it for an exhaust valve. "
        "Only without a [cam] table, which has its own; 108 and 112 are common practice, no source.",
        "108 deg",
        default=None,
    )


class Head(SpecModel):
    """The cylinder head as far as the piston meets it."""

    chamber_cm3: Volume = said("Volume of the chamber.", "64 cc")
    valves: list[Valve] = said("Valves near the piston, the same in every bore.", default=[], max_length=8)
    bolt: HeadBolt | None = said("The bolts that hold it down.", default=None)


class Cam(SpecModel):
    """A camshaft in the block; leave the table out for an overhead cam."""

    across_mm: Length = said("Its axis to the right of the crank's middle plane.", default=0.0)
    up_mm: PositiveLength = said("Its axis above the crank axis.", "4.52 in", "115 mm")
    base_mm: PositiveLength = said("Base circle diameter of a lobe.", "1.2 in")
    lift_mm: PositiveLength = said("Lift at the lobe.", "0.31 in", "8 mm")
    nose_mm: PositiveLength = said("Radius of the lobe's nose circle.", "0.30 in", "7 mm")
    lobe_width_mm: PositiveLength = said("Width of a lobe.", "0.50 in", "12 mm")
    lobe_gap_mm: PositiveLength = said(
        "Between the middles of intake and exhaust lobe of one bore.", "1.0 in"
    )
    core_mm: PositiveLength = said("Diameter of the shaft between lobes.", "1.0 in")
    journal_mm: PositiveLength = said("Diameter of the cam journals.", "1.87 in")
    tunnel_wall_mm: PositiveLength = said(
        "Wall around the cam journals in the main webs; 5 mm is usual, no source.", default=5.0
    )
    intake_centre_deg: PositiveAngle = said(
        "Intake lobe centre after top dead centre; 108 is common practice, no source.",
        default=INTAKE_CENTRE_DEG,
    )
    exhaust_centre_deg: PositiveAngle = said(
        "Exhaust lobe centre before top dead centre; 112 is common practice, no source.",
        default=EXHAUST_CENTRE_DEG,
    )
    rocker: PositiveRatio | None = said(
        "Lift at the valve over lift at the lobe; 1.5 is assumed where nothing is said.", 1.5, default=None
    )
    turns: Literal["with_crank", "against_crank"] = said(
        "Chain or belt: with the crank; a gear pair: against it.", default="with_crank"
    )
    ratio: PositiveRatio = said("Cam turns per crank turn: 0.5 in a four-stroke engine.", default=0.5)


def full_lift_mm(cam: Cam | None, valve: Valve) -> float:
    """Full lift at a valve: written, or by lobe and rocker, or by its diameter."""
    if valve.lift_mm is not None:
        return valve.lift_mm
    return LIFT_SHARE * valve.diameter_mm if cam is None else cam.lift_mm * (cam.rocker or ROCKER)


class Pan(SpecModel):
    """The oil pan, as far as the crank comes near it."""

    floor_mm: Length = said("Height of the floor; negative below the crank axis.", "-6.5 in")
    tray_mm: Length | None = said(
        "Height of a flat windage tray, if fitted; negative below the crank axis.", default=None
    )
    wall_mm: NonNegativeLength = said("Sheet thickness; 1.5 mm is only for the eye.", default=1.5)


OwnLimit: TypeAlias = NonNegativeLength | None


class Limits(SpecModel):
    """Clearances the builder holds the engine to, each the least but for those that end in `most`.

    Each stands in for the default of the trade.

    The defaults and where they come from are listed by `fullturn check --limits`.
    """

    rod_to_block_mm: OwnLimit = said("Rod, cap and bolts to block.", default=None)
    rod_to_cam_mm: OwnLimit = said("Rod, cap and bolts to cam.", default=None)
    rod_to_piston_mm: OwnLimit = said("Rod to any piston.", default=None)
    rod_to_counterweight_mm: OwnLimit = said(
        "Rod to a counterweight or a cheek that it does not run against.", default=None
    )
    rod_to_rod_mm: OwnLimit = said("Rod to a rod that does not run beside it on the same pin.", default=None)
    piston_to_block_mm: OwnLimit = said("Piston to the block outside its own bore.", default=None)
    rod_side_mm: OwnLimit = said("Side clearance on the pin, total.", default=None)
    rod_oil_mm: OwnLimit = said("Oil clearance of the big end, on the diameter.", default=None)
    rod_oil_most_mm: OwnLimit = said("The most of it.", default=None)
    main_oil_mm: OwnLimit = said("Oil clearance of the mains, on the diameter.", default=None)
    main_oil_most_mm: OwnLimit = said("The most of it.", default=None)
    end_play_mm: OwnLimit = said("End play of the crank.", default=None)
    end_play_most_mm: OwnLimit = said("The most of it.", default=None)
    pin_in_piston_mm: OwnLimit = said("Piston pin in the piston, on the diameter.", default=None)
    pin_in_piston_most_mm: OwnLimit = said("The most of it.", default=None)
    pin_in_rod_mm: OwnLimit = said(
        "Piston pin in the rod, on the diameter: clearance, or interference of a pressed pin.", default=None
    )
    pin_in_rod_most_mm: OwnLimit = said("The most of it.", default=None)
    pin_float_mm: OwnLimit = said("End float of the piston pin between its clips.", default=None)
    pin_float_most_mm: OwnLimit = said("The most of it.", default=None)
    piston_to_wall_mm: OwnLimit = said("Skirt to the wall of its own bore, on the diameter.", default=None)
    piston_to_wall_most_mm: OwnLimit = said("The most of it.", default=None)
    counterweight_to_piston_mm: OwnLimit = said("Counterweight to skirt.", default=None)
    counterweight_to_block_mm: OwnLimit = said("Counterweight to block, rail and caps.", default=None)
    crank_to_cam_mm: OwnLimit = said("Crank to cam.", default=None)
    crank_to_pan_mm: OwnLimit = said("Rod or crank to tray and pan.", default=None)
    piston_to_head_mm: OwnLimit = said("Piston to head (squish).", default=None)
    piston_to_valve_mm: OwnLimit = said(
        "Piston to any valve, along the bore, where its own limit is not given.", default=None
    )
    piston_to_intake_valve_mm: OwnLimit = said("Piston to intake valve, along the bore.", default=None)
    piston_to_exhaust_valve_mm: OwnLimit = said("Piston to exhaust valve, along the bore.", default=None)
    valve_to_pocket_mm: OwnLimit = said(
        "Edge of a valve to the wall of its pocket in the piston.", default=None
    )
    valve_to_bore_mm: OwnLimit = said("Valve to the wall of its bore.", default=None)
    valve_to_valve_mm: OwnLimit = said("Valve to valve.", default=None)
    piston_to_piston_mm: OwnLimit = said("Skirt to the piston or rod of another bore.", default=None)
    notch_wall_mm: OwnLimit = said("Wall left behind a notch at the bottom of a bore.", default=None)

    @model_validator(mode="after")
    def _in_order(self) -> Limits:
        for name in (
            "rod_oil",
            "main_oil",
            "end_play",
            "pin_in_piston",
            "pin_in_rod",
            "pin_float",
            "piston_to_wall",
        ):
            least, most = getattr(self, f"{name}_mm"), getattr(self, f"{name}_most_mm")
            hold((f"limits.{name}_most", least is not None and most is not None and most < least,
                  "the most is below the least", "least, then most"))  # fmt: skip
        return self
