"""The piston pin: in the piston, in the rod, and between its clips."""

from __future__ import annotations

from typing import Final

from geometry.checks.fit_limits import pin_float_fit, pin_in_piston_fit, pin_in_rod_fit
from geometry.record.entry import ClearanceReading
from geometry.record.kind import LimitKind, ReadingKind
from geometry.record.limits import Cure, of_trade

_IN_PISTON: Final = LimitKind(
    "pin_in_piston", "Piston pin in the piston, on the diameter.",
    Cure("stop", "too tight: the pin seizes when hot", "hone the bore to the pin, or a thinner pin"),
    Cure("look", "too loose: the pin knocks", "a thicker pin, the bore honed to it; else another piston"),
    lambda at: of_trade(pin_in_piston_fit(at.bench.engine)),
)  # fmt: skip
_IN_ROD: Final = LimitKind(
    "pin_in_rod", "Piston pin in the rod, on the diameter: clearance, or interference of a pressed pin.",
    Cure("stop", "too little: a pin that turns in the rod seizes, a pressed one works its way out",
         "a floating pin: hone the bush to it; a pressed one: another rod or a thicker pin"),
    Cure("look", "too much: a pin that turns in the rod knocks, a pressed one strains the rod",
         "a floating pin: a new bush honed to it; a pressed one: measure both again, then hone the rod"),
    lambda at: of_trade(pin_in_rod_fit(at.bench.engine)),
)  # fmt: skip
_FLOAT: Final = LimitKind(
    "pin_float", "End float of the piston pin between its clips.",
    Cure("stop", "too little: the pin pushes its clips out of their grooves", "a shorter pin or thinner clips"),
    Cure("look", "too much: the pin hammers its clips out", "a longer pin"),
    lambda at: of_trade(pin_float_fit(at.bench.engine)),
)  # fmt: skip

KINDS: Final = (
    ReadingKind(
        "pin.in_piston", "bore", "bores", "piston pin in the piston", ClearanceReading,
        limit=_IN_PISTON, instrument="bore_gauge_mm", ask=False,
        lay=lambda built, at: built.with_bore(at.number, pin_in_piston_mm=at.known.middle),
    ),
    ReadingKind(
        "pin.in_rod", "bore", "bores", "piston pin in the rod", ClearanceReading,
        limit=_IN_ROD, instrument="bore_gauge_mm", ask=False,
        lay=lambda built, at: built.with_bore(at.number, pin_in_rod_mm=at.known.middle),
    ),
    ReadingKind(
        "pin.float", "bore", "bores", "end float of the piston pin", ClearanceReading,
        limit=_FLOAT, instrument="depth_gauge_mm", ask=False,
        lay=lambda built, at: built.with_bore(at.number, pin_float_mm=at.known.middle),
    ),
)  # fmt: skip
