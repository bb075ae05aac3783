"""From the state of the window to what the scene is to show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from geometry.assembly import Assembly
from geometry.units import System
from viewer.scene.arrange import bank_cut
from viewer.scene.groups import ENCLOSING
from viewer.scene.model import CutPlane, Scene, ViewOptions
from viewer.scene.sight import Sight, opening
from viewer.scene.views import BORE_VIEWS, NamedView
from viewer.window.state import ViewState


def view_name(state: ViewState) -> str:
    """The view as the scene names it."""
    return f"{state.view} {state.bore}" if state.view in BORE_VIEWS else state.view


def cut_plane(state: ViewState, assembly: Assembly) -> CutPlane:
    """The plane that opens the block in this state."""
    if state.cut_way == "across":
        x = assembly.layout.site(state.bore).x_mm
        plane = CutPlane(np.array([x, 0.0, 0.0]), np.array([-1.0, 0.0, 0.0]), ENCLOSING)
    else:
        plane = bank_cut(assembly, NamedView(state.view), state.bore if state.alone else None)
    return replace(plane, point_mm=plane.point_mm - state.cut_offset_mm * plane.normal)


def _opened(state: ViewState, sight: Sight) -> tuple[CutPlane, ...]:
    """What is cut at a place that is looked at: all that encloses, or those of the two parts that do."""
    groups = ENCLOSING if state.block == "cut" else frozenset(sight.opened)
    plane = opening(sight, groups)
    return (replace(plane, point_mm=plane.point_mm - state.cut_offset_mm * plane.normal),) if groups else ()


OF_THE_CAP = frozenset({"cap_turned"})
"""Mistakes whose chamfer is the cap's, by key: right and wrong both show that half of the big end."""


def options_of(
    state: ViewState, assembly: Assembly, units: System | None, sight: Sight | None = None
) -> ViewOptions:
    """What the scene is to show in this state.

    Parameters
    ----------
    sight : how the chosen place is looked at, where it is looked at from near
    """
    if sight is not None:
        cuts = _opened(state, sight)
    else:
        cuts = (cut_plane(state, assembly),) if state.block == "cut" and state.view not in BORE_VIEWS else ()
    return ViewOptions(
        crank_deg=state.crank_deg % assembly.layout.firing.cycle_deg,
        view=view_name(state),
        bore=state.bore if state.alone else None,
        block=state.block,
        cuts=cuts,
        hidden=state.hidden,
        faded=state.faded,
        spread=state.spread,
        spread_bore=state.bore,
        half="cap" if state.mistake is not None and state.mistake[0] in OF_THE_CAP else None,
        highlight=state.highlighted | ({state.picked} if state.picked else set()),
        lit=frozenset() if sight is None else frozenset(sight.lit),
        callouts=state.distances != "off",
        units=units,
        counted_from=state.bore,
    )


def near_only(scene: Scene) -> Scene:
    """The scene as it is near one place: without bore numbers, which would float far from their pistons.

    Parts fill the picture there, so that words need a ground of their own; the title names the bore.
    """
    if not scene.options.lit:
        return scene
    return replace(scene, labels=tuple(one for one in scene.labels if one.kind != "bore"), close_up=True)
