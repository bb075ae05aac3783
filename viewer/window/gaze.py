"""The eye of the window: goes where it is sent, gliding there where the machine can draw the way."""

from __future__ import annotations

from collections.abc import Callable

from viewer.draw.stage import Stage
from viewer.scene.eye import Eye, between, camera_of, eye_of

GLIDE_S = 0.4
SLOW_FRAME_S = 0.12
"""A machine that takes longer for a frame goes at once: three pictures of a way are worse than none."""


class Gaze:
    """Moves the camera of a stage.

    Parameters
    ----------
    clock : the time in seconds
    glide_s : how long a way takes; 0 goes at once
    """

    def __init__(self, stage: Stage, clock: Callable[[], float], glide_s: float = GLIDE_S) -> None:
        self._stage, self._clock, self.glide_s = stage, clock, glide_s
        self._start: Eye | None = None
        self._end: Eye | None = None
        self._began = 0.0

    @property
    def eye(self) -> Eye:
        """Where it looks from, or is on its way to."""
        return self._end if self._end is not None else eye_of(self._stage.camera())

    @property
    def flying(self) -> bool:
        """Whether it is on its way."""
        return self._start is not None

    def go(self, eye: Eye, at_once: bool) -> None:
        """Send it somewhere."""
        if eye == self._end:
            return
        self._start = None if at_once or self.glide_s <= 0.0 else eye_of(self._stage.camera())
        self._end, self._began = eye, self._clock()
        if self._start is None:
            self._stage.look(camera_of(eye))

    def tick(self) -> bool:
        """Take it on by the time that has passed; whether it moved."""
        if self._start is None or self._end is None:
            return False
        share = (self._clock() - self._began) / self.glide_s
        self._stage.look(camera_of(between(self._start, self._end, share)))
        if share >= 1.0:
            self._start = None
        return True
