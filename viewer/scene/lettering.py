"""The flat layer over a picture: labels, distances, caption, compass and scale bar, in pixels, as plain data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from geometry.arrays import Array
from viewer.looks import LOOKS, Colour
from viewer.scene.model import Callout, Label, Scene
from viewer.scene.nearness import colours, place_on
from viewer.scene.placing import Rectangle, place_labels
from viewer.scene.views import Camera, project

Measure = Callable[[str, float, bool], tuple[float, float]]
"""Width and height in px of words at a size in px, plain or bold."""

WHITE: Colour = (1.0, 1.0, 1.0)
PAPER: Colour = (0.985, 0.988, 0.992)
VERDICT_WORDS = {"clear": "clear", "close": "close", "touches": "touches", "overlaps": "overlaps"}
LABEL_STYLE: dict[str, tuple[float, bool, str, bool]] = {
    # kind: size in thousandths of the height, bold, look, whether the words stand on a filled ground
    "bore": (25.0, True, "ink", True),
    "front": (21.0, True, "mark", True),
    "ring": (20.0, False, "ink", False),
    "direction": (19.0, False, "ink", False),
    "part": (18.0, False, "ink", False),
    "callout": (19.0, True, "ink", False),
}
PRIORITY = ("callout", "front", "bore", "ring", "direction", "part")


@dataclass(frozen=True, slots=True)
class Words:
    """Text at a place: ``box`` is its ground, the words stand in its middle (or at its left edge)."""

    text: str
    box: Rectangle
    size_px: float
    bold: bool
    colour: Colour
    ground: Colour | None = None
    frame: Colour | None = None
    left_aligned: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A flat line of px points (k, 2), perhaps closed and filled, perhaps broken into dashes."""

    points_px: Array
    colour: Colour
    width_px: float
    filled: bool = False
    dashed: bool = False


@dataclass(slots=True)
class Lettering:
    """Everything flat in a picture, in drawing order."""

    lines: list[Line] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    @property
    def boxes(self) -> list[Rectangle]:
        """Places in use."""
        return [w.box for w in self.words]


def letter(
    scene: Scene,
    camera: Camera,
    size_px: tuple[int, int],
    measure: Measure,
    taken: Sequence[Rectangle] = (),
    foot_px: float = 0.0,
    unit_px: float | None = None,
) -> Lettering:
    """Lay out the flat layer of a picture of this size.

    Parameters
    ----------
    taken : places that labels must keep off
    foot_px : height of a strip at the bottom that compass and caution stand on
    unit_px : a thousandth of the height of a picture lettered at its natural size; default: of this picture's
    """
    unit = size_px[1] / 1000.0 if unit_px is None else unit_px
    layer = Lettering()
    _caption(layer, scene, size_px, unit, measure, foot_px)
    _compass(layer, scene, camera, size_px, unit, measure, foot_px, taken)
    if scene.scale is not None:
        _scale_bar(layer, scene, size_px, unit, measure, taken, foot_px)
    _callout_lines(layer, scene, camera, size_px, unit)
    _labels(layer, scene, camera, size_px, unit, measure, taken)
    return layer


def _caption(
    layer: Lettering, scene: Scene, size_px: tuple[int, int], unit: float, measure: Measure, foot_px: float
) -> None:
    """Title and angle at the top left, the caution at the bottom left; long lines are broken."""
    margin = 22.0 * unit
    room = size_px[0] - 2 * margin
    top = size_px[1] - margin
    for number, line in enumerate(scene.caption):
        last = number == len(scene.caption) - 1
        bold = number == 0
        size = (26.0 if bold else 16.0 if last else 19.0) * unit
        colour = LOOKS["axis"].colour if last else LOOKS["ink"].colour
        pieces = broken(line, 0.6 * room if last else room, size, bold, measure)
        bottom = foot_px + margin
        for piece in reversed(pieces) if last else pieces:
            width, height = measure(piece, size, bold)
            place = Rectangle(margin, bottom if last else top - height, width, height)
            ground = PAPER if scene.close_up else None
            layer.words.append(Words(piece, place, size, bold, colour, ground, left_aligned=True))
            bottom += height + 5.0 * unit
            top -= 0.0 if last else height + 5.0 * unit
        top -= 4.0 * unit


def broken(text: str, room_px: float, size_px: float, bold: bool, measure: Measure) -> list[str]:
    """Break words into lines no wider than the room; a word that is wider stands alone."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure(longer, size_px, bold)[0] <= room_px:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _compass(
    layer: Lettering,
    scene: Scene,
    camera: Camera,
    size_px: tuple[int, int],
    unit: float,
    measure: Measure,
    foot_px: float,
    taken: Sequence[Rectangle],
) -> None:
    """Which way the engine's front, right and top point in this picture, at the bottom right, unless covered."""
    up = np.cross(camera.right, camera.toward)
    centre = np.array([size_px[0] - 136.0 * unit, foot_px + 100.0 * unit])
    place = Rectangle(
        float(centre[0]) - 126.0 * unit, float(centre[1]) - 90.0 * unit, 252.0 * unit, 180.0 * unit
    )
    if not all(place.apart_from(other) for other in taken):
        return
    if scene.close_up:
        layer.lines.append(Line(_corners(place), PAPER, 1.0, filled=True))
    layer.words.append(Words("", place, 1.0, False, WHITE))
    named: list[Rectangle] = []
    for name, way, strong in (
        ("FRONT", (-1.0, 0.0, 0.0), True), ("right", (0.0, 1.0, 0.0), False), ("up", (0.0, 0.0, 1.0), False),
    ):  # fmt: skip
        direction = np.array(way)
        flat = np.array([direction @ camera.right, direction @ up])
        colour = LOOKS["mark" if strong else "axis"].colour
        size = (17.0 if strong else 14.5) * unit
        reach = (50.0 if strong else 36.0) * unit
        if np.linalg.norm(flat) < 0.15:
            _end_on(layer, centre, float(direction @ camera.toward), colour, unit, strong)
            if not strong:
                continue
            words = "FRONT, away from you" if direction @ camera.toward > 0 else "FRONT, towards you"
            width, height = measure(words, size, True)
            middle = np.array([size_px[0] - 20.0 * unit - width / 2, centre[1] - 70.0 * unit])
        else:
            tip = centre + reach * flat
            width, height = measure(name, size, strong)
            words, way_out = name, flat / np.linalg.norm(flat)
            middle = tip + way_out * (6.0 * unit + abs(way_out[0]) * width / 2 + abs(way_out[1]) * height / 2)
        box = Rectangle(float(middle[0] - width / 2), float(middle[1] - height / 2), width, height)
        if not all(box.apart_from(other) for other in named):
            continue  # two directions lie behind one another: the first is enough
        if np.linalg.norm(flat) >= 0.15:
            _pointer(layer, centre, tip, colour, unit, strong)
        named.append(box)
        layer.words.append(Words(words, box, size, strong, colour))


def _pointer(layer: Lettering, tail: Array, tip: Array, colour: Colour, unit: float, strong: bool) -> None:
    way = tip - tail
    length = float(np.linalg.norm(way))
    along = way / max(length, 1e-9)
    aside = np.array([-along[1], along[0]])
    head = min((13.0 if strong else 9.0) * unit, 0.8 * length)
    neck = tip - along * head
    layer.lines.append(Line(np.array([tail, neck]), colour, (4.0 if strong else 2.0) * unit))
    wing = aside * head * 0.48
    layer.lines.append(Line(np.array([tip, neck + wing, neck - wing]), colour, 1.0, filled=True))


def _end_on(layer: Lettering, centre: Array, away: float, colour: Colour, unit: float, strong: bool) -> None:
    """A direction seen end on: a dot in a ring when it comes towards the eye, a cross when it goes away."""
    radius = (11.0 if strong else 6.0) * unit
    width = (3.0 if strong else 1.6) * unit
    layer.lines.append(Line(disc(centre, radius), PAPER, 1.0, filled=True))
    ring = disc(centre, radius)
    layer.lines.append(Line(np.vstack([ring, ring[:1]]), colour, width))
    if away < 0:
        layer.lines.append(Line(disc(centre, 0.36 * radius), colour, 1.0, filled=True))
        return
    arm = 0.62 * radius
    for slope in (1.0, -1.0):
        ends = centre + arm * np.array([[-1.0, -slope], [1.0, slope]])
        layer.lines.append(Line(ends, colour, width))


def disc(centre: Array, radius: float) -> Array:
    """Corners of a round spot, (28, 2) px."""
    angle = np.linspace(0.0, 2 * np.pi, 28, endpoint=False)
    return np.asarray(centre + radius * np.column_stack([np.cos(angle), np.sin(angle)]))


def _corners(box: Rectangle) -> Array:
    right, top = box.left + box.width, box.bottom + box.height
    return np.array([[box.left, box.bottom], [right, box.bottom], [right, top], [box.left, top]])


def _scale_bar(
    layer: Lettering,
    scene: Scene,
    size_px: tuple[int, int],
    unit: float,
    measure: Measure,
    taken: Sequence[Rectangle],
    foot_px: float,
) -> None:
    """The colours of closest approach with their distances, upright at the right edge, between list and compass."""
    scale = scene.scale
    if scale is None:
        return
    width, left, low = 20.0 * unit, size_px[0] - 150.0 * unit, foot_px + 206.0 * unit
    over = [box.bottom for box in taken if box.left + box.width > left and box.bottom > size_px[1] / 2]
    high = min(over, default=size_px[1] - 110.0 * unit) - 56.0 * unit
    height = min(380.0 * unit, high - low)
    bottom = (low + high - height) / 2
    places = np.linspace(0.0, 1.0, 49)
    values = scale.low_mm + (scale.high_mm - scale.low_mm) * places**2
    for low, high, colour in zip(places[:-1], places[1:], colours(scale, values)[:-1], strict=True):
        corners = _corners(Rectangle(left, bottom + low * height, width, (high - low) * height))
        layer.lines.append(Line(corners, (colour[0], colour[1], colour[2]), 1.0, filled=True))
    size = 16.0 * unit
    for value, text in scale.ticks:
        y = bottom + float(place_on(scale, np.array([value]))[0]) * height
        w, h = measure(text, size, False)
        layer.lines.append(
            Line(np.array([[left + width, y], [left + width + 7 * unit, y]]), LOOKS["ink"].colour, 1.5 * unit)
        )
        box = Rectangle(left + width + 11 * unit, y - h / 2, w, h)
        if all(box.apart_from(other) for other in layer.boxes):
            layer.words.append(Words(text, box, size, False, LOOKS["ink"].colour))
    w, h = measure(scale.title, size, True)
    title = Rectangle(min(left, size_px[0] - w - 14 * unit), bottom + height + 14 * unit, w, h)
    layer.words.append(Words(scale.title, title, size, True, LOOKS["ink"].colour))


def _callout_lines(
    layer: Lettering, scene: Scene, camera: Camera, size_px: tuple[int, int], unit: float
) -> None:
    """A line between the two nearest points with a dot at each end; solid where clear, broken where not.

    Where it points at a bolt head, the circle that the head is held as comes first.
    """
    for callout in scene.callouts:
        for circle in callout.circles_mm:
            around = project(camera, size_px, circle)[:, :2]
            layer.lines.append(Line(around, PAPER, 4.5 * unit))
            layer.lines.append(Line(around, LOOKS[callout.verdict].colour, 2.0 * unit))
        ends = project(camera, size_px, np.vstack([callout.a_mm, callout.b_mm]))[:, :2]
        colour = LOOKS[callout.verdict].colour
        layer.lines.append(Line(ends, PAPER, 7.0 * unit))
        layer.lines.append(Line(ends, colour, 3.5 * unit, dashed=callout.verdict != "clear"))
        for end in ends:
            layer.lines.append(Line(disc(end, 6.5 * unit), PAPER, 1.0, filled=True))
            layer.lines.append(Line(disc(end, 4.5 * unit), colour, 1.0, filled=True))


def _callout_ends(scene: Scene, camera: Camera, size_px: tuple[int, int], unit: float) -> list[Rectangle]:
    """Room round the ends of distances, which no label may cover."""
    found = []
    reach = 9.0 * unit
    for callout in scene.callouts:
        for x, y, _ in project(camera, size_px, np.vstack([callout.a_mm, callout.b_mm])):
            found.append(Rectangle(float(x) - reach, float(y) - reach, 2 * reach, 2 * reach))
    return found


def callout_text(callout: Callout) -> str:
    """Dimension and verdict, as on a drawing."""
    return f"{callout.text}, {VERDICT_WORDS[callout.verdict]}"


def _labels(
    layer: Lettering,
    scene: Scene,
    camera: Camera,
    size_px: tuple[int, int],
    unit: float,
    measure: Measure,
    taken: Sequence[Rectangle],
) -> None:
    """Labels and callout words: all placed together so that none covers another."""
    named = [(label, scene.in_engine(label.frame, label.at_mm)) for label in scene.labels]
    for callout in scene.callouts:
        middle = (callout.a_mm + callout.b_mm) / 2
        named.append((Label(callout_text(callout), "E", middle, "callout", look=callout.verdict), middle))
    if not named:
        return
    anchors = project(camera, size_px, np.array([at for _, at in named]))
    named, anchors = _merged(named, anchors, 1.2 * LABEL_STYLE["bore"][0] * unit)
    inside = (anchors[:, 2] > 0) & (anchors[:, :2] >= 0).all(axis=1) & (anchors[:, :2] <= size_px).all(axis=1)
    for row, (label, _) in enumerate(named):
        if label.kind != "callout" and any(box.holds(*anchors[row, :2]) for box in taken):
            inside[row] = False
    kept = [pair for pair, keep in zip(named, inside, strict=True) if keep]
    anchors = anchors[inside, :2]
    styles = [LABEL_STYLE[label.kind] for label, _ in kept]
    sizes = [_padded(measure(label.text, style[0] * unit, style[1]), unit, style[3])
             for (label, _), style in zip(kept, styles, strict=True)]  # fmt: skip
    outward = anchors - np.array(size_px) / 2
    starts = anchors.copy()
    for row, (label, _) in enumerate(kept):
        if label.kind in ("ring", "callout", "direction", "front"):
            starts[row] = _stand_off(anchors[row], outward[row], sizes[row], unit)
    boxes = place_labels(
        starts,
        sizes,
        size_px,
        [*layer.boxes, *taken, *_callout_ends(scene, camera, size_px, unit)],
        4.0 * unit,
        outward,
    )
    for (label, _), style, anchor, box in zip(kept, styles, anchors, boxes, strict=True):
        if box is not None:
            _label(layer, label, style, anchor, box, unit)


def _merged(
    named: list[tuple[Label, Array]], anchors: Array, near_px: float
) -> tuple[list[tuple[Label, Array]], Array]:
    """One label for bores that stand behind one another in this picture, the nearest first."""
    kept: list[tuple[Label, Array]] = []
    rows: list[int] = []
    for row in sorted(range(len(named)), key=lambda r: (PRIORITY.index(named[r][0].kind), anchors[r, 2])):
        label, at = named[row]
        twin = next(
            (k for k, r in enumerate(rows)
             if label.kind == "bore" == kept[k][0].kind and np.hypot(*(anchors[row] - anchors[r])[:2]) < near_px),
            None,
        )  # fmt: skip
        if twin is None:
            kept.append((label, at))
            rows.append(row)
        else:
            kept[twin] = (replace(kept[twin][0], text=f"{kept[twin][0].text}  {label.text}"), kept[twin][1])
    return kept, anchors[rows]


def _stand_off(anchor: Array, outward: Array, size: tuple[float, float], unit: float) -> Array:
    """Start beside the anchor rather than on it, on the outer side, so that the thing named stays in sight."""
    way = outward / max(float(np.linalg.norm(outward)), 1e-9)
    reach = 16.0 * unit + abs(way[0]) * size[0] / 2 + abs(way[1]) * size[1] / 2
    return np.asarray(anchor + way * reach)


def _padded(size: tuple[float, float], unit: float, ground: bool) -> tuple[float, float]:
    pad_x, pad_y = (9.0, 5.0) if ground else (6.0, 3.5)
    return size[0] + 2 * pad_x * unit, size[1] + 2 * pad_y * unit


def _label(
    layer: Lettering,
    label: Label,
    style: tuple[float, bool, str, bool],
    anchor: Array,
    box: Rectangle,
    unit: float,
) -> None:
    size, bold, look, filled = style
    colour = LOOKS[label.look if label.look != "ink" else look].colour
    _leader(layer, anchor, box, colour, unit)
    layer.words.append(
        Words(
            label.text, box, size * unit, bold,
            WHITE if filled else colour, colour if filled else PAPER, None if filled else colour,
        )
    )  # fmt: skip


def _leader(layer: Lettering, anchor: Array, box: Rectangle, colour: Colour, unit: float) -> None:
    """A thin line from a label that had to move to what it names."""
    nearest = np.clip(anchor, [box.left, box.bottom], [box.left + box.width, box.bottom + box.height])
    if np.linalg.norm(nearest - anchor) > 5.0 * unit:
        layer.lines.append(Line(np.array([nearest, anchor]), colour, 1.5 * unit))
        layer.lines.append(Line(disc(anchor, 3.0 * unit), colour, 1.0, filled=True))
