"""The ring clock of bores that share one: every gap in degrees and o'clock, front up, thrust side and pin axis."""

from __future__ import annotations

from typing import Final

from geometry.rings.angles import hour_text
from geometry.rings.schemes import ROLE_WORDS
from viewer.paper.clock import face
from viewer.paper.clock.face import FaceLine, Words
from viewer.paper.clock.plans import ClockPlan
from viewer.paper.clock.wording import degrees_text
from viewer.paper.lettering import FAMILY
from viewer.paper.page import INK
from viewer.sheet.content import VectorPicture
from viewer.sheet.pictures.drawn import MM_IN, NAME_PT, NUMBER_PT, blank
from viewer.sheet.wording import say

ANGLE_PT: Final = NUMBER_PT + 2.0
LEAST_UNIT_IN: Final = 0.5


def draw_clock(plan: ClockPlan, wide_mm: float) -> VectorPicture:
    """The face as large as its labels leave room for."""
    words = _words(plan)
    unit = (wide_mm * MM_IN / 2 - face.room_in(words) - 0.04) / (face.LABEL_AT + 0.09)
    unit = max(unit, LEAST_UNIT_IN)
    low, high = face.extent(plan.clock, words, unit)
    drawn = blank(wide_mm, (high - low) * unit / MM_IN)
    half = wide_mm * MM_IN / 2 / unit
    drawn.axis.set_xlim(-half, half)
    drawn.axis.set_ylim(low, high)
    face.draw_face(drawn.axis, plan, words, unit / face.UNIT_IN)
    drawn.axis.text(
        0.05,
        -1.27,
        say("bore", "pin axis"),
        fontsize=NAME_PT,
        family=FAMILY,
        ha="left",
        va="center",
        color=INK,
    )
    gaps = "; ".join(
        f"{ROLE_WORDS[role]} {degrees_text(angle)} ({hour_text(angle)})"
        for role, angle in plan.clock.angles_deg.items()
    )
    return drawn.done(say("bore", "clock said", gaps=gaps, thrust=plan.clock.thrust_words))


def _words(plan: ClockPlan) -> Words:
    said: dict[str, tuple[FaceLine, ...]] = {
        role: (
            FaceLine(degrees_text(angle), ANGLE_PT, True),
            FaceLine(ROLE_WORDS[role], NAME_PT, True),
            FaceLine(hour_text(angle), NAME_PT),
        )
        for role, angle in plan.clock.angles_deg.items()
    }
    return said | {"thrust": face.thrust_lines(plan.clock, NAME_PT)}
