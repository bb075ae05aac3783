"""How each value in doubt is measured, what that costs in this shop, and what one clearance itself would cost."""

from __future__ import annotations

import re

from geometry.doubts.box import Coordinate, DoubtBox
from geometry.doubts.next_measure import Means
from geometry.spec.measuring import Measuring
from geometry.spec.proportions.instruments import CLAY, SAME_SET_UP, TOOLS
from geometry.spec.proportions.table import usual

_OF_ONE_BORE = re.compile(r"bore\.(\d+)\.(.+)")


def means_of(box: DoubtBox) -> dict[str, Means]:
    """By key, how each value in doubt is measured; a reading of a build record was measured already and has none."""
    own = box.described.spec.measuring
    found = ((c.key, _means(c, own)) for c in box.coordinates if c.path is not None)
    return {key: means for key, means in found if means is not None}


def clay_minutes(box: DoubtBox) -> float:
    """What it costs in this shop to measure one clearance itself."""
    return box.described.spec.measuring.of("clay", CLAY.minutes)


def dimensions_of(box: DoubtBox) -> dict[str, str]:
    """By key, the dimension of each value of the engine file that is in doubt."""
    return {value.key: value.dimension for value in box.described.doubted}


def _means(coordinate: Coordinate, own: Measuring) -> Means | None:
    bore, key = _bore_and_key(coordinate.key)
    row = usual(key) or usual(f"block.bore.{key}")
    if row is None:
        return None
    tool = TOOLS[row.instrument]
    minutes = own.of(row.instrument, tool.minutes)
    leaves = tool.leaves if row.leaves is None else row.leaves
    part = f"{key.split('.')[0]} {bore}".rstrip()
    return Means(row.instrument, minutes, SAME_SET_UP * minutes, leaves, part, row.how)


def _bore_and_key(key: str) -> tuple[str, str]:
    """The number of the one bore that a key is about, if any, and the key as it is for all of them."""
    found = _OF_ONE_BORE.fullmatch(key)
    return (found[1], found[2]) if found else ("", key)
