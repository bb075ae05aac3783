"""A rod cap whose bolts were never tightened: the joint beside one bolt, held together or thrown open."""

from __future__ import annotations

import numpy as np

from geometry.checks.inertia import cap_load, full_preload_n
from geometry.checks.section import Amount
from geometry.parts.rod_bolt import spans_mm
from geometry.units import show
from viewer.explained.bearing_face import rod_face
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Drawing
from viewer.explained.pen import INK, RIGHT, WRONG, Pen, Xy
from viewer.explained.plane import box, outlines, share

OPEN = 0.09
"""How far the joint is drawn open, by the distance of the bolts: how far it opens nobody knows."""
WIDE, FULL = 1.2, 0.3
"""Width of what is seen, by the distance of the bolts; length of the arrow of the greater force, by that width."""


def draw(pen: Pen, case: MistakeCase, wrong: bool) -> Xy:
    """From the front at top dead centre, one bolt in the middle: the crankpin holds the cap back, the rod flies on."""
    side, n = case.side(wrong), case.place
    face, bolt, loose = rod_face(side, n), case.design.rod.bolt, side.built.bore(n).bolts_loose
    gap, middle = (OPEN * bolt.spacing_mm if loose else 0.0), 0.5 * (face.bore_mm + bolt.spacing_mm / 2)
    wide = WIDE * bolt.spacing_mm
    pen.frame(middle - 0.52 * wide, middle + 0.48 * wide, -0.4 * wide, 0.4 * wide)
    for upper in (True, False):
        lifted = [0.0, gap if upper else 0.0]
        housing, shell = face.half(upper)
        for outline in outlines(housing):
            pen.fill(outline + lifted, "rod" if upper else "cap", level=2.0)
        for outline in outlines(shell):
            pen.fill(outline + lifted, "shell", level=2.2)
    pen.circle((0.0, 0.0), face.bore_mm - face.wall_mm, "crank", level=1.5)
    x = bolt.spacing_mm / 2
    for place, (radius, low, high) in spans_mm(bolt).items():
        # A cap screw run down by hand has that much less thread in the rod; a bolt with a nut goes up with the rod.
        up = gap if bolt.kind == "bolt_and_nut" and place != "nut" else 0.0
        level = 3.0 + (place in ("head", "nut"))
        pen.fill(box(x - radius, x + radius, low + up, high + up), "bolt", accent=True, level=level)
    _forces(pen, case, loose, gap, wide)
    return (middle, gap / 2)


def _forces(pen: Pen, case: MistakeCase, loose: bool, gap: float, wide: float) -> None:
    """What clamps each bolt's half of the joint, and what pulls at it: arrows as long as the forces are great."""
    bolt, speed = case.design.rod.bolt, case.right.spec.engine.speed_rpm
    full, pull = full_preload_n(case.right), cap_load(case.right, case.site).load_n(speed) / 2
    scale = FULL * wide / max(full or 0.0, pull)
    held, x = (0.0 if loose else full), bolt.spacing_mm / 2
    if not loose:
        long = scale * full if full is not None else FULL * wide
        for way in (1.0, -1.0):
            pen.arrow((x, way * long), (x, way * 0.02 * wide), colour=RIGHT, width=5.0)
    edge = rod_face(case.right, case.place).half_mm
    at = edge + 0.08 * wide
    for way, start in ((1.0, gap), (-1.0, 0.0)):
        tail = start + way * 0.03 * wide
        pen.arrow((at, tail), (at, tail + way * scale * pull), colour=INK, width=5.0)
    _words(pen, case, (edge, at, gap), held, pull)


def _words(
    pen: Pen, case: MistakeCase, places: tuple[float, float, float], held: float | None, pull: float
) -> None:
    def said(value: float, dimension: str) -> str:
        return Amount(value, dimension, about=2 if dimension == "force" else 0).text(case.system)

    edge, at, gap = places
    design, speed = case.design, case.right.spec.engine.speed_rpm
    ring, turn = (design.rod.big_end.bore_mm + design.rod.big_end.outside_mm) / 4, np.radians(52.0)
    pen.label("crankpin", share(pen, 0.1, 0.45), small=True)
    for name, way, up in (("rod", 1.0, gap), ("cap", -1.0, 0.0)):
        pen.label(name, (float(ring * np.cos(turn)), float(way * ring * np.sin(turn) + up)), small=True)
    pen.label(
        f"pulled apart with\n{said(pull, 'force')} at each\nbolt, {said(speed, 'rotation')}",
        (at, gap + 4.0), share(pen, 0.84, 0.88),
    )  # fmt: skip
    clamp = "bolts tightened" if held is None else f"{said(held, 'force')} of clamp\non each bolt"
    place = share(pen, 0.84, 0.16)
    if gap:
        told = f"joint open:\n{clamp};\nmust hold to\n{said(speed, 'rotation')}"
        pen.dimension((edge + 1.0, 0.0), (edge + 1.0, gap), told, place, colour=WRONG)
        return
    full, load = full_preload_n(case.right), cap_load(case.right, case.site)
    holds = (
        ""
        if full is None
        else f";\nholds to about\n{show(load.opens_at_rpm(full), 'rotation', case.system, about=2)}"
    )
    pen.label(f"joint closed:\n{clamp}{holds}", (edge, 0.0), place, colour=RIGHT, bold=True)


DRAWING = Drawing(
    "open_joint",
    draw,
    lambda case: (
        "From the front at top dead centre, the rod upright, to scale; arrows are as long as the forces. How far "
        "a loose joint opens nobody knows: it is drawn wide."
    ),
)
