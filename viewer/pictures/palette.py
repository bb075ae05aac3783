"""One palette of 256 colours for a whole film, and pictures put into it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from geometry.arrays import Array

COLOURS = 256
BINS = 64
"""Steps that each channel is told apart in."""
COMMONNESS = 0.4
"""Power of a colour's share of the film with which it counts: at 1 a sky of grey would leave no blue for a label."""
ROUNDS = 12
FEWEST = 1e-9
# Bayer's matrix: thresholds spread evenly over 8 x 8 pixels, the same in every picture, so that what stands still in
# the film stands still in its dots (B. E. Bayer, ICC 1973).
_TWO = np.array([[0, 2], [3, 1]])


def _bayer(doublings: int) -> Array:
    found = np.zeros((1, 1))
    for _ in range(doublings):
        found = np.block([[4 * found + step for step in row] for row in _TWO])
    return np.asarray((found + 0.5) / found.size)


THRESHOLDS = _bayer(3).astype(np.float32)


class Palette:
    """Colours chosen from a film's own, and a table from each of its colours to the two that mix it best.

    Parameters
    ----------
    counts : (BINS ** 3,) pixels of each colour in the film, from ``counted``
    """

    def __init__(self, counts: NDArray[np.int64]) -> None:
        used = np.flatnonzero(counts)
        colours = np.column_stack(np.unravel_index(used, (BINS,) * 3)) * (255.0 / (BINS - 1))
        lab = oklab(colours)
        centres = _chosen(lab, counts[used].astype(float) ** COMMONNESS)
        nearest = cKDTree(lab).query(centres)[1]
        self.colours = np.round(colours[np.unique(nearest)]).astype(np.uint8)
        self._place = np.zeros(BINS**3, dtype=np.uint8)
        self._place[used] = cKDTree(oklab(self.colours)).query(lab)[1]

    def indexed(self, picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """A picture of the film (h, w, 3) as places in the palette (h, w)."""
        return np.asarray(self._place[keys_of(picture)])


def keys_of(picture: NDArray[np.uint8]) -> NDArray[np.int32]:
    """The number of the bin of each pixel's colour, (h, w); dotted, so that a slow change makes no steps."""
    high, wide, _ = picture.shape
    rounding = np.tile(THRESHOLDS, (high // 8 + 1, wide // 8 + 1))[:high, :wide, None]
    step = (picture * np.float32((BINS - 1) / 255.0) + rounding).astype(np.int32)
    return np.asarray((step[..., 0] * BINS + step[..., 1]) * BINS + step[..., 2])


def counted(picture: NDArray[np.uint8]) -> NDArray[np.int64]:
    """How many pixels of each bin there are in a picture, (BINS ** 3,)."""
    return np.bincount(keys_of(picture).ravel(), minlength=BINS**3)


def oklab(colours: NDArray[Any]) -> Array:
    """Colours (n, 3) of sRGB, 0 to 255, where equal steps look equal (B. Ottosson, "OKLab", 2020)."""
    share = np.asarray(colours, dtype=float) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    cones = linear @ np.array(
        [
            [0.4122214708, 0.2119034982, 0.0883024619],
            [0.5363325363, 0.6806995451, 0.2817188376],
            [0.0514459929, 0.1073969566, 0.6299787005],
        ]
    )
    return np.asarray(
        np.cbrt(cones)
        @ np.array(
            [
                [0.2104542553, 1.9779984951, 0.0259040371],
                [0.7936177850, -2.4285922050, 0.7827717662],
                [-0.0040720468, 0.4505937099, -0.8086757660],
            ]
        )
    )


def _chosen(lab: Array, weight: Array) -> Array:
    """Centres (k, 3) of the colours, weighted: by Lloyd's rounds, begun where much lies far from what is chosen."""
    if len(lab) <= COLOURS:
        return lab
    centres = [lab[int(np.argmax(weight))]]
    far = np.full(len(lab), np.inf)
    for _ in range(COLOURS - 1):
        far = np.minimum(far, ((lab - centres[-1]) ** 2).sum(axis=1))
        centres.append(lab[int(np.argmax(weight * far))])
    found = np.array(centres)
    for _ in range(ROUNDS):
        owner = cKDTree(found).query(lab)[1]
        total = np.bincount(owner, weight, minlength=len(found))
        sums = np.column_stack(
            [np.bincount(owner, weight * lab[:, k], minlength=len(found)) for k in range(3)]
        )
        found = np.where(total[:, None] > 0, sums / np.maximum(total, FEWEST)[:, None], found)
    return found
