"""The flat layer over a picture: labels, distances, caption, compass and scale bar, in pixels, as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from geometry.arrays import Array
from viewer.breaking import broken
from viewer.looks import LOOKS
from viewer.scene.flat import PAPER, WHITE, Lettering, Measure, Words, end_on, pointer, rim, width_of
from viewer.scene.model import Callout, Label, Scene
from viewer.scene.nearness import colours, place_on
from viewer.scene.placing import Rectangle, place_labels
from viewer.scene.views import Camera, project

LABEL_STYLE: dict[str, tuple[float, bool, str, bool]] = {
    # kind: size in thousandths of the height, bold, look, whether the words stand on a filled ground
    "bore": (25.0, True, "ink", True),
    "front": (21.0, True, "mark", True),
    "ring": (20.0, False, "ink", False),
    "direction": (19.0, False, "ink", False),
    "part": (18.0, False, "ink", False),
    "callout": (19.0, True, "ink", False),
}
PLAIN_LENGTH = "mark"
"""Look of a distance that has no verdict."""
COMPASS: dict[str, Array] = {
    "FRONT": np.array([-1.0, 0.0, 0.0]), "right": np.array([0.0, 1.0, 0.0]), "up": np.array([0.0, 0.0, 1.0])
}  # fmt: skip
WIDE_UNITS, LEAST_COMPASS = 1000.0, 0.8
"""A picture of fewer units across has a smaller compass, down to this share of its natural size."""
BEHIND_COS = 0.94
"""Pointers of the compass closer than twenty degrees lie over one another."""
PRIORITY = ("callout", "front", "bore", "ring", "direction", "part")


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
    sheet = _Sheet(scene, camera, size_px, unit, measure, taken, foot_px)
    sheet.caption()
    sheet.compass()
    sheet.scale_bar()
    sheet.callout_lines()
    sheet.labels()
    return sheet.layer


def letter_caption(
    scene: Scene,
    camera: Camera,
    size_px: tuple[int, int],
    measure: Measure,
    taken: Sequence[Rectangle] = (),
    foot_px: float = 0.0,
    unit_px: float | None = None,
) -> Lettering:
    """The title and the lines under it alone, as ``letter`` lays them."""
    unit = size_px[1] / 1000.0 if unit_px is None else unit_px
    sheet = _Sheet(scene, camera, size_px, unit, measure, taken, foot_px)
    sheet.foot_share = 1.0  # no compass stands beside it
    sheet.caption()
    return sheet.layer


@dataclass(slots=True)
class _Sheet:
    """The flat layer of one picture while it is laid out; the parameters of ``letter``."""

    scene: Scene
    camera: Camera
    size_px: tuple[int, int]
    unit: float
    measure: Measure
    taken: Sequence[Rectangle]
    foot_px: float
    foot_share: float = 0.6
    layer: Lettering = field(default_factory=Lettering)

    def project(self, points_mm: Array) -> Array:
        """Where points of E land in the picture, and how far before the eye."""
        return project(self.camera, self.size_px, points_mm)

    def caption(self) -> None:
        """Title and angle at the top left, the caution at the bottom left; lines are broken beside what is taken."""
        unit = self.unit
        margin = 22.0 * unit
        room, top = self.size_px[0] - 2 * margin, self.size_px[1] - margin
        beside = [b for b in self.taken if b.left > margin < b.bottom and b.centre[1] > top / 2]
        head = min([room, *(b.left - 2 * margin for b in beside)])
        for number, line in enumerate(self.scene.caption):
            last, bold = number == len(self.scene.caption) - 1, number == 0
            size = (26.0 if bold else 16.0 if last else 19.0) * unit
            colour = LOOKS["axis" if last else "ink"].colour
            pieces = broken(
                line, self.foot_share * room if last else head, width_of(self.measure, size, bold)
            )
            bottom = self.foot_px + margin
            for piece in (reversed(pieces) if last else pieces) if line else ():
                width, height = self.measure(piece, size, bold)
                place = Rectangle(margin, bottom if last else top - height, width, height)
                ground = PAPER if self._covered(place) else None
                words = Words(piece, place, size, bold, colour, ground, left_aligned=True)
                if all(place.apart_from(box) for box in self.taken):  # or a list is open there for a moment
                    self.layer.words.append(words)
                bottom += height + 5.0 * unit
                top -= 0.0 if last else height + 5.0 * unit
            top -= 4.0 * unit

    def _covered(self, place: Rectangle) -> bool:
        """Whether parts may lie behind a place, so that its words need a ground of their own."""
        if self.scene.close_up:
            return True
        filled = self.project(self.scene.framing.points_mm)
        if not len(filled) or (filled[:, 2] <= 0).any():
            return True
        (left, bottom), (right, top) = filled[:, :2].min(axis=0), filled[:, :2].max(axis=0)
        return not place.apart_from(Rectangle(left, bottom, right - left, top - bottom))

    def compass(self) -> None:
        """Which way the engine's front, right and top point in this picture, at the bottom right, unless covered."""
        camera, unit = self.camera, self._compass_unit
        up = np.cross(camera.right, camera.toward)
        x, y = self.size_px[0] - 136.0 * unit, self.foot_px + 100.0 * unit
        place = Rectangle(x - 126.0 * unit, y - 90.0 * unit, 252.0 * unit, 180.0 * unit)
        if not all(place.apart_from(other) for other in self.taken):
            return
        self.layer.words.append(Words("", place, 1.0, False, WHITE))
        before = len(self.layer.lines)
        named: list[Rectangle] = []
        drawn: list[Array] = []
        for name, way in sorted(
            COMPASS.items(), key=lambda one: (one[0] != "FRONT", abs(one[1] @ camera.toward))
        ):
            flat, strong = np.array([way @ camera.right, way @ up]), name == "FRONT"
            length = float(np.linalg.norm(flat))
            if any(flat @ other > BEHIND_COS * length * np.linalg.norm(other) for other in drawn):
                continue  # two directions lie behind one another: the longer is enough
            drawn.append(flat)
            self._direction(name, np.array([x, y]), flat, float(way @ camera.toward), strong, named)
        if self.scene.close_up:  # parts lie behind it: a pale rim round all of it, and no plate over them
            self.layer.lines[before:before] = [rim(line, 6.0 * unit) for line in self.layer.lines[before:]]

    @property
    def _compass_unit(self) -> float:
        """Unit of the compass: smaller in a narrow picture, such as one of two halves."""
        share = self.size_px[0] / (WIDE_UNITS * self.unit)
        return self.unit * min(1.0, max(LEAST_COMPASS, share))

    def _direction(
        self, name: str, centre: Array, flat: Array, away: float, strong: bool, named: list[Rectangle]
    ) -> None:
        """One pointer of the compass with its word: ``flat`` in the picture, ``away`` from the eye."""
        unit, along_sight = self._compass_unit, np.linalg.norm(flat) < 0.15
        colour = LOOKS["mark" if strong else "axis"].colour
        size = (17.0 if strong else 14.5) * unit
        tip = centre + (50.0 if strong else 36.0) * unit * flat
        if along_sight:
            end_on(self.layer, centre, away, colour, unit, strong)
            if not strong:
                return
            name = "FRONT, away from you" if away > 0 else "FRONT, towards you"
        width, height = self.measure(name, size, strong)
        if along_sight:
            middle = np.array([self.size_px[0] - 20.0 * unit - width / 2, centre[1] - 70.0 * unit])
        else:
            way_out = flat / np.linalg.norm(flat)
            middle = tip + way_out * (6.0 * unit + abs(way_out[0]) * width / 2 + abs(way_out[1]) * height / 2)
        box = Rectangle(float(middle[0] - width / 2), float(middle[1] - height / 2), width, height)
        if not all(box.apart_from(other) for other in named):
            return  # two directions lie behind one another: the first is enough
        if not along_sight:
            pointer(self.layer, centre, tip, colour, unit, strong)
        named.append(box)
        ground = PAPER if self.scene.close_up else None
        around = Rectangle(box.left - 4.0 * unit, box.bottom, width + 8.0 * unit, height)
        self.layer.words.append(Words(name, around, size, strong, colour, ground))

    def scale_bar(self) -> None:
        """The colours of closest approach with their distances, upright at the right edge, between list and compass."""
        scale, unit, right = self.scene.scale, self.unit, self.size_px[0]
        if scale is None:
            return
        ink, size = LOOKS["ink"].colour, 16.0 * unit
        width, left, low = 20.0 * unit, right - 150.0 * unit, self.foot_px + 206.0 * unit
        covers = [box for box in self.taken if box.left + box.width > left]
        over = [box.bottom for box in covers if box.bottom > self.size_px[1] / 2]
        high = min(over, default=self.size_px[1] - 110.0 * unit) - 56.0 * unit
        height = min(380.0 * unit, high - low)
        bottom = (low + high - height) / 2
        places = np.linspace(0.0, 1.0, 49)
        values = scale.low_mm + (scale.high_mm - scale.low_mm) * places**2
        for low, high, colour in zip(places[:-1], places[1:], colours(scale, values)[:-1], strict=True):
            strip = Rectangle(left, bottom + low * height, width, (high - low) * height)
            self.layer.fill(strip.corners, (colour[0], colour[1], colour[2]))
        written: list[Rectangle] = []  # the ends first; what stands too near to them goes without words
        for value, text in sorted(scale.ticks, key=lambda tick: tick[0] not in (scale.low_mm, scale.high_mm)):
            y = bottom + float(place_on(scale, np.array([value]))[0]) * height
            w, h = self.measure(text, size, False)
            box = Rectangle(left + width + 11 * unit, y - h / 2, w, h)
            if all(abs(box.bottom - other.bottom) > 1.25 * h for other in written):
                written.append(box)
                self.layer.stroke([(left + width, y), (left + width + 7 * unit, y)], ink, 1.5 * unit)
                self.layer.words.append(Words(text, box, size, False, ink))
        w, h = self.measure(scale.title, size, True)
        title = Rectangle(min(left, right - w - 14 * unit), bottom + height + 14 * unit, w, h)
        self.layer.words.append(Words(scale.title, title, size, True, ink))

    def callout_lines(self) -> None:
        """A line between the two nearest points with a dot at each end; solid where clear, broken where not.

        Where it points at a bolt head, the circle that the head is held as comes first.
        """
        unit, layer = self.unit, self.layer
        for callout in self.scene.callouts:
            colour = LOOKS[callout.verdict or PLAIN_LENGTH].colour
            for circle in callout.circles_mm:
                around = self.project(circle)[:, :2]
                layer.stroke(around, PAPER, 4.5 * unit)
                layer.stroke(around, colour, 2.0 * unit)
            ends = self._ends(callout)
            layer.stroke(ends, PAPER, 7.0 * unit)
            layer.stroke(ends, colour, 3.5 * unit, dashed=callout.verdict not in ("clear", None))
            for end in ends:
                layer.dot(end, 6.5 * unit, PAPER)
                layer.dot(end, 4.5 * unit, colour)

    def _ends(self, callout: Callout) -> Array:
        return self.project(np.vstack([callout.a_mm, callout.b_mm]))[:, :2]

    def _kept_clear(self) -> list[Rectangle]:
        """Places that no label may cover: words, panels, and room round the ends of distances."""
        reach = 9.0 * self.unit
        ends = [end for callout in self.scene.callouts for end in self._ends(callout)]
        room = [Rectangle(float(x) - reach, float(y) - reach, 2 * reach, 2 * reach) for x, y in ends]
        return [*self.layer.boxes, *self.taken, *room]

    def labels(self) -> None:
        """Labels and callout words: all placed together so that none covers another."""
        named = [(one, self.scene.in_engine(one.frame, one.at_mm)) for one in self.scene.labels]
        named = [(label, at) for label, at in named if self._faces(label, at)]
        for callout in self.scene.callouts:
            text = callout.words(self.scene.options.assumed)
            if not text:
                continue
            middle = (callout.a_mm + callout.b_mm) / 2
            look = callout.verdict or PLAIN_LENGTH
            named.append((Label(text, "E", middle, "callout", look=look), middle))
        if not named:
            return
        unit, size_px = self.unit, self.size_px
        anchors = self.project(np.array([at for _, at in named]))
        found, anchors = _merged([label for label, _ in named], anchors, 1.2 * LABEL_STYLE["bore"][0] * unit)
        inside = (
            (anchors[:, 2] > 0) & (anchors[:, :2] >= 0).all(axis=1) & (anchors[:, :2] <= size_px).all(axis=1)
        )
        for row, label in enumerate(found):
            if label.kind != "callout" and any(box.holds(*anchors[row, :2]) for box in self.taken):
                inside[row] = False
        kept = [label for label, keep in zip(found, inside, strict=True) if keep]
        anchors = anchors[inside, :2]
        sizes = [self._padded(label) for label in kept]
        # away from the middle of what is looked at, which panels may have moved aside
        outward = anchors - np.array(size_px) / 2 * (1.0 + np.array(self.camera.centre))
        starts = anchors.copy()
        for row, label in enumerate(kept):
            if label.kind in ("ring", "callout", "direction", "front"):
                starts[row] = _stand_off(anchors[row], outward[row], sizes[row], unit)
        boxes = place_labels(starts, sizes, size_px, self._kept_clear(), 4.0 * unit, outward)
        for label, anchor, box in zip(kept, anchors, boxes, strict=True):
            if box is not None:
                self._label(label, anchor, box)

    def _faces(self, label: Label, at_mm: Array) -> bool:
        """Whether what a label names is turned towards the eye."""
        if label.facing is None:
            return True
        sight = self.camera.toward
        if self.camera.half_height_mm is None:
            away = at_mm - self.camera.position_mm
            sight = away / np.linalg.norm(away)
        return float(np.array(label.facing) @ sight) <= label.turned_away

    def _led_to(self, label: Label, anchor: Array, box: Rectangle) -> Array:
        """The point that a label's line ends at: of a rim the nearest."""
        if label.rim_mm is None:
            return anchor
        rim = self.project(self.scene.in_engine(label.frame, label.rim_mm))[:, :2]
        return np.asarray(rim[np.argmin(np.linalg.norm(rim - box.centre, axis=1))])

    def _padded(self, label: Label) -> tuple[float, float]:
        size, bold, _, ground = LABEL_STYLE[label.kind]
        width, height = self.measure(label.text, size * self.unit, bold)
        pad_x, pad_y = (9.0, 5.0) if ground else (6.0, 3.5)
        return width + 2 * pad_x * self.unit, height + 2 * pad_y * self.unit

    def _label(self, label: Label, anchor: Array, box: Rectangle) -> None:
        """The words, and a thin line from a label that had to move to what it names."""
        size, bold, look, filled = LABEL_STYLE[label.kind]
        colour = LOOKS[label.look if label.look != "ink" else look].colour
        anchor = self._led_to(label, anchor, box)
        nearest = np.clip(anchor, [box.left, box.bottom], [box.left + box.width, box.bottom + box.height])
        if np.linalg.norm(nearest - anchor) > 5.0 * self.unit:
            self.layer.stroke([nearest, anchor], colour, 1.5 * self.unit)
            self.layer.dot(anchor, 3.0 * self.unit, colour)
        written, ground, frame = (WHITE, colour, None) if filled else (colour, PAPER, colour)
        self.layer.words.append(Words(label.text, box, size * self.unit, bold, written, ground, frame))


def _merged(labels: Sequence[Label], anchors: Array, near_px: float) -> tuple[list[Label], Array]:
    """One label for bores that stand behind one another in this picture, the nearest first."""
    kept: list[Label] = []
    rows: list[int] = []
    for row in sorted(range(len(labels)), key=lambda r: (PRIORITY.index(labels[r].kind), anchors[r, 2])):
        label = labels[row]
        twin = next(
            (k for k, r in enumerate(rows)
             if label.kind == "bore" == kept[k].kind and np.hypot(*(anchors[row] - anchors[r])[:2]) < near_px),
            None,
        )  # fmt: skip
        if twin is None:
            kept.append(label)
            rows.append(row)
        else:
            kept[twin] = replace(kept[twin], text=f"{kept[twin].text}  {label.text}")
    return kept, anchors[rows]


def _stand_off(anchor: Array, outward: Array, size: tuple[float, float], unit: float) -> Array:
    """Start beside the anchor rather than on it, on the outer side, so that the thing named stays in sight."""
    way = outward / max(float(np.linalg.norm(outward)), 1e-9)
    reach = 16.0 * unit + abs(way[0]) * size[0] / 2 + abs(way[1]) * size[1] / 2
    return np.asarray(anchor + way * reach)
