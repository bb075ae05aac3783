"""A film as WebP: every colour, and a fraction of a GIF's size."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PIL import Image

QUALITY, EFFORT = 82, 2
"""Of the library, 0 to 100 and 0 to 6: letters stay crisp, and a picture is written faster than it is drawn."""


class Reel(Image.Image):
    """One image of many frames, as the library takes a film, of which only the one that is looked at is held.

    Parameters
    ----------
    count : of frames
    drawn : makes the frame of a number
    """

    def __init__(self, count: int, drawn: Callable[[int], Image.Image]) -> None:
        super().__init__()
        self.n_frames, self._drawn, self._at = count, drawn, -1
        self.seek(0)

    def seek(self, frame: int) -> None:
        """Hold another frame."""
        if frame != self._at:
            made = self._drawn(frame)
            self.im, self._mode, self._size, self._at = made.im, made.mode, made.size, frame

    def tell(self) -> int:
        """Number of the frame that is held."""
        return self._at


def write_webp(target: Path, count: int, drawn: Callable[[int], Image.Image], duration_ms: int) -> None:
    """Write a film that runs round and round."""
    reel = Reel(count, drawn)
    reel.save(
        target, format="WEBP", save_all=True, duration=duration_ms, loop=0, quality=QUALITY, method=EFFORT
    )
