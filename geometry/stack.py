"""How far each piston stops below deck and head: the machinist's sum, in one place for all who ask."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.built import AS_DESIGNED, BoreBuild, Built, built_linkage
from geometry.capacity import deck_clearance_mm, quench_mm
from geometry.kinematics.layout import Layout
from geometry.spec.engine import Engine


@dataclass(frozen=True, slots=True)
class Stack:
    """One piston at its own true top dead centre.

    Attributes
    ----------
    deck_mm : the flat of its crown below the deck; negative when it stands out
    head_mm : the flat of its crown below the head's face; negative when it meets the head
    """

    deck_mm: float
    head_mm: float


def stack_of(spec: Engine, layout: Layout, bore: int, built: Built = AS_DESIGNED) -> Stack:
    """What rod, throw, pin and piston of one bore add up to, as put together.

    Parameters
    ----------
    bore : the builder's number

    Raises
    ------
    GeometryError
        When there is no such bore.
    """
    linkage, index = built_linkage(layout, built), layout.index(bore)
    one = built.design(spec, bore)
    deck = deck_clearance_mm(
        one.block.deck_height_mm,
        float(linkage.throw_mm[index]),
        float(linkage.rod_mm[index]),
        crown_height_mm(one, built.bore(bore)),
        float(linkage.offset_mm[index]),
    )
    return Stack(deck, quench_mm(deck, spec.gasket.thickness_mm))


def crown_height_mm(spec: Engine, build: BoreBuild) -> float:
    """From the pin to the flat of the crown of the piston in a bore, mm, as put together.

    Parameters
    ----------
    spec : the engine as it is in that bore (``Built.design``)
    """
    return spec.piston.compression_height_mm + build.compression_height_change_mm


def face_mm(spec: Engine) -> float:
    """The head's face from the crank axis, along the bore, mm."""
    return spec.block.deck_height_mm + spec.gasket.thickness_mm
