"""The solids themselves, near the trouble spot, from where the study looks."""

from __future__ import annotations

import numpy as np

from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import WRONG, Pen, Xy
from viewer.explained.solid import framed, scene_at, solids_for
from viewer.scene import ViewOptions

NEAR_BORES = 0.55
"""How much is seen around the trouble spot, either way, by the bore's diameter."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """The engine of this half at the angle where it shows, the parts concerned picked out."""
    spot = case.study.spot
    options = ViewOptions(
        crank_deg=spot.crank_deg, view=spot.view_name, bore=spot.bore, highlight=frozenset(spot.bodies)
    )
    pair = [scene_at(case.side(half), options) for half in (False, True)]
    if spot.to_mm is not None:
        reach = NEAR_BORES * case.design.block.bore.diameter_mm
        pair = [framed(scene, np.array(spot.to_mm), reach) for scene in pair]
    solids = solids_for(pen, pair[0])
    solids.show(pair[wrong])
    at = solids.at(spot.to_mm) if spot.to_mm is not None else (solids.size_px[0] / 2, solids.size_px[1] / 2)
    if wrong and spot.from_mm is not None:
        pen.dimension(solids.at(spot.from_mm), at, spot.text, colour=WRONG)
    return at


DRAWING = Drawing("scene", draw, lambda case: f"Crank at {case.study.spot.crank_deg:.0f}°.")
