"""Families of parts in the trade's words: what a person hides, fades, cuts and picks by name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Family:
    """A family of parts.

    Attributes
    ----------
    words : as a builder calls it
    encloses : stands around the moving parts, so it is drawn as glass or cut open
    kinds : part kinds in it
    """

    words: str
    kinds: tuple[str, ...]
    encloses: bool = False


GROUPS: dict[str, Family] = {
    "block": Family("block", ("block", "bore", "bank", "crankcase", "main_web"), encloses=True),
    "head": Family("heads", ("head", "chamber"), encloses=True),
    "gasket": Family("head gaskets", ("gasket", "head_gasket"), encloses=True),
    "pan": Family("oil pan", ("pan", "oil_pan", "tray", "windage_tray"), encloses=True),
    "main caps": Family("main caps", ("main_cap", "main_cap_bolt", "main_bolt")),
    "main bearings": Family("main bearing shells", ("main_bearing_shell", "main_shell")),
    "crank": Family("crankshaft", ("crank", "crankshaft")),
    "cam": Family("camshaft", ("cam", "camshaft")),
    "valves": Family("valves", ("valve", "valves")),
    "pistons": Family("pistons", ("piston",)),
    "pins": Family("piston pins", ("piston_pin", "pin", "wrist_pin", "pin_lock")),
    "rings": Family(
        "rings",
        ("ring", "top_ring", "second_ring", "oil_ring", "upper_rail", "lower_rail", "rail", "expander"),
    ),
    "rods": Family("rods", ("rod", "rod_cap")),
    "rod bolts": Family("rod bolts", ("rod_bolt", "rod_nut")),
    "rod bearings": Family("rod bearing shells", ("bearing_shell", "rod_shell")),
}

MARK = "mark"
"""The group of arrows and dials, which are no parts."""

_BY_KIND = {kind: name for name, group in GROUPS.items() for kind in group.kinds}
ENCLOSING = frozenset(name for name, group in GROUPS.items() if group.encloses)


def group_of(kind: str) -> str:
    """The family of a part kind; a kind not listed goes with the longest listed kind that begins or ends it."""
    if kind in _BY_KIND:
        return _BY_KIND[kind]
    near = [known for known in _BY_KIND if kind.startswith(known + "_") or kind.endswith("_" + known)]
    return _BY_KIND[max(near, key=len)] if near else kind.replace("_", " ")


def part_words(name: str) -> str:
    """A body's name as a builder would say it: ``rod_bolt 3 outer`` reads ``rod bolt 3 outer``."""
    return name.replace("_", " ")
