"""How piston, rod, cap and shells stand: crown and big end from above, front up, and all of it from the front.

Every side comes from ``WayRound``. From above, +y of the bore's frame is at the right of the picture; from the front,
where the builder stands, it is at the left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.kinematics.layout import BoreSite
from geometry.parts.piston import ARROW
from geometry.parts.shapes.crown import mark_place
from geometry.parts.shapes.rod_shape import seat_radius_mm
from geometry.record.way_round import WayRound, way_round
from geometry.spec.engine import Engine
from viewer.paper.lettering import width_in
from viewer.paper.page import HATCH, INK, LIGHT
from viewer.sheet.content import VectorPicture
from viewer.sheet.pictures.drawn import (
    DARK,
    MM_IN,
    NAME_PT,
    OTHER,
    PAPER,
    PART,
    PaperDrawing,
    Xy,
    blank,
    box,
    turned,
)
from viewer.sheet.wording import say

Place: TypeAlias = "Callable[[Array], Array]"
"""Points (n, 2) of one view, mm of the engine, to mm of paper."""
HIGH_MM, MIDDLE_MM, ARROW_MM = 62.0, 27.0, 50.0
"""Height of the picture, of the middle of a view from above, and of the foot of its arrow to the front."""
MARK_TIMES: Final = 2.4
"""How many times its size the front mark is drawn."""
DOT_MM: Final = 2.5
TANG_MM: Final = 2.2
"""Least size of a tang on paper: larger than true, to be found."""
CHAMFER_TIMES: Final = 1.5


@dataclass(frozen=True, slots=True, eq=False)
class _Shown:
    """One bore's parts, what they measure, and how they stand."""

    spec: Engine
    site: BoreSite
    way: WayRound
    sense: int

    @property
    def rod_reach_mm(self) -> float:
        """From the rod's middle to the outside of its bolts' seats."""
        return self.spec.rod.bolt.spacing_mm / 2 + seat_radius_mm(self.spec.rod.bolt)


def draw_ways(assembly: Assembly, site: BoreSite, wide_mm: float) -> VectorPicture:
    """Three views side by side."""
    way = way_round(assembly, site)
    shown = _Shown(assembly.design(site.bore), site, way, assembly.layout.sense)
    drawn = blank(wide_mm, HIGH_MM)
    third = wide_mm / 3
    _crown(drawn, shown, (third / 2, MIDDLE_MM), 0.305 * third)
    _big_end(drawn, shown, (1.5 * third, MIDDLE_MM), third)
    _from_front(drawn, shown, (2 * third + 4.0, wide_mm - 1.0))
    heads = (say("bore", "view crown"), say("bore", "view big end"), say("bore", "view front"))
    for k, head in enumerate(heads):
        drawn.words(head, ((k + 0.5) * third, HIGH_MM - 2.2), NAME_PT + 1.0, bold=True)
    return drawn.done(_said(shown))


def _said(shown: _Shown) -> str:
    way = shown.way
    return say(
        "bore", "ways said", mark=way.mark_end, large=way.large_end, tangs=way.words_at(way.rod_tang_sign),
        thrust=shown.site.thrust_words,
    )  # fmt: skip


def _front_arrow(drawn: PaperDrawing, at: Xy) -> None:
    drawn.arrow((at[0], at[1]), (at[0], at[1] + 6.5), line_pt=2.4, size=15.0)
    drawn.words(say("bore", "front"), (at[0] + 1.8, at[1] + 3.2), ha="left", bold=True)


def _crown(drawn: PaperDrawing, shown: _Shown, middle: Xy, radius: float) -> None:
    """The crown from above: mark, pockets, pin axis, and the thrust side on the bore's wall."""
    spec, way = shown.spec, shown.way
    scale = radius / (spec.block.bore.diameter_mm / 2)
    facing = 1.0 if way.mark_end == "front" else -1.0

    def at(points: Array) -> Array:
        # x runs to the rear and y to the right: front up
        points = facing * np.asarray(points, dtype=float)
        return np.column_stack([middle[0] + scale * points[:, 1], middle[1] - scale * points[:, 0]])

    drawn.disc(middle, 1.12 * radius, PART, hatch="//", line_pt=0.8)
    drawn.disc(middle, radius, PAPER, line_pt=1.3, level=2.2)
    drawn.disc(middle, scale * way.top.radius_mm, OTHER, line_pt=1.1, level=2.4)
    pin = np.array(
        [[middle[0] + scale * shown.site.offset_mm, middle[1] + k * 1.2 * radius] for k in (-1, 1)]
    )
    drawn.line(pin, HATCH, 0.9, (0, (9, 2.5, 1.5, 2.5)), level=5.0)
    for recess, pocket in zip(way.top.recesses, spec.piston.pockets, strict=True):
        outline = np.array([recess.x_mm, recess.y_mm]) + recess.radius_mm * turned(np.linspace(0, 357, 120))
        out = np.hypot(*outline.T)
        held = outline * np.minimum(1.0, way.top.radius_mm / np.maximum(out, 1e-9))[:, None]
        drawn.face(at(held), DARK if pocket.valve == "intake" else PART, line_pt=1.1, level=3.0)
        where = at(np.array([[recess.x_mm, recess.y_mm]]))[0]
        words = say("bore", pocket.valve or "pocket")
        if width_in(words, NAME_PT) / MM_IN > 1.8 * scale * recess.radius_mm:
            words = say("bore", f"{pocket.valve or 'pocket'} short")
        drawn.words(words, (float(where[0]), float(where[1])), bbox=None)
    if way.top.shape_mm:
        drawn.disc(middle, scale * way.top.shape_mm, line_pt=0.8, level=2.6)
    _mark(drawn, shown, at)
    drawn.line(
        np.asarray(middle) + 1.2 * radius * turned(90.0 * way.major_sign + np.linspace(-24, 24, 40)),
        line_pt=4.5,
    )
    for sign in (1, -1):
        words = way.words_at(sign)
        at_side = (middle[0] + sign * (1.2 * radius + 3.4), middle[1])
        drawn.words(words, at_side, bold=sign == way.major_sign, rotation=90)
    drawn.words(say("bore", "thick"), (middle[0], middle[1] - 1.2 * radius - 2.6))
    _front_arrow(drawn, (middle[0], ARROW_MM))


def _mark(drawn: PaperDrawing, shown: _Shown, at: Place) -> None:
    """The front mark about its own place, moved in so far that it stays on the crown."""
    top = shown.way.top
    x, y, _ = mark_place(top)
    kind = shown.spec.piston.front_mark
    turn = turned(np.linspace(0.0, 357.0, 120))
    shape = {"arrow": ARROW, "dot": DOT_MM * turn, "notch": np.array([[-5, -4], [-5, 4], [2, 0]])}[
        kind
    ] * MARK_TIMES
    reach = 0.94 * top.radius_mm
    moved = shape + [max(x, -reach + float(np.abs(shape[:, 0]).max())), y]
    over = float(np.hypot(*moved.T).max()) - reach
    if over > 0.0:
        moved = moved + [over, 0.0]
    drawn.face(at(moved), INK, line_pt=0.0, level=6.0)


def _big_end(drawn: PaperDrawing, shown: _Shown, middle: Xy, wide: float) -> None:
    """The big end cut at its joint, from above: chamfers, cheeks, the rod beside it, tangs and numbers."""
    rod, pin, way = shown.spec.rod, shown.spec.crank.pin, shown.way
    reach, half, bore = shown.rod_reach_mm, rod.big_end.width_mm / 2, rod.big_end.bore_mm / 2
    scale = min((wide - 9.0) / (2 * reach), 25.0 / (2 * half))

    def at(points: Array) -> Array:
        points = np.asarray(points, dtype=float)
        return np.column_stack([middle[0] + scale * points[:, 1], middle[1] - scale * points[:, 0]])

    journal, beside = pin.diameter_mm / 2, 7.5 / scale
    drawn.face(at(box(-half - beside, half + beside, -journal, journal)), PAPER, line_pt=1.0, level=2.0)
    for end, sign in (("front", -1.0), ("rear", 1.0)):
        edge = sign * half
        cheek = end in way.cheeks
        across = 1.18 * reach if cheek else 0.94 * reach
        block = box(min(edge, edge + sign * beside), max(edge, edge + sign * beside), -across, across)
        block = block + [sign * 0.6 / scale, 0.0]
        drawn.face(at(block), PART if cheek else PAPER, hatch="//" if cheek else "", level=2.5,
                   edge=INK if cheek else LIGHT)  # fmt: skip
        words = say("bore", "cheek") if cheek else say("bore", "other rod")
        drawn.words(words, (middle[0], float(at(np.array([[edge + sign * 0.55 * beside, 0.0]]))[0, 1])))
    for side in (1.0, -1.0):
        _boss(drawn, shown, at, (side, reach, half, bore))
    _shells_and_tangs(drawn, shown, at, scale)
    _chamfer_words(drawn, shown, middle, (scale * half, scale * bore, scale * reach))


def _chamfers(shown: _Shown) -> tuple[float, float]:
    """Legs of the chamfers at the front and at the rear, mm, as drawn."""
    chamfer = shown.spec.rod.chamfer
    large, small = CHAMFER_TIMES * chamfer.cheek_mm, CHAMFER_TIMES * chamfer.other_mm
    return (large, small) if shown.way.large_end == "front" else (small, large)


def _boss(drawn: PaperDrawing, shown: _Shown, at: Place, sizes: tuple[float, float, float, float]) -> None:
    """What the joint shows of the big end at one side of the pin; its chamfers at the edges of the bore."""
    side, reach, half, bore = sizes
    front, rear = _chamfers(shown)
    outline = np.array([
        [-half, reach], [-half, bore + front], [-half + front, bore], [half - rear, bore], [half, bore + rear],
        [half, reach],
    ]) * [1.0, side]  # fmt: skip
    drawn.face(at(outline), OTHER, hatch="\\\\", line_pt=1.6, level=3.0)
    bolt = shown.spec.rod.bolt
    hole = np.array([0.0, side * bolt.spacing_mm / 2]) + bolt.diameter_mm / 2 * turned(
        np.linspace(0, 357, 90)
    )
    drawn.face(at(hole), PAPER, line_pt=1.0, level=3.2)
    if shown.way.chamfer_tells:
        sign = -1.0 if shown.way.large_end == "front" else 1.0
        leg = max(front, rear)
        corner = np.array([[sign * half, bore], [sign * half, bore + leg], [sign * (half - leg), bore]])
        drawn.face(at(corner * [1.0, side]), INK, line_pt=0.0, level=3.4)


def _shells_and_tangs(drawn: PaperDrawing, shown: _Shown, at: Place, scale: float) -> None:
    rod, way = shown.spec.rod, shown.way
    bore, wall, half = rod.big_end.bore_mm / 2, rod.bearing.wall_mm, rod.bearing.width_mm / 2
    for side in (1.0, -1.0):
        shell = box(-half, half, bore - wall, bore) * [1.0, side]
        drawn.face(at(shell), DARK, line_pt=0.8, level=3.3)
    size = max(rod.bearing.tang_mm, TANG_MM / scale)
    # behind the middle in the rod's own frame, before it in the cap's, whose shell is the other one turned over
    for sign, forward, own in (
        (way.rod_tang_sign, way.large_end, 1.0),
        (way.cap_tang_sign, way.cap_large_end, -1.0),
    ):
        x = (own if forward == "front" else -own) * rod.bearing.width_mm / 4
        tang = box(x - size / 2, x + size / 2, bore - wall, bore + 1.3 * size) * [1.0, sign]
        drawn.face(at(tang), INK, line_pt=0.0, level=5.0)


def _chamfer_words(drawn: PaperDrawing, shown: _Shown, middle: Xy, sizes: tuple[float, float, float]) -> None:
    """The names of chamfer and tangs, each beyond the cheek, the lines to them on opposite sides of the pin."""
    half, bore, reach = sizes
    way = shown.way
    top, low = middle[1] + half + 11.6, middle[1] - half - 11.6
    _front_arrow(drawn, (middle[0], ARROW_MM))
    sign = way.rod_tang_sign
    if way.chamfer_tells:
        up = way.large_end == "front"
        corner = (middle[0] - sign * (bore + 0.8), middle[1] + (half - 0.8 if up else 0.8 - half))
        place = (middle[0] - sign * 0.45 * reach, top if up else low - 0.4)
        drawn.words(say("bore", "large chamfer"), place, bold=True, to=corner)
        low -= 0.0 if up else 4.6
    tang = (middle[0] + sign * (bore + 1.2), middle[1])
    words = say("bore", "tangs and numbers", side=way.words_at(sign))
    drawn.words(words, (middle[0] + sign * 0.1 * reach, low), bold=True, to=tang)


def _from_front(drawn: PaperDrawing, shown: _Shown, span: tuple[float, float]) -> None:
    """From the front of the engine, its right at the left of the picture; the piston at the bottom of its stroke."""
    spec, site = shown.spec, shown.site
    block, rod, throw = spec.block, spec.rod, spec.crank.stroke_mm / 2
    lean = np.radians(site.bank_deg)
    half, deck = block.bore.diameter_mm / 2 + block.bore.wall_mm, block.deck_height_mm
    low_mm = throw + rod.cap.height_mm + rod.bolt.head_height_mm
    corners = np.array([[s * half, z] for s in (-1, 1) for z in (deck + 14.0, -low_mm)])

    def turn(points: Array) -> Array:
        y, z = np.asarray(points, dtype=float).T
        return np.column_stack([-(y * np.cos(lean) - z * np.sin(lean)), y * np.sin(lean) + z * np.cos(lean)])

    seen = turn(corners)
    low, high = seen.min(axis=0), seen.max(axis=0)
    room = span[1] - span[0] - 4.0 - 16.0 * abs(np.sin(2 * lean)), HIGH_MM - 9.0
    scale = min(room[0] / (high - low)[0], room[1] / (high - low)[1])
    shift = np.array([sum(span) / 2 - 6.0 * np.sin(2 * lean), 1.0 + room[1] / 2]) - scale * (low + high) / 2

    def at(points: Array) -> Array:
        return np.asarray(scale * turn(points) + shift)

    pin = -throw
    _front_block(drawn, shown, at)
    wrist = pin + rod.length_mm
    _front_piston(drawn, shown, at, wrist)
    _front_rod(drawn, shown, at, pin)
    hub = at(np.array([[0.0, 0.0]]))[0]
    drawn.disc((float(hub[0]), float(hub[1])), scale * throw, line_pt=0.8, style=(0, (4, 2)), level=2.1)
    drawn.disc((float(hub[0]), float(hub[1])), 0.7, INK, line_pt=0.0, level=7.0)
    _front_words(drawn, shown, at, span)


def _front_block(drawn: PaperDrawing, shown: _Shown, at: Place) -> None:
    block, way = shown.spec.block, shown.way
    bore, wall, deck = block.bore.diameter_mm / 2, block.bore.wall_mm, block.deck_height_mm
    for side in (1.0, -1.0):
        strip = box(bore, bore + wall, deck - block.bore.length_mm, deck) * [side, 1.0]
        drawn.face(at(strip), PART, hatch="//", line_pt=1.0, level=2.2)
    side = way.major_sign * (bore + wall + 2.5)
    bar = np.array([[side, deck - 0.75 * block.bore.length_mm], [side, deck - 0.25 * block.bore.length_mm]])
    drawn.line(at(bar), line_pt=4.0, level=3.0)


def _front_piston(drawn: PaperDrawing, shown: _Shown, at: Place, wrist: float) -> None:
    piston = shown.spec.piston
    radius = shown.way.top.radius_mm
    top = wrist + piston.compression_height_mm
    body = box(-radius, radius, wrist - piston.skirt.bottom_mm, top)
    drawn.face(at(body), OTHER, line_pt=1.2, level=3.0)
    for groove in piston.grooves:
        z = top - groove.from_crown_mm - groove.height_mm / 2
        drawn.line(at(np.array([[-radius, z], [radius, z]])), INK, 1.4, level=3.2)
    eye = np.array([shown.site.offset_mm, wrist]) + piston.pin.diameter_mm / 2 * turned(
        np.linspace(0, 357, 90)
    )
    drawn.face(at(eye), PAPER, line_pt=1.0, level=5.0)


def _front_rod(drawn: PaperDrawing, shown: _Shown, at: Place, pin: float) -> None:
    """Rod, cap and bolts upright in their bore; the joint's line, and tangs on their side."""
    rod, way = shown.spec.rod, shown.way
    bolt, ring, bore = rod.bolt, rod.big_end.outside_mm / 2, rod.big_end.bore_mm / 2
    reach = shown.rod_reach_mm
    blade = np.array([
        [-rod.beam.width_big_mm / 2, pin], [rod.beam.width_big_mm / 2, pin],
        [rod.beam.width_small_mm / 2 + shown.site.offset_mm, pin + rod.length_mm],
        [-rod.beam.width_small_mm / 2 + shown.site.offset_mm, pin + rod.length_mm],
    ])  # fmt: skip
    faces = [
        blade,
        box(-reach, reach, pin, pin + bolt.shoulder_mm),
        box(-reach, reach, pin - bolt.seat_mm, pin),
    ]
    faces.append(np.array([0.0, pin]) + ring * turned(np.linspace(0, 357, 120)))
    faces.append(
        box(-rod.cap.rib_width_mm / 2, rod.cap.rib_width_mm / 2, pin - rod.cap.height_mm, pin - bore)
    )
    for face in faces:
        drawn.face(at(face), PART, line_pt=1.1, level=4.0)
    for face in faces:
        drawn.face(at(face), PART, line_pt=0.0, level=4.1)
    middle = np.array([0.0, pin])
    drawn.face(at(middle + bore * turned(np.linspace(0, 357, 120))), DARK, line_pt=1.0, level=4.3)
    journal = shown.spec.crank.pin.diameter_mm / 2
    drawn.face(at(middle + journal * turned(np.linspace(0, 357, 120))), PAPER, line_pt=1.0, level=4.4)
    drawn.line(at(np.array([[-reach, pin], [-bore, pin]])), line_pt=1.4, level=4.6)
    drawn.line(at(np.array([[bore, pin], [reach, pin]])), line_pt=1.4, level=4.6)
    size = 0.24 * bore
    for sign, low, high in ((way.rod_tang_sign, 0.0, size), (way.cap_tang_sign, -size, 0.0)):
        lug = box(0.86 * bore, 0.86 * bore + 1.5 * size, pin + low, pin + high) * [sign, 1.0]
        drawn.face(at(lug), INK, line_pt=0.0, level=5.0)


def _front_words(drawn: PaperDrawing, shown: _Shown, at: Place, span: tuple[float, float]) -> None:
    """Both sides of the bore by name, outside its walls."""
    block = shown.spec.block
    out = block.bore.diameter_mm / 2 + block.bore.wall_mm
    z = block.deck_height_mm - 0.3 * block.bore.length_mm
    for sign in (1, -1):
        foot, tip = at(np.array([[sign * out, z], [sign * (out + 1.0), z]]))
        way = (tip - foot) / np.hypot(*(tip - foot))
        words = shown.way.words_at(sign)
        wide = width_in(words, NAME_PT, True) / MM_IN
        x, y = foot + way * (3.2 + abs(way[0]) * wide / 2 + abs(way[1]) * 2.2)
        place = (
            float(np.clip(x, span[0] + wide / 2, span[1] - wide / 2)),
            float(np.clip(y, 2.5, HIGH_MM - 8.0)),
        )
        drawn.words(words, place, bold=sign == shown.way.major_sign)
