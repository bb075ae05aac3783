"""How far each ring goes up and down the bore, and whether it stays in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.errors import GeometryError
from geometry.rings.require import finite, not_negative, positive


@dataclass(frozen=True, slots=True)
class GroovePlace:
    """Where a groove is cut.

    Attributes
    ----------
    name : the ring in it
    from_crown_mm : from the edge of the crown down to the upper side of the groove, mm
    height_mm : axial height of the groove, mm; the ring is somewhere within it
    """

    name: str
    from_crown_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class BoreEnds:
    """The working length of a bore, on its axis.

    Attributes
    ----------
    deck_mm : from the crank axis to the deck, mm
    length_mm : from the deck to the bottom edge of the bore, mm
    bottom_chamfer_mm : height of the chamfer at the bottom edge, mm
    notch_mm : height of the highest notch in the bottom edge (rod or counterweight relief), from that edge,
        mm
    """

    deck_mm: float
    length_mm: float
    bottom_chamfer_mm: float = 0.0
    notch_mm: float = 0.0

    def __post_init__(self) -> None:
        positive("deck", self.deck_mm)
        positive("bore.length", self.length_mm)
        lost = not_negative("bottom_chamfer", self.bottom_chamfer_mm) + not_negative("notch", self.notch_mm)
        if lost >= self.length_mm:
            raise GeometryError(
                "no_wall_left", "bore.length", "chamfer and notches leave no wall", "a longer bore"
            )

    @property
    def bottom_mm(self) -> float:
        """Height above the crank axis of the lower edge of the full wall, notches left out of account."""
        return self.deck_mm - self.length_mm + self.bottom_chamfer_mm

    @property
    def notch_top_mm(self) -> float:
        """Height above the crank axis of the top of the highest notch."""
        return self.deck_mm - self.length_mm + self.notch_mm


@dataclass(frozen=True, slots=True)
class RingTravel:
    """One ring's way in the bore; the groove is taken for the ring, which errs to the safe side.

    Attributes
    ----------
    name : the ring
    top_depth_mm, bottom_depth_mm : depth below the deck of the middle of the groove at top and bottom of the
        stroke
    top_margin_mm : wall left above the ring at the top; below zero it leaves the bore by that much
    bottom_margin_mm : wall left below the ring at the bottom, all round; below zero it uncovers the edge
    notch_margin_mm : wall left above the highest notch; below zero the ring crosses it, and a gap there opens
    """

    name: str
    top_depth_mm: float
    bottom_depth_mm: float
    top_margin_mm: float
    bottom_margin_mm: float
    notch_margin_mm: float

    @property
    def leaves_top(self) -> bool:
        """Whether the ring comes out of the full bore at the top."""
        return self.top_margin_mm < 0

    @property
    def uncovers_bottom(self) -> bool:
        """Whether the ring goes below the full bore at the bottom."""
        return self.bottom_margin_mm < 0

    @property
    def crosses_notch(self) -> bool:
        """Whether the ring runs over a notch."""
        return self.notch_margin_mm < 0


def ring_travel(
    pin_top_mm: float,
    pin_bottom_mm: float,
    compression_height_mm: float,
    grooves: Sequence[GroovePlace],
    bore: BoreEnds,
) -> tuple[RingTravel, ...]:
    """Follow every ring over the stroke.

    Parameters
    ----------
    pin_top_mm, pin_bottom_mm : height of the piston pin above the crank axis, along the bore, at top and
        bottom dead centre, mm, as the motion gives them
    compression_height_mm : from the pin up to the edge of the crown, mm
    grooves : from the top
    bore : where the wall begins and ends

    Returns
    -------
    One record per groove, in the same order.

    Raises
    ------
    GeometryError : a top dead centre below the bottom one, or sizes that cannot be
    """
    positive("compression_height", compression_height_mm)
    if finite("pin.bottom", pin_bottom_mm) >= finite("pin.top", pin_top_mm):
        raise GeometryError(
            "no_stroke", "pin", "the pin is no higher at the top than at the bottom", "top first"
        )
    return tuple(
        _one(groove, pin_top_mm + compression_height_mm, pin_bottom_mm + compression_height_mm, bore)
        for groove in grooves
    )


def _one(groove: GroovePlace, crown_top_mm: float, crown_bottom_mm: float, bore: BoreEnds) -> RingTravel:
    not_negative(f"groove.{groove.name}.from_crown", groove.from_crown_mm)
    positive(f"groove.{groove.name}.height", groove.height_mm)
    middle = groove.from_crown_mm + groove.height_mm / 2
    highest = crown_top_mm - groove.from_crown_mm
    lowest = crown_bottom_mm - groove.from_crown_mm - groove.height_mm
    return RingTravel(
        name=groove.name,
        top_depth_mm=bore.deck_mm - (crown_top_mm - middle),
        bottom_depth_mm=bore.deck_mm - (crown_bottom_mm - middle),
        top_margin_mm=bore.deck_mm - highest,
        bottom_margin_mm=lowest - bore.bottom_mm,
        notch_margin_mm=lowest - max(bore.notch_top_mm, bore.bottom_mm),
    )
