"""What is written in a picture: bore numbers, FRONT, the way it turns, the ring clock round a piston."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.assembly import Assembly
from geometry.kinematics.poses import transform, translation
from geometry.kinematics.slider_crank import bore_frames
from geometry.rings.clocked import bore_clock
from geometry.rings.schemes import ROLE_WORDS
from viewer.scene.arrange import apart, arrange, ring_word
from viewer.scene.groups import MARK, group_of
from viewer.scene.marks import arrow, circle, pointing_forward, ring_direction, ticks, turning_arrow
from viewer.scene.model import Item, Label, Strokes, ViewOptions
from viewer.scene.views import NamedView


@dataclass(frozen=True, slots=True, eq=False)
class Signs:
    """Marks of one kind and the words that go with them."""

    items: tuple[Item, ...] = ()
    strokes: tuple[Strokes, ...] = ()
    labels: tuple[Label, ...] = ()


def labels_for(assembly: Assembly, options: ViewOptions, view: NamedView) -> tuple[Label, ...]:
    """The builder's bore numbers, just above the deck on each bore's axis."""
    if view.name in ("rings", "chamfer"):
        return ()
    spec = assembly.spec
    X_EB = bore_frames(assembly.layout.linkage)
    over = spec.block.deck_height_mm + spec.gasket.thickness_mm + 0.25 * spec.block.bore.diameter_mm
    only = {view.bore} if view.name == "bore" else {options.bore} if options.bore else None
    found = []
    for index, site in enumerate(assembly.layout.bores):
        if only is None or site.bore in only:
            at = transform(X_EB[index], [0.0, 0.0, over])
            found.append(Label(str(site.bore), "E", at, "bore", site.bore))
    return tuple(found)


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
    spec, sense = assembly.spec, assembly.layout.sense
    bore = spec.block.bore.diameter_mm
    length, at_rear = 0.72 * bore, view.name == "rear"
    low = lowest_mm(assembly, options)
    tail = np.array([-0.30 * bore, 0.0, low])
    forward = Item(
        "front arrow", arrow(length, 0.38 * bore, 0.03 * bore), "E", "mark", MARK, pointing_forward(tail)
    )
    x_turn = assembly.layout.length_mm + 0.22 * bore if at_rear else -0.22 * bore
    turning = Item(
        "rotation arrow", turning_arrow(0.62 * bore, 0.20 * bore, 0.03 * bore, sense), "E", "mark", MARK,
        translation([x_turn, 0.0, 0.0]),
    )  # fmt: skip
    items = [turning] if view.name in ("front", "rear", "bore") else [forward, turning]
    words = Label("FRONT", "E", tail - [length, 0.0, 0.0], "front")
    return Signs(tuple(items), (), (words,) if forward in items else ())


def ring_dial(assembly: Assembly, view: NamedView) -> Signs:
    """Round the spread rings of one piston: front, thrust side, pin axis, and where each gap stands."""
    if view.name != "rings" or view.bore is None:
        return Signs()
    site = assembly.layout.site(view.bore)
    frame = f"P{view.bore}"
    radius = assembly.spec.block.bore.diameter_mm / 2
    low = assembly.spec.piston.compression_height_mm
    rim = 1.16 * radius
    pin_axis = np.array([[[-1.35 * radius, 0.0, low], [1.35 * radius, 0.0, low]]])
    thrust = ring_direction(site.thrust_ring_deg)
    lift = np.array([0.0, 0.0, low])
    strokes = (
        Strokes("dial", circle(rim, low), frame, "axis", 1.6),
        Strokes("dial ticks", ticks(rim, 1.04 * rim, low, 30.0), frame, "axis", 1.6),
        Strokes("pin axis", pin_axis, frame, "axis", 1.6, dashed=True),
        Strokes(
            "thrust side",
            np.array([[rim * thrust + lift, 1.35 * radius * thrust + lift]]),
            frame,
            "thrust",
            4.0,
        ),
    )
    labels = [
        Label("FRONT", frame, np.array([-1.30 * radius, 0.0, _top_of_stack(assembly, view.bore)]), "front"),
        Label("pin axis", frame, lift + [1.36 * radius, 0.0, 0.0], "direction", look="axis"),
        Label(
            f"major thrust side ({site.thrust_words})", frame, 1.36 * radius * thrust + lift, "direction",
            look="thrust",
        ),
    ]  # fmt: skip
    return Signs((), strokes, (*labels, *_gap_labels(assembly, view.bore)))


def _top_of_stack(assembly: Assembly, bore: int) -> float:
    """Height of the highest spread ring in the piston's frame; of the crown where there are no rings."""
    heights = [float(label.at_mm[2]) for label in _gap_labels(assembly, bore)]
    return max(heights, default=assembly.spec.piston.compression_height_mm)


def _gap_labels(assembly: Assembly, bore: int) -> list[Label]:
    """Name and ring angle of each gap as installed, at the height of the spread ring itself."""
    site = assembly.layout.site(bore)
    angles = bore_clock(assembly.spec, site, assembly.built.bore(bore)).angles_deg
    heights = _ring_heights(assembly, bore)
    radius = assembly.spec.block.bore.diameter_mm / 2
    found = []
    for role, angle in angles.items():
        at = radius * ring_direction(angle) + [
            0.0,
            0.0,
            heights.get(role, assembly.spec.piston.compression_height_mm),
        ]
        found.append(Label(f"{ROLE_WORDS[role]} {angle:.0f}°", f"P{bore}", at, "ring", bore))
    return found


def _ring_heights(assembly: Assembly, bore: int) -> dict[str, float]:
    """Height of the middle of each spread ring in the piston's frame, by ring."""
    arranged = arrange(assembly, ViewOptions(view=f"rings {bore}"), NamedView("rings", bore))
    found = {}
    for body in assembly.bodies:
        word = ring_word(body) if body.bore == bore and group_of(body.part.kind) == "rings" else None
        if word is not None:
            shift = apart(body, arranged, assembly)
            z = body.part.mesh.vertices @ body.X_FA[2, :3] + body.X_FA[2, 3]
            found[word] = float((z.min() + z.max()) / 2) + (0.0 if shift is None else float(shift[2, 3]))
    return found
