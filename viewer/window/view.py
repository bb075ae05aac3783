"""The interactive window: turns keys, clicks and time into new states of what it shows.

Everything a person can do goes through ``press``, ``click``, ``grip_bar`` and ``tick``; the window's own events
call these, and so do tests.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Generator
from dataclasses import replace
from pathlib import Path

import numpy as np

from geometry.kinematics.poses import inverse, transform
from viewer.scene.eye import Eye, nearer
from viewer.window import hud, picker
from viewer.window import journeys as j
from viewer.window import state as s
from viewer.window.actions import press as pressed
from viewer.window.finding import failure
from viewer.window.keeping import keep_film, keep_picture
from viewer.window.loaded import Loaded
from viewer.window.picker import Offer
from viewer.window.showing import Clock, Finder, Showing

REST_AFTER_S, SMOOTH_AFTER_S = 0.12, 0.3
TELL_S = 1.0
"""How often it is said how far work has come: each time is a picture, whose drawing holds the work up."""
LOOK_AT_FILES_S = 0.5
FILM_STEP_DEG = 5.0


class EngineWindow(Showing):
    """One window on one engine.

    Parameters
    ----------
    loaded, size, off_screen, quality, find, clock, glide_s : as ``Showing`` has them
    reload : reads the files again; may raise what reading raises
    watched : asked now and then whether a file was saved
    folder : where pictures and films are kept
    """

    def __init__(
        self, loaded: Loaded, *, size: tuple[int, int] = (1280, 800),
        off_screen: bool = False, quality: str = "auto", reload: Callable[[], Loaded] | None = None,
        watched: Callable[[], bool] | None = None, find: Finder | None = None, folder: Path = Path(),
        clock: Clock = time.monotonic, glide_s: float | None = None,
    ) -> None:  # fmt: skip
        super().__init__(
            loaded, size=size, off_screen=off_screen, quality=quality, find=find, clock=clock, glide_s=glide_s
        )
        self._reload, self._watched, self.folder = reload, watched, folder
        self._ticked_at = self._looked_at = clock()
        self.over = False

    # ---- what a person does ---------------------------------------------------------------------------------

    def press(self, key: str) -> None:
        """A key, by its name in ``actions``; a button of the bar presses it too."""
        if key == "Escape":
            self.over = not self.busy
            heat = self.state.heat and not self._heat.under_way
            self.apply(replace(s.let_go(self.state), heat=heat))
        elif self.state.picker is not None:
            state, taken = picker.typed(self.state, self.facts, self.loaded.designed, key)
            self.apply(state) if taken is None else self._take(taken)
        elif key == "End":
            self.apply(s.fit(self.state, self.eye))
        elif key == "shift+m":
            self.apply(self._beside.next_mistake(self.state, self.loaded.designed, self.loaded.units, 1))
        elif key in ("p", "shift+p"):
            self._keep(film=key == "shift+p")
        else:
            self.apply(pressed(self.state, self.facts, key))

    def _take(self, offer: Offer) -> None:
        """Show the mistake that was chosen from the list, or say why it cannot be made."""
        if offer.place is None:
            self.apply(replace(self.state, message=f"{offer.title}: {offer.reason}"))
            return
        chosen = (offer.key, offer.place) if offer.key else None
        closed = replace(self.state, picker=None)
        self.apply(self._beside.choose(closed, self.loaded.designed, self.loaded.units, chosen))

    @property
    def busy(self) -> bool:
        """Whether there is something that the escape key would end before it closes the window."""
        return self._heat.under_way or s.let_go(self.state) != replace(self.state, message="")

    def steer(self, eye: Eye) -> None:
        """A hand took the eye elsewhere: it goes at once, and the words follow."""
        self.stage.set_moving(self._coarse)
        self._gaze.go(eye, at_once=True)
        self.apply(replace(self.state, eye=eye))

    def zoom(self, times: float, x_px: int, y_px: int) -> None:
        """See it so many times as large, about a pixel of the window."""
        (width, height), centre = self.stage.size_px, self.eye.centre
        x, y = x_px % width - width / 2 * (1.0 + centre[0]), y_px - height / 2 * (1.0 + centre[1])
        self.steer(nearer(self.eye, times, (x / height, y / height)))

    def resized(self) -> None:
        """The window has another size."""
        self._panels.draw(self._shown())
        self._lay_drawing()
        self._look(eased=False)
        self._letter()
        self.render()

    def drag_cut(self, by_mm: float) -> None:
        """Move the plane of the cut under the hand."""
        self.apply(s.move_cut(self.state, by_mm))

    def click(self, x_px: int, y_px: int) -> None:
        """A click that did not drag: a button, a line of a list, or a part."""
        button = self._panels.button_at(x_px, y_px)
        if button is not None:
            self._push(button)
            return
        for box, number in self._panels.hits:
            if box.holds(x_px, y_px):
                self.apply(j.to_line(self.state, self.facts, number))
                return
        if self.on_panel(x_px, y_px) or self._beside.flat:
            return
        under = self.stage.under(x_px, y_px)
        if under is None:
            self.apply(replace(self.state, picked="", message=""))
            return
        item, at = under
        x, y, z = transform(inverse(self.scene.poses[item.frame]), at).tolist()
        self.apply(s.pick(self.state, item.whole, item.bore, (x, y, z), item.frame, item.words))

    def _push(self, button: hud.Button) -> None:
        if button.kind == "key":
            self.press(button.name)
        elif button.kind == "topic":
            self.apply(replace(self.state, topic=button.name))
        else:
            self._take(
                next(o for o in picker.listed(self.state, self.loaded.designed) if o.key == button.name)
            )

    def on_panel(self, x_px: int, y_px: int) -> bool:
        """Whether a point of the window belongs to a panel rather than to the engine behind it."""
        return any(box.holds(x_px, y_px) for box in self._panels.taken)

    def point(self, x_px: int, y_px: int) -> None:
        """The mouse was moved there."""
        self._pointing.moved(x_px, y_px, self._clock())

    def _explain(self, x_px: int, y_px: int) -> None:
        """Say beside the mouse, which has come to rest, what is there."""
        button, item, wrong = self._panels.button_at(x_px, y_px), None, False
        if button is None and not self.on_panel(x_px, y_px) and not self._beside.flat:
            wrong = self._beside.shown and x_px >= self.window.GetSize()[0] / 2
            under = (self._beside if wrong else self.stage).under(x_px, y_px)
            item = under[0] if under else None
        if self._pointing.tell(button, item, None if wrong else self.assembly, self.loaded):
            self.redraw()

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
        if self._gaze.tick():
            self._under_way()
        if self.state.playing:
            self.apply(s.advance(self.state, passed))
        elif self.stage.moving and now - self._moved_at > REST_AFTER_S:
            self.rest()
        elif not self._smooth and now - self._moved_at > SMOOTH_AFTER_S:
            self.smooth()
        resting = None if self.state.playing or self.stage.moving else self._pointing.rested(now)
        if resting is not None:
            self._explain(*resting)
        if self._pointing.arrived():
            self.redraw()
        if self._beside.paper.arrived():
            self._show_drawing()
        if self._places.arrived():
            unseen = self.places is None and not self.state.listing
            said = self._places.missing(self.assembly) if unseen else self.state.message
            self.apply(replace(self.state, message=said), rebuild=True)
        if self._heat.arrived() and self.state.heat:
            self.apply(replace(self.state, message=""), rebuild=True)
        elif self.state.heat and self._heat.under_way and now - self._moved_at > TELL_S:
            said = self._heat.missing(*self._wanted_heat)
            if said != self.state.message:
                self.apply(replace(self.state, message=said))
        if self._watched is not None and now - self._looked_at > LOOK_AT_FILES_S:
            self._looked_at = now
            if self._watched():
                self.read_again()

    def _show_drawing(self) -> None:
        """A drawing has been made, or has failed."""
        said = self._beside.paper.trouble
        self.apply(replace(self.state, message=said or self.state.message), rebuild=bool(said))
        self._lay_drawing()
        self._letter()
        self.render()

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
        self._pointing.forget()
        self._beside.paper.forget()
        self._places.want(self.assembly)
        bores = self.facts.bores
        bore = self.state.bore if self.state.bore in bores else bores[0]
        self.apply(
            replace(s.left_places(self.state), bore=bore, picked="", message="read again"), rebuild=True
        )

    def _keep(self, film: bool) -> None:
        """Write what is on the screen to a file, and say where it is or why there is none."""
        name = self.assembly.spec.engine.name
        with self._panels.bare():
            self._panels.draw(self._shown())
            said = (
                keep_film(self.folder, name, self._turning)
                if film
                else keep_picture(self.folder, name, self._fine)
            )
        self.apply(replace(self.state, message=said))

    def _fine(self) -> np.ndarray:
        """The picture as it stands, drawn fine and without the words on what was done last."""
        self.apply(replace(self.state, message=""))
        self.rest()
        self.smooth()
        return self.picture()

    def _turning(self) -> Generator[np.ndarray]:
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
