"""Families of parts in the trade's words: what a person hides, fades, cuts and picks by name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Group:
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


GROUPS: dict[str, Group] = {
    "block": Group("block", ("block", "bore", "bank", "crankcase", "main_web"), encloses=True),
    "head": Group("heads", ("head", "chamber"), encloses=True),
    "gasket": Group("head gaskets", ("gasket", "head_gasket"), encloses=True),
    "pan": Group("oil pan", ("pan", "oil_pan", "tray", "windage_tray"), encloses=True),
    "main caps": Group("main caps", ("main_cap", "main_cap_bolt", "main_bolt")),
    "main bearings": Group("main bearing shells", ("main_bearing_shell", "main_shell")),
    "crank": Group("crankshaft", ("crank", "crankshaft")),
    "cam": Group("camshaft", ("cam", "camshaft")),
    "valves": Group("valves", ("valve", "valves")),
    "pistons": Group("pistons", ("piston",)),
    "pins": Group("piston pins", ("piston_pin", "pin", "wrist_pin", "pin_lock")),
    "rings": Group(
        "rings",
        ("ring", "top_ring", "second_ring", "oil_ring", "upper_rail", "lower_rail", "rail", "expander"),
    ),
    "rods": Group("rods", ("rod", "rod_cap")),
    "rod bolts": Group("rod bolts", ("rod_bolt", "rod_nut")),
    "rod bearings": Group("rod bearing shells", ("bearing_shell", "rod_shell")),
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
