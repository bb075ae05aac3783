"""The film of a mistake: both halves beside each other while something moves, in the frame of the sheet.

A drawing that moves (``Drawing.moving``) is drawn anew for every picture. Where it does not, but something is met at
certain crank angles, the solids turn through them, both halves under one camera near the place.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from geometry.errors import refused
from viewer.explained.case import MistakeCase
from viewer.explained.drawing import Moving
from viewer.explained.motion import arc_of, crank_said, slow_through
from viewer.explained.pen import FAINT, INK, WRONG, Pen
from viewer.explained.sheet import CAUTION, EDGE_IN, HALF_IN, HIGH_IN, SIZE_IN, drawing_of, halves, head, put
from viewer.paper.lettering import write

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from geometry.assembly import Assembly
    from viewer.scene import Camera

LOW_IN, FILM_HIGH_IN, DPI, RATE = 1.0, 6.9, 100, 24
TRACK_IN: Final = 0.5
"""Height of what follows the motion under the halves: words and a line, inches."""
FOOT_PT, FOOT_SHARE = 7.2, 0.93
"""A film has few pixels, in which letters are wider than the font's own: room is left for that."""
SOLIDS_BEFORE_DEG = 45.0
NEAR_BORES = 0.6
"""How much of the solids is seen round the trouble, either way, by the bore's diameter."""
TURNING = "Solids as they turn past the trouble."
THROUGH = "Drawn as if parts could pass through each other."


def film_case(case: MistakeCase, path: str | os.PathLike[str], rate: int = RATE) -> Path:
    """Film the mistake and write it, .mp4, .gif or .webp.

    Parameters
    ----------
    rate : pictures a second

    Raises
    ------
    InputError
        When nothing moves to be seen in this mistake, or the film cannot be written.
    """
    from viewer.pictures.media import check_film, write_film
    from viewer.terminal import followed, writing

    check_film(path)
    steps = steps_of(case)
    frames = followed(pictures(case, steps), len(steps), "Filming", "pictures")
    return write_film(frames, path, rate, writing)


def steps_of(case: MistakeCase) -> Sequence[float]:
    """The steps of the film, by the study's own typed data.

    Raises
    ------
    InputError
        When nothing moves to be seen in this mistake.
    """
    moving = drawing_of(case).moving
    if moving is not None:
        return moving.steps(case)
    if case.study.signature.tight and case.study.spot.to_mm is not None:
        return slow_through(arc_of(case, case.study.spot.crank_deg), SOLIDS_BEFORE_DEG)
    raise refused(
        "", case.mistake.key, "nothing that moves shows it in this engine, so there is no film of it",
        f"fullturn explain ENGINE {case.mistake.key} -o x.png: its picture",
    )  # fmt: skip


def pictures(case: MistakeCase, steps: Sequence[float]) -> Iterator[np.ndarray]:
    """The film's pictures, one at a time: (height, width, 3) uint8 each."""
    moving = drawing_of(case).moving
    sheet, low = _sheet(case), round((FILM_HIGH_IN - LOW_IN - HIGH_IN) * DPI)
    each = zip(*(_half(case, wrong, steps) for wrong in (False, True)), strict=True)
    for number, (step, pair) in enumerate(zip(steps, each, strict=True)):
        picture = sheet.copy()
        for wrong, half in enumerate(pair):
            edge = EDGE_IN + wrong * (SIZE_IN[0] - 2 * EDGE_IN - HALF_IN)
            _laid(picture, half, low, round(edge * DPI))
        text, inside = moving.said(case, step) if moving else crank_said(case, step)
        _laid(picture, _followed(text, inside, (number + 0.5) / len(steps)), *_TRACK_AT)
        yield picture


_TRACK_AT: Final = (round((FILM_HIGH_IN - LOW_IN + 0.05) * DPI), round(EDGE_IN * DPI))


def _laid(picture: np.ndarray, part: np.ndarray, top: int, left: int, border: int = 2) -> None:
    """Lay a part into the picture, its border left out, where the frame of the half is."""
    high, wide = part.shape[:2]
    inner = part[border : high - border, border : wide - border]
    picture[top + border : top + high - border, left + border : left + wide - border] = inner


def _drawn(figure: Figure) -> np.ndarray:
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    canvas: Any = FigureCanvasAgg(figure)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].copy()


def _sheet(case: MistakeCase) -> np.ndarray:
    """What stands still: title, place, signs and frames, foot."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(SIZE_IN[0], FILM_HIGH_IN), dpi=DPI)
    head(figure, case, EDGE_IN)

    def empty(pen: Pen, case: MistakeCase, wrong: bool) -> tuple[float, float]:
        pen.frame(-1.0, 1.0, -1.0, 1.0)
        return (0.0, 0.0)

    gap = SIZE_IN[0] - 2 * EDGE_IN - 2 * HALF_IN
    halves(figure, case, (EDGE_IN, LOW_IN), (HALF_IN, HIGH_IN), gap, empty)
    drawing = drawing_of(case)
    view = drawing.said(case) if drawing.moving else TURNING
    said = " ".join(part for part in (view, THROUGH, CAUTION, case.assumed) if part)
    room = FOOT_SHARE * (SIZE_IN[0] - 2 * EDGE_IN)
    put(figure, EDGE_IN, LOW_IN - TRACK_IN - 0.06, said, FOOT_PT, room, color=FAINT)
    return _drawn(figure)


def _half(case: MistakeCase, wrong: bool, steps: Sequence[float]) -> Iterator[np.ndarray]:
    moving = drawing_of(case).moving
    if moving is None:
        yield from _turning(case, wrong, steps)
        return
    for step in steps:
        yield _plane(moving, case, wrong, step)


def _plane(moving: Moving, case: MistakeCase, wrong: bool, step: float) -> np.ndarray:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(HALF_IN, HIGH_IN), dpi=DPI)
    moving.draw(Pen(figure.add_axes((0.0, 0.0, 1.0, 1.0))), case, wrong, step)
    return _drawn(figure)


def _turning(case: MistakeCase, wrong: bool, steps: Sequence[float]) -> Iterator[np.ndarray]:
    """The solids near the trouble; in the wrong half a ring round it while it is met."""
    from viewer.explained.solid import framed, scene_at
    from viewer.scene import ViewOptions
    from viewer.scene.views import aim

    spot = case.study.spot
    assert spot.to_mm is not None
    options = ViewOptions(
        crank_deg=spot.crank_deg, view=spot.view_name, bore=spot.bore, block="cut", callouts=False, labels=False,
        highlight=frozenset(spot.bodies),
    )  # fmt: skip
    near = NEAR_BORES * case.design.block.bore.diameter_mm
    scene = framed(scene_at(case.right, options), np.array(spot.to_mm), near)
    camera = aim(scene.framing, HALF_IN / HIGH_IN)
    size = round(HALF_IN * DPI), round(HIGH_IN * DPI)
    for step, picture in zip(steps, _turned(case.side(wrong), options, camera, size, steps), strict=True):
        if wrong and crank_said(case, step)[1]:
            _ring(picture, camera, spot.to_mm)
        yield picture


def _turned(
    side: Assembly, options: Any, camera: Camera, size: tuple[int, int], steps: Sequence[float]
) -> Iterator[np.ndarray]:
    from dataclasses import replace

    from viewer.draw.screen import Screen
    from viewer.draw.stage import Stage, read_window
    from viewer.explained.solid import scene_at
    from viewer.pictures.film import SAMPLES
    from viewer.scene import move

    screen = Screen(size, off_screen=True, samples=SAMPLES)
    try:
        stage = Stage(screen.window, screen.renderers[0])
        scene = replace(scene_at(side, options), labels=(), callouts=(), caption=(), grounded=False)
        stage.show(scene)
        stage.renderer.SetGradientBackground(False)
        stage.renderer.SetBackground(1.0, 1.0, 1.0)
        stage.look(camera)
        stage.letter()  # no word, but what would carry them is laid aside
        for step in steps:
            stage.pose(move(scene, side, step % side.layout.firing.cycle_deg))
            screen.window.Render()
            yield read_window(screen.window)
    finally:
        screen.close()


def _ring(picture: np.ndarray, camera: Camera, at_mm: tuple[float, float, float]) -> None:
    """A red ring round a place of the engine."""
    from viewer.scene.views import project

    high, wide = picture.shape[:2]
    x, y, _ = project(camera, (wide, high), np.array([at_mm], dtype=float))[0]
    rows, columns = np.ogrid[:high, :wide]
    out = np.hypot(columns - x, rows - (high - y))
    band = np.abs(out - 0.11 * high) < 0.008 * high
    picture[band] = [int(WRONG[k : k + 2], 16) for k in (1, 3, 5)]


def _followed(text: str, inside: bool, share: float) -> np.ndarray:
    """What stands now, and how far the motion is."""
    from matplotlib.figure import Figure

    wide = SIZE_IN[0] - 2 * EDGE_IN
    figure = Figure(figsize=(wide, TRACK_IN), dpi=DPI)
    write(figure, 0.04, TRACK_IN - 0.04, text, 13.0, weight="bold", color=WRONG if inside else INK)
    axis = figure.add_axes((0.005, 0.08, 0.99, 0.34))
    axis.set_xlim(0.0, 1.0)
    axis.set_ylim(-1.0, 1.0)
    axis.set_axis_off()
    axis.plot([0.0, 1.0], [0.0, 0.0], color=FAINT, lw=1.2)
    axis.plot([share], [0.0], marker="o", ms=8.0, color=WRONG if inside else INK)
    return _drawn(figure)
