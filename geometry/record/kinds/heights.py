"""Rod side clearance, and what adds up to where the crown stops: compression height, rod length, deck."""

from __future__ import annotations

from math import inf
from typing import Final

from geometry.built import AS_DESIGNED, Built
from geometry.checks.bores import TOO_LOOSE_SQUISH_MM
from geometry.clearance.limits import limit_for as clearance_limit
from geometry.record.entry import ClearanceReading, DepthReading, SizeReading
from geometry.record.kind import LimitKind, ReadingAt, ReadingKind
from geometry.record.limits import Cure, ReadingLimit, of_trade
from geometry.record.place import BenchPlace
from geometry.record.readings import length_text
from geometry.rings.source import Source
from geometry.spec.engine import Engine
from geometry.stack import stack_of
from geometry.trade import rod_side, rods_share_pins
from geometry.units import INCH_MM, System

PART_TOLERANCE_MM: Final = 0.002 * INCH_MM


def _near(design_mm: float, at: ReadingAt) -> ReadingLimit:
    spread = length_text(PART_TOLERANCE_MM, at.bench.system)
    text = f"the engine file's size, {spread} either way; the tolerance is common practice, no source"
    return ReadingLimit(
        design_mm - PART_TOLERANCE_MM, design_mm + PART_TOLERANCE_MM, Source(text, "practice")
    )


def _side_limit(at: ReadingAt) -> ReadingLimit | None:
    own, fit = at.bench.engine.limits.rod_side_mm, rod_side(at.bench.engine)
    if own is None:
        return of_trade(fit)
    source = Source(f"least: your engine file; most: {fit.source.text}", "stated")
    return ReadingLimit(own, max(fit.most_mm or inf, own), source)


def deck_range(engine: Engine, system: System) -> ReadingLimit:
    """Deck clearance that leaves the head its distance over the tightened gasket, mm.

    Parameters
    ----------
    engine : the engine file
    system : units of the source's words
    """
    gasket, head = engine.gasket.thickness_mm, clearance_limit(engine, "piston_to_head")
    loosest = max(TOO_LOOSE_SQUISH_MM, head.least_mm) if engine.piston.crown.shape != "dome" else inf
    least_text, gasket_text = (length_text(value, system) for value in (head.least_mm, gasket))
    text = f"piston to head at least {least_text} ({head.source}), less the gasket's {gasket_text}"
    if loosest < inf:
        text += f"; wider than {length_text(loosest, system)} to the head the squish is idle (trade articles)"
    most = loosest - gasket if loosest < inf else None
    return ReadingLimit(head.least_mm - gasket, most, Source(text, "practice"))


_SIDE: Final = LimitKind(
    "rod_side", "Side clearance of the rods on a pin.",
    Cure("stop", "no side play: the rods rub on cheek and neighbour",
         "first see whether a rod is turned round and rides on the fillet; then measure rod and pin"),
    Cure("look", "too much: oil is thrown on the walls", "measure rod and pin width"),
    _side_limit,
)  # fmt: skip
_HEIGHT: Final = LimitKind(
    "piston_height", "Compression height.",
    Cure("stop", "a piston of another compression height: it stops short of the deck", "the right piston"),
    Cure("stop", "a piston of another compression height: it comes too near the head", "the right piston"),
    lambda at: _near(at.design.piston.compression_height_mm, at),
)  # fmt: skip
_LENGTH: Final = LimitKind(
    "rod_length", "Rod length between centres.",
    Cure("stop", "a rod of another length, or bent: the piston stops short of the deck", "the right rod"),
    Cure("stop", "a rod of another length: the piston comes too near the head", "the right rod"),
    lambda at: _near(at.design.rod.length_mm, at),
)  # fmt: skip
_DECK: Final = LimitKind(
    "deck", "Crown below the deck.",
    Cure("stop", "too high: the piston comes too close to the head when hot and fast",
         "measure compression height and rod length; else a thicker gasket"),
    Cure("look", "too low: less compression, and the squish is idle",
         "measure compression height and rod length before the block is decked"),
    lambda at: deck_range(at.bench.engine, at.bench.system),
)  # fmt: skip


def _side_wanted(at: ReadingAt) -> bool:
    """One reading serves both rods of a pin; it is asked for at the lower number."""
    partner = at.bench.site(at.place).partner
    if partner is None or not rods_share_pins(at.bench.engine):
        return True
    return at.number < partner and at.bench.entry(BenchPlace("bore", partner), at.kind.path) is None


def _lay_height(built: Built, at: ReadingAt) -> Built:
    design = built.design(at.bench.engine, at.number)
    change_mm = at.known.middle - design.piston.compression_height_mm
    return built.with_bore(at.number, compression_height_change_mm=change_mm)


def _lay_length(built: Built, at: ReadingAt) -> Built:
    design = built.design(at.bench.engine, at.number)
    return built.with_bore(at.number, rod_length_change_mm=at.known.middle - design.rod.length_mm)


def _lay_deck(built: Built, at: ReadingAt) -> Built:
    """Decide over the compression height: a deck reading holds everything between crank and crown."""
    build = built.bore(at.number)
    parts = AS_DESIGNED.with_bore(at.number, piston_from=build.piston_from, rod_from=build.rod_from)
    design_mm = stack_of(at.bench.engine, at.bench.layout, at.number, parts).deck_mm
    change_mm = design_mm - built.bore(at.number).rod_length_change_mm - at.known.middle
    return built.with_bore(at.number, compression_height_change_mm=change_mm)


KINDS: Final = (
    ReadingKind(
        "rod.side", "bore", "side clearance", "rod side clearance", ClearanceReading, limit=_SIDE,
        instrument="depth_gauge_mm", blades=True, ask=_side_wanted, lay=None,
    ),
    ReadingKind(
        "piston.height", "bore", "deck", "compression height", SizeReading, limit=_HEIGHT,
        instrument="micrometer_mm", ask=False, lay=_lay_height,
        replaces="piston.compression_height",
    ),
    ReadingKind(
        "rod.length", "bore", "deck", "rod length", SizeReading, limit=_LENGTH,
        instrument="micrometer_mm", ask=False, lay=_lay_length,
        replaces="rod.length",
    ),
    ReadingKind(
        "deck", "bore", "deck", "crown below deck", DepthReading, limit=_DECK,
        instrument="depth_gauge_mm", lay=_lay_deck, replaces="piston.compression_height",
    ),
)  # fmt: skip
