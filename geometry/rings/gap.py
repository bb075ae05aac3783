"""How wide an end gap should be, what it measures in another bore, and how much to file off."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final, Literal, get_args

from geometry.errors import GeometryError
from geometry.rings.require import finite, not_negative, positive
from geometry.rings.source import Source
from geometry.units import INCH_MM

RingName = Literal["top", "second", "oil_rail", "oil_one_piece"]
RING_NAMES: Final[tuple[RingName, ...]] = get_args(RingName)


@dataclass(frozen=True, slots=True)
class GapRule:
    """A gap in proportion to the bore.

    Attributes
    ----------
    min_per_bore : least gap per bore, in/in or mm/mm
    max_per_bore : greatest gap per bore; None where the source gives none
    source : where the two come from
    """

    min_per_bore: float
    max_per_bore: float | None
    source: Source


@dataclass(frozen=True, slots=True)
class Duty:
    """What an engine is asked to do, and the gaps that one source gives for it.

    Attributes
    ----------
    key : the word in the engine file
    words : the duty in the trade's words
    top, second : rule of the top ring and of every compression ring below it
    """

    key: str
    words: str
    top: GapRule
    second: GapRule


@dataclass(frozen=True, slots=True)
class GapTarget:
    """The gap to aim at in one bore.

    Attributes
    ----------
    min_mm : least gap, mm
    max_mm : greatest gap, mm; None where nobody gives one
    source : where it comes from
    """

    min_mm: float
    max_mm: float | None
    source: Source


_PRACTICE: Final = Source(
    "common practice, no source, for a naturally aspirated street engine: at least 0.0035 in per inch of "
    "bore (also quoted as a ring maker's floor for any compression ring); the practice asks 14 thou and no "
    "more than 20 thou of a 4.030 in bore, from which the upper rule 0.0050 in per inch is derived here",
    "practice",
)
_TABLE_A: Final = Source(
    "a piston maker's published article on ring gaps, seen as quoted elsewhere (table A here); it gives "
    "least gaps only and disagrees with table B about the second ring under race duty",
    "secondary",
)
_TABLE_B: Final = Source(
    "a piston maker's published installation table (table B here): second ring 1.25 times the top ring; it "
    "gives least gaps only and disagrees with table A about the second ring under race duty",
    "published",
)
_SERVICE: Final = Source(
    "service data of a 93 mm petrol V8 (top 0.010 to 0.016 in, second 0.014 to 0.020 in, oil 0.010 to 0.030 "
    "in), taken in proportion to the bore",
    "published",
)
_DIESEL: Final = Source(
    "a ring maker's floor for any compression ring, 0.0035 in per inch of bore, as quoted elsewhere; published "
    "service data of diesels gives gaps without their bores, 0.009 to 0.031 in, and cannot be scaled",
    "secondary",
)
_RAIL: Final = Source(
    "a piston maker's published installation table: oil rails at least 0.015 in", "published"
)
_SERVICE_BORE_MM: Final = 93.0


def _table_a(key: str, words: str, top: float, second: float) -> Duty:
    return Duty(key, words, GapRule(top, None, _TABLE_A), GapRule(second, None, _TABLE_A))


def _table_b(key: str, words: str, top: float) -> Duty:
    return Duty(key, words, GapRule(top, None, _TABLE_B), GapRule(1.25 * top, None, _TABLE_B))


def _service(least_in: float, greatest_in: float) -> GapRule:
    scale = INCH_MM / _SERVICE_BORE_MM
    return GapRule(least_in * scale, greatest_in * scale, _SERVICE)


_FLOOR_PER_BORE: Final = 0.0035
_STREET: Final = GapRule(_FLOOR_PER_BORE, 0.0050, _PRACTICE)
_DIESEL_RULE: Final = GapRule(_FLOOR_PER_BORE, None, _DIESEL)
DUTIES: Final[dict[str, Duty]] = {
    duty.key: duty
    for duty in (
        Duty("street", "street, naturally aspirated", _STREET, _STREET),
        Duty("service_petrol", "production petrol engine", _service(0.010, 0.016), _service(0.014, 0.020)),
        Duty("diesel", "diesel", _DIESEL_RULE, _DIESEL_RULE),
        _table_a("street_table_a", "street", 0.0040, 0.0050),
        _table_a("modified_table_a", "modified street, or nitrous", 0.0050, 0.0055),
        _table_a("race_table_a", "race, naturally aspirated", 0.0055, 0.0053),
        _table_a("boost_race_table_a", "race, nitrous or turbocharged", 0.0060, 0.0057),
        _table_a("blower_race_table_a", "race, mechanically blown", 0.0070, 0.0063),
        _table_b("street_table_b", "street performance", 0.0045),
        _table_b("mild_boost_table_b", "moderate turbocharging or nitrous", 0.0050),
        _table_b("race_table_b", "drag or oval race", 0.0055),
        _table_b("boost_race_table_b", "race, turbocharged or nitrous", 0.0065),
    )
}
"""Every duty that a source gives figures for. The maker's own figure for a ring goes first."""

ROWS_OF_DUTY: Final[dict[str, tuple[str, ...]]] = {
    "street": ("street", "service_petrol", "street_table_a", "street_table_b"),
    "modified": ("modified_table_a", "mild_boost_table_b"),
    "race": ("race_table_a", "race_table_b"),
    "boost": ("boost_race_table_a", "boost_race_table_b"),
    "blower": ("blower_race_table_a",),
    "diesel": ("diesel",),
}
"""Rows of ``DUTIES`` that answer to a duty of the engine file: the one that is used, then the others in print.

Table A covers every duty above street and is used for all of them; table B is shown beside it.
"""


def duty_row(duty: str) -> Duty:
    """Find the row for a duty of the engine file, or for the key of a row itself."""
    return DUTIES[ROWS_OF_DUTY.get(duty, (duty,))[0]]


OIL_RAIL_MIN_MM: Final = 0.015 * INCH_MM
_ONE_PIECE: Final = _service(0.010, 0.030)


def gap_target(bore_mm: float, duty: str, ring: RingName) -> GapTarget:
    """Find the gap that a duty asks for.

    Parameters
    ----------
    bore_mm : finished bore diameter, mm
    duty : a duty of the engine file, or a key of ``DUTIES``
    ring : ``top``; ``second`` for every further compression ring; ``oil_rail``; ``oil_one_piece``

    Returns
    -------
    Least and, where the source gives one, greatest gap, mm, with the source.

    Raises
    ------
    GeometryError : a bore that is not above zero

    Examples
    --------
    >>> round(gap_target(101.6, "street_table_a", "top").min_mm / 25.4, 6)
    0.016
    """
    positive("bore", bore_mm)
    row = duty_row(duty)
    if ring == "oil_rail":
        return GapTarget(OIL_RAIL_MIN_MM, None, _RAIL)
    rule = {"top": row.top, "second": row.second, "oil_one_piece": _ONE_PIECE}[ring]
    greatest = None if rule.max_per_bore is None else rule.max_per_bore * bore_mm
    return GapTarget(rule.min_per_bore * bore_mm, greatest, rule.source)


def stated_target(min_mm: float, max_mm: float | None, who: str) -> GapTarget:
    """Make a target of figures that somebody answers for, such as the sheet in the box of rings.

    Raises
    ------
    GeometryError : a negative least gap, or a greatest gap below the least
    """
    not_negative("gap.min", min_mm)
    if max_mm is not None and finite("gap.max", max_mm) < min_mm:
        raise GeometryError(
            "max_below_min", "gap.max", "the greatest gap is below the least", "least, then greatest"
        )
    return GapTarget(min_mm, max_mm, Source(who, "stated"))


def gap_in_other_bore(gap_mm: float, from_bore_mm: float, to_bore_mm: float) -> float:
    """Carry a gap from the bore in which it was measured to another.

    The ring's own length along the wall does not change, the wall's circumference does: the gap changes by pi
    times the change of diameter.

    Parameters
    ----------
    gap_mm : gap in the first bore, mm
    from_bore_mm, to_bore_mm : the two diameters, mm

    Returns
    -------
    Gap in the second bore, mm. Below zero the ring is too long by that much and does not go in.
    """
    positive("from_bore", from_bore_mm)
    positive("to_bore", to_bore_mm)
    return finite("gap", gap_mm) + pi * (to_bore_mm - from_bore_mm)


def oversize_stock_mm(oversize_mm: float) -> float:
    """Tell how much too long a ring is that was made for a bore larger by ``oversize_mm`` on the diameter."""
    return pi * not_negative("oversize", oversize_mm)


@dataclass(frozen=True, slots=True)
class Filing:
    """How much to take off a ring, both ends together, mm.

    Attributes
    ----------
    at_once_mm : this much can go before measuring again; the least gap is not yet passed, whatever the true
        gap is
    needed_mm : this much surely reaches the least gap
    most_mm : more than this could pass the greatest gap; None where there is no greatest gap
    """

    at_once_mm: float
    needed_mm: float
    most_mm: float | None


def filing(lowest_gap_mm: float, highest_gap_mm: float, target: GapTarget) -> Filing:
    """Work out the filing allowance from a gap known to lie between two figures.

    Parameters
    ----------
    lowest_gap_mm, highest_gap_mm : the gap as it is now, mm; the same number twice for an exact one; below
        zero where the ring is too long to go in
    target : the gap wanted

    Returns
    -------
    Allowance for both ends together; zeros where nothing is to be filed.
    """
    if not highest_gap_mm >= finite("gap.lowest", lowest_gap_mm):
        raise GeometryError("gap_order", "gap", "the highest gap is below the lowest", "lowest, then highest")
    most = None if target.max_mm is None else max(0.0, target.max_mm - highest_gap_mm)
    return Filing(
        at_once_mm=max(0.0, target.min_mm - highest_gap_mm),
        needed_mm=max(0.0, target.min_mm - lowest_gap_mm),
        most_mm=most,
    )
