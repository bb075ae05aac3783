"""Plane drawings as SVG: the section of chamfer and fillet of every bore, from the same shapes as the window's."""

from __future__ import annotations

from html import escape
from typing import Final

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.units import System
from viewer.page.shape import DrawingData
from viewer.scene.fillet_sizes import FilletSizes, sizes_of
from viewer.scene.fillet_view import FilletDrawing, fillet_drawing, fillet_words
from viewer.scene.model import Label, Strokes

WORDS: Final = (
    "Section through the axis of the crankpin, to scale, the rod pushed against the crank cheek; "
    "its middle is left out."
)
MARGIN_SHARE: Final = 0.03
LETTER_SHARE: Final = 1 / 30
"""Height of the letters by the drawing's width."""
HATCHES: Final = {
    "cut_crank": (0.8, -45), "cut_steel": (0.8, 45), "cut_other_rod": (0.8, 45), "cut_bearing_metal": (0.4, -45),
}  # fmt: skip
"""Hatching by look: from line to line by the height of the letters, and its slant in degrees."""
SHORT: Final = 14
"""Words of more letters stand beside the drawing, a number in their place."""


def drawings_of(assembly: Assembly, system: System, assumed: str) -> list[DrawingData]:
    """The section of every bore.

    Parameters
    ----------
    assumed : what verdicts rest on, empty where nothing is assumed
    """
    return [
        _fillet(assembly, bore, system, assumed)
        for bore in sorted(site.bore for site in assembly.layout.bores)
    ]


def _fillet(assembly: Assembly, bore: int, system: System, assumed: str) -> DrawingData:
    drawing = fillet_drawing(assembly, bore, system)
    sizes = sizes_of(assembly, assembly.layout.site(bore), None)
    numbered = [label for label in drawing.labels if len(label.text) >= SHORT]
    rides = sizes.nearest.fit.clearance_mm < 0.0 and any(label.look == "overlaps" for label in drawing.labels)
    return {
        "key": "fillet",
        "bore": bore,
        "words": WORDS,
        "severity": "stop" if rides else "note",
        "legend": [label.text for label in numbered],
        "said": list(fillet_words(assembly, bore, system, assumed=assumed)),
        "svg": _svg(drawing, sizes, numbered, bore),
    }


def _svg(drawing: FilletDrawing, sizes: FilletSizes, numbered: list[Label], bore: int) -> str:
    """Faces, their hatching, dimensions and words; seen so that the crank's axis lies below."""
    flip = float(sizes.up)
    points = np.vstack([_flat(item.mesh.vertices, flip) for item in drawing.items])
    labels = np.array([_flat(label.at_mm[None], flip)[0] for label in drawing.labels])
    low = np.minimum(points.min(axis=0), labels.min(axis=0))
    high = np.maximum(points.max(axis=0), labels.max(axis=0))
    size = high - low
    letter = LETTER_SHARE * float(size[0])
    low, size = (
        low - MARGIN_SHARE * size[0] - [0, letter],
        size + 2 * MARGIN_SHARE * size[0] + [0, 2 * letter],
    )
    box = " ".join(_number(v) for v in (*low, *size))
    prefix = f"fillet-{bore}"
    looks = dict.fromkeys(item.look for item in drawing.items)
    parts = [_pattern(prefix, look, letter) for look in looks if look in HATCHES]
    for item, outline in zip(drawing.items, _outlines(drawing), strict=True):
        ring = _path(_flat(outline.segments_mm[:, 0], flip)) + "Z"
        fill = f' fill="url(#{prefix}-{item.look})"' if item.look in HATCHES else ""
        parts.append(f'<path class="face-of {item.look}"{fill} d="{ring}"/>')
    parts += [_lines(strokes, flip) for strokes in drawing.strokes if strokes.name in ("dimensions", "gap")]
    for label, at in zip(drawing.labels, labels, strict=True):
        parts.append(_word(label, at, letter, numbered))
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" class="section-drawing">{"".join(parts)}</svg>'


def _pattern(prefix: str, look: str, letter: float) -> str:
    """The face of a cut, tinted and hatched."""
    step, slant = HATCHES[look]
    side, middle = _number(letter * step), _number(letter * step / 2)
    return (
        f'<pattern id="{prefix}-{look}" width="{side}" height="{side}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate({slant})"><rect width="{side}" height="{side}" class="{look}"/>'
        f'<line x2="{side}" y1="{middle}" y2="{middle}" class="hatch"/></pattern>'
    )


def _outlines(drawing: FilletDrawing) -> list[Strokes]:
    return [strokes for strokes in drawing.strokes if " outline " in strokes.name]


def _flat(points_mm: Array, flip: float) -> Array:
    """Points of the rod's frame (k, 3) on paper, (k, 2): along the crank to the right, out from its axis upwards."""
    return np.column_stack([points_mm[:, 0], -flip * points_mm[:, 2]])


def _path(points: Array) -> str:
    return "M" + " ".join(f"{_number(x)} {_number(y)}" for x, y in points)


def _lines(strokes: Strokes, flip: float) -> str:
    way = "".join(_path(_flat(segment, flip)) for segment in strokes.segments_mm)
    return f'<path class="line {strokes.name} {strokes.look}" d="{way}"/>'


def _word(label: Label, at: Array, letter: float, numbered: list[Label]) -> str:
    x, y = _number(at[0]), _number(at[1])
    size = f'font-size="{_number(letter)}" text-anchor="middle" dominant-baseline="central"'
    number = next((i for i, one in enumerate(numbered, start=1) if one is label), None)
    if number is None:
        return f'<text x="{x}" y="{y}" {size} class="name">{escape(label.text)}</text>'
    return (
        f'<circle cx="{x}" cy="{y}" r="{_number(0.8 * letter)}" class="number {label.look}"/>'
        f'<text x="{x}" y="{y}" {size} class="number {label.look}">{number}</text>'
    )


def _number(value: float) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")
