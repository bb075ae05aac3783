"""The interactive window: draws a state, and turns keys, clicks and time into new states.

Everything a person can do goes through ``press``, ``click``, ``grip_bar`` and ``tick``; the window's own events
call these, and so do tests.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyvista as pv
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from geometry.assembly import Assembly
from geometry.errors import GeometryError, InputError
from geometry.units import System, show
from viewer.draw.overlay import Overlay, measure
from viewer.draw.stage import Stage
from viewer.draw.vtk_log import route_to_logging
from viewer.scene import Callout, Scene, build_scene, move
from viewer.scene.lettering import Lettering
from viewer.scene.placing import Box
from viewer.scene.views import Free
from viewer.window import charts, hud
from viewer.window import state as s
from viewer.window.actions import press as pressed
from viewer.window.closest import Close, callout_at, callout_of_turn, closest_at
from viewer.window.state import Facts, ViewState, facts_of, first_state, options_of

REST_AFTER_S = 0.25
QUICK_FRAME_S = 0.030
"""A machine that draws a fine frame faster than this keeps fine frames while the crank moves."""
LOOK_AT_FILES_S = 0.5
Clock = Callable[[], float]


@dataclass(slots=True)
class Loaded:
    """What was read from the files: the engine as designed, and as built where there is a record."""

    designed: Assembly
    built: Assembly | None = None


class View:
    """One window on one engine.

    Parameters
    ----------
    loaded : the engine
    units : of everything written
    size : of the window, px
    off_screen : draw without a window, for tests and pictures
    quality : ``fine`` or ``fast`` while the crank moves, ``auto`` to decide by timing
    reload : reads the files again; may raise what reading raises
    watched : asked now and then whether a file was saved
    clock : the time in seconds
    """

    def __init__(
        self, loaded: Loaded, *, units: System = "mm", size: tuple[int, int] = (1280, 800),
        off_screen: bool = False, quality: str = "auto", reload: Callable[[], Loaded] | None = None,
        watched: Callable[[], bool] | None = None, clock: Clock = time.monotonic,
    ) -> None:  # fmt: skip
        route_to_logging()
        self.loaded, self.units, self.quality = loaded, units, quality
        self._reload, self._watched, self._clock = reload, watched, clock
        self.places: tuple[Close, ...] | None = None
        self.trouble = ""
        self.plotter = pv.Plotter(off_screen=off_screen, window_size=size, title=_title(loaded))
        self.plotter.disable_anti_aliasing()
        self.window = self.plotter.render_window
        self.stage = Stage(self.window, self.plotter.renderer)
        self._front = self._make_front()
        self._panels, self._moving_panels = Overlay(self._front), Overlay(self._front)
        self.state = first_state(facts_of(loaded.designed))
        self.frame_s = 0.0
        self._moved_at = self._ticked_at = self._looked_at = clock()
        self._hits: list[tuple[Box, int]] = []
        self._taken: list[Box] = []
        self.scene = self._build()
        self._show(aim=True)

    def _make_front(self) -> vtkOpenGLRenderer:
        """A layer before the picture for the panels, over the whole width of the window."""
        self.window.SetNumberOfLayers(2)
        front = vtkOpenGLRenderer()
        front.SetLayer(1)
        front.InteractiveOff()
        self.window.AddRenderer(front)
        return front

    # ---- what is on show ------------------------------------------------------------------------------------

    @property
    def assembly(self) -> Assembly:
        """The engine as designed, or as built when that is on show."""
        return self.loaded.built if self.state.built and self.loaded.built else self.loaded.designed

    @property
    def facts(self) -> Facts:
        """Dead centres and close places of the engine on show."""
        found = tuple((c.crank_deg, c.bore) for c in self.places or ())
        return facts_of(self.assembly, found)

    @property
    def cycle_deg(self) -> float:
        """Crank angle of one working cycle: the length of the bar."""
        return self.assembly.layout.firing.cycle_deg

    @property
    def size_px(self) -> tuple[int, int]:
        """Size of the window."""
        width, height = self.window.GetSize()
        return width, height

    def _build(self) -> Scene:
        options = options_of(self.state, self.assembly, self.units)
        return build_scene(self.assembly, options, self._callouts())

    def _callouts(self) -> list[Callout]:
        found = []
        chosen = self._chosen()
        if self.state.distances == "turn" and chosen is not None:
            if abs((self.state.crank_deg - chosen.crank_deg + 180.0) % 360.0 - 180.0) < 0.05:
                found.append(callout_of_turn(chosen, self.units))
            else:
                found.append(callout_at(chosen, self.state.crank_deg, self.units))
        elif self.state.distances == "here" and self.places:
            near = closest_at(self.places, self.state.crank_deg)
            if near is not None:
                found.append(callout_at(near, self.state.crank_deg, self.units))
        return found + self._measured()

    def _measured(self) -> list[Callout]:
        if len(self.state.points_mm) != 2:
            return []
        a, b = (np.array(p) for p in self.state.points_mm)
        length = float(np.linalg.norm(b - a))
        text = f"between the points: {show(length, 'length', self.units)}"
        return [Callout(a, b, text, "clear", ("", ""), length, self.state.crank_deg)]

    def _chosen(self) -> Close | None:
        if not self.places or self.state.place is None:
            return None
        return self.places[self.state.place % len(self.places)]

    def set_places(self, places: Sequence[Close]) -> None:
        """Take in the close places once they have been worked out."""
        self.places = tuple(places)
        self.apply(self.state, rebuild=True)

    # ---- what a person does ---------------------------------------------------------------------------------

    def press(self, key: str) -> None:
        """A key, by its name in ``actions``."""
        if key == "Escape":
            self.apply(replace(self.state, keys=False, typed="", measuring=False, picked="", message=""))
            return
        self.apply(pressed(self.state, self.facts, key))

    def click(self, x_px: int, y_px: int) -> None:
        """A click that did not drag: a line of the list, or a part."""
        for box, number in self._hits:
            if box.left <= x_px <= box.left + box.width and box.bottom <= y_px <= box.bottom + box.height:
                self.apply(s.to_place(self.state, self.facts, number))
                return
        under = self.stage.under(x_px, y_px)
        if under is None:
            self.apply(replace(self.state, picked="", message=""))
            return
        item, at = under
        name = item.name.removesuffix(" cut")
        self.apply(s.pick(self.state, name, item.bore, (float(at[0]), float(at[1]), float(at[2]))))

    def on_bar(self, x_px: int, y_px: int) -> bool:
        """Whether a point of the window lies on the crank bar."""
        box = hud.track(self.size_px)
        return (
            box.left - 20 <= x_px <= box.left + box.width + 20
            and box.bottom <= y_px <= box.bottom + box.height
        )

    def grip_bar(self, x_px: int) -> None:
        """Drag the crank to where the bar is held."""
        self.apply(s.turn_to(self.state, hud.angle_on_track(x_px, self.size_px, self.cycle_deg)))

    def tick(self) -> None:
        """Let time pass: run the crank, come to rest, look whether a file was saved."""
        now = self._clock()
        passed, self._ticked_at = min(now - self._ticked_at, 0.2), now
        if self.state.playing:
            self.apply(s.advance(self.state, passed))
        elif self.stage.moving and now - self._moved_at > REST_AFTER_S:
            self._rest()
        if self._watched is not None and now - self._looked_at > LOOK_AT_FILES_S:
            self._looked_at = now
            if self._watched():
                self.read_again()

    def read_again(self) -> None:
        """Read the files again; what is wrong with them is shown, and the last good engine stays."""
        if self._reload is None:
            return
        try:
            self.loaded = self._reload()
        except (InputError, GeometryError) as bad:
            self.trouble = str(bad)
            self._draw_panels()
            self.render()
            return
        self.trouble, self.places = "", None
        bores = facts_of(self.loaded.designed).bores
        bore = self.state.bore if self.state.bore in bores else bores[0]
        self.apply(replace(self.state, bore=bore, place=None, picked="", message="read again"), rebuild=True)

    # ---- drawing --------------------------------------------------------------------------------------------

    def apply(self, new: ViewState, *, rebuild: bool = False) -> None:
        """Show another state, with no more work than its differences ask for."""
        old, self.state = self.state, new
        turned = new.crank_deg != old.crank_deg
        same = replace(new, crank_deg=0.0, playing=0, speed=0, message="", typed="", charts=False, listing=False,
                       keys=False, place=None, distances="off", points_mm=(), measuring=False)  # fmt: skip
        before = replace(old, crank_deg=0.0, playing=0, speed=0, message="", typed="", charts=False, listing=False,
                         keys=False, place=None, distances="off", points_mm=(), measuring=False)  # fmt: skip
        fixed_angle = new.view == "chamfer" or new.view == "rings"
        if rebuild or same != before or (turned and fixed_angle):
            self.scene = self._build()
            self._show(
                aim=rebuild or new.view != old.view or (fixed_angle and (turned or new.bore != old.bore))
            )
            return
        if turned:
            self._turn()
        if replace(new, crank_deg=0.0, playing=0) != replace(old, crank_deg=0.0, playing=0):
            self._letter_again()
        elif turned:
            self._draw_moving()
        self.render()

    def _turn(self) -> None:
        """New poses; coarse meshes on a machine that needs them."""
        angle = self.state.crank_deg % self.cycle_deg
        self.scene = replace(move(self.scene, self.assembly, angle), callouts=())
        self._moved_at = self._clock()
        if self.quality == "fast" or (self.quality == "auto" and self.frame_s > QUICK_FRAME_S):
            self.stage.set_moving(True)
        else:
            self.scene = replace(self.scene, callouts=tuple(self._callouts()))
        self.stage.pose(self.scene)
        self.stage.letter(self._taken)

    def _rest(self) -> None:
        """The crank stands: fine meshes, and the distance at this very angle."""
        self.stage.set_moving(False)
        self.scene = replace(self.scene, callouts=tuple(self._callouts()))
        self.stage.pose(self.scene)
        self.stage.letter(self._taken)
        self.render()

    def _letter_again(self) -> None:
        self.scene = replace(self.scene, callouts=tuple(self._callouts()))
        self.stage.pose(self.scene)
        self._draw_panels()
        self.stage.letter(self._taken)

    def _show(self, aim: bool) -> None:
        self.stage.set_moving(False)
        self.stage.show(self.scene)
        self._draw_panels()
        if aim:
            self.stage.aim(self._free())
        self.stage.letter(self._taken)
        began = self._clock()
        self.render()
        self.frame_s = self._clock() - began

    def _free(self) -> Free:
        """The part of the window that the panels leave to the engine."""
        width, height = self.size_px
        unit = height / 1000.0
        left = (charts.WIDTH + 24.0) * unit / width if self.state.charts else 0.0
        right = 1.0
        if self.state.listing and not self.state.charts and width > 1.4 * height:
            right = min(box.left for box in self._taken if box.bottom > 0.5 * height) / width
        return left, 90.0 * unit / height, max(right, left + 0.3), 1.0

    def _charts(self) -> list[charts.Chart]:
        found = [_motion_chart(self.assembly, self.state.bore, self.units)]
        chosen = self._chosen() or (self.places or (None,))[0]
        distance = charts.distance_chart(chosen, self.units) if chosen is not None else None
        return found if distance is None else [*found, distance]

    def _draw_panels(self) -> None:
        """The panels that stand still while the crank moves."""
        size, unit = self.size_px, self.size_px[1] / 1000.0
        panels = [hud.bar(self.facts, self.cycle_deg, size, measure)]
        if self.state.listing and not self.state.keys:
            panels.append(hud.place_list(self.state, self.places, self.units, size, measure))
        if self.state.charts and not self.state.keys:
            found = self._charts()
            boxes = charts.chart_boxes(size, len(found))
            panels += [
                charts.chart_ground(c, b, self.cycle_deg, unit, measure)
                for c, b in zip(found, boxes, strict=True)
            ]
        if self.trouble:
            panels.append(hud.message(self.trouble, size, measure, trouble=True))
        elif self.state.message:
            panels.append(hud.message(self.state.message, size, measure))
        if self.state.keys:
            panels.append(hud.key_list(size, measure))
        self._panels.draw(_joined(panels))
        self._hits = [hit for panel in panels for hit in panel.hits]
        self._taken = [box for panel in panels for box in panel.taken]
        self._draw_moving()

    def _draw_moving(self) -> None:
        """The panels that follow the crank."""
        size, unit = self.size_px, self.size_px[1] / 1000.0
        panels = [hud.knob(self.state, self.facts, self.cycle_deg, size, measure)]
        if self.state.charts and not self.state.keys:
            found = self._charts()
            boxes = charts.chart_boxes(size, len(found))
            panels += [
                charts.chart_cursor(c, b, self.state.crank_deg, self.cycle_deg, unit, measure)
                for c, b in zip(found, boxes, strict=True)
            ]
        self._moving_panels.draw(_joined(panels))

    def render(self) -> None:
        """Draw the window."""
        self.window.Render()

    def close(self) -> None:
        """Give everything back."""
        self.window.RemoveRenderer(self._front)
        self.plotter.close()


def _joined(panels: Sequence[hud.Panel]) -> Lettering:
    layer = Lettering()
    for panel in panels:
        layer.lines += panel.layer.lines
        layer.words += panel.layer.words
    return layer


@lru_cache(maxsize=16)
def _motion_chart(assembly: Assembly, bore: int, units: System) -> charts.Chart:
    return charts.motion_chart(assembly, bore, units)


def _title(loaded: Loaded) -> str:
    return f"{loaded.designed.spec.engine.name} - fullturn"


def kept_under(name: str, folder: Path, ending: str) -> Path:
    """A name for a kept picture that no file has yet: ``tern 1.png``, ``tern 2.png`` ..."""
    number = 1
    while (folder / f"{name} {number}{ending}").exists():
        number += 1
    return folder / f"{name} {number}{ending}"
