"""The picture of a mistake: right and wrong side by side, one camera, the trouble spot marked and dimensioned."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.section import Nearby, Severity
from geometry.mistakes.mistake import Mistake, Study
from geometry.units import System
from viewer.scene import Callout, Label, Scene, ViewOptions, build_scene
from viewer.scene.groups import MARK

SIZE_PX = (1800, 1000)
TOP_PX, FOOT_PX = 84, 40
INK = (21, 25, 30)
MOVED_MM = 0.01
"""A part drawn farther from its place than this was spread apart from the others."""
HEAD_OPACITY = 0.22
NEAR_BORES = 0.55
"""How much is seen around the trouble spot, either way, by the bore's diameter."""


LOOK_OF: Final[dict[Severity, Nearby]] = {"stop": "overlaps", "look": "close", "note": "clear"}
"""How a trouble spot is marked, by what it means."""


def draw_mistake(
    right: Assembly,
    wrong: Assembly,
    mistake: Mistake,
    study: Study,
    place: int,
    system: System,
    path: str | os.PathLike[str],
    assumed: str = "",
) -> Path:
    """Draw the picture that its study asks for: a plane section, or two scenes side by side.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is

    Raises
    ------
    InputError
        When the picture cannot be written.
    """
    where = "main bearing" if mistake.where == "main" else "bore"
    title = f"{right.spec.engine.name}: {mistake.title}, {where} {place}"
    if study.spot.view == "section":
        from viewer.paper.sections.fillet import draw_fillets

        return draw_fillets(right, wrong, place, title, system, path, assumed)
    if study.spot.view == "push":
        from viewer.paper.sections.push import draw_push

        return draw_push(wrong, place, title, system, path, assumed)
    from viewer.pictures.media import side_by_side

    bore = None if mistake.where == "main" else place
    scenes = [spot_scene(assembly, study, bore, system) for assembly in (right, wrong)]
    captions = [scene.caption for scene in scenes]
    bare = [replace(scene, caption=()) for scene in scenes]
    shift = spread_by(bare, (right, wrong), study)
    target = side_by_side(bare[0], marked(bare[1], study, shift), ("", ""), path, SIZE_PX)
    heads = ((f"{title}: right", captions[0][1]), (f"Wrong: {study.spot.text}", captions[1][1]))
    return add_bands(target, heads, f"{assumed}. {captions[0][-1]}" if assumed else captions[0][-1])


def add_bands(path: Path, heads: tuple[tuple[str, str], tuple[str, str]], foot: str) -> Path:
    """Put title and angle over either half and the caution under the picture, on plain paper.

    A close-up fills its frame with parts, so that words laid over it could not be read.
    """
    from matplotlib.font_manager import FontProperties, findfont
    from PIL import Image, ImageDraw, ImageFont

    from viewer.pictures.media import write_image

    with Image.open(path) as drawn:
        picture = drawn.convert("RGB")
    width, height = picture.size
    sheet = Image.new("RGB", (width, height + TOP_PX + FOOT_PX), "white")
    sheet.paste(picture, (0, TOP_PX))
    ink = ImageDraw.Draw(sheet)
    large, small = (
        ImageFont.truetype(findfont(FontProperties(family="DejaVu Sans", weight=weight)), size)
        for weight, size in (("bold", 24), ("normal", 19))
    )
    for column, (head, line) in enumerate(heads):
        left = 22 + column * width // 2
        ink.text((left, 14), head, fill=INK, font=large)
        ink.text((left, 48), line, fill=INK, font=small)
    ink.line([(width // 2, 0), (width // 2, TOP_PX + height)], fill=INK, width=2)
    ink.text((22, TOP_PX + height + 8), foot, fill=INK, font=small)
    return write_image(sheet, path)


def spot_scene(assembly: Assembly, study: Study, bore: int | None, system: System) -> Scene:
    """The engine at the angle where it shows, the parts concerned picked out."""
    spot = study.spot
    names = {body.name for body in assembly.bodies}
    options = ViewOptions(
        crank_deg=spot.crank_deg,
        view=spot.view_name,
        bore=spot.bore,
        highlight=frozenset(name for name in spot.bodies if name in names),
        units=system,
    )
    scene = build_scene(assembly, options)
    items = tuple(item for item in scene.items if item.group != MARK or bore is None)
    if study.signature.with_head:
        items = tuple(
            replace(item, visible=True, opacity=HEAD_OPACITY, look="glass") if item.group == "head" else item
            for item in items
        )
    scene = replace(scene, items=items)
    if spot.to_mm is None or spot.view != "bore":
        return scene
    reach = NEAR_BORES * assembly.spec.block.bore.diameter_mm
    corners = np.array(spot.to_mm) + reach * np.array(
        [[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]
    )
    return replace(scene, framing=replace(scene.framing, points_mm=corners))


def spread_by(
    scenes: Sequence[Scene], assemblies: Sequence[Assembly], study: Study
) -> tuple[float, float, float] | None:
    """How far the first part concerned was moved from its place to be seen; None when none was.

    A part that is missing in the wrong engine, the last scene, is sought in the right one.
    """
    for name in study.spot.bodies:
        for scene, assembly in reversed(list(zip(scenes, assemblies, strict=True))):
            item = next((item for item in scene.items if item.name == name), None)
            if item is None:
                continue
            drawn = (scene.poses[item.frame] @ item.X_FA)[:3, 3]
            x, y, z = drawn - assembly.pose(name, study.spot.crank_deg)[:3, 3]
            if abs(x) + abs(y) + abs(z) > MOVED_MM:
                return float(x), float(y), float(z)
            break
    return None


def marked(scene: Scene, study: Study, shift: tuple[float, float, float] | None = None) -> Scene:
    """The same scene with the trouble spot marked: a dimension, or words at the place, moved as its part was."""
    spot = study.spot
    if spot.to_mm is None:
        return scene
    at = np.array(spot.to_mm) + np.array(shift or (0.0, 0.0, 0.0))
    if spot.from_mm is None:
        label = Label(spot.text, "E", at, "callout", look=LOOK_OF[spot.severity])
        return replace(scene, labels=(*scene.labels, label))
    start = np.array(spot.from_mm) + np.array(shift or (0.0, 0.0, 0.0))
    callout = Callout(
        start, at, spot.text, LOOK_OF[spot.severity], (spot.bodies[0], spot.bodies[-1]),
        float(np.linalg.norm(at - start)), spot.crank_deg,
    )  # fmt: skip
    return replace(scene, callouts=(*scene.callouts, callout))
