"""What a build record holds. Every entry is one finding with who made it and when.

An entry is written on one line under its bore, ``ring.top.gap = { go = "18 thou", tight = "19 thou" }``, or as
a table of its own; the program reads both and keeps what a person wrote.
"""

from __future__ import annotations

import re
from datetime import date
from itertools import pairwise
from typing import Annotated

from pydantic import Field, model_validator

from geometry.record.entry import (
    AngleReading,
    AngleStep,
    BoreReading,
    ClearanceReading,
    DepthReading,
    Ends,
    Fitted,
    GapReading,
    RingGroove,
    RingWay,
    SeatFound,
    SizeReading,
    Stamped,
    Step,
    TangFound,
    TorqueReading,
    TorqueStep,
    Way,
)
from geometry.spec.base import Broken, Length, Refused, SpecModel, Torque, refuse


class Diameters(SpecModel):
    """The bore as measured, from the deck down."""

    top: BoreReading | None = Field(default=None, description="Where the top ring turns.")
    middle: BoreReading | None = Field(default=None, description="Half way down.")
    bottom: BoreReading | None = Field(default=None, description="Where the rings turn at the bottom.")

    @model_validator(mode="after")
    def _downwards(self) -> Diameters:
        named = {"top": self.top, "middle": self.middle, "bottom": self.bottom}
        found = [(name, reading.depth_mm) for name, reading in named.items() if reading is not None]
        for (upper, upper_mm), (lower, lower_mm) in pairwise(found):
            if lower_mm <= upper_mm:
                refuse(
                    f"{lower}.depth",
                    f"the {lower} is no deeper than the {upper}",
                    "depths below the deck, from the top down",
                )
        return self


class CompressionRingFound(SpecModel):
    """A compression ring as fitted."""

    gap: GapReading | None = Field(default=None, description="End gap in this bore.")
    side: ClearanceReading | None = Field(default=None, description="Side clearance in the groove.")
    way: RingWay | None = Field(default=None, description="Which way up.")
    groove: RingGroove | None = Field(default=None, description="Which groove it went into.")
    angle: AngleReading | None = Field(default=None, description="Where its gap stands.")
    fitted: Fitted | None = Field(default=None, description="Whether it is there.")


class RailFound(SpecModel):
    """A rail of the oil ring as fitted."""

    gap: GapReading | None = Field(default=None, description="End gap in this bore.")
    angle: AngleReading | None = Field(default=None, description="Where its gap stands.")
    fitted: Fitted | None = Field(default=None, description="Whether it is there.")


class ExpanderFound(SpecModel):
    """The expander of the oil ring as fitted."""

    angle: AngleReading | None = Field(default=None, description="Where its joint stands.")
    ends: Ends | None = Field(default=None, description="How its ends meet.")
    fitted: Fitted | None = Field(default=None, description="Whether it is there.")


class RingsFound(SpecModel):
    """The rings of one piston."""

    top: CompressionRingFound | None = Field(default=None, description="The top ring.")
    second: CompressionRingFound | None = Field(default=None, description="The second ring.")
    upper_rail: RailFound | None = Field(default=None, description="The upper oil rail.")
    expander: ExpanderFound | None = Field(default=None, description="The expander.")
    lower_rail: RailFound | None = Field(default=None, description="The lower oil rail.")


class PistonFound(SpecModel):
    """The piston as fitted."""

    way: Way | None = Field(default=None, description="Which way round; correct: mark to the front.")
    number: Stamped | None = Field(default=None, description="The bore that it is marked for.")
    skirt: SizeReading | None = Field(default=None, description="Skirt diameter across the pin axis.")
    height: SizeReading | None = Field(default=None, description="Compression height.")


class RodFound(SpecModel):
    """The rod as fitted."""

    way: Way | None = Field(
        default=None, description="Which way round; correct: large chamfer to the crank cheek."
    )
    number: Stamped | None = Field(default=None, description="The bore that it is stamped for.")
    length: SizeReading | None = Field(default=None, description="Between the centres.")
    side: ClearanceReading | None = Field(
        default=None, description="Side clearance on the pin, total; for two rods on one pin enter it once."
    )


class CapFound(SpecModel):
    """The rod cap as fitted."""

    way: Way | None = Field(default=None, description="Which way round; correct: tangs on one side.")
    number: Stamped | None = Field(default=None, description="The bore that it is stamped for.")


class ShellFound(SpecModel):
    """One bearing shell of the big end as fitted."""

    seat: SeatFound | None = Field(default=None, description="Where it lies.")
    tang: TangFound | None = Field(default=None, description="Whether its tang lies in the notch.")
    proud: ClearanceReading | None = Field(default=None, description="How far it stands out at the joint.")


class ShellsFound(SpecModel):
    """The two bearing shells of the big end."""

    upper: ShellFound | None = Field(default=None, description="The shell that belongs in the rod.")
    lower: ShellFound | None = Field(default=None, description="The shell that belongs in the cap.")


class BearingFound(SpecModel):
    """The big-end bearing."""

    clearance: ClearanceReading | None = Field(default=None, description="Oil clearance, on the diameter.")


class BoltFound(SpecModel):
    """One bolt as tightened."""

    torque: TorqueReading | None = Field(default=None, description="Tightening torque.")
    stretch: SizeReading | None = Field(default=None, description="How much longer it became when tightened.")
    stand: ClearanceReading | None = Field(
        default=None, description="How far its head, or nut, stands off its seat; zero when it is seated."
    )


class RodBoltsFound(SpecModel):
    """The two rod bolts, named by the side of the bore on which they stand as installed."""

    major: BoltFound | None = Field(default=None, description="On the major thrust side.")
    minor: BoltFound | None = Field(default=None, description="On the minor thrust side.")


class BoreRecord(SpecModel):
    """What was found in one bore."""

    diameter: Diameters | None = Field(default=None, description="The bore's diameter at three heights.")
    ring: RingsFound | None = Field(default=None, description="The rings.")
    piston: PistonFound | None = Field(default=None, description="The piston.")
    rod: RodFound | None = Field(default=None, description="The rod.")
    cap: CapFound | None = Field(default=None, description="The rod cap.")
    shell: ShellsFound | None = Field(default=None, description="The bearing shells.")
    bearing: BearingFound | None = Field(default=None, description="The big-end bearing.")
    bolt: RodBoltsFound | None = Field(default=None, description="The rod bolts.")
    deck: DepthReading | None = Field(default=None, description="Crown below the deck at top dead centre.")
    turning: TorqueReading | None = Field(
        default=None, description="Torque that turns the crank once this bore is in."
    )


class MainBoltsFound(SpecModel):
    """The two bolts of a main cap."""

    left: BoltFound | None = Field(default=None, description="On the engine's left.")
    right: BoltFound | None = Field(default=None, description="On the engine's right.")


class MainRecord(SpecModel):
    """What was found at one main bearing."""

    clearance: ClearanceReading | None = Field(default=None, description="Oil clearance, on the diameter.")
    way: Way | None = Field(default=None, description="Which way round its cap went on.")
    number: Stamped | None = Field(default=None, description="The main bearing that its cap is stamped for.")
    bolt: MainBoltsFound | None = Field(default=None, description="Its bolts.")


class CrankRecord(SpecModel):
    """What was found at the crank as a whole."""

    end_play: ClearanceReading | None = Field(default=None, description="End play.")
    turning: TorqueReading | None = Field(default=None, description="Torque that turns the bare crank.")


class LengthLimit(SpecModel):
    """What a length is held against in place of the trade's figure."""

    least_mm: Length | None = Field(default=None, description="Least allowed.", examples=["16 thou"])
    most_mm: Length | None = Field(default=None, description="Most allowed.", examples=["20 thou"])
    source: Annotated[str, Field(min_length=1, max_length=200)] = Field(
        description="Who says so.", examples=["sheet in the box of rings"]
    )

    @model_validator(mode="after")
    def _in_order(self) -> LengthLimit:
        _limits_in_order(self.least_mm, self.most_mm)
        return self


class TorqueLimit(SpecModel):
    """What a torque is held against in place of the trade's figure."""

    least_nm: Torque | None = Field(default=None, description="Least allowed.", examples=["43 lbf*ft"])
    most_nm: Torque | None = Field(default=None, description="Most allowed.", examples=["47 lbf*ft"])
    source: Annotated[str, Field(min_length=1, max_length=200)] = Field(
        description="Who says so.", examples=["the bolt maker's sheet"]
    )

    @model_validator(mode="after")
    def _in_order(self) -> TorqueLimit:
        _limits_in_order(self.least_nm, self.most_nm)
        return self


def _limits_in_order(least: float | None, most: float | None) -> None:
    if least is None and most is None:
        refuse("", "a limit needs least, most or both", "add the one that is missing")
    if least is not None and most is not None and most < least:
        refuse("most", "the most is below the least", "least, then most")


class RecordLimits(SpecModel):
    """Figures of the part makers or your own, in place of the trade's."""

    bore_size: LengthLimit | None = Field(default=None, description="Bore diameter.")
    piston_to_wall: LengthLimit | None = Field(default=None, description="Piston to wall, on the diameter.")
    top_gap: LengthLimit | None = Field(default=None, description="End gap of the top ring.")
    second_gap: LengthLimit | None = Field(default=None, description="End gap of the second ring.")
    rail_gap: LengthLimit | None = Field(default=None, description="End gap of an oil rail.")
    ring_side: LengthLimit | None = Field(default=None, description="Side clearance of a compression ring.")
    bearing: LengthLimit | None = Field(default=None, description="Oil clearance of the big ends.")
    main_bearing: LengthLimit | None = Field(default=None, description="Oil clearance of the mains.")
    end_play: LengthLimit | None = Field(default=None, description="End play of the crank.")
    rod_side: LengthLimit | None = Field(default=None, description="Side clearance of the rods on a pin.")
    deck: LengthLimit | None = Field(default=None, description="Crown below the deck.")
    piston_height: LengthLimit | None = Field(default=None, description="Compression height.")
    rod_length: LengthLimit | None = Field(default=None, description="Rod length between centres.")
    bolt_stretch: LengthLimit | None = Field(default=None, description="Stretch of a rod bolt.")
    bolt_stand: LengthLimit | None = Field(default=None, description="A bolt head off its seat.")
    shell_proud: LengthLimit | None = Field(default=None, description="A shell standing out at the joint.")
    bolt_torque: TorqueLimit | None = Field(default=None, description="Torque of a rod bolt.")
    main_bolt_torque: TorqueLimit | None = Field(default=None, description="Torque of a main cap bolt.")
    turning: TorqueLimit | None = Field(default=None, description="Torque that turns the crank.")


class Instruments(SpecModel):
    """What each instrument can tell apart, for readings that do not say so themselves.

    The defaults are those of ordinary workshop instruments; common practice, no source.
    """

    feeler_mm: Step | None = Field(
        default=None,
        description="Step between blades: then one blade that goes means that the next was tight.",
        examples=["1 thou", "0.05 mm"],
    )
    micrometer_mm: Step = Field(default=0.01, description="Outside micrometer.", examples=["0.0001 in"])
    bore_gauge_mm: Step = Field(default=0.01, description="Bore gauge.", examples=["0.0001 in"])
    depth_gauge_mm: Step = Field(
        default=0.01,
        description="Dial or depth gauge, for deck, end play and bolt heads.",
        examples=["0.5 thou"],
    )
    strip_mm: Step = Field(
        default=0.0125, description="Plastic strip, for oil clearance.", examples=["0.5 thou", "0.01 mm"]
    )
    torque_nm: TorqueStep = Field(default=1.0, description="Torque wrench.", examples=["1 lbf*ft"])
    angle_deg: AngleStep = Field(default=5.0, description="A gap's angle judged by eye.", examples=["5 deg"])


class About(SpecModel):
    """Whose build this is."""

    engine: Annotated[str, Field(min_length=1, max_length=80)] | None = Field(
        default=None, description="The engine's name; refused beside an engine file of another name."
    )
    started: date | None = Field(
        default=None, description="The day, year first.", examples=[date(2026, 3, 14)]
    )
    note: Annotated[str, Field(min_length=1, max_length=2000)] | None = Field(
        default=None, description="Anything worth knowing about this build."
    )


class Record(SpecModel):
    """A build record: what was found on the bench, written by the program and by hand."""

    record: About = Field(default=About(), description="Whose build this is.")
    instruments: Instruments = Field(
        default=Instruments(), description="What each instrument can tell apart."
    )
    limits: RecordLimits = Field(
        default=RecordLimits(), description="Makers' figures in place of the trade's."
    )
    bore: dict[str, BoreRecord] = Field(default={}, description="By the builder's bore number.")
    main: dict[str, MainRecord] = Field(
        default={}, description="By main bearing, counted from the front, from 1."
    )
    crank: CrankRecord = Field(default=CrankRecord(), description="The crank as a whole.")

    @model_validator(mode="after")
    def _numbered(self) -> Record:
        wrong = [
            Broken((kind, key), f"{key} is not a number between 1 and 99", f"write [{kind}.3], for example")
            for kind, places in (("bore", self.bore), ("main", self.main))
            for key in places
            if not re.fullmatch(r"[1-9][0-9]?", key)
        ]
        if wrong:
            raise Refused(wrong)
        return self
