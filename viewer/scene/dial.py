"""The dial round the spread rings of one piston: front, thrust side, pin axis; every gap opened, named and told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from geometry.assembly import Assembly
from geometry.kinematics.poses import transform
from geometry.rings.angles import gap_deg, hour_text
from geometry.rings.clocked import bore_clock
from geometry.rings.fitted import RingFit, bore_rings
from geometry.rings.schemes import ROLE_WORDS
from geometry.solids import Mesh
from geometry.units import System, show_fine
from viewer.cautions import AS_ASSUMED
from viewer.scene.arrange import apart, arrange, ring_word
from viewer.scene.groups import group_of
from viewer.scene.marks import circle, ring_direction, ticks
from viewer.scene.model import Item, Label, Strokes, ViewOptions
from viewer.scene.signs import Signs
from viewer.scene.views import NamedView

OPEN_DEG: Final = 9.0
"""How wide a gap is drawn in this view, so that it is seen; true ones are about half a degree."""
BESIDE: Final = 1.42
"""How far beside the rings their labels stand, by the radius of the bore."""
STATES: Final = {"below": "TOO SMALL", "above": "TOO WIDE", "cannot_tell": "open", "within": "within"}


def ring_dial(assembly: Assembly, view: NamedView, options: ViewOptions, units: System) -> Signs:
    """Round the spread rings of one piston: front, thrust side, pin axis, and where each gap stands.

    Where parts are picked out the words beside them tell what is wrong, and two pictures share the window: there the
    gaps are named without their sizes.
    """
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
            site.side_words("major"), frame, 1.36 * radius * thrust + lift, "direction",
            look="thrust",
        ),
    ]  # fmt: skip
    return Signs((), strokes, (*labels, *_gap_labels(assembly, view.bore, options, units)))


def _top_of_stack(assembly: Assembly, bore: int) -> float:
    """Height of the highest spread ring in the piston's frame; of the crown where there are no rings."""
    return max(_ring_heights(assembly, bore).values(), default=assembly.spec.piston.compression_height_mm)


def _gap_labels(assembly: Assembly, bore: int, options: ViewOptions, units: System) -> list[Label]:
    """Name, ring angle, gap and limits of each ring as installed, beside the rings, led to the gap itself."""
    site = assembly.layout.site(bore)
    angles = bore_clock(assembly.spec, site, assembly.built.bore(bore)).angles_deg
    (fitted,) = bore_rings(assembly.spec, assembly.layout, assembly.built, bore)
    fits = {fit.name: fit for fit in fitted.rings}
    heights = _ring_heights(assembly, bore)
    radius = assembly.spec.block.bore.diameter_mm / 2
    found = []
    for role, angle in angles.items():
        lift = np.array([0.0, 0.0, heights.get(role, assembly.spec.piston.compression_height_mm)])
        gap = radius * ring_direction(angle) + lift
        side = 1.0 if angle % 360.0 < 180.0 else -1.0
        at = np.array([gap[0], side * BESIDE * radius, gap[2]])
        fit = fits.get(role)
        words = f"{ROLE_WORDS[role]} {angle:.0f}° ({hour_text(angle)})"
        if fit is not None and not options.highlight:
            words += f"\n{gap_words(fit, units, options.assumed)}"
        look = "ink" if fit is None or fit.verdict.state in ("within", "cannot_tell") else "touches"
        found.append(Label(words, f"P{bore}", at, "ring", bore, look, gap[None]))
    return found


def gap_words(fit: RingFit, units: System, assumed: str) -> str:
    """Gap, limits and verdict of one ring."""
    target = fit.verdict.target
    least = show_fine(target.min_mm, units)
    limits = f"at least {least}"
    if target.max_mm is not None:
        limits = f"{least.rsplit(' ', 1)[0]} to {show_fine(target.max_mm, units)}"
    return f"gap {show_fine(fit.gap_mm, units)} ({limits}: {STATES[fit.verdict.state]}{AS_ASSUMED if assumed else ''})"


def opened(assembly: Assembly, view: NamedView, items: Sequence[Item]) -> tuple[Item, ...]:
    """The same things with the gaps of the spread rings drawn ``OPEN_DEG`` wide; all other views as they are."""
    if view.name != "rings" or view.bore is None:
        return tuple(items)
    site = assembly.layout.site(view.bore)
    angles = bore_clock(assembly.spec, site, assembly.built.bore(view.bore)).angles_deg
    (fitted,) = bore_rings(assembly.spec, assembly.layout, assembly.built, view.bore)
    gaps = {fit.name: gap_deg(max(fit.gap_mm, 0.0), fitted.bore_mm) for fit in fitted.rings}
    roles = {body.name: ring_word(body) for body in assembly.bodies if body.bore == view.bore}
    found = []
    for item in items:
        role = roles.get(item.name)
        if role in gaps and role in angles and len(item.mesh.vertices):
            item = replace(item, mesh=_wider(item, angles[role], gaps[role]))
        found.append(item)
    return tuple(found)


def _wider(item: Item, at_deg: float, true_deg: float) -> Mesh:
    """A ring pressed together along the wall until its gap is ``OPEN_DEG`` wide; the side opposite the gap stays."""
    points = transform(item.X_FA, item.mesh.vertices)
    seen = np.degrees(np.arctan2(points[:, 1], -points[:, 0]))
    off = (seen - at_deg + 180.0) % 360.0 - 180.0
    low, wide = true_deg / 2, max(OPEN_DEG, true_deg) / 2
    moved = np.sign(off) * (wide + (np.abs(off) - low) * (180.0 - wide) / (180.0 - low))
    turn = np.radians(moved - off)
    # Ring angles run from -x over +y: a greater one turns a point clockwise seen from above.
    x = points[:, 0] * np.cos(turn) + points[:, 1] * np.sin(turn)
    y = -points[:, 0] * np.sin(turn) + points[:, 1] * np.cos(turn)
    points = np.column_stack([x, y, points[:, 2]])
    return Mesh(transform(np.array(np.linalg.inv(item.X_FA), dtype=np.float64), points), item.mesh.triangles)


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
