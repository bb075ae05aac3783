"""Which answers wait for which values: what a table would otherwise answer from proportions alone.

A value that is written, measured or about, is something to answer from. One that was filled in is not: an answer that
stands on it is none, and the table, or the one figure in it, says what it waits for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, Protocol

from geometry.doubt import Origin
from geometry.spec.engine import NUMBERS_MAX, Engine
from geometry.spec.proportions.given import bare


class HasOrigin(Protocol):
    """One value of an engine file, as ``spec.described.KnownValue``."""

    @property
    def key(self) -> str:
        """As the user writes it."""

    @property
    def origin(self) -> Origin:
        """Where it comes from."""


class HasValues(Protocol):
    """An engine and its values, as ``spec.described.Described``."""

    @property
    def spec(self) -> Engine:
        """The engine."""

    @property
    def values(self) -> Sequence[HasOrigin]:
        """Every quantity of it."""


_STACK: Final = ("rod.length", "piston.compression_height", "block.deck_height")
_COMPRESSION: Final = (*_STACK, "head.chamber", "gasket.thickness", "gasket.bore")

NEEDS: Final[Mapping[str, tuple[str, ...]]] = {
    "bores": ("rod.length",),
    "clearances": (
        *_STACK, "block.bore.length", "rod.bolt.spacing", "crank.counterweight.radius", "block.pan_rail.inside",
    ),
    "notch": ("block.bore.wall", "block.bore.notch.depth"),
    "sides": ("crank.pin.width", "rod.big_end.width", "crank.pin.fillet"),
    "passage": ("rod.big_end.bore", "rod.bolt.spacing"),
    "fasteners": ("rod.bolt.diameter",),
    "balance": ("rod.length", "piston.compression_height", "rod.big_end.bore"),
}  # fmt: skip
"""By the key of a section: what must be written before any of its table is worth printing."""


def _ring_needs() -> Iterator[tuple[tuple[str, str], tuple[str, ...]]]:
    """Of each ring: its gap, its room in the groove, and how far it travels."""
    for table, words in (
        ("top", "top ring"),
        ("second", "second ring"),
        ("oil", "upper rail"),
        ("oil", "lower rail"),
    ):
        gap, wall = ("rail_gap", "rail_wall") if table == "oil" else ("gap", "wall")
        back = (f"rings.{table}.{wall}", "piston.grooves[].root")
        yield ("rings", f"gap of {words}"), (f"rings.{table}.{gap}",)
        yield ("rings", f"hot gap of {words}"), (f"rings.{table}.{gap}",)
        if table != "oil":
            yield ("rings", f"side of {words}"), (f"rings.{table}.height", "piston.grooves[].height")
        yield ("rings", f"back of {words}"), back
        yield ("rings", f"back of {words} at the wall"), (*back, "piston.land_clearance")
        yield ("rings", f"{words} above TDC"), (*_STACK, "piston.grooves[].from_crown")
        for below in ("below BDC", "above the notch"):
            yield ("rings", f"{words} {below}"), (*_STACK, "piston.grooves[].from_crown", "block.bore.length")


def _main_needs() -> Iterator[tuple[tuple[str, str], tuple[str, ...]]]:
    """Of each main: its oil clearance, and the room of its shell beside the fillet."""
    for number in range(1, NUMBERS_MAX + 2):
        yield ("fits", f"main oil clearance {number}"), ("crank.main.diameter",)
        room = ("crank.main.diameter", "crank.main.width", "crank.main.fillet")
        yield ("fits", f"main shell to fillet {number}"), room


FIGURE_NEEDS: Final[Mapping[tuple[str, str], tuple[str, ...]]] = {
    ("summary", "compression ratio"): _COMPRESSION,
    ("bores", "deck"): _STACK,
    ("bores", "to head"): (*_STACK, "gasket.thickness"),
    ("fits", "rod oil clearance"): ("crank.pin.diameter", "rod.big_end.bore", "rod.bearing.wall"),
    ("fits", "skirt clearance"): ("piston.skirt.clearance",),
    ("fits", "skirt warm"): ("piston.skirt.clearance",),
    ("fits", "pin to wall"): ("piston.pin.diameter", "piston.pin.length"),
    ("fits", "pin in piston"): ("piston.pin.diameter",),
    ("fits", "pin in rod"): ("piston.pin.diameter",),
    ("fits", "pin end float"): ("piston.pin.length",),
    **dict(_main_needs()),
    **dict(_ring_needs()),
}
"""By the key of a section and the name of a figure in it: what must be written before that figure is worth printing.
What holds for its section holds for the figure too."""

CELL_NEEDS: Final[Mapping[tuple[str, str], tuple[str, ...]]] = {
    ("summary", "rod_stroke_ratio"): ("rod.length",),
    ("summary", "rod_throw_ratio"): ("rod.length",),
    ("summary", "speed_rpm"): ("engine.speed",),
    ("summary", "mean_piston_speed_m_s"): ("engine.speed",),
    ("bores", "compression_ratio"): _COMPRESSION,
    ("bores", "peak_piston_speed_m_s"): ("engine.speed",),
    ("bores", "peak_piston_acceleration_m_s2"): ("engine.speed",),
    ("clocks", "way_top_to_second_mm"): ("piston.land_clearance",),
    ("rings", "side_mm"): ("rings.oil.height", "piston.grooves[].height"),
    ("rings", "gap_area_mm2"): ("piston.land_clearance",),
    ("rings", "gap_area_in_turn_mm2"): ("rings.top.gap", "rings.second.gap", "piston.land_clearance"),
}
"""By the key of a section and of a cell that no figure stands in: the same."""


def waiting(described: HasValues) -> dict[str, tuple[str, ...]]:
    """Which sections wait, and for which keys; empty where all that they need is written."""
    filled = _filled(described)
    found = {section: tuple(key for key in keys if key in filled) for section, keys in NEEDS.items()}
    if described.spec.block.bore.notch is None:
        del found["notch"]
    return {section: keys for section, keys in found.items() if keys}


def waiting_figures(described: HasValues) -> dict[tuple[str, str], tuple[str, ...]]:
    """Which single figures wait, by section and name, and for which keys; not those that the file asks nothing of."""
    spec, found = described.spec, _lacking(FIGURE_NEEDS, described)
    written = {
        "main ": spec.block.main_bearing,
        "pin in piston": spec.piston.boss.bore_mm,
        "pin in rod": spec.rod.small_end.bore_mm,
        "pin end float": spec.piston.clips,
    }
    left_out = tuple(beginning for beginning, value in written.items() if value is None)
    return {
        (s, name): keys for (s, name), keys in found.items() if s != "fits" or not name.startswith(left_out)
    }


def waiting_cells(described: HasValues) -> dict[tuple[str, str], tuple[str, ...]]:
    """Which cells wait that no figure stands in, by section and key of the cell, and for which keys."""
    return _lacking(CELL_NEEDS, described)


def _lacking(
    needs: Mapping[tuple[str, str], tuple[str, ...]], described: HasValues
) -> dict[tuple[str, str], tuple[str, ...]]:
    filled = _filled(described)
    found = {name: tuple(key for key in keys if key in filled) for name, keys in needs.items()}
    return {name: keys for name, keys in found.items() if keys}


def _filled(described: HasValues) -> frozenset[str]:
    """Keys of what was filled in, arrays without their numbers: one groove that nobody measured is enough."""
    return frozenset(bare(value.key) for value in described.values if value.origin == "filled")
