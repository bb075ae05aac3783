"""A bearing with the wrong cap on it: both halves of its bore and the shaft in them, step and clearance drawn large."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from geometry.checks.fillets import side_fit
from geometry.mistakes.bearings.bearing_words import STEP_MM, JointStep, least_oil, oil_left, rod_step
from geometry.mistakes.mains.main_words import main_step
from geometry.parts.main_cap import ARROW_LONG, HEAD_ACROSS
from geometry.parts.shapes.convex import region
from geometry.parts.shapes.rod_shape import seat_radius_mm
from viewer.explained.bearing_face import FAR_MM, BearingFace, main_face, rod_face
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, RIGHT, WRONG, Pen, Xy
from viewer.explained.plane import box, circle, disc, half_plane, nearest, outlines, share, stamp

if TYPE_CHECKING:
    from geometry.arrays import Array

LARGE = (50.0, 100.0, 150.0, 200.0)
STEP_SHOWN = 0.06
"""How far out of line the cap of another bearing is drawn, by the diameter of the bore, in round magnifications."""
ASIDE, STRIP, EDGE, FILLET = 0.16, 0.56, 0.08, 0.42
"""Of the strip beside the bearing that shows what is stamped: its distance, its width, the edge, and a fillet below it,
by half the bearing's width."""


def face_of(case: MistakeCase, wrong: bool) -> BearingFace:
    """The bearing of one half."""
    side = case.side(wrong)
    return rod_face(side, case.bore) if case.bore is not None else main_face(side, case.place)


def step_of(case: MistakeCase, wrong: bool) -> JointStep:
    """Step and clearance of one half."""
    side = case.side(wrong)
    return rod_step(side, case.bore) if case.bore is not None else main_step(side, case.place)


def larger(face: BearingFace) -> float:
    """How many times their size step and clearance are drawn; one for both halves."""
    return nearest(STEP_SHOWN * 2 * face.bore_mm / STEP_MM, LARGE)


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """From the front: the cap moved to the left by the step; beside it what is stamped into both halves."""
    face, step = face_of(case, wrong), step_of(case, wrong)
    times, inside = larger(face), face.bore_mm - face.wall_mm
    shift, gap = times * step.step_mm, times * step.clearance_mm / 2
    half = face.half_mm
    most = times * step_of(case, True).step_mm  # both halves are framed for the wrong one
    pen.frame(
        -(1 + EDGE) * half - most, (1 + ASIDE + STRIP + EDGE) * half, face.low_mm - 0.1 * half, 0.9 * half
    )
    for upper in (True, False):
        by = 0.0 if upper else -shift
        housing, shell = face.half(upper)
        for outline in outlines(housing):
            pen.fill(
                outline + [by, 0.0],
                face.ground if upper else "cap",
                accent=not upper,
                level=2.0 if upper else 2.2,
            )
        for outline in outlines(shell):
            pen.fill(outline + [by, 0.0], "shell", level=2.6)
    for head in face.heads:
        pen.fill(head - [shift, 0.0], "bolt", level=2.1)
    for upper, outline in zip((True, False), face.tangs, strict=False):
        pen.fill(outline - [0.0 if upper else shift, 0.0], "shell", accent=True, level=3.0)
    _shaft(pen, face, gap, shift, step.binds)
    _stamped(pen, case, face)
    if meets_fillet(case):
        _fillet(pen, case, wrong, (1 + ASIDE + STRIP / 2) * half, FILLET * half)
    spot = (inside, face.joint_mm)
    _words(pen, case, face, step, shift)
    return spot


def _shaft(pen: Pen, face: BearingFace, gap: float, shift: float, binds: bool) -> None:
    """The shaft in the middle of what the two halves leave; in the colour of what is wrong where they share steel."""
    inside = face.bore_mm - face.wall_mm
    shaft = region(circle(inside - gap, (-shift / 2, 0.0)))
    pen.fill(outlines(shaft)[0], "crank", level=1.0)
    if binds:
        rod, cap = (half_plane(face.joint_mm, upper, FAR_MM) for upper in (True, False))
        free = (disc(inside) ^ rod) + (disc(inside).translate((-shift, 0.0)) ^ cap)
        for shared in outlines(shaft - free):
            pen.bite(shared)


def _stamped(pen: Pen, case: MistakeCase, face: BearingFace) -> None:
    """Beside the bearing: where rod and cap bear their numbers, or the underside of a main cap with its arrow."""
    middle = (1 + ASIDE + STRIP / 2) * face.half_mm
    if case.bore is None:
        _underside(pen, case, face, middle)
        return
    rod = case.design.rod
    wide = STRIP * face.half_mm
    scale = wide / rod.big_end.width_mm
    seat, top = scale * rod.bolt.seat_mm, scale * rod.bolt.shoulder_mm
    left, right, head = middle - wide / 2, middle + wide / 2, scale * seat_radius_mm(rod.bolt)
    pen.fill(box(left, right, 0.0, top), "rod", hatch=False)
    pen.fill(box(left, right, -seat, 0.0), "cap", accent=True, hatch=False, level=2.2)
    pen.fill(box(middle - head, middle + head, -seat - 0.5 * head, -seat), "bolt", level=2.1)
    high = 0.55 * min(seat, top)
    stamp(pen, str(face.numbers[0]), (middle, top / 2), high)
    if not face.cap_back_to_front:
        strange = face.numbers[0] != face.numbers[1]
        stamp(pen, str(face.numbers[1]), (middle, -seat / 2), high, WRONG if strange else INK)


def _underside(pen: Pen, case: MistakeCase, face: BearingFace, middle: float) -> None:
    """A main cap from below, front at the left, and so the engine's right at the foot."""
    cap = case.right.spec.block.main_cap
    (low, high), scale = pen.axis.get_ylim(), 0.8
    up, wide, across = (low + high) / 2, scale * cap.thickness_mm, scale * cap.width_mm
    pen.fill(
        box(middle - wide / 2, middle + wide / 2, up - across / 2, up + across / 2),
        "cap",
        accent=True,
        hatch=False,
    )
    for side in (-1.0, 1.0):
        at = (middle, up + side * scale * cap.bolt_spacing_mm / 2)
        pen.circle(at, scale * HEAD_ACROSS * cap.bolt_diameter_mm / 2, "bolt", level=3.0)
    way, length = (-1.0 if face.cap_back_to_front else 1.0), ARROW_LONG * wide
    arrow = np.array([[-length / 2, 0.0], [length / 2, length / 2], [length / 2, -length / 2]]) * [way, 1.0]
    strange, room = face.numbers[0] != face.numbers[1], scale * cap.bolt_spacing_mm / 2
    wrong = WRONG if strange or face.cap_back_to_front else INK
    pen.axis.fill(
        *(arrow + [middle, up - 0.22 * room]).T,
        facecolor=WRONG if face.cap_back_to_front else INK,
        zorder=3.0,
    )
    stamp(
        pen,
        str(face.numbers[1]),
        (middle, up + 0.28 * room),
        0.55 * wide,
        wrong,
        turned=face.cap_back_to_front,
    )


def meets_fillet(case: MistakeCase) -> bool:
    """Whether the cap, put on so, brings an edge to the crankpin's fillet that the right way clears it."""
    if case.bore is None:
        return False
    right, wrong = (side_fit(side, case.site).rod.clearance_mm for side in (case.right, case.wrong))
    return wrong < 0.0 <= right


def _fillet(pen: Pen, case: MistakeCase, wrong: bool, middle: float, size: float) -> None:
    """In the lower corner, larger: cheek and crankpin with their fillet, and the corner of the cap on them."""
    fits, spec = [side_fit(case.side(half), case.site) for half in (False, True)], case.design
    radius, leg = spec.crank.pin.fillet_mm, fits[wrong].chamfer_mm
    gap = (spec.rod.big_end.bore_mm - spec.crank.pin.diameter_mm) / 2
    reach = 1.1 * (gap + max(fit.chamfer_mm for fit in fits))
    edge, low = 0.25 * reach, share(pen, 0.0, 0.04)[1]
    scale = size / (reach + edge)

    def placed(outline: Array) -> Array:
        """The cap below, the crankpin above, the cheek at the left."""
        return np.array([middle - size / 2, low + size]) + scale * (outline + edge) * [1.0, -1.0]

    turn = np.radians(np.linspace(180.0, 270.0, 40))
    arc = radius + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    ends = [[reach, 0.0], [reach, -edge], [-edge, -edge], [-edge, reach], [0.0, reach]]
    steel = region(np.vstack([arc, ends]))
    cap = region(np.array([[0.0, reach], [0.0, gap + leg], [leg, gap], [reach, gap], [reach, reach]]))
    for outline in outlines(steel):
        pen.fill(placed(outline), "crank", hatch=False, level=3.0)
    for outline in outlines(cap):
        pen.fill(placed(outline), "cap", hatch=False, accent=True, level=4.0)
    for shared in outlines(steel ^ cap):
        pen.bite(placed(shared))
    depth_mm = fits[wrong].rod.clearance_mm
    said, colour = (
        (f"{case.length(-depth_mm)}\ninto the fillet", WRONG) if wrong else ("clears\nthe fillet", RIGHT)
    )
    said = case.below_assumed(said)
    pen.label(said, (middle - 0.3 * size, low + 0.5 * size), share(pen, 0.6, 0.07), colour=colour, bold=True)


def _words(pen: Pen, case: MistakeCase, face: BearingFace, step: JointStep, shift: float) -> None:
    inside = face.bore_mm - face.wall_mm
    pen.label(
        "crankpin" if case.bore is not None else "main journal", (-shift / 2, -0.25 * inside), small=True
    )
    pen.label("cap", (-shift, (face.cap_low_mm - face.bore_mm) / 2), small=True)
    if case.bore is None:
        pen.label("from below,\nfront at the left", share(pen, 0.86, 0.07), small=True)
    else:
        middle, top = (1 + ASIDE + STRIP / 2) * face.half_mm, case.design.rod.bolt.shoulder_mm
        scale = STRIP * face.half_mm / case.design.rod.big_end.width_mm
        pen.label("from the side", (middle, scale * top + 0.07 * face.half_mm), small=True)
        if face.cap_back_to_front:
            pen.label(
                "cap's number\nis behind", (middle, -0.5 * scale * case.design.rod.bolt.seat_mm), small=True
            )
    for name, outline, way in zip(("tang", "tang"), face.tangs, (1.0, -1.0), strict=False):
        at = outline.mean(axis=0) - [0.0 if way > 0 else shift, 0.0]
        aside = at + np.array([np.sign(at[0]) * 0.2, way * 0.17]) * face.half_mm
        pen.label(name, (float(at[0]), float(at[1])), (float(aside[0]), float(aside[1])), small=True)
    verdict, (least_mm, _) = oil_left(step.left_mm, step.fit), least_oil(step.fit)
    clearance = f"oil clearance {case.length(step.left_mm)}\non diameter"
    at = (-inside - 0.3 * (face.wall_mm if step.step_mm else 0.0), face.joint_mm)
    if not step.step_mm:
        pen.label(
            "no step: bored\ntogether",
            (inside, face.joint_mm),
            share(pen, 0.83, 0.9),
            colour=RIGHT,
            bold=True,
        )
        pen.label(clearance, at, share(pen, 0.03, 0.9), colour=RIGHT, bold=True, ha="left")
        return
    pen.dimension(
        (inside - shift, face.joint_mm), (inside, face.joint_mm), f"step {case.length(step.step_mm)},\nestimate",
        share(pen, 0.83, 0.9), colour=WRONG,
    )  # fmt: skip
    if verdict.severity == "stop":
        clearance = f"oil clearance all taken:\n{case.length(step.left_mm)} on diameter"
    told = f"{clearance}, {case.below_assumed(verdict.words)},\nat least {case.length(least_mm)}"
    pen.label(told, at, share(pen, 0.03, 0.9), colour=WRONG, bold=True, ha="left")


def said(case: MistakeCase) -> str:
    """What is drawn large, and from where one looks."""
    times = larger(face_of(case, False))
    upright = "the rod upright" if case.bore is not None else "the engine upright"
    aside = "both halves from the side" if case.bore is not None else "the cap from below, front at the left"
    if meets_fillet(case):
        aside += ", below them the corner at the cheek, larger"
    return (
        f"From the front, {upright}; oil clearance and step drawn {times:.0f} times their size, all else to scale; "
        f"beside it {aside}. To which side a cap stands out nobody knows."
    )


DRAWING = Drawing("joint", draw, said)
