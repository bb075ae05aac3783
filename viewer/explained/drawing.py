"""A kind of drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from viewer.explained.case import MistakeCase
from viewer.explained.pen import Pen, Xy

Draw = Callable[[Pen, MistakeCase, bool], Xy]
"""Draws one half, the wrong one where the last argument says so; answers with the trouble spot in the axis's own units.

Both halves of a case must set the same frame (``Pen.frame``): one camera. The spot lies in the middle third of it.
"""


@dataclass(frozen=True, slots=True)
class Moving:
    """What moves in a drawing.

    Attributes
    ----------
    draw : draws a half at one step of the motion, both halves and all steps in the frame of the still drawing
    steps : the way there and on, slow where the trouble is: crank angles in degrees, or whatever ``draw`` counts by
    said : what stands at a step, and whether that is within the trouble
    """

    draw: Callable[[Pen, MistakeCase, bool, float], Xy]
    steps: Callable[[MistakeCase], Sequence[float]]
    said: Callable[[MistakeCase, float], tuple[str, bool]]


@dataclass(frozen=True, slots=True)
class Drawing:
    """One kind.

    Attributes
    ----------
    key : what ``Spot.drawing`` names
    draw : draws a half
    said : what kind of view it is, its scale and what is magnified in it, for the foot of the sheet; one sentence
    moving : its motion, where it shows the trouble
    """

    key: str
    draw: Draw
    said: Callable[[MistakeCase], str]
    moving: Moving | None = None
