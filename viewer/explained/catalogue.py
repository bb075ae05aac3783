"""All kinds of drawings, found in their folder."""

from __future__ import annotations

from functools import cache

import viewer.explained.drawings
from geometry.registry import registered
from viewer.explained.drawing import Drawing


@cache
def drawings() -> dict[str, Drawing]:
    """Every kind in the folder, by key."""
    return registered(viewer.explained.drawings, "DRAWING", Drawing, lambda drawing: drawing.key)
