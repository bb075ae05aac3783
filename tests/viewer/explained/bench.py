"""What tests of explanations share: a case, and its halves without words."""

import numpy as np
from matplotlib.figure import Figure

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from viewer.explained.case import MistakeCase
from viewer.explained.pen import Pen
from viewer.explained.sheet import bare, drawing_of

LIGHTER = 24
"""How much lighter or darker, of 255, a spot must be to be seen as different."""


def case_of(right, key, place=None, system="mm"):
    """A mistake in an engine, by default in the first place where it can be made."""
    mistake = next(m for m in mistakes() if m.key == key)
    place = place if place is not None else mistake.places(right)[0]
    wrong = assemble(right.spec, mistake.make(right, place))
    return MistakeCase(right, wrong, mistake, mistake.study(right, wrong, place, system), place, system)


def half(case, wrong, words=True):
    """The axis of one half, drawn, and the trouble spot in its own units."""
    axis = Figure(figsize=(5.65, 4.55)).add_axes((0.0, 0.0, 1.0, 1.0))
    spot = drawing_of(case).draw(Pen(axis, words=words), case, wrong)
    return axis, spot


def share_that_differs(case, width_px=240):
    """Share of a half in which right and wrong differ in lightness, no word drawn, and the two trouble spots."""
    (right, spot_right), (wrong, spot_wrong) = (bare(case, side, width_px) for side in (False, True))
    light = [picture @ np.array([0.299, 0.587, 0.114]) for picture in (right, wrong)]  # ITU-R BT.601 luma
    return float((np.abs(light[0] - light[1]) > LIGHTER).mean()), (spot_right, spot_wrong)
