"""The front mark of a piston: its crown from above, the mark drawn large."""

from __future__ import annotations

from geometry.kinematics.valve_lift import valve_timings
from viewer.explained.case import MistakeCase
from viewer.explained.crown_plan import Over, draw_plan, front_left
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, RIGHT, WRONG, Pen, Xy
from viewer.explained.top_end import Top, top_of

SHARE = 0.55
"""Half the length of the mark as drawn, by the crown's radius."""
ARROW_HALF_MM = 5.0


def larger(top: Top) -> float:
    """How many times its size the mark is drawn."""
    return float(round(SHARE * top.shape.radius_mm / ARROW_HALF_MM))


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """Front at the left, the engine's right side up, as in the small plan of the engine."""
    top = top_of(case.side(wrong), case.place)
    reach = 1.12 * (top.spec.block.bore.diameter_mm / 2 + top.spec.block.bore.wall_mm)
    pen.frame(-reach, reach, -reach, reach)
    valves = [Over(timing.valve) for timing in valve_timings(top.spec)]
    draw_plan(pen, top, case.site, front_left, valves, larger=larger(top))
    (left, right), (_, high) = pen.axis.get_xlim(), pen.axis.get_ylim()
    pen.arrow((0.80 * left, 0.0), (0.97 * left, 0.0), width=3.0, colour=INK)
    pen.label("front", (0.88 * left, 0.12 * high), bold=True)
    pen.label("rear", (0.88 * right, 0.0))
    said, colour = ("mark to the rear", WRONG) if wrong else ("mark to the front", RIGHT)
    pen.label(said, (0.0, -0.62 * top.shape.radius_mm), colour=colour, bold=True)
    return (0.0, 0.0)


def said(case: MistakeCase) -> str:
    """How much larger the mark is drawn."""
    times = larger(top_of(case.right, case.place))
    return (
        f"The crown from above, to scale but for the front mark, which is drawn {times:.0f} times its size and further "
        "in. Dashed: valves."
    )


DRAWING = Drawing("mark", draw, said)
