"""The whole engine file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from geometry.spec.base import PositiveAngle, Refused, Rotation, SpecModel, hold, said
from geometry.spec.block import Block
from geometry.spec.clashes import clashes
from geometry.spec.crank import Crank
from geometry.spec.doubts import DoubtTable
from geometry.spec.measuring import Measuring
from geometry.spec.odd import OddBore, broken, of_bore
from geometry.spec.piston import Piston
from geometry.spec.rings import Rings
from geometry.spec.rod import Rod
from geometry.spec.top import Cam, Gasket, Head, Limits, Pan
from geometry.spec.weights import PartWeights

BankName = Literal["line", "left", "right"]
Duty = Literal["street", "modified", "race", "boost", "blower", "diesel"]
NUMBERS_MAX = 16


class Numbering(SpecModel):
    """The builder's bore numbers, front to rear in each bank."""

    line: list[int] = said("An inline engine's bores.", default=[], max_length=NUMBERS_MAX)
    left: list[int] = said("The left bank.", default=[], max_length=NUMBERS_MAX)
    right: list[int] = said("The right bank.", default=[], max_length=NUMBERS_MAX)

    def banks(self) -> dict[BankName, list[int]]:
        """Non-empty banks, left before right."""
        named: dict[BankName, list[int]] = {"line": self.line, "left": self.left, "right": self.right}
        return {name: numbers for name, numbers in named.items() if numbers}


class General(SpecModel):
    """What kind of engine this is."""

    name: Annotated[str, Field(min_length=1, max_length=80)] = said("What you call it.", "Tern")
    layout: Literal["inline", "vee", "flat"] = said("How the bores stand.", "vee")
    bank_angle_deg: Annotated[PositiveAngle, Field(le=180)] | None = said(
        "Between the banks of a vee.", "90 deg", default=None
    )
    rotation: Literal["clockwise", "counter-clockwise"] = said(
        "Running rotation seen from the front (free end); clockwise is the usual one.", default="clockwise"
    )
    numbering: Numbering = said("Bore numbers by bank, front to rear.", "{ left = [1, 3], right = [2, 4] }")
    leading_bank: Literal["left", "right"] | None = said(
        "The bank whose first bore stands further forward (vee and flat).", default=None
    )
    firing_order: list[int] | None = said(
        "Bore numbers as they fire; derived from the crank when left out.", default=None
    )
    strokes: Literal[2, 4] = said("Strokes per working cycle.", default=4)
    speed_rpm: Rotation = said("The speed at which piston speed and loads are reported.", "5500 rpm")
    duty: Duty = said(
        "What it is built for; sets ring gap practice. street: naturally aspirated, everyday use.",
        default="street",
    )
    units: Literal["in", "mm"] | None = said(
        "Units on output; default: those the file is mostly written in.", default=None
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

    engine: General = said("What kind of engine this is.")
    crank: Crank = said("The crankshaft.")
    rod: Rod = said("The connecting rods, all alike.")
    piston: Piston = said("The pistons, all alike but for handed pockets.")
    rings: Rings = said("The ring set of each piston.")
    block: Block = said("The block.")
    gasket: Gasket = said("The head gasket.")
    head: Head = said("The head.")
    cam: Cam | None = said("A cam in the block.", default=None)
    pan: Pan | None = said("The oil pan.", default=None)
    weights: PartWeights = said(
        "What the parts weigh, and what the crank is balanced to.", default=PartWeights()
    )
    limits: Limits = said("Your own limits in place of the trade's.", default=Limits())
    measuring: Measuring = said(
        "Your own minutes for measuring in place of the table's.", default=Measuring()
    )
    doubt: DoubtTable = said("Your own shares of doubt in place of the usual ones.", default=DoubtTable())
    bore: dict[str, OddBore] = said(
        "Bores whose size or parts differ from the others', by the builder's number.",
        '{ 3 = { rod = { length = "5.702 in" } } }',
        default={},
    )

    @model_validator(mode="after")
    def _together(self) -> Engine:
        found = clashes(self)
        if self.bore:
            found += broken(self, {str(rule.key): rule for rule in found})
        if found:
            raise Refused(found)
        return self

    def of_bore(self, bore: int, piston_from: int | None = None, rod_from: int | None = None) -> Engine:
        """The engine as if every bore were one of them: its diameter, piston, rod, shells and rings.

        Parameters
        ----------
        bore : the builder's number
        piston_from, rod_from : the bores that piston and rod, with its shells, belong to; default: this one

        Returns
        -------
        The engine itself where none of them has parts of its own.
        """
        own_piston = bore if piston_from is None else piston_from
        return of_bore(self, bore, own_piston, bore if rod_from is None else rod_from)
