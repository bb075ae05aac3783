"""What the window shows: a state drawn, and drawn again with no more work than a change of state asks for."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from geometry.assembly import Assembly
from geometry.checks.close_places import closest_at, with_curve
from geometry.clearance.full_turn import turn_of
from geometry.clearance.nearness import Nearness, forget, nearness_of
from viewer.draw.screen import Screen
from viewer.draw.stage import Stage, read_window
from viewer.draw.vtk_log import route_to_logging
from viewer.scene import Callout, Scene, aim, build_scene, move
from viewer.scene.eye import Eye, eye_of, level_axes
from viewer.scene.model import Framing
from viewer.scene.nearness import coloured_bodies
from viewer.scene.sight import Sight, direction, framing_of, sight_of
from viewer.spot_words import value_words
from viewer.window import hud
from viewer.window.beside import Beside
from viewer.window.closest import callout_at, label_at, measured
from viewer.window.finding import BackgroundSearch
from viewer.window.gaze import GLIDE_S, SLOW_FRAME_S, Gaze
from viewer.window.loaded import Loaded
from viewer.window.options import near_only, options_of
from viewer.window.panels import PanelContent, Panels
from viewer.window.places import ListedPlace, parts_at
from viewer.window.pointing import Pointing
from viewer.window.room import outline
from viewer.window.state import EngineFacts, ViewState, facts_of, first_state, lasting

SMOOTH_SAMPLES = 4
QUICK_FRAME_S = 0.030
"""A machine that draws a fine frame faster than this keeps fine frames while the crank moves."""
Clock = Callable[[], float]
Finder = Callable[[Loaded, Assembly], tuple[ListedPlace, ...]]


class Showing:
    """A window with an engine in it, that shows whatever state it is given.

    Parameters
    ----------
    loaded : the engine and the units of everything written
    size : of the window, px
    off_screen : draw without a window, for tests and pictures
    quality : ``fine`` or ``fast`` while the crank moves, ``auto`` to decide by timing
    find : works out the places of an engine that are worth going to; runs beside the window
    clock : the time in seconds
    glide_s : how long the eye takes from place to place; default at once off the display, eased on it
    """

    def __init__(
        self, loaded: Loaded, *, size: tuple[int, int] = (1280, 800), off_screen: bool = False, quality: str = "auto",
        find: Finder | None = None, clock: Clock = time.monotonic, glide_s: float | None = None,
    ) -> None:  # fmt: skip
        route_to_logging()
        self.loaded, self.quality, self._clock = loaded, quality, clock
        self._places = BackgroundSearch(
            None if find is None else lambda assembly: find(self.loaded, assembly), "the clearances"
        )
        self.trouble = ""
        self.screen = Screen(size, off_screen=off_screen)
        self.window = self.screen.window
        self.window.SetWindowName(f"{loaded.designed.spec.engine.name} - fullturn")
        self.stage = Stage(self.window, self.screen.renderers[0])
        self._gaze = Gaze(self.stage, clock, (0.0 if off_screen else GLIDE_S) if glide_s is None else glide_s)
        self._panels = Panels(self.window)
        self._pointing = Pointing(self.window)
        self.state = first_state(facts_of(loaded.designed, recorded=loaded.built is not None))
        self.frame_s = 0.0
        self._moved_at = clock()
        self._smooth = False
        self._heat = BackgroundSearch(nearness_of, "the closest approach", ends="H or esc ends it")
        self._beside = Beside(self.window, self.stage, lambda: self.loaded.assumed)
        self._framed: tuple[tuple[object, object], Framing] | None = None
        self.scene = self._build()
        self._show()
        self._places.want(self.assembly)

    # ---- what is on show ------------------------------------------------------------------------------------

    @property
    def assembly(self) -> Assembly:
        """The engine as designed, or as built when that is on show."""
        return self.loaded.built if self.state.built and self.loaded.built else self.loaded.designed

    @property
    def facts(self) -> EngineFacts:
        """Dead centres and close places of the engine on show."""
        found = tuple(place.goal for place in self.places or ())
        missing = "nothing comes close" if self.places is not None else self._places.missing(self.assembly)
        return facts_of(self.assembly, found, self.loaded.built is not None, missing)

    @property
    def places(self) -> tuple[ListedPlace, ...] | None:
        """Places of the engine on show that are worth going to, None while there are none to be had."""
        return self._places.of(self.assembly)

    @property
    def cycle_deg(self) -> float:
        """Crank angle of one working cycle: the length of the bar."""
        return self.assembly.layout.firing.cycle_deg

    def _shown(self) -> PanelContent:
        """What the panels tell about."""
        place = self._chosen() or next((one for one in self.places or () if one.close), None)
        chosen = None if place is None or place.close is None else with_curve(place.close)
        return PanelContent(
            self.state, self.facts, self.assembly, self.loaded.designed, self.places, chosen, self.cycle_deg,
            self.loaded.units, self.trouble, self._beside.shown, self.loaded.assumed,
        )  # fmt: skip

    def _build(self) -> Scene:
        options = replace(
            options_of(self.state, self.assembly, self.loaded.units, self._sight()),
            assumed=self.loaded.assumed,
        )
        if not self.state.heat:
            self._heat.stop()
        near = self._nearness() if self.state.heat else None
        if near:
            options = replace(options, highlight=options.highlight - set(near))
        return self._marked(near_only(build_scene(self.assembly, options, self._callouts(), near)))

    @property
    def _wanted_heat(self) -> tuple[Assembly, tuple[str, ...]]:
        """What is to be coloured by closest approach."""
        bore = self.state.bore if self.state.alone else None
        return self.assembly, coloured_bodies(self.assembly, bore, self.state.picked)

    def _nearness(self) -> dict[str, Nearness] | None:
        """Closest approach of what is chosen; while there is none, the message says why."""
        wanted = self._wanted_heat
        self._heat.want(*wanted)
        near = self._heat.of(*wanted)
        if near is None:
            self.state = replace(self.state, message=self._heat.missing(*wanted))
        return near

    def _callouts(self) -> list[Callout]:
        found = measured(self.state, self.assembly, self.loaded.units)
        if (
            self.state.keys
            or self.state.picker
            or self.state.mistake is not None
            or self.state.distances == "off"
        ):
            return found
        now = self.state.crank_deg % self.cycle_deg
        place = self._chosen()
        if self.state.distances == "turn" and place is not None:
            near = place.close
        else:
            near = closest_at([one.close for one in self.places or () if one.close], now)
        return found if near is None else [callout_at(near, now, self.loaded.units), *found]

    def _sight(self) -> Sight | None:
        """How the chosen place is looked at, where it is looked at from near."""
        chosen = self.state.mistake
        if self.state.near and chosen is not None:
            self._beside.study(self.loaded.designed, chosen, self.loaded.units)
            return self._beside.sight()
        place = self._chosen() if self.state.near else None
        if place is None or place.spot.b_mm is None:
            return None
        spot, lit = place.spot, parts_at(place.spot, self.assembly)
        return sight_of(
            self.assembly, lit, spot.a_mm or place.spot.b_mm, place.spot.b_mm, spot.crank_deg or 0.0
        )

    def _marked(self, scene: Scene) -> Scene:
        """The scene with words at the chosen place, where it is a fault rather than a distance."""
        place = self._chosen()
        if place is None or place.close is not None or self.state.distances != "turn" or self.state.mistake:
            return scene
        spot = place.spot
        if spot.b_mm is None:
            return scene
        text = ": ".join(filter(None, (spot.words, value_words(spot, self.loaded.units))))
        label = label_at(scene, self.assembly, spot.bodies, spot.b_mm, spot.crank_deg, text, spot.nearby)
        return replace(scene, labels=(*scene.labels, label))

    def _chosen(self) -> ListedPlace | None:
        if not self.places or self.state.place is None:
            return None
        return self.places[self.state.place % len(self.places)]

    # ---- drawing --------------------------------------------------------------------------------------------

    def apply(self, new: ViewState, *, rebuild: bool = False) -> None:
        """Show another state, with no more work than its differences ask for."""
        old, self.state = self.state, new
        self._pointing.show(None)
        self._places.want(self.assembly)
        turned = new.crank_deg != old.crank_deg
        posed = new.view in ("chamfer", "rings")
        if posed and (turned or new.bore != old.bore) and new.eye == old.eye:
            self.state = new = replace(new, eye=None)  # what is looked at has moved on
        if rebuild or lasting(new) != lasting(old) or (turned and posed):
            self.scene = self._build()
            self._show(old)
            return
        if turned:
            self._turn()
        if _said(new) != _said(old):
            self._letter_again(old)
        elif new.eye != old.eye:
            self._look(eased=False)
            self._letter()
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
        if self.state.mistake is None:
            self.stage.pose(replace(self.scene, caption=(self._title(), *self.scene.caption[1:])))
        unit = hud.unit_of(self._panels.size_px)
        self.stage.letter(self._panels.taken, hud.BAR_HEIGHT * unit, unit)
        self._beside.follow(self.stage.moving, self._panels.taken, hud.BAR_HEIGHT * unit, unit)

    def _title(self) -> str:
        """The engine and what it is seen from: the view, the place that is gone near to, or neither any more."""
        place = self._chosen()
        if self.state.near and place is not None:
            where = f", bore {place.spot.bore}" if place.spot.bore is not None else ""
            return f"{self.scene.title}, {place.spot.words}{where}"
        astray = self.state.eye is not None or self.state.from_deg is not None
        return self.scene.title if astray else self.scene.caption[0]

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
        self._beside.show(options_of(self.state, self.assembly, self.loaded.units, self._sight()))
        self.scene = replace(
            self.scene, caption=("As it should be", self.scene.caption[1], self.scene.caption[-1])
        )
        self.stage.pose(self.scene)
        self._lay_drawing()

    def _lay_drawing(self) -> None:
        """The drawing of the chosen mistake over both halves, as soon as there is one."""
        self._beside.lay_drawing(self.state.plane, hud.unit_of(self._panels.size_px))

    def picture(self) -> np.ndarray:
        """What is on the screen, (h, w, 3) uint8."""
        return read_window(self.window)

    def _letter_again(self, old: ViewState) -> None:
        self._measure_again()
        self._panels.draw(self._shown())
        self._look(eased=_sent(old, self.state))
        self._letter()

    def _show(self, old: ViewState | None = None) -> None:
        self.stage.set_moving(False)
        self.stage.show(self.scene)
        self._show_wrong()
        self._panels.draw(self._shown())
        self._look(eased=old is not None and _sent(old, self.state))
        self._letter()
        began = self._clock()
        self.render()
        self.frame_s = self._clock() - began

    @property
    def eye(self) -> Eye:
        """Where the window looks from, or will as soon as the eye is there."""
        return self._gaze.eye

    def _look(self, eased: bool) -> None:
        """Send the eye where the state wants it."""
        self._gaze.go(self.state.eye or self._fitted(), at_once=not eased or self.frame_s > SLOW_FRAME_S)

    def _fitted(self) -> Eye:
        """From where all that is to be seen fills the room that the panels leave."""
        sight = self._sight()
        framing = self._whole() if sight is None else framing_of(sight)
        if self.state.from_deg is not None:
            toward, (_, up) = direction(*self.state.from_deg), level_axes(*self.state.from_deg)
            framing = replace(framing, toward=toward, up=up)
        free = self._panels.free(self._shown(), self._title(), framing)
        return eye_of(aim(framing, self.stage.aspect, free))

    def _whole(self) -> Framing:
        """All that is on show over a turn; one object as long as that stays the same."""
        asked = self.scene.items, self.scene.framing
        if self._framed is None or self._framed[0][0] is not asked[0] or self._framed[0][1] is not asked[1]:
            points = outline(self.scene, self.assembly)
            self._framed = asked, replace(self.scene.framing, points_mm=points)
        return self._framed[1]

    def _under_way(self) -> None:
        """Draw one picture of the eye's way."""
        self.stage.set_moving(self._coarse)
        self._letter()
        self.render()

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

    def redraw(self) -> None:
        """Draw the window after a change of the flat layer alone, as smooth as it was."""
        self.window.Render()

    def close(self) -> None:
        """Give everything back."""
        self._panels.close()
        self._pointing.close()
        self.screen.close()
        # the window is gone by now: nobody sees it wait
        self._heat.close()
        self._places.close()
        self._beside.paper.close()
        self._pointing.end()
        # what these hold would still be there as the program ends, and a library would tell of each shape of it
        sight_of.cache_clear()
        turn_of.cache_clear()
        forget()


def _said(state: ViewState) -> ViewState:
    """The state without what needs no panel drawn anew."""
    return replace(state, crank_deg=0.0, eye=None)


def _sent(old: ViewState, new: ViewState) -> bool:
    """Whether a person sent the eye elsewhere, which is worth showing the way."""
    return _ways(old) != _ways(new)


def _ways(state: ViewState) -> tuple[object, ...]:
    """What the way of the eye depends on."""
    return state.view, state.eye, state.from_deg, state.near, state.place if state.near else None
