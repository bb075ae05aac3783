"""What each reading is held against: the record's own figure, the engine file's, or else the trade's.

The trade's figures are defaults to be replaced; a part maker's figure always goes first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final, TypeAlias

from geometry.checks.bores import TOO_LOOSE_SQUISH_MM
from geometry.checks.fits import rod_oil_fit, wall_fit
from geometry.clearance.limits import limit_for as clearance_limit
from geometry.record.bench import Bench
from geometry.record.model import LengthLimit, TorqueLimit
from geometry.record.place import BenchPlace
from geometry.record.readings import length_text, value_text
from geometry.record.worn import tightest_bore
from geometry.rings.fitted import gap_target_of, side_limits_of
from geometry.rings.gap import GapTarget
from geometry.rings.source import Source
from geometry.trade import SEATED_MM, FitRange, oil_clearance, rod_side
from geometry.units import INCH_MM

BORE_TOLERANCE_MM: Final = 0.0005 * INCH_MM
PART_TOLERANCE_MM: Final = 0.002 * INCH_MM
END_PLAY_MM: Final = (0.07, 0.23)
STRETCH_MM: Final = (0.005 * INCH_MM, 0.006 * INCH_MM)
CRUSH_MM: Final = 0.10
TORQUE_SPREAD: Final = 0.04


@dataclass(frozen=True, slots=True)
class ReadingLimit:
    """Least and most of a quantity, in the house unit of its dimension.

    Attributes
    ----------
    least, most : None where there is no such limit
    dimension : a key of ``geometry.units.DIMENSIONS``
    source : where the figures come from
    """

    least: float | None
    most: float | None
    dimension: str
    source: Source

    def text(self, bench: Bench) -> str:
        """The limit as a builder reads it; empty when there is none."""
        least, most = (
            None if bound is None else self._one(bound, bench) for bound in (self.least, self.most)
        )
        if least and most and self.least != 0.0:
            return f"{least} to {most}"
        if most:
            return f"at most {most}"
        return f"at least {least}" if least else ""

    def _one(self, value: float, bench: Bench) -> str:
        return value_text(value, self.dimension, bench.system)


Rule: TypeAlias = Callable[[Bench, BenchPlace], ReadingLimit | None]


def limit_of(name: str, bench: Bench, place: BenchPlace) -> ReadingLimit | None:
    """Find what a reading is held against.

    Parameters
    ----------
    name : a key of ``RULES``, as under ``[limits]`` in the record
    bench, place : the engine and where on it

    Returns
    -------
    The limit, or None where neither the record nor any source gives one.
    """
    own = getattr(bench.record.limits, name)
    if isinstance(own, TorqueLimit):
        return ReadingLimit(own.least_nm, own.most_nm, "torque", Source(own.source, "stated"))
    if isinstance(own, LengthLimit):
        return ReadingLimit(own.least_mm, own.most_mm, "length", Source(own.source, "stated"))
    rule = RULES[name]
    return rule(bench, place) if rule else None


def _length(least: float | None, most: float | None, text: str, certainty: str) -> ReadingLimit:
    return ReadingLimit(least, most, "length", Source(text, certainty))  # type: ignore[arg-type]


def _bore_size(bench: Bench, place: BenchPlace) -> ReadingLimit:
    design = bench.engine.block.bore.diameter_mm
    spread = length_text(BORE_TOLERANCE_MM, bench.system)
    return _length(
        design - BORE_TOLERANCE_MM, design + BORE_TOLERANCE_MM,
        f"the engine file's bore, {spread} either way; the tolerance is common practice, no source", "practice",
    )  # fmt: skip


def _of_trade(fit: FitRange | None) -> ReadingLimit | None:
    return None if fit is None else ReadingLimit(fit.least_mm, fit.most_mm, "length", fit.source)


def _near_design(design_mm: float, bench: Bench) -> ReadingLimit:
    spread = length_text(PART_TOLERANCE_MM, bench.system)
    text = f"the engine file's size, {spread} either way; the tolerance is common practice, no source"
    return _length(design_mm - PART_TOLERANCE_MM, design_mm + PART_TOLERANCE_MM, text, "practice")


GAP_LIMITS: Final = {
    "top": "top_gap",
    "second": "second_gap",
    "upper_rail": "rail_gap",
    "lower_rail": "rail_gap",
}
"""Name under ``[limits]`` of each ring's gap."""


def gap_goal(bench: Bench, place: BenchPlace, ring: str) -> GapTarget:
    """Find the gap that a ring should have in this bore: the record's own figure, else what every check uses.

    Parameters
    ----------
    bench, place : the engine and the bore
    ring : one of ``geometry.rings.fitted.GAPPED_RINGS``
    """
    own = getattr(bench.record.limits, GAP_LIMITS[ring])
    if own is not None:
        return GapTarget(own.least_mm or 0.0, own.most_mm, Source(own.source, "stated"))
    return gap_target_of(bench.engine, ring, tightest_bore(bench, place, ring)[1])


def _gap(ring: str) -> Rule:
    def rule(bench: Bench, place: BenchPlace) -> ReadingLimit:
        goal = gap_goal(bench, place, ring)
        return ReadingLimit(goal.min_mm, goal.max_mm, "length", goal.source)

    return rule


def _ring_side(bench: Bench, place: BenchPlace) -> ReadingLimit:
    row = side_limits_of(bench.engine)
    return ReadingLimit(row.min_mm, row.max_mm, "length", row.source)


def _end_play(bench: Bench, place: BenchPlace) -> ReadingLimit:
    return _length(
        *END_PLAY_MM, "service data of a four-cylinder engine, 2008; replaced above 0.30 mm", "published"
    )


def _rod_side(bench: Bench, place: BenchPlace) -> ReadingLimit | None:
    own = bench.engine.limits.rod_side_mm
    fit = rod_side(bench.engine)
    if own is None:
        return _of_trade(fit)
    most = max(fit.most_mm or inf, own)
    return _length(own, most, f"least: your engine file; most: {fit.source.text}", "stated")


def _deck(bench: Bench, place: BenchPlace) -> ReadingLimit:
    """Deck clearance that leaves the head its distance over the tightened gasket."""
    gasket = bench.engine.gasket.thickness_mm
    head = clearance_limit(bench.engine, "piston_to_head")
    loosest = max(TOO_LOOSE_SQUISH_MM, head.least_mm) if bench.engine.piston.crown.shape != "dome" else inf
    least_text, gasket_text = (length_text(value, bench.system) for value in (head.least_mm, gasket))
    loose_text = length_text(loosest, bench.system) if loosest < inf else ""
    text = f"piston to head at least {least_text} ({head.source}), less the gasket's {gasket_text}"
    text += f"; wider than {loose_text} to the head the squish is idle (trade articles)" if loose_text else ""
    return _length(head.least_mm - gasket, loosest - gasket if loosest < inf else None, text, "practice")


def _bolt_torque(bench: Bench, place: BenchPlace) -> ReadingLimit | None:
    torque = bench.engine.rod.bolt.torque_nm
    if torque is None:
        return None
    text = "the bolt maker's torque in the engine file; a torque wrench may be 4 percent out (ISO 6789, from memory)"
    return ReadingLimit(
        torque * (1 - TORQUE_SPREAD), torque * (1 + TORQUE_SPREAD), "torque", Source(text, "memory")
    )


RULES: Final[dict[str, Rule | None]] = {
    "bore_size": _bore_size,
    "piston_to_wall": lambda bench, place: _of_trade(wall_fit(bench.engine)),
    "top_gap": _gap("top"),
    "second_gap": _gap("second"),
    "rail_gap": _gap("upper_rail"),
    "ring_side": _ring_side,
    "bearing": lambda bench, place: _of_trade(rod_oil_fit(bench.engine)),
    "main_bearing": lambda bench, place: _of_trade(oil_clearance(bench.engine.crank.main.diameter_mm)),
    "end_play": _end_play,
    "rod_side": _rod_side,
    "deck": _deck,
    "piston_height": lambda bench, place: _near_design(bench.engine.piston.compression_height_mm, bench),
    "rod_length": lambda bench, place: _near_design(bench.engine.rod.length_mm, bench),
    "bolt_stretch": lambda bench, place: _length(
        *STRETCH_MM,
        "usual for rod bolts (trade magazine, 2015); the bolt maker's figure goes first",
        "secondary",
    ),
    "bolt_stand": lambda bench, place: _length(
        0.0,
        SEATED_MM,
        "a seated head lets no thin feeler blade under it; common practice, no source",
        "practice",
    ),
    "shell_proud": lambda bench, place: _length(
        0.0,
        CRUSH_MM,
        "shells stand out a little to be crushed home, from memory; more means a wrong seat",
        "memory",
    ),
    "bolt_torque": _bolt_torque,
    "main_bolt_torque": None,
    "turning": None,
}
"""How the trade's figure is found, by the name under ``[limits]``; None where no source gives one."""
