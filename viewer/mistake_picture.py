"""The picture of a mistake: right and wrong side by side, one camera, the trouble spot marked and dimensioned."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np

from geometry.assembly import Assembly
from geometry.mistakes.mistake import Mistake, Study
from geometry.units import System
from viewer.scene import Callout, Label, Scene, ViewOptions, build_scene

SIZE_PX = (1800, 1000)
NEAR_BORES = 0.55
"""How much is seen around the trouble spot, either way, by the bore's diameter."""


def draw_mistake(
    right: Assembly,
    wrong: Assembly,
    mistake: Mistake,
    study: Study,
    place: int,
    system: System,
    path: str | os.PathLike[str],
) -> Path:
    """Draw the picture that its study asks for: a plane section, or two scenes side by side.

    Raises
    ------
    InputError
        When the picture cannot be written.
    """
    where = "main bearing" if mistake.where == "main" else "bore"
    title = f"{right.spec.engine.name}: {mistake.title}, {where} {place}"
    if study.spot.view == "section":
        from viewer.sections.fillet import draw_fillets

        return draw_fillets(right, wrong, place, title, system, path)
    if study.spot.view == "push":
        from viewer.sections.push import draw_push

        return draw_push(wrong, place, title, system, path)
    from viewer.media import side_by_side

    bore = None if mistake.where == "main" else place
    scenes = [spot_scene(assembly, study, bore, system) for assembly in (right, wrong)]
    return side_by_side(
        marked(scenes[0], study, False), marked(scenes[1], study, True), ("Right", f"Wrong: {study.spot.text}"), path,
        SIZE_PX,
    )  # fmt: skip


def spot_scene(assembly: Assembly, study: Study, bore: int | None, system: System) -> Scene:
    """The engine at the angle where it shows, the parts concerned picked out."""
    spot = study.spot
    names = {body.name for body in assembly.bodies}
    options = ViewOptions(
        crank_deg=spot.crank_deg,
        view=spot.view,
        bore=bore if spot.view.partition(" ")[0] in ("bore", "rings") else None,
        highlight=frozenset(name for name in spot.bodies if name in names),
        units=system,
    )
    scene = build_scene(assembly, options)
    if spot.to_mm is None or spot.view.partition(" ")[0] != "bore":
        return scene
    reach = NEAR_BORES * assembly.spec.block.bore.diameter_mm
    corners = np.array(spot.to_mm) + reach * np.array(
        [[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]
    )
    return replace(scene, framing=replace(scene.framing, points_mm=corners))


def marked(scene: Scene, study: Study, wrong: bool) -> Scene:
    """The same scene with the trouble spot marked: a dimension, or words at the place."""
    spot = study.spot
    if not wrong or spot.to_mm is None:
        return scene
    at = np.array(spot.to_mm)
    if spot.from_mm is None:
        label = Label(spot.text, "E", at, "callout", look="overlaps")
        return replace(scene, labels=(*scene.labels, label))
    start = np.array(spot.from_mm)
    callout = Callout(
        start, at, spot.text, "overlaps" if "too" in spot.text else "close", (spot.bodies[0], spot.bodies[-1]),
        float(np.linalg.norm(at - start)), spot.crank_deg,
    )  # fmt: skip
    return replace(scene, callouts=(*scene.callouts, callout))
