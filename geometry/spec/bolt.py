"""What any bolt may say of itself: grade, thread, grip, how it is tightened. All of it may be left out."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.bolting.grades import GRADES, GradeName, Metal
from geometry.bolting.torque import Lubricant
from geometry.spec.base import Length, PositiveAngle, PositiveLength, Pressure, SpecModel, Torque, hold, said

LONGEST_ORDER = 80


class GripPart(SpecModel):
    """One length of a bolt between the seat of its head and the thread that holds it."""

    length_mm: PositiveLength | None = said("How long it is.", "0.62 in", "16 mm", default=None)
    diameter_mm: PositiveLength | None = said(
        "Diameter of this length of shank; leave it out where the thread runs through.",
        "0.335 in",
        "8.5 mm",
        default=None,
    )

    @model_validator(mode="after")
    def _long(self) -> GripPart:
        hold(("length", self.length_mm is None, "a part of the grip says no length", 'length = "16 mm"'))
        return self


class TighteningStage(SpecModel):
    """One stage of tightening: every bolt in order to a torque, or on by an angle."""

    torque_nm: Torque | None = said("To this torque.", "25 lbf*ft", "30 N*m", default=None)
    angle_deg: PositiveAngle | None = said("On by this angle.", "90 deg", default=None)

    @model_validator(mode="after")
    def _one(self) -> TighteningStage:
        hold(("", (self.torque_nm is None) == (self.angle_deg is None), "a stage is one torque or one angle",
              '{ torque = "30 N*m" } or { angle = "90 deg" }'))  # fmt: skip
        return self


class Tightened(SpecModel):
    """What a bolt says of how it is tightened, whatever it holds."""

    pitch_mm: PositiveLength | None = said("Thread pitch, for preload.", "1.0 mm", "0.05 in", default=None)
    torque_nm: Torque | None = said(
        "Tightening torque by the bolt's maker.", "45 lbf*ft", "60 N*m", default=None
    )
    proof_mpa: Pressure | None = said(
        "Proof stress of the bolt, for preload.", "970 MPa", "120 ksi", default=None
    )
    grade: GradeName | None = said(
        f"Its grade: {', '.join(grade.words for grade in GRADES.values())} (ISO 898-1, SAE J429); a proof stress of "
        "its own goes first.",
        "10.9",
        default=None,
    )
    lubricant: Lubricant | None = said(
        "What is on thread and under the head when the torque is read; lubricated where nothing is said.",
        "lubricated",
        default=None,
    )
    grip: list[GripPart] = said(
        "The bolt between head and holding thread, length by length; else one shank from seat to thread.",
        '[{ length = "16 mm", diameter = "8.5 mm" }, { length = "5 mm" }]',
        default=[],
        max_length=8,
    )
    stretch_mm: PositiveLength | None = said(
        "How much longer its maker wants it when tightened.", "0.0055 in", "0.14 mm", default=None
    )
    free_length_mm: PositiveLength | None = said(
        "Length over all of a new bolt, loose, as measured for stretch.", "1.980 in", "52.00 mm", default=None
    )
    longest_mm: PositiveLength | None = said(
        "The longest, loose, at which its maker lets it be used again.", "1.981 in", "52.15 mm", default=None
    )
    yield_tightened: bool = said(
        "True for a bolt that is tightened beyond its yield (torque to yield), by `stages` that end in an angle.",
        default=False,
    )
    stages: list[TighteningStage] = said(
        "Stages of tightening, in order; without an angle those below `torque` come before it.",
        '[{ torque = "25 N*m" }, { torque = "50 N*m" }]',
        default=[],
        max_length=8,
    )
    engaged_mm: PositiveLength | None = said(
        "How far the thread is engaged in its hole.", "0.60 in", "16 mm", default=None
    )
    tapped: Metal | None = said(
        "What the hole is tapped in; default: what the part is made of.", "cast_iron", default=None
    )
    face_mm: PositiveLength | None = said(
        "Outside diameter of what bears on the part: washer, flange or face of the head.",
        "0.55 in",
        "15 mm",
        default=None,
    )
    hole_mm: PositiveLength | None = said(
        "Hole under the head; default: a twentieth wider than the bolt.", "0.39 in", "10.5 mm", default=None
    )
    bears_on: Metal | None = said(
        "What the head bears on; default: what the part is made of.", "steel", default=None
    )

    @model_validator(mode="after")
    def _tightened(self) -> Tightened:
        angles = [stage.angle_deg is not None for stage in self.stages]
        torques = [stage.torque_nm for stage in self.stages if stage.torque_nm is not None]
        hold(
            ("torque", self.yield_tightened and self.torque_nm is not None,
             "no torque tells the load of a bolt that is tightened to yield",
             'write it as stages: stages = [{ torque = "30 N*m" }, { angle = "90 deg" }]'),
            ("stages", any(angles) and angles[0], "the first stage is an angle",
             'a torque to count the angle from: stages = [{ torque = "30 N*m" }, { angle = "90 deg" }]'),
            ("stages", self.yield_tightened and bool(self.stages) and not angles[-1],
             "a bolt that is tightened to yield ends with an angle", 'a last stage such as { angle = "90 deg" }'),
            ("stages", torques != sorted(torques), "a later stage has less torque than an earlier one",
             "torques that rise from stage to stage"),
            ("longest", None not in (self.longest_mm, self.free_length_mm)
             and (self.longest_mm or 0.0) < (self.free_length_mm or 0.0),
             "the longest at which it is used again is less than its length when new",
             "a length of at least free_length"),
            ("hole", self.face_mm is not None and self.hole_mm is not None and self.hole_mm >= self.face_mm,
             "the hole is as wide as what bears round it", "a hole smaller than face"),
        )  # fmt: skip
        return self


class MainBolt(Tightened):
    """The bolts of the main caps, two each; their diameter is `block.main_cap.bolt_diameter`."""

    order: list[int] = said(
        "Order in which the caps are tightened, by number from the front; default: from the middle outwards.",
        "[3, 2, 4, 1, 5]",
        default=[],
        max_length=LONGEST_ORDER,
    )


class HeadBolt(Tightened):
    """The head bolts or studs, the same in every bank."""

    diameter_mm: PositiveLength = said("Shank diameter.", "7/16 in", "11 mm")
    around: Literal[4, 5, 6] = said(
        "How many stand around each bore, neighbours sharing those between them: 4 at the corners, 5 with one "
        "beside the bore on its outboard side (right on an inline), 6 with one on both sides.",
        default=4,
    )
    positions: (
        Annotated[
            list[Annotated[list[Length], Field(min_length=2, max_length=2)]],
            Field(min_length=1, max_length=LONGEST_ORDER),
        ]
        | None
    ) = said(
        "Where they stand instead, in one bank: [behind its first bore's axis, right of the bores' middle], seen from "
        "above with the front up.",
        '[["-58 mm", "-48 mm"], ["-58 mm", "48 mm"], ["58 mm", "-48 mm"], ["58 mm", "48 mm"]]',
        default=None,
    )
    order: list[int] = said(
        "Order in which they are tightened, by number: counted from the front, left before right; default: from the "
        "middle outwards, crosswise.",
        "[5, 6, 4, 7, 3, 8, 2, 9, 1, 10]",
        default=[],
        max_length=LONGEST_ORDER,
    )
