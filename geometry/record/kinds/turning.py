"""The torque that turns the crank: bare, and after each bore."""

from __future__ import annotations

from typing import Final

from geometry.record.entry import TorqueReading
from geometry.record.kind import LimitKind, ReadingKind
from geometry.record.limits import Cure

_TURNING: Final = LimitKind(
    "turning", "Torque that turns the crank.",
    Cure("note", "turns more easily than expected", "nothing, if nothing is missing"),
    Cure("stop", "turns hard", "take out the last thing fitted and look which way round it went in"),
    dimension="torque",
)  # fmt: skip

KINDS: Final = (
    ReadingKind(
        "turning", "crank", "bearings", "torque that turns the bare crank", TorqueReading, limit=_TURNING,
        instrument="torque_nm", lay=None,
    ),
    ReadingKind(
        "turning", "bore", "turning torque", "torque that turns the crank", TorqueReading, limit=_TURNING,
        instrument="torque_nm", lay=None,
    ),
)  # fmt: skip
