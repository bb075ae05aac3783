"""Types of the arrays that everything is computed in."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Index: TypeAlias = NDArray[np.intp]
Mask: TypeAlias = NDArray[np.bool_]
Pick: TypeAlias = Index | Mask
"""Which rows: by their numbers, or by a mask over all of them."""
