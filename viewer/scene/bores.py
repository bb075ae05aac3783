"""The walls of the bores, told faintly through the glass: of the block no more than its outside is shown."""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.assembly import Assembly
from geometry.kinematics.poses import transform
from geometry.kinematics.slider_crank import bore_frames
from viewer.scene.model import Strokes, ViewOptions
from viewer.scene.signs import GLASS_TURNED, block_away
from viewer.scene.views import FIXED, NamedView

SQUARE: Final = ("front", "rear", "left", "right")
"""Views without perspective, in which the outline of a bore is the same two lines from wherever one looks."""


def bore_walls(assembly: Assembly, options: ViewOptions, view: NamedView) -> tuple[Strokes, ...]:
    """Both sides of each bore's outline, deck to bottom; none of a bank behind the engine, whose parts hide it."""
    if view.name not in SQUARE or options.block != "glass" or block_away(options) or options.lit:
        return ()
    toward = np.array(FIXED[view.name][0], dtype=float)
    found = []
    for site, X_EB in zip(assembly.layout.bores, bore_frames(assembly.layout.linkage), strict=True):
        if options.bore not in (None, site.bore) or X_EB[:3, 2] @ toward > GLASS_TURNED:
            continue
        bore, deck = assembly.design(site.bore).block.bore, assembly.spec.block.deck_height_mm
        ends = transform(X_EB, np.array([[0.0, 0.0, deck], [0.0, 0.0, deck - bore.length_mm]]))
        out = np.cross(X_EB[:3, 2], toward)
        out *= bore.diameter_mm / 2 / np.linalg.norm(out)
        found += [ends + side * out for side in (-1.0, 1.0)]
    return (Strokes("bore walls", np.array(found), "E", "bore wall", 0.8),) if found else ()
