"""From an assembly and what a person asked to see to the plain data of the picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED
from geometry.clearance.words import body_words
from geometry.kinematics.slider_crank import after_own_top_dead_centre_deg
from geometry.parts.part import Body
from geometry.solids import Mesh
from geometry.units import System
from viewer.looks import cut_look
from viewer.scene.arrange import Arranged, apart, arrange, opacity_of
from viewer.scene.bores import bore_walls
from viewer.scene.cutting import Opened, cut_open, hatching
from viewer.scene.dial import opened, ring_dial
from viewer.scene.fillet_view import FilletDrawing, fillet_drawing, fillet_words
from viewer.scene.framing import frame_picture
from viewer.scene.groups import group_of
from viewer.scene.model import Callout, CutPlane, Item, Scene, Strokes, ViewOptions
from viewer.scene.nearness import carried, scale_for
from viewer.scene.signs import Signs, direction_marks, labels_for
from viewer.scene.views import BORE_VIEWS, FIXED, NamedView, read_view

if TYPE_CHECKING:
    from geometry.clearance.nearness import Nearness  # which a picture without colours need not load

CAUTION = "Simplified model: never replaces a physical check."
HATCH_MM = 5.0
# Making a mesh takes time, and the first picture would pay for those that are hidden.
NOT_SHOWN = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))


def build_scene(
    assembly: Assembly,
    options: ViewOptions | None = None,
    callouts: Sequence[Callout] = (),
    nearness: Mapping[str, Nearness] | None = None,
) -> Scene:
    """Describe a picture.

    Parameters
    ----------
    assembly : the engine, as designed or as built
    options : what to show; default the whole engine from the left front
    callouts : distances to draw where they are true, at their own crank angle
    nearness : closest approach over the turn by body name; those bodies are coloured by it

    Raises
    ------
    InputError
        When ``options.view`` names no view of this engine.
    """
    options = options or ViewOptions()
    view = read_view(options.view, assembly.layout)
    arranged = arrange(assembly, options, view)
    items: list[Item] = []
    strokes: list[Strokes] = []
    for body in assembly.bodies:
        made, lines = _items_of(body, arranged, assembly, nearness or {})
        items += made
        strokes += lines
    # Near one place the arrows would be in the way; the compass tells the front there.
    signs = Signs() if options.lit else direction_marks(assembly, options, view)
    items = list(opened(assembly, view, items))
    dial = ring_dial(assembly, view, options, units_of(assembly, options))
    walls = bore_walls(assembly, arranged.options, view)
    section = FilletDrawing()
    if view.name == "chamfer" and view.bore is not None:
        section = fillet_drawing(assembly, view.bore, units_of(assembly, options), options.half)
    labels = (*labels_for(assembly, arranged.options, view), *signs.labels, *dial.labels, *section.labels)
    scene = Scene(
        title=title_of(assembly),
        options=arranged.options,
        items=(*items, *signs.items, *dial.items, *section.items),
        strokes=(*strokes, *walls, *signs.strokes, *dial.strokes, *section.strokes),
        labels=labels if options.labels else (),
        callouts=tuple(callouts) if options.callouts else (),
        caption=(),
        framing=frame_picture(assembly, arranged, (*items, *signs.items)),
        poses={},
        sense=assembly.layout.sense,
        scale=scale_for(nearness, units_of(assembly, options))
        if nearness and view.name != "chamfer"
        else None,
        cuts=arranged.cuts,
        grounded=view.name == "iso",
        close_up=bool(options.lit),
    )
    return move(scene, assembly, options.crank_deg)


def move(scene: Scene, assembly: Assembly, crank_deg: float) -> Scene:
    """The same scene at another crank angle: new poses and caption, everything else shared."""
    options = replace(scene.options, crank_deg=float(crank_deg))
    return replace(
        scene,
        options=options,
        poses=assembly.frame_poses(float(crank_deg)),
        caption=_caption(assembly, options, read_view(options.view, assembly.layout)),
    )


def units_of(assembly: Assembly, options: ViewOptions) -> System:
    """The units that a picture is lettered in: those asked for, else those of the engine file, else mm."""
    return options.units or assembly.spec.engine.units or "mm"


def title_of(assembly: Assembly) -> str:
    """The engine's name, and whether it is shown otherwise than designed."""
    name = assembly.spec.engine.name
    return name if assembly.built == AS_DESIGNED else f"{name} as built"


def _caption(assembly: Assembly, options: ViewOptions, view: NamedView) -> tuple[str, ...]:
    numbers = [site.bore for site in assembly.layout.bores]
    bore = view.bore or options.counted_from or options.bore or min(numbers)
    after = after_own_top_dead_centre_deg(assembly.linkage, options.crank_deg)
    own = float(after[assembly.layout.index(bore)])
    seen = FIXED[view.name][2] if view.name in FIXED else f"{BORE_VIEWS[view.name]} {view.bore}"
    assumed = f"; {options.assumed}" if options.assumed else ""
    told = options.told
    if view.name == "chamfer":
        told = (
            *fillet_words(assembly, bore, units_of(assembly, options), options.half, options.assumed),
            *told,
        )
    if view.name == "rings":
        told = ("gaps drawn wider than they are", *told)
    return (
        f"{title_of(assembly)}, {seen}",
        f"crank {_degrees(options.crank_deg)}, {_degrees(own)} after top dead centre of bore {bore}{assumed}",
        *told,
        CAUTION,
    )


def _degrees(angle_deg: float) -> str:
    return f"{angle_deg:.1f}".rstrip("0").rstrip(".") + "°"


def _items_of(
    body: Body, arranged: Arranged, assembly: Assembly, nearness: Mapping[str, Nearness]
) -> tuple[list[Item], list[Strokes]]:
    """One body as it is seen: whole, or cut open with hatched faces."""
    options = arranged.options
    shift = apart(body, arranged, assembly)
    opacity = opacity_of(body, arranged, assembly)
    near = nearness.get(body.name)
    shown = near.mesh if near is not None else body.part.mesh if opacity else NOT_SHOWN
    whole = Item(
        name=body.name,
        mesh=shown,
        frame=body.frame,
        look="highlight" if body.name in options.highlight else body.part.material,
        group=group_of(body.part.kind),
        X_FA=body.X_FA if shift is None else shift @ body.X_FA,
        opacity=opacity or 1.0,
        visible=opacity > 0.0,
        bore=body.bore,
        values_mm=None if near is None else near.values_mm,
        words=body_words(body, assembly.layout),
    )
    strokes: list[Strokes] = []
    items = [whole]
    for cut in arranged.cuts if whole.visible else ():
        if cuts_through(cut, whole):
            items, strokes = _opened(items, strokes, cut, HATCH_MM)
    return items, strokes


def _carried(item: Item, cut: Mesh) -> Item:
    """An item with what was cut of its mesh, and the closest approach of that."""
    if item.values_mm is None or cut is item.mesh:
        return replace(item, mesh=cut)
    mesh, values = carried(item.mesh, item.values_mm, cut)
    return replace(item, mesh=mesh, values_mm=values)


def cuts_through(cut: CutPlane, item: Item) -> bool:
    """Whether a plane is meant for an item."""
    meant = item.group in cut.groups or item.name in cut.groups
    return meant and item.frame == cut.frame and cut.bore in (None, item.bore)


def _opened(
    items: list[Item], strokes: list[Strokes], cut: CutPlane, hatch_mm: float
) -> tuple[list[Item], list[Strokes]]:
    """Cut every piece of a body; hatch the new faces. Faces that are cut again lose their hatching there."""
    found: list[Item] = []
    lines: list[Strokes] = []
    for item in items:
        X_FA = item.X_FA
        point = X_FA[:3, :3].T @ (cut.point_mm - X_FA[:3, 3])
        normal = X_FA[:3, :3].T @ cut.normal
        slant = -1.0 if item.group in ("rods", "block") else 1.0
        opened, hatch = cached_cut(
            item.mesh, tuple(map(float, point)), tuple(map(float, normal)), slant * hatch_mm
        )
        if len(opened.skin.triangles):
            found.append(_carried(item, opened.skin))
        if opened.faces is not None:
            name = f"{item.name} cut"
            look = cut_look(item.look)
            face = replace(item, name=name, look=look, opacity=1.0, cut_of=item.whole)
            found.append(_carried(face, opened.faces))
            if len(hatch):
                ends = hatch @ X_FA[:3, :3].T + X_FA[:3, 3]
                lines.append(Strokes(name, ends, item.frame, "hatch", 1.0, bore=item.bore))
    return found, [*strokes, *lines]


@lru_cache(maxsize=256)
def cached_cut(
    mesh: Mesh, point_mm: tuple[float, ...], normal: tuple[float, ...], hatch_mm: float
) -> tuple[Opened, Array]:
    """Cut a mesh and hatch the cut; equal parts are cut once, and again only when the plane moves."""
    opened = cut_open(mesh, np.array(point_mm), np.array(normal))
    none = np.zeros((0, 2, 3))
    return opened, hatching(opened.faces, np.array(normal), hatch_mm) if opened.faces is not None else none
