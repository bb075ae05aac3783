"""The plane drawing of a mistake over the two halves of the window: drawn beside the window, then laid in."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.mistakes.mistake import Spot
from viewer.explained.case import MistakeCase
from viewer.explained.sheet import HALF_IN, HIGH_IN, drawn_half
from viewer.window.finding import BackgroundSearch
from viewer.window.hud import BAR_HEIGHT

SEEN_IN_SOLIDS: Final = frozenset({"fillet", "pocket", "head", "oil_rail"})
"""Kinds of drawing whose mistakes are seen in the solids too, near as the window shows them: those come first there."""
SOLIDS_ONLY: Final = "scene"
"""The kind of drawing that is the solids themselves."""
TITLE_HEIGHT, FOOT_HEIGHT, EDGE = 168.0, 94.0, 8.0
"""Left free over a drawing for title and message, under it for caution and what is magnified, and beside it, units."""
LEAST_PX, MOST_KEPT = 120, 12
Pair = tuple[NDArray[np.uint8], NDArray[np.uint8]]


def on_paper_first(spot: Spot) -> bool:
    """Whether a mistake is looked at as a drawing before it is in the solids, where both halves look alike."""
    return spot.drawing not in SEEN_IN_SOLIDS | {SOLIDS_ONLY}


_ONE_AT_A_TIME = threading.Lock()


def _drawn(case: MistakeCase, width_px: int, told: Callable[[float], None]) -> Pair:
    """Both halves; the drawing library serves one thread at a time, so one that nobody wants any more ends here."""
    with _ONE_AT_A_TIME:
        told(0.0)
        right, _ = drawn_half(case, False, width_px)
        told(0.5)
        wrong, _ = drawn_half(case, True, width_px)
    return right, wrong


class OnPaper:
    """Drawings of mistakes, each drawn once for a size."""

    def __init__(self) -> None:
        self._search = BackgroundSearch(_drawn, "the drawing", ends="esc leaves it")
        self._asked: dict[tuple[MistakeCase, int], None] = {}

    def halves(self, case: MistakeCase, half_px: tuple[int, int], unit: float) -> Pair | None:
        """Both drawings on white for halves of a size over the bar; None until they are drawn.

        Parameters
        ----------
        half_px : width of a half of the window, and the window's height
        """
        wide, high = half_px
        low, top = (BAR_HEIGHT + FOOT_HEIGHT) * unit, high - TITLE_HEIGHT * unit
        width = max(LEAST_PX, int(min(wide - 2 * EDGE * unit, (top - low) * HALF_IN / HIGH_IN)))
        if len(self._asked) > MOST_KEPT:
            self.forget()
        self._asked.pop((case, width), None)
        self._asked[case, width] = None  # the last one asked for stands last
        self._search.want(case, width)
        pair = self._search.of(case, width)
        if pair is None:
            return None
        right, wrong = (_on_white(one, half_px, int(BAR_HEIGHT * unit), int(low)) for one in pair)
        return right, wrong

    @property
    def trouble(self) -> str:
        """Why the drawing that was asked for last cannot be made; empty where it can."""
        asked = next(reversed(self._asked), None)
        return self._search.missing(*asked) if asked and self._search.failed(*asked) else ""

    def arrived(self) -> bool:
        """Whether a drawing has just been made."""
        return self._search.arrived()

    def forget(self) -> None:
        """Know nothing more: the engines have changed."""
        self._asked = {}
        self._search.forget()

    def close(self) -> None:
        """End whatever is under way."""
        self._search.close()


def _on_white(
    picture: NDArray[np.uint8], half_px: tuple[int, int], foot_px: int, low_px: int
) -> NDArray[np.uint8]:
    """A drawing in the middle of what covers a half from the foot up, its lower edge at a height of the window."""
    wide, high = half_px
    sheet = np.full((high - foot_px, wide, 3), 255, dtype=np.uint8)
    picture = picture[: high - low_px, :wide]
    left, stop = (wide - picture.shape[1]) // 2, high - low_px
    sheet[stop - picture.shape[0] : stop, left : left + picture.shape[1]] = picture
    return sheet
