"""How each ring, and what stands still, looks on the clock: told apart by line and marker, never by colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from geometry.rings.angles import Valve
from viewer.paper.page import INK

FAINT: Final = "#e0e3e7"
EDGE: Final = "#a4abb3"
WHITE: Final = "#ffffff"


@dataclass(frozen=True, slots=True)
class RingLook:
    """One ring on the clock.

    Attributes
    ----------
    radius : of its circle, the outermost is 1
    width_pt : of its line
    dashes : matplotlib line style
    marker, filled : at its gap
    hollow : whether the line is drawn as two thin ones
    """

    radius: float
    width_pt: float
    dashes: Any
    marker: str
    filled: bool
    hollow: bool = False


LOOKS: Final[dict[str, RingLook]] = {
    "top": RingLook(1.00, 2.7, "-", "s", True),
    "second": RingLook(0.87, 2.7, "-", "^", True, hollow=True),
    "upper_rail": RingLook(0.73, 0.9, "-", "o", False),
    "expander": RingLook(0.60, 1.5, (0, (1.5, 1.0)), "X", True),
    "lower_rail": RingLook(0.47, 0.9, (0, (7, 2, 1.4, 2)), "D", False),
}
"""From the crown down, drawn from the wall inward so that every gap is seen."""

THRUST_PT: Final = {"major": 4.4, "minor": 1.6}
PIN_DASHES: Final = (0, (9, 2.5, 1.5, 2.5))
POCKET_HATCH: Final[dict[Valve | None, str]] = {"intake": "////", "exhaust": "xxxx"}


def marker_style(role: str, size_pt: float, colour: str = INK) -> dict[str, Any]:
    """Arguments of ``plot`` for the marker of a ring's gap."""
    look = LOOKS[role]
    return {
        "marker": look.marker, "ms": size_pt, "ls": "none", "mec": colour, "mew": 0.9,
        "mfc": colour if look.filled else WHITE,
    }  # fmt: skip
