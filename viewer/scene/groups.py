"""Families of parts in the trade's words: what a person hides, fades, cuts and picks by name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Family:
    """A family of parts.

    Attributes
    ----------
    words : as a builder calls it
    kinds : of ``geometry.parts.part.Part``, that are in it
    encloses : stands around the moving parts, so it is drawn as glass or cut open
    """

    words: str
    kinds: tuple[str, ...]
    encloses: bool = False


GROUPS: dict[str, Family] = {
    "block": Family("block", ("block",), encloses=True),
    "head": Family("heads", ("head",), encloses=True),
    "gasket": Family("head gaskets", ("gasket",), encloses=True),
    "pan": Family("oil pan", ("pan",), encloses=True),
    "main caps": Family("main caps", ("main_cap",)),
    "crank": Family("crankshaft", ("crank",)),
    "cam": Family("camshaft", ("cam",)),
    "valves": Family("valves", ("valve",)),
    "pistons": Family("pistons", ("piston",)),
    "pins": Family("piston pins", ("piston_pin",)),
    "rings": Family("rings", ("top_ring", "second_ring", "upper_rail", "expander", "lower_rail")),
    "rods": Family("rods", ("rod", "rod_cap")),
    "rod bolts": Family("rod bolts", ("rod_bolt",)),
    "rod bearings": Family("rod bearing shells", ("bearing_shell",)),
}

MARK = "mark"
"""The group of arrows and dials, which are no parts."""

_BY_KIND = {kind: name for name, group in GROUPS.items() for kind in group.kinds}
ENCLOSING = frozenset(name for name, group in GROUPS.items() if group.encloses)


def group_of(kind: str) -> str:
    """The family of a part kind; a kind that is in none is a family of its own, by its own name."""
    return _BY_KIND.get(kind, kind.replace("_", " "))
