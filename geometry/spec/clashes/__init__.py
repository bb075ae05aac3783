"""Parts that cannot go together, and sizes that no part can have.

Limits that are not plain geometry lie far beyond practice: what is past them is a slip of the decimal point or
of the unit, and every later answer would be worthless. Whatever somebody could really have built, and wrongly,
is left to the checks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from geometry.spec.base import Broken
from geometry.spec.clashes import bearings, block, bolts, crank, piston, rings, rod, top

if TYPE_CHECKING:
    from geometry.spec.engine import Engine


def clashes(spec: Engine) -> list[Broken]:
    """Every broken rule of an engine."""
    return [
        Broken(key, what, right)
        for part in (crank, rod, piston, rings, block, bearings, top, bolts)
        for key, is_broken, what, right in part.rules(spec)
        if is_broken
    ]
