"""The whole engine file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import PositiveAngle, Refused, Rotation, SpecModel, hold
from geometry.spec.block import Block
from geometry.spec.clashes import clashes
from geometry.spec.crank import Crank
from geometry.spec.piston import Piston
from geometry.spec.rings import Rings
from geometry.spec.rod import Rod
from geometry.spec.top import Cam, Gasket, Head, Limits, Pan

BankName = Literal["line", "left", "right"]
Duty = Literal["street", "modified", "race", "boost", "blower", "diesel"]
NUMBERS_MAX = 16


class Numbering(SpecModel):
    """The builder's bore numbers, front to rear in each bank."""

    line: list[int] = Field(default=[], description="An inline engine's bores.", max_length=NUMBERS_MAX)
    left: list[int] = Field(default=[], description="The left bank.", max_length=NUMBERS_MAX)
    right: list[int] = Field(default=[], description="The right bank.", max_length=NUMBERS_MAX)

    def banks(self) -> dict[BankName, list[int]]:
        """Non-empty banks, left before right."""
        named: dict[BankName, list[int]] = {"line": self.line, "left": self.left, "right": self.right}
        return {name: numbers for name, numbers in named.items() if numbers}


class General(SpecModel):
    """What kind of engine this is."""

    name: Annotated[str, Field(min_length=1, max_length=80)] = Field(
        description="What you call it.", examples=["Tern"]
    )
    layout: Literal["inline", "vee", "flat"] = Field(description="How the bores stand.", examples=["vee"])
    bank_angle_deg: Annotated[PositiveAngle, Field(le=180)] | None = Field(
        default=None, description="Between the banks of a vee.", examples=["90 deg"]
    )
    rotation: Literal["clockwise", "counter-clockwise"] = Field(
        default="clockwise",
        description="Running rotation seen from the front (free end); clockwise is the usual one.",
    )
    numbering: Numbering = Field(
        description="Bore numbers by bank, front to rear.", examples=["{ left = [1, 3], right = [2, 4] }"]
    )
    leading_bank: Literal["left", "right"] | None = Field(
        default=None, description="The bank whose first bore stands further forward (vee and flat)."
    )
    firing_order: list[int] | None = Field(
        default=None, description="Bore numbers as they fire; derived from the crank when left out."
    )
    strokes: Literal[2, 4] = Field(default=4, description="Strokes per working cycle.")
    speed_rpm: Rotation = Field(
        description="The speed at which piston speed and loads are reported.", examples=["5500 rpm"]
    )
    duty: Duty = Field(
        default="street",
        description="What it is built for; sets ring gap practice. street: naturally aspirated, everyday use.",
    )
    units: Literal["in", "mm"] | None = Field(
        default=None, description="Units on output; default: those the file is mostly written in."
    )

    @model_validator(mode="after")
    def _banks(self) -> General:
        banks = self.numbering.banks()
        numbers = [n for bank in banks.values() for n in bank]
        wanted = ["line"] if self.layout == "inline" else ["left", "right"]
        inline, vee = self.layout == "inline", self.layout == "vee"
        hold(
            ("engine.numbering", sorted(banks) != sorted(wanted),
             f"the numbering does not match the layout '{self.layout}'",
             "numbering = { line = [1, 2, ...] }" if inline
             else "numbering = { left = [...], right = [...] }, both filled"),
            ("engine.numbering", len(set(numbers)) != len(numbers) or any(n < 1 or n > 99 for n in numbers),
             "a bore number stands twice or is not between 1 and 99", "each bore's own number once"),
            ("engine.numbering", len(numbers) > NUMBERS_MAX, f"more than {NUMBERS_MAX} bores", "1 to 16 bores"),
            ("engine.numbering", len({len(bank) for bank in banks.values()}) > 1,
             "the banks differ in length", "as many bores left as right"),
            ("engine.bank_angle", vee and self.bank_angle_deg is None,
             "a vee needs its bank angle", 'bank_angle = "90 deg"'),
            ("engine.bank_angle", not vee and self.bank_angle_deg not in (None, 180),
             "only a vee has a bank angle", "leave bank_angle out"),
            ("engine.leading_bank", not inline and self.leading_bank is None, "two banks need the leading one",
             'leading_bank = "left" or "right": the bank whose first bore stands further forward'),
        )  # fmt: skip
        self._firing(numbers)
        return self

    def _firing(self, numbers: list[int]) -> None:
        order = numbers if self.firing_order is None else self.firing_order
        wrong = [f"bore {n} is missing" for n in numbers if n not in order]
        wrong += [f"there is no bore {n}" for n in order if n not in numbers]
        hold(("engine.firing_order", bool(wrong) or len(order) != len(numbers),
              next(iter(wrong), "a bore stands twice"), "every bore number once, as they fire"))  # fmt: skip


class Engine(SpecModel):
    """An engine file: the design, written by a person, never rewritten by the program."""

    engine: General = Field(description="What kind of engine this is.")
    crank: Crank = Field(description="The crankshaft.")
    rod: Rod = Field(description="The connecting rods, all alike.")
    piston: Piston = Field(description="The pistons, all alike but for handed pockets.")
    rings: Rings = Field(description="The ring set of each piston.")
    block: Block = Field(description="The block.")
    gasket: Gasket = Field(description="The head gasket.")
    head: Head = Field(description="The head.")
    cam: Cam | None = Field(default=None, description="A cam in the block.")
    pan: Pan | None = Field(default=None, description="The oil pan.")
    limits: Limits = Field(default=Limits(), description="Your own limits in place of the trade's.")

    @model_validator(mode="after")
    def _together(self) -> Engine:
        broken = clashes(self)
        if broken:
            raise Refused(broken)
        return self
