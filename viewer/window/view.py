"""The interactive window: draws a state, and turns keys, clicks and time into new states.

Everything a person can do goes through ``press``, ``click``, ``grip_bar`` and ``tick``; the window's own events
call these, and so do tests.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.close_places import Close, closest_at
from geometry.clearance.nearness import Nearness, nearness_of
from geometry.errors import InputError
from viewer.draw.screen import Screen
from viewer.draw.stage import Stage, read_window
from viewer.draw.vtk_log import route_to_logging
from viewer.output import unused_name
from viewer.pictures.media import write_film, write_picture
from viewer.scene import Callout, Scene, build_scene, move
from viewer.scene.nearness import coloured_bodies
from viewer.window import hud
from viewer.window import state as s
from viewer.window.actions import press as pressed
from viewer.window.beside import Beside
from viewer.window.closest import callout_at, measured
from viewer.window.finding import BackgroundSearch, failure
from viewer.window.loaded import Loaded
from viewer.window.panels import PanelContent, Panels
from viewer.window.state import EngineFacts, ViewState, facts_of, first_state, lasting, options_of

REST_AFTER_S, SMOOTH_AFTER_S = 0.25, 0.8
SMOOTH_SAMPLES = 4
QUICK_FRAME_S = 0.030
"""A machine that draws a fine frame faster than this keeps fine frames while the crank moves."""
LOOK_AT_FILES_S = 0.5
FILM_STEP_DEG = 5.0
Clock = Callable[[], float]
Finder = Callable[[Assembly], tuple[Close, ...]]


class EngineWindow:
    """One window on one engine.

    Parameters
    ----------
    loaded : the engine and the units of everything written
    size : of the window, px
    off_screen : draw without a window, for tests and pictures
    quality : ``fine`` or ``fast`` while the crank moves, ``auto`` to decide by timing
    reload : reads the files again; may raise what reading raises
    watched : asked now and then whether a file was saved
    find : works out the close places of an engine; runs beside the window
    folder : where pictures and films are kept
    clock : the time in seconds
    """

    def __init__(
        self, loaded: Loaded, *, size: tuple[int, int] = (1280, 800),
        off_screen: bool = False, quality: str = "auto", reload: Callable[[], Loaded] | None = None,
        watched: Callable[[], bool] | None = None, find: Finder | None = None, folder: Path = Path(),
        clock: Clock = time.monotonic,
    ) -> None:  # fmt: skip
        route_to_logging()
        self.loaded, self.quality = loaded, quality
        self._reload, self._watched, self._clock = reload, watched, clock
        self.folder = folder
        self._places = BackgroundSearch(find, "the clearances")
        self.trouble = ""
        self.screen = Screen(size, off_screen=off_screen)
        self.window = self.screen.window
        self.window.SetWindowName(f"{loaded.designed.spec.engine.name} - fullturn")
        self.stage = Stage(self.window, self.screen.renderers[0])
        self._panels = Panels(self.window)
        self.state = first_state(facts_of(loaded.designed, recorded=loaded.built is not None))
        self.frame_s = 0.0
        self._moved_at = self._ticked_at = self._looked_at = clock()
        self._own_camera = self._smooth = False
        self._heat = BackgroundSearch(nearness_of, "the closest approach")
        self._beside = Beside(self.window, self.stage)
        self.scene = self._build()
        self._show(aim=True)
        self._places.want(self.assembly)

    # ---- what is on show ------------------------------------------------------------------------------------

    @property
    def assembly(self) -> Assembly:
        """The engine as designed, or as built when that is on show."""
        return self.loaded.built if self.state.built and self.loaded.built else self.loaded.designed

    @property
    def facts(self) -> EngineFacts:
        """Dead centres and close places of the engine on show."""
        found = tuple((c.crank_deg, c.bore) for c in self.places or ())
        missing = "nothing comes close" if self.places is not None else self._places.missing(self.assembly)
        return facts_of(self.assembly, found, self.loaded.built is not None, missing)

    @property
    def places(self) -> tuple[Close, ...] | None:
        """Close places of the engine on show, None while there are none to be had."""
        return self._places.of(self.assembly)

    @property
    def cycle_deg(self) -> float:
        """Crank angle of one working cycle: the length of the bar."""
        return self.assembly.layout.firing.cycle_deg

    def _shown(self) -> PanelContent:
        """What the panels tell about."""
        chosen = self._chosen() or (self.places[0] if self.places else None)
        return PanelContent(
            self.state, self.facts, self.assembly, self.places, chosen, self.cycle_deg, self.loaded.units, self.trouble,
            self._beside.shown,
        )  # fmt: skip

    def _build(self) -> Scene:
        options = replace(
            options_of(self.state, self.assembly, self.loaded.units), assumed=self.loaded.assumed
        )
        near = self._nearness() if self.state.heat else None
        if near:
            options = replace(options, highlight=options.highlight - set(near))
        return build_scene(self.assembly, options, self._callouts(), near)

    def _nearness(self) -> dict[str, Nearness] | None:
        """Closest approach of what is chosen; while there is none, the message says why."""
        wanted = (self.assembly, coloured_bodies(self.assembly, self.state.bore, self.state.picked))
        self._heat.want(*wanted)
        near = self._heat.of(*wanted)
        if near is None:
            self.state = replace(self.state, message=self._heat.missing(*wanted))
        return near

    def _callouts(self) -> list[Callout]:
        found = measured(self.state, self.loaded.units)
        if self.state.keys or self.state.mistake is not None or self.state.distances == "off":
            return found
        now = self.state.crank_deg % self.cycle_deg
        near = self._chosen() if self.state.distances == "turn" else closest_at(self.places or (), now)
        return found if near is None else [callout_at(near, now, self.loaded.units), *found]

    def _chosen(self) -> Close | None:
        if not self.places or self.state.place is None:
            return None
        return self.places[self.state.place % len(self.places)]

    # ---- what a person does ---------------------------------------------------------------------------------

    def press(self, key: str) -> None:
        """A key, by its name in ``actions``."""
        if key == "Escape":
            self.apply(s.let_go(self.state))
            return
        if key in ("m", "shift+m"):
            way = 1 if key == "m" else -1
            self.apply(self._beside.next_mistake(self.state, self.loaded.designed, self.loaded.units, way))
            return
        if key in ("p", "shift+p"):
            self._keep(film=key == "shift+p")
            return
        self.apply(pressed(self.state, self.facts, key))

    @property
    def busy(self) -> bool:
        """Whether there is something that the escape key would end before it closes the window."""
        return s.let_go(self.state) != replace(self.state, message="")

    def camera_moved(self) -> None:
        """The person turned the view by hand: keep it, and let the words follow."""
        self._own_camera = True
        self.stage.set_moving(self._coarse)
        self.stage.turned()
        self._letter()
        self.render()

    def resized(self) -> None:
        """The window has another size."""
        self._panels.draw(self._shown())
        if not self._own_camera:
            self._aim()
        self._letter()
        self.render()

    def drag_cut(self, by_mm: float) -> None:
        """Move the plane of the cut under the hand."""
        self.apply(s.move_cut(self.state, by_mm))

    def click(self, x_px: int, y_px: int) -> None:
        """A click that did not drag: a line of the list, or a part."""
        for box, number in self._panels.hits:
            if box.holds(x_px, y_px):
                self.apply(s.to_place(self.state, self.facts, number))
                return
        under = self.stage.under(x_px, y_px)
        if under is None:
            self.apply(replace(self.state, picked="", message=""))
            return
        item, at = under
        self.apply(s.pick(self.state, item.whole, item.bore, (float(at[0]), float(at[1]), float(at[2]))))

    def on_bar(self, x_px: int, y_px: int) -> bool:
        """Whether a point of the window lies on the crank bar."""
        return hud.track(self._panels.size_px).holds(x_px, y_px, 20.0)

    def grip_bar(self, x_px: int) -> None:
        """Drag the crank to where the bar is held."""
        self.apply(s.turn_to(self.state, hud.angle_on_track(x_px, self._panels.size_px, self.cycle_deg)))

    def tick(self) -> None:
        """Let time pass: run the crank, come to rest, look whether a file was saved."""
        now = self._clock()
        passed, self._ticked_at = min(now - self._ticked_at, 0.2), now
        if self.state.playing:
            self.apply(s.advance(self.state, passed))
        elif self.stage.moving and now - self._moved_at > REST_AFTER_S:
            self.rest()
        elif not self._smooth and now - self._moved_at > SMOOTH_AFTER_S:
            self.smooth()
        if self._places.arrived():
            unseen = self.places is None and not self.state.listing
            said = self._places.missing(self.assembly) if unseen else self.state.message
            self.apply(replace(self.state, message=said), rebuild=True)
        if self._heat.arrived() and self.state.heat:
            self.apply(replace(self.state, message=""), rebuild=True)
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
        except Exception as bad:  # nobody asked for it just now, so it must not end the window
            self.trouble = failure(bad).words
            self._panels.draw(self._shown())
            self.render()
            return
        self.trouble = ""
        self._places.forget()
        self._heat.forget()
        self._places.want(self.assembly)
        bores = self.facts.bores
        bore = self.state.bore if self.state.bore in bores else bores[0]
        self.apply(replace(self.state, bore=bore, place=None, picked="", message="read again"), rebuild=True)

    # ---- drawing --------------------------------------------------------------------------------------------

    def apply(self, new: ViewState, *, rebuild: bool = False) -> None:
        """Show another state, with no more work than its differences ask for."""
        old, self.state = self.state, new
        self._places.want(self.assembly)
        turned = new.crank_deg != old.crank_deg
        posed = new.view in ("chamfer", "rings")
        if rebuild or lasting(new) != lasting(old) or (turned and posed):
            self.scene = self._build()
            self._show(aim=self._wants_aim(old, new))
            return
        if turned:
            self._turn()
        if replace(new, crank_deg=0.0, playing=0) != replace(old, crank_deg=0.0, playing=0):
            self._letter_again(old)
        elif turned:
            self._panels.draw_moving(self._shown())
        self.render()

    def _turn(self) -> None:
        """New poses; coarse meshes on a machine that needs them."""
        angle = self.state.crank_deg % self.cycle_deg
        self.scene = replace(move(self.scene, self.assembly, angle), callouts=())
        self.stage.set_moving(self._coarse)
        if not self._coarse:
            self.scene = replace(self.scene, callouts=tuple(self._callouts()))
        self.stage.pose(self.scene)
        self._beside.turn(angle)
        self._letter()

    @property
    def _coarse(self) -> bool:
        """Whether this machine needs coarse meshes to keep up."""
        return self.quality == "fast" or (self.quality == "auto" and self.frame_s > QUICK_FRAME_S)

    def _letter(self) -> None:
        if self._own_camera and self.state.mistake is None:  # no longer the view that the caption names
            self.stage.pose(replace(self.scene, caption=(self.scene.title, *self.scene.caption[1:])))
        unit = hud.unit_of(self._panels.size_px)
        self.stage.letter(self._panels.taken, hud.BAR_HEIGHT * unit, unit)
        self._beside.follow(self.stage.moving, hud.BAR_HEIGHT * unit, unit)

    def rest(self) -> None:
        """The crank stands: fine meshes, and the distance at this very angle."""
        self.stage.set_moving(False)
        self._measure_again()
        self._letter()
        self.render()

    def _measure_again(self) -> None:
        """The distances that this state draws, at this very angle."""
        self.scene = replace(self.scene, callouts=tuple(self._callouts()))
        self.stage.pose(self.scene)

    def _show_wrong(self) -> None:
        """Put the engine with the chosen mistake in the right half, or take it away."""
        chosen = self.state.mistake
        if chosen is None or self._beside.study(self.loaded.designed, chosen, self.loaded.units) is None:
            self._beside.hide()
            return
        self._beside.show(options_of(self.state, self.assembly, self.loaded.units))
        self.scene = replace(self.scene, caption=("As it should be", *self.scene.caption[1:]))
        self.stage.pose(self.scene)

    # ---- keeping --------------------------------------------------------------------------------------------

    def _keep(self, film: bool) -> None:
        """Write what is on the screen to a file, and say under which name or why not."""
        name = self.assembly.spec.engine.name.lower()
        path = unused_name(self.folder, name, ".mp4" if film else ".png")
        try:
            if film:
                write_film(self._turning(), path)
            else:
                self.rest()
                self.smooth()
                write_picture(self.picture(), path)
        except InputError as bad:
            self.apply(replace(self.state, message=str(bad)))
            return
        self.apply(replace(self.state, message=f"kept as {path.name}"))

    def _turning(self) -> Iterator[np.ndarray]:
        """Pictures of one working cycle, drawn fine; afterwards everything is as it was."""
        start, quality = self.state, self.quality
        self.quality = "fine"
        try:
            for turned in np.arange(0.0, self.cycle_deg, FILM_STEP_DEG):
                angle = start.crank_deg + float(turned)
                self.apply(replace(start, crank_deg=angle, playing=0, message=""))
                yield self.picture()
        finally:
            self.quality = quality
            self.apply(start)

    def picture(self) -> np.ndarray:
        """What is on the screen, (h, w, 3) uint8."""
        return read_window(self.window)

    def _wants_aim(self, old: ViewState, new: ViewState) -> bool:
        """Whether the camera goes back to the named view; one that was turned by hand stays as long as it can."""
        posed = new.view in ("chamfer", "rings") and (new.crank_deg != old.crank_deg or new.bore != old.bore)
        halves = (new.mistake is None) != (old.mistake is None)
        return posed or halves or new.view != old.view or not self._own_camera

    def _letter_again(self, old: ViewState) -> None:
        self._measure_again()
        self._panels.draw(self._shown())
        panels = (self.state.charts, self.state.listing) != (old.charts, old.listing)
        if panels and not self._own_camera:
            self._aim()
        self._letter()

    def _show(self, aim: bool) -> None:
        self.stage.set_moving(False)
        self.stage.show(self.scene)
        self._show_wrong()
        self._panels.draw(self._shown())
        if aim:
            self._aim()
        self._letter()
        began = self._clock()
        self.render()
        self.frame_s = self._clock() - began

    def _aim(self) -> None:
        self._own_camera = False
        self.stage.aim(self._panels.free(self._shown()))

    def smooth(self) -> None:
        """Draw with smooth edges, which cost several looks at every pixel: once nothing has happened for a while."""
        self._smooth = True
        self.window.SetMultiSamples(SMOOTH_SAMPLES)
        self.window.Render()

    def render(self) -> None:
        """Draw the window after a change."""
        if self._smooth:
            self._smooth = False
            self.window.SetMultiSamples(0)
        self._moved_at = self._clock()
        self.window.Render()

    def close(self) -> None:
        """Give everything back."""
        self._places.forget()
        self._heat.forget()
        self._panels.close()
        self.screen.close()
