"""The film that goes to the worst places one after another: the crank turns to each, the eye goes near, and stands.

At a place stands the very picture that ``still --worst`` draws, with dimension, limit and verdict; on the way the whole
engine is seen as glass. The places are those of the window's list, in its order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from geometry.checks.troubles import TroubleSpot
from geometry.errors import refused
from viewer.pictures.film import SAMPLES
from viewer.pictures.media import band, check_size, draw
from viewer.pictures.pointed import IN_SECTION, Aim, aim_at, aimed_scene
from viewer.scene import Scene, ViewOptions, aim, build_scene, move
from viewer.scene.build import CAUTION, title_of
from viewer.scene.eye import Eye, between, camera_of, eye_of
from viewer.scene.trouble_marks import grouped_troubles, where_words

if TYPE_CHECKING:
    from viewer.job import Job

WAY_S, FADE_S, STAND_S, BEGIN_S = 2.0, 0.35, 3.5, 1.0
"""Seconds from place to place, into a place's own picture and out of it, there, and at the whole engine."""
FINE_COST, PLACE_COST, STANDING_COST = 6.0, 18.0, 0.1
"""What pictures cost beside one of the way, of coarse shapes: of all shapes as they are, a place's own and the way's
end, and one that was drawn before."""
BACK_SHARE: Final = 0.55
"""How much of the whole engine is seen half-way from one place to another, at least."""


@dataclass(frozen=True, slots=True)
class Tour:
    """Where a film goes.

    Attributes
    ----------
    stops : the places, the worst first
    rate : pictures a second
    """

    job: Job
    options: ViewOptions
    stops: tuple[Aim, ...]
    rate: int

    def _count(self, seconds: float) -> int:
        return max(1, round(seconds * self.rate))

    @property
    def costs(self) -> list[float]:
        """What each picture costs beside one that is drawn; as many as there are pictures."""
        begin, fade, stand, way = (self._count(s) for s in (BEGIN_S, FADE_S, STAND_S, WAY_S))
        still = [FINE_COST, *[STANDING_COST] * (begin - 1)]
        place = [*[1.0] * way, PLACE_COST, *[STANDING_COST] * (2 * fade + stand - 1)]
        return [*still, *place * len(self.stops), *[1.0] * way, *still]

    def pictures(self, size: tuple[int, int]) -> Iterator[np.ndarray]:
        """The film's pictures, one at a time: (height, width, 3) uint8 each.

        Raises
        ------
        InputError : the size cannot be drawn
        """
        check_size(size)
        walk = _Walk(self.job, self.options, size)
        try:
            seen = walk.picture()
            yield from [seen] * self._count(BEGIN_S)
            for stop in self.stops:
                yield from walk.to(
                    stop,
                    self._count(WAY_S),
                    f"to place {stop.rank} of {stop.count}: {where_words(stop.spot)}",
                )
                seen, shown = walk.picture(), draw(walk.there, size)
                yield from _faded(seen, shown, self._count(FADE_S))
                yield from [shown] * self._count(STAND_S)
                yield from _faded(shown, seen, self._count(FADE_S))
            yield from walk.home(self._count(WAY_S))
            yield from [walk.picture()] * self._count(BEGIN_S)
        finally:
            walk.close()


def tour_of(job: Job, options: ViewOptions, spots: Sequence[TroubleSpot], most: int, rate: int) -> Tour:
    """A film to the worst places, so many at most, of one bore where the options name one.

    Raises
    ------
    InputError : there is no place to go to
    """
    count = min(most, len(grouped_troubles(spots, options.bore)))
    if not count:
        raise refused("--tour", "", "nothing comes near and nothing is wrong in this engine", "leave it out")
    stops = tuple(aim_at(spots, rank, options.bore) for rank in range(1, count + 1))
    return Tour(job, replace(options, view="iso"), stops, rate)


def _faded(one: np.ndarray, other: np.ndarray, count: int) -> Iterator[np.ndarray]:
    """Pictures between two, without either."""
    for step in range(count):
        share = (step + 1) / (count + 1)
        yield np.rint(one * (1.0 - share) + other * share).astype(np.uint8)


def smooth(share: float) -> float:
    """A share of a way that begins and ends slowly."""
    return share * share * (3.0 - 2.0 * share)


def turned_deg(from_deg: float, to_deg: float, cycle_deg: float) -> float:
    """How far to turn the crank to get to an angle: the shorter way round the working cycle."""
    return (to_deg - from_deg + cycle_deg / 2) % cycle_deg - cycle_deg / 2


def drawn_back(start: Eye, end: Eye, share: float, whole_mm: float) -> Eye:
    """A place on the way between two eyes that steps back half-way, far enough to see where it goes."""
    eye = between(start, end, share)
    middle_mm = float(np.sqrt(start.half_mm * end.half_mm))
    back = max(0.0, float(np.log(BACK_SHARE * whole_mm / middle_mm)))
    hump = (4.0 * share * (1.0 - share)) ** 2  # one half-way, level at both ends
    return replace(eye, half_mm=eye.half_mm * float(np.exp(back * hump)))


class _Walk:
    """The engine on the way: where the eye and the crank are, and the screen that they are drawn on."""

    def __init__(self, job: Job, options: ViewOptions, size: tuple[int, int]) -> None:
        from viewer.draw.screen import Screen
        from viewer.draw.stage import Stage

        self._job, self._options = job, options
        self._cycle = job.assembly.layout.firing.cycle_deg
        self._crank = options.crank_deg % self._cycle
        scene = build_scene(
            job.assembly, replace(options, crank_deg=self._crank, labels=False, callouts=False)
        )
        self._scene = replace(scene, grounded=False)
        self._screen = Screen(size, off_screen=True, samples=SAMPLES)
        self._stage = Stage(self._screen.window, self._screen.renderers[0])
        self._stage.show(self._scene)
        self._aspect = self._stage.aspect
        self._home = self._eye = self._eye_at(self._scene)
        self.there = self._scene
        self._said = "the worst places, one after another"

    def _eye_at(self, scene: Scene) -> Eye:
        """The eye of a scene's own picture, without perspective, so that no metal swells on the way."""
        free = (0.0, 0.0, 1.0, 1.0 - band(scene.caption, self._aspect))
        return eye_of(aim(replace(scene.framing, parallel=True), self._aspect, free))

    def to(self, stop: Aim, count: int, said: str) -> Iterator[np.ndarray]:
        """Go there; ``there`` is the place's own picture."""
        angle = self._crank if stop.spot.crank_deg is None else stop.spot.crank_deg
        self.there = aimed_scene(self._job, replace(self._options, crank_deg=angle), stop)
        # a section is no place in the engine to go near to
        eye = self._home if stop.spot.group in IN_SECTION else self._eye_at(self.there)
        yield from self._going(eye, angle, count, said)

    def home(self, count: int) -> Iterator[np.ndarray]:
        """Go back to the whole engine."""
        yield from self._going(self._home, self._options.crank_deg, count, "and the whole engine again")

    def _going(self, eye: Eye, to_deg: float, count: int, said: str) -> Iterator[np.ndarray]:
        start, began = self._eye, self._crank
        by = turned_deg(began, to_deg, self._cycle)
        self._said = said
        for step in range(1, count + 1):
            share = step / count
            self._eye = drawn_back(start, eye, share, self._home.half_mm)
            self._crank = (began + by * smooth(share)) % self._cycle
            yield self.picture(moving=True)

    def picture(self, moving: bool = False) -> np.ndarray:
        """What is seen now; of coarse shapes while it moves, which takes a sixth of the time."""
        from viewer.draw.stage import read_window

        scene = move(self._scene, self._job.assembly, self._crank)
        caption = (f"{title_of(self._job.assembly)}, {self._said}", scene.caption[1], CAUTION)
        self._stage.set_moving(moving)
        self._stage.pose(replace(scene, caption=caption))
        self._stage.look(camera_of(self._eye))
        self._stage.letter()
        self._screen.window.Render()
        return read_window(self._screen.window)

    def close(self) -> None:
        """Give the screen back."""
        self._screen.close()
