"""What is written in a picture: bore numbers, FRONT, the way it turns, the ring clock round a piston."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.assembly import Assembly
from geometry.kinematics.poses import transform, translation
from geometry.kinematics.slider_crank import bore_frames
from geometry.parts.crank import FLANGE_RADIUS, NOSE_LONG, NOSE_RADIUS
from geometry.parts.rod_bolt import spans_mm
from geometry.stack import crown_height_mm
from viewer.scene.groups import MARK
from viewer.scene.marks import (
    arrow,
    band_arrow,
    circle,
    pointing_forward,
    turning_arrow,
)
from viewer.scene.model import Item, Label, Strokes, ViewOptions
from viewer.scene.views import NamedView

OVER_SHARE = 0.55
"""How far over its rim a number stands, in radii of the bore."""
GLASS_TURNED, FROM_BELOW = 0.3, -0.8
"""Cosines of the line of sight to a deck: through glass its rims are seen a little past edge on; caps from below."""
EYE_DEG = {"left": 180.0, "right": 0.0, "top": 90.0, "below": -90.0}
"""Where the eye is in the views from the side, round the crank from +y towards +z."""
ARC_DEG = 50.0


@dataclass(frozen=True, slots=True, eq=False)
class Signs:
    """Marks of one kind and the words that go with them."""

    items: tuple[Item, ...] = ()
    strokes: tuple[Strokes, ...] = ()
    labels: tuple[Label, ...] = ()


def labels_for(assembly: Assembly, options: ViewOptions, view: NamedView) -> tuple[Label, ...]:
    """The builder's bore numbers, each led to the rim of its bore, or to its crown where the block is away.

    A bank whose deck looks away from the eye has none; from below they stand at the rod caps instead.
    """
    if view.name in ("rings", "chamfer"):
        return ()
    spec = assembly.spec
    X_EB = bore_frames(assembly.layout.linkage)
    radius = spec.block.bore.diameter_mm / 2
    deck = spec.block.deck_height_mm
    only = {view.bore} if view.name == "bore" else {options.bore} if options.bore else None
    found = []
    for index, site in enumerate(assembly.layout.bores):
        if only is not None and site.bore not in only:
            continue
        out = X_EB[index][:3, 2]
        facing = (float(out[0]), float(out[1]), float(out[2]))
        if block_away(options):
            crown = crown_height_mm(assembly.design(site.bore), assembly.built.bore(site.bore))
            frame, at = f"P{site.bore}", np.array([0.0, 0.0, crown + OVER_SHARE * radius])
            rim = circle(radius, crown)[:, 0]
        else:
            frame, at = "E", transform(X_EB[index], [0.0, 0.0, deck + OVER_SHARE * radius])
            rim = transform(X_EB[index], circle(radius, deck)[:, 0])
        turned = GLASS_TURNED if options.block == "glass" or block_away(options) else 0.05
        found.append(Label(str(site.bore), frame, at, "bore", site.bore, "ink", rim, facing, turned))
        if (
            "rods" not in options.hidden and out[2] > GLASS_TURNED
        ):  # a deck seen from below has its number there
            found.append(_below(assembly, site.bore))
    return tuple(found)


def _below(assembly: Assembly, bore: int) -> Label:
    """The number at the rod cap, for who looks up from below."""
    rod = assembly.design(bore).rod
    low = np.array([0.0, 0.0, -rod.big_end.outside_mm / 2])
    at = low - [0.0, 0.0, 0.25 * rod.big_end.bore_mm]
    return Label(str(bore), f"R{bore}", at, "bore", bore, "ink", low[None], (0.0, 0.0, -1.0), FROM_BELOW)


def block_away(options: ViewOptions) -> bool:
    """Whether the block is left out of the picture."""
    return options.block == "hidden" or "block" in options.hidden


def lowest_mm(assembly: Assembly, options: ViewOptions) -> float:
    """Height in E of the lowest thing there can be: pan, main caps, counterweights."""
    spec = assembly.spec
    weight = max(
        spec.crank.counterweight.radius_mm, spec.crank.stroke_mm / 2 + spec.crank.cheek.pin_radius_mm
    )
    depths = [weight, spec.block.main_cap.height_mm, -spec.block.pan_rail.height_mm]
    if spec.pan is not None and "pan" not in options.hidden:
        depths.append(-spec.pan.floor_mm + spec.pan.wall_mm)
    return -max(depths)


def direction_marks(assembly: Assembly, options: ViewOptions, view: NamedView) -> Signs:
    """The arrow that points to the front, and the bent one that shows which way the crank turns."""
    if view.name in ("rings", "chamfer"):
        return Signs()
    bore = assembly.spec.block.bore.diameter_mm
    length = 0.60 * bore
    tail, lean = np.array([-0.30 * bore, 0.0, lowest_mm(assembly, options)]), 0.0
    if view.name in ("left", "right"):  # before the nose, where it keeps off the compass
        tail, lean = (
            np.array([-NOSE_LONG * assembly.spec.crank.main.diameter_mm - 0.12 * bore, 0.0, 0.0]),
            90.0,
        )
    forward = Item(
        "front arrow",
        arrow(length, 0.24 * bore, 0.03 * bore),
        "E",
        "mark",
        MARK,
        pointing_forward(tail, lean),
    )
    items = [_turning(assembly, view)]
    if view.name not in ("front", "rear", "bore"):
        items.insert(0, forward)
    words = Label("FRONT", "E", tail - [length, 0.0, 0.0], "front")
    return Signs(tuple(items), (), (words,) if forward in items else ())


def _turning(assembly: Assembly, view: NamedView) -> Item:
    """The bent arrow: round the crank's nose, or its flange from the rear; out of the crank's way in a section."""
    spec, sense = assembly.spec, assembly.layout.sense
    main, bore = spec.crank.main.diameter_mm / 2, spec.block.bore.diameter_mm
    nose, thick = NOSE_RADIUS * main, 0.03 * bore
    if view.name == "bore":
        radius = 1.04 * max(_sweep_mm(assembly, view.bore or 0), spec.crank.counterweight.radius_mm)
        mesh = turning_arrow(radius, 0.13 * bore, thick, sense, ARC_DEG, -90.0 - ARC_DEG / 2)
        x = assembly.layout.site(view.bore or 0).x_mm - 0.6 * bore
    elif view.name in EYE_DEG:
        mesh = band_arrow(1.04 * nose, 0.15 * bore, thick, sense, EYE_DEG[view.name])
        x = -NOSE_LONG * main
    else:
        radius = 0.85 * FLANGE_RADIUS * main if view.name == "rear" else 1.5 * nose
        mesh = turning_arrow(radius, 0.14 * bore, thick, sense)
        x = assembly.layout.length_mm + 0.22 * bore if view.name == "rear" else -NOSE_LONG * main
    return Item("rotation arrow", mesh, "E", "mark", MARK, translation([x, 0.0, 0.0]))


def _sweep_mm(assembly: Assembly, bore: int) -> float:
    """How far from the crank's axis cap and bolts of a rod ever reach."""
    bolt = assembly.design(bore).rod.bolt
    lowest = min(low for _, low, _ in spans_mm(bolt).values())
    across = (bolt.spacing_mm + bolt.head_diameter_mm) / 2
    return assembly.spec.crank.stroke_mm / 2 + float(np.hypot(across, lowest))
