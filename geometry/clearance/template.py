"""Where a notch lies on the wall of each bore, rolled out flat: what a paper template shows at its true size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.assembly import Assembly
from geometry.clearance.relief import NotchRelief
from geometry.parts.shapes.block_features import notch_spans
from geometry.parts.shapes.block_section import block_section
from geometry.spec.engine import BankName

SAME_MM = 0.01


@dataclass(frozen=True, slots=True)
class NotchPlace:
    """One notch on the wall of some bores, all alike.

    Attributes
    ----------
    bores : the builder's numbers
    bank : name of the bank they stand in
    right : whether it lies at +y of the bore frame, to the engine's right where the bank stands upright
    from_mm, to_mm : its two ends along the wall, rolled out, from the middle of that side of the bore; towards the
        rear of the engine positive
    """

    bores: tuple[int, ...]
    bank: BankName
    right: bool
    from_mm: float
    to_mm: float

    @property
    def seen_mm(self) -> tuple[float, float]:
        """The two ends as seen from inside the bore, to the right positive: there the rear is, on the right side."""
        return (self.from_mm, self.to_mm) if self.right else (-self.to_mm, -self.from_mm)


def notch_places(assembly: Assembly, relief: NotchRelief) -> tuple[NotchPlace, ...]:
    """Every place that a notch is cut at, like ones together, in the order of the bores.

    A notch ends on planes through the axis of the bore, where a chord of its width does: on the wall rolled out,
    a point x along the crank lies R asin(x / R) from the middle.
    """
    spec = assembly.spec
    bore = spec.block.bore.model_copy(update={"notch": relief.notch})
    block = spec.block.model_copy(update={"bore": bore})
    section = block_section(spec.model_copy(update={"block": block}), assembly.layout)
    found: list[NotchPlace] = []
    for bank in section.banks:
        for number, x_mm in zip(bank.bores, bank.bores_x_mm, strict=True):
            own = bank.at_bore(x_mm)
            for start, end in notch_spans(section, own, x_mm):
                right = start < 180.0
                ends = [own.radius_mm * np.radians(90.0 - a if right else a - 270.0) for a in (start, end)]
                found.append(NotchPlace((number,), bank.name, right, float(min(ends)), float(max(ends))))
    return _together(found)


def _together(places: Sequence[NotchPlace]) -> tuple[NotchPlace, ...]:
    """Like places of one bank as one."""
    kept: list[NotchPlace] = []
    for place in places:
        for k, other in enumerate(kept):
            same = (place.bank, place.right) == (other.bank, other.right)
            off = max(abs(place.from_mm - other.from_mm), abs(place.to_mm - other.to_mm))
            if same and off < SAME_MM:
                bores = tuple(sorted((*other.bores, *place.bores)))
                kept[k] = NotchPlace(bores, other.bank, other.right, other.from_mm, other.to_mm)
                break
        else:
            kept.append(place)
    return tuple(sorted(kept, key=lambda place: place.bores))
