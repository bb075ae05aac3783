"""Puts the flat panels before the picture and knows what they cover and what a click on them means."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache

from vtkmodules.vtkRenderingCore import vtkRenderWindow
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from geometry.assembly import Assembly
from geometry.checks.close_places import Close
from geometry.units import System
from viewer.draw.overlay import Overlay, measure
from viewer.scene.flat import Lettering
from viewer.scene.model import Framing
from viewer.scene.placing import Rectangle
from viewer.scene.views import Free
from viewer.window import charts, hud
from viewer.window.help import key_list
from viewer.window.listing import place_list
from viewer.window.picker import picker_panel
from viewer.window.places import ListedPlace
from viewer.window.room import room
from viewer.window.state import EngineFacts, ViewState
from viewer.window.toolbar import toolbar
from viewer.window.under_way import next_step


@dataclass(frozen=True, slots=True, eq=False)
class PanelContent:
    """What the panels tell about.

    Attributes
    ----------
    places : worth going to, None while they are being worked out, or where that has failed
    chosen : the close place that the curve belongs to
    designed : the engine of the file, which mistakes are put into
    cycle_deg : length of the crank bar
    trouble : what is wrong with an edited file, empty when nothing is
    halves : two pictures side by side
    assumed : how many values are assumed, empty where none is
    """

    state: ViewState
    facts: EngineFacts
    assembly: Assembly
    designed: Assembly
    places: tuple[ListedPlace, ...] | None
    chosen: Close | None
    cycle_deg: float
    units: System
    trouble: str = ""
    halves: bool = False
    assumed: str = ""


class Panels:
    """A layer of a window before the picture, over its whole width."""

    def __init__(self, window: vtkRenderWindow) -> None:
        self._window = window
        window.SetNumberOfLayers(2)
        self.front = vtkOpenGLRenderer()
        self.front.SetLayer(1)
        self.front.InteractiveOff()
        window.AddRenderer(self.front)
        self._still, self._moving = Overlay(self.front), Overlay(self.front)
        self.taken: list[Rectangle] = []
        self.hits: list[tuple[Rectangle, int]] = []
        self.buttons: list[hud.Button] = []
        self._bare = False
        self._standing: list[Rectangle] = []
        self._said: Rectangle | None = None

    @property
    def size_px(self) -> tuple[int, int]:
        """Size of the window."""
        width, height = self._window.GetSize()
        return width, height

    def draw(self, shown: PanelContent) -> None:
        """Draw everything anew."""
        size, state = self.size_px, shown.state
        panels = [hud.bar(shown.facts, shown.cycle_deg, size, measure)]
        if not self._bare:
            panels.append(toolbar(state, size, measure))
        if state.picker is not None:
            panels.append(picker_panel(state, shown.designed, size, measure))
        elif state.keys:
            panels.append(key_list(size, measure))
        elif not shown.halves:
            if state.listing:
                missing = shown.facts.missing
                panels.append(
                    place_list(state, shown.places, shown.units, size, measure, missing, shown.assumed)
                )
            panels += [
                charts.chart_ground(chart, box, shown.cycle_deg, hud.unit_of(size), measure)
                for chart, box in self._charts(shown)
            ]
            self._standing = [box for panel in panels[1:] for box in panel.taken]
        said = shown.trouble or state.message or next_step(state)
        if said:
            panels.append(hud.message(said, size, measure, bool(shown.trouble), shown.halves))
        self._said = panels[-1].taken[0] if said else None
        self._still.draw(_joined(panels))
        self.hits = [hit for panel in panels for hit in panel.hits]
        self.buttons = [button for panel in panels for button in panel.buttons]
        self.taken = [box for panel in panels for box in panel.taken]
        self.draw_moving(shown)

    def button_at(self, x_px: float, y_px: float) -> hud.Button | None:
        """The button under a point of the window."""
        return next((button for button in self.buttons if button.box.holds(x_px, y_px)), None)

    @contextmanager
    def bare(self) -> Iterator[None]:
        """Without the buttons, for a picture that is kept."""
        self._bare = True
        try:
            yield
        finally:
            self._bare = False

    def draw_moving(self, shown: PanelContent) -> None:
        """Draw only what follows the crank."""
        size, state = self.size_px, shown.state
        panels = [hud.knob(state, shown.facts, shown.cycle_deg, size, measure)]
        if not state.keys and state.picker is None and not shown.halves:
            panels += [
                charts.chart_cursor(chart, box, state.crank_deg, shown.cycle_deg, hud.unit_of(size), measure)
                for chart, box in self._charts(shown)
            ]
        self._moving.draw(_joined(panels))

    def _charts(self, shown: PanelContent) -> list[tuple[charts.Chart, Rectangle]]:
        if not shown.state.charts:
            return []
        found = [_motion_chart(shown.assembly, shown.state.bore, shown.units)]
        distance = charts.distance_chart(shown.chosen, shown.units) if shown.chosen is not None else None
        if distance is not None:
            found.append(distance)
        return list(zip(found, charts.chart_boxes(self.size_px, len(found)), strict=True))

    def free(self, shown: PanelContent, title: str, framing: Framing) -> Free:
        """The part of the window that panels, title and compass leave to what a framing holds."""
        width, height = self.size_px
        unit = hud.unit_of(self.size_px)
        foot = hud.BAR_HEIGHT * unit
        if shown.halves:
            top = self._said.bottom if self._said else height - hud.CAPTION_HEIGHT * unit
            return 0.0, foot / height, 1.0, top / height
        words = max(measure(title, 26.0 * unit, True)[0], 440.0 * unit)
        top, corner = 80.0 * unit, (hud.COMPASS_WIDTH * unit, 200.0 * unit)
        boxes = (
            *self._standing,
            Rectangle(0.0, height - top, words + 30.0 * unit, top),
            Rectangle(0.0, foot, float(width), hud.CAUTION_HEIGHT * unit),
            Rectangle(width - corner[0], foot, *corner),
        )
        return room(framing, self.size_px, boxes, foot)

    def close(self) -> None:
        """Take the layer out of the window."""
        self._window.RemoveRenderer(self.front)


def _joined(panels: Sequence[hud.Panel]) -> Lettering:
    layer = Lettering()
    for panel in panels:
        layer.lines += panel.lines
        layer.words += panel.words
    return layer


@lru_cache(maxsize=16)
def _motion_chart(assembly: Assembly, bore: int, units: System) -> charts.Chart:
    return charts.motion_chart(assembly, bore, units)
