"""Draws the flat layer: polygons in painter's order under words."""

from __future__ import annotations

import importlib.util
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyvista as pv
from vtkmodules.vtkRenderingCore import (
    vtkActor2D,
    vtkPolyDataMapper2D,
    vtkRenderer,
    vtkTextActor,
    vtkTextProperty,
    vtkTextRenderer,
)

from geometry.arrays import Array
from viewer.draw.vtk_calls import to_vtk
from viewer.looks import Colour
from viewer.scene.flat import Lettering, Line, Words

DPI = 72
"""One point is one pixel."""
DASH = (2.6, 2.0)
"""Dash and gap in line widths."""
CORNER_SHARE = 0.24
"""Radius of a label's corners over its height."""
LAST_LATIN = 0x24F
MISSHAPEN = "[]"
"""The built-in font draws these as if they were round."""


@lru_cache(maxsize=1)
def _wide_font() -> str | None:
    """A font with Greek, Cyrillic and more, for names that the built-in one cannot write."""
    found = importlib.util.find_spec("matplotlib")
    for folder in (found.submodule_search_locations or ()) if found else ():
        font = Path(folder) / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if font.is_file():
            return str(font)
    return None


def _style(words: vtkTextProperty, text: str, size_px: float, bold: bool) -> None:
    words.SetFontSize(max(1, round(size_px)))
    wide = _wide_font() if any(ord(c) > LAST_LATIN or c in MISSHAPEN for c in text) else None
    if wide:
        words.SetFontFamilyAsString("File")
        words.SetFontFile(wide)
    else:
        words.SetFontFamilyToArial()
        words.SetBold(bold)
    words.SetVerticalJustificationToBottom()


@lru_cache(maxsize=4096)
def measure(text: str, size_px: float, bold: bool) -> tuple[float, float]:
    """Width and height in px that words take up when drawn."""
    style = vtkTextProperty()
    _style(style, text, size_px, bold)
    box = [0, 0, 0, 0]
    vtkTextRenderer.GetInstance().GetBoundingBox(style, text or " ", box, DPI)
    tall = [0, 0, 0, 0]
    vtkTextRenderer.GetInstance().GetBoundingBox(
        style, "\n".join(["Hgy"] * (text.count("\n") + 1)), tall, DPI
    )
    return float(box[1] - box[0] + 1), float(tall[3] - tall[2] + 1)


class Overlay:
    """The flat layer of one renderer. Actors are kept and given new words, so that nothing piles up."""

    def __init__(self, renderer: vtkRenderer) -> None:
        self._renderer = renderer
        self._shapes = vtkActor2D()
        self._mapper = vtkPolyDataMapper2D()
        self._mapper.SetScalarModeToUseCellData()
        self._mapper.SetColorModeToDirectScalars()
        self._shapes.SetMapper(self._mapper)
        self._shapes.SetLayerNumber(0)
        renderer.AddViewProp(self._shapes)
        self._texts: list[vtkTextActor] = []

    def draw(self, layer: Lettering) -> None:
        """Show this layer in place of the one before."""
        shapes = [(_outline(line), line.colour) for line in layer.lines]
        polygons = [(polygon, colour) for found, colour in shapes for polygon in found]
        for words in layer.words:
            polygons += _ground(words)
        self._mapper.SetInputData(_polydata(polygons))
        shown = [words for words in layer.words if words.text]
        while len(self._texts) < len(shown):
            actor = vtkTextActor()
            actor.SetLayerNumber(1)
            actor.SetTextScaleModeToNone()
            actor.PickableOff()
            self._renderer.AddViewProp(actor)
            self._texts.append(actor)
        for actor, words in zip(self._texts, shown, strict=False):
            _write(actor, words)
        for actor in self._texts[len(shown) :]:
            actor.VisibilityOff()


def _write(actor: vtkTextActor, words: Words) -> None:
    style = actor.GetTextProperty()
    _style(style, words.text, words.size_px, words.bold)
    style.SetColor(*words.colour)
    box = words.box
    if words.left_aligned:
        style.SetJustificationToLeft()
        actor.SetPosition(round(box.left), round(box.bottom))
    else:
        style.SetJustificationToCentered()
        _, height = measure(words.text, words.size_px, words.bold)
        actor.SetPosition(round(box.centre[0]), round(box.centre[1] - height / 2))
    actor.SetInput(words.text)
    actor.VisibilityOn()


def _ground(words: Words) -> list[tuple[Array, Colour]]:
    """The rounded plate that words stand on, with its frame under it."""
    if words.ground is None:
        return []
    found = []
    if words.frame is not None:
        found.append((_plate(words, 0.0), words.frame))
    found.append((_plate(words, max(1.0, 0.05 * words.box.height) if words.frame else 0.0), words.ground))
    return found


def _plate(words: Words, inset: float) -> Array:
    box = words.box
    radius = CORNER_SHARE * box.height - inset / 2
    low = np.array([box.left + inset, box.bottom + inset]) + radius
    high = np.array([box.left + box.width - inset, box.bottom + box.height - inset]) - radius
    turns = [np.radians(np.linspace(a, a + 90.0, 6)) for a in (0.0, 90.0, 180.0, 270.0)]
    middles = [high, (low[0], high[1]), low, (high[0], low[1])]
    return np.vstack(
        [
            np.asarray(m) + radius * np.column_stack([np.cos(t), np.sin(t)])
            for m, t in zip(middles, turns, strict=True)
        ]
    )


def _outline(line: Line) -> list[Array]:
    """A line as convex polygons."""
    if line.filled:
        return [line.points_px]
    found = []
    for start, end in zip(line.points_px[:-1], line.points_px[1:], strict=True):
        for a, b in _dashes(start, end, line.width_px) if line.dashed else ((start, end),):
            length = float(np.linalg.norm(b - a))
            if length > 0.0:
                along = (b - a) / length
                aside = np.array([-along[1], along[0]]) * line.width_px / 2
                found.append(np.array([a - aside, b - aside, b + aside, a + aside]))
    return found


def _dashes(start: Array, end: Array, width_px: float) -> list[tuple[Array, Array]]:
    length = float(np.linalg.norm(end - start))
    dash, pause = DASH[0] * width_px, DASH[1] * width_px
    if length <= dash:
        return [(start, end)]
    along = (end - start) / length
    starts = np.arange(0.0, length, dash + pause)
    return [(start + along * s, start + along * min(s + dash, length)) for s in starts]


def _polydata(polygons: list[tuple[Array, Colour]]) -> pv.PolyData:
    if not polygons:
        return pv.PolyData()
    counts = [len(p) for p, _ in polygons]
    points = np.vstack([p for p, _ in polygons])
    starts = np.cumsum([0, *counts[:-1]])
    faces = np.concatenate([[n, *range(s, s + n)] for n, s in zip(counts, starts, strict=True)])
    flat = pv.PolyData(np.column_stack([points, np.zeros(len(points))]).astype(np.float32), faces)
    colours = np.array([[round(255 * c) for c in colour] for _, colour in polygons], dtype=np.uint8)
    flat.GetCellData().SetScalars(to_vtk(colours, "colour"))
    return flat
