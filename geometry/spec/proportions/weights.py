"""Weights that stand in a table of their own."""

from __future__ import annotations

from typing import Final

from geometry.spec.proportions.row import Proportion

ROWS: Final = (
    Proportion(
        "weights.pin", "mass", "scales",
        "scales, the piston pin alone, to 1 gram",
        leaves=0.001,
    ),
    Proportion(
        "weights.locks", "mass", "scales",
        "scales, both locks of a pin, to 1 gram",
        leaves=0.001,
    ),
    Proportion(
        "weights.rings", "mass", "scales",
        "scales, the ring set of one piston, to 1 gram",
        leaves=0.001,
    ),
    Proportion(
        "weights.shells", "mass", "scales",
        "scales, both shells of one big end, to 1 gram",
        leaves=0.001,
    ),
    Proportion(
        "weights.oil", "chosen", "sheet",
        "what your balancing shop allows for oil in a crankpin",
    ),
    Proportion(
        "weights.tolerance", "chosen", "sheet",
        "how far like parts may differ by your balancing shop",
    ),
)  # fmt: skip
