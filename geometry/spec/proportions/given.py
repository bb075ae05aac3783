"""The values that a rule of proportion may ask for: those that are known, and on demand those that follow by rule.

Beside the keys of the engine file a rule may ask for facts of the layout, which no single key holds. Their names
have a space in them, so that they are never a key: ``rods to a throw``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, Final, TypeAlias

from geometry.spec.proportions.row import Proportion

Rounding: TypeAlias = Callable[[Proportion, float], float]
RowOf: TypeAlias = Callable[[str], Proportion | None]
DERIVED: Final[dict[str, Callable[[dict[str, float]], float]]] = {}
"""Quantities that several rules share and no key holds, by name: how far the rods swing, where the bore may end."""

_RINGS: Final = ("top", "second", "oil")
_DUTIES: Final[dict[str, tuple[float, float, float, float]]] = {
    "street": (0.0043, 0.0043, 9.5, 15.0),
    "modified": (0.0053, 0.0058, 10.0, 17.0),
    "race": (0.0058, 0.0056, 11.5, 20.0),
    "boost": (0.0063, 0.0060, 8.5, 17.0),
    "blower": (0.0074, 0.0066, 8.5, 17.0),
    "diesel": (0.0040, 0.0040, 17.0, 9.0),
}
"""By duty: gap of top and second ring by the bore, compression ratio, mean piston speed in m/s. The gaps lie a little
above the least that the ring check asks for (``geometry/rings/gap.py`` has the sources); the other two are usual
figures, from memory."""


class Usual(dict[str, float]):
    """House-unit values by key: those given, and by rule whatever else is asked for.

    ``key in values`` asks whether a value was given, never whether it could be worked out, so that a rule can follow
    a neighbour that is known and go its own way otherwise.

    Parameters
    ----------
    given : what is known by key as the user writes it, and the facts of the layout
    row_of : the table of proportions, by key
    rounded : what to make of a value that a rule gives, so that all that follows from it follows from it as it is
        written
    """

    def __init__(self, given: Mapping[str, float], row_of: RowOf, rounded: Rounding | None = None) -> None:
        super().__init__(given)
        self._row_of = row_of
        self.given: Final = frozenset(given)
        self._rounded = rounded
        self._asked: list[str] = []

    def __contains__(self, key: object) -> bool:
        return key in self.given

    def __missing__(self, key: str) -> float:
        """Work a value out.

        Raises
        ------
        KeyError : there is no rule for it
        RuntimeError : rules that ask for each other
        """
        if key in self._asked:
            raise RuntimeError(f"rules of proportion go round in a circle: {' - '.join([*self._asked, key])}")
        self._asked.append(key)
        try:
            if key in DERIVED:
                value = DERIVED[key](self)
            else:
                row = self._row_of(key)
                if row is None or row.rule is None:
                    raise KeyError(key)
                value = row.rule(self)
                value = value if self._rounded is None else self._rounded(row, value)
        finally:
            self._asked.pop()
        self[key] = value
        return value


def facts_of(data: Mapping[str, Any], split: bool) -> dict[str, float]:
    """What the layout and the choices of a file say, as numbers.

    Parameters
    ----------
    data : the file's data, ``engine`` with layout and numbering complete; choices may be missing
    split : whether the two rods of a throw run on split pins
    """
    general = data["engine"]
    banks = [len(general["numbering"].get(bank, ())) for bank in ("line", "left", "right")]
    layout = general["layout"]
    to_throw = data.get("crank", {}).get("rods_per_throw") or (2 if layout == "vee" else 1)
    top, second, ratio, speed_m_s = _DUTIES.get(general.get("duty", "street"), _DUTIES["street"])
    piston, rings = data.get("piston", {}), data.get("rings", {})
    crown = piston.get("crown", {}).get("shape", "flat")
    facts = {
        "bores": float(sum(banks)),
        "bores in a bank": float(max(banks)),
        "in line": float(layout == "inline"),
        "vee": float(layout == "vee"),
        "flat": float(layout == "flat"),
        "rods to a throw": float(to_throw),
        "rods on a pin": 1.0 if split else float(to_throw),
        "split pins": float(split),
        "throws": sum(banks) / to_throw,
        "strokes": float(general.get("strokes", 4)),
        "diesel": float(general.get("duty") == "diesel"),
        "top gap by bore": top,
        "second gap by bore": second,
        "compression ratio": ratio,
        "piston speed m/s": speed_m_s,
        "domed crown": float(crown == "dome"),
        "flat crown": float(crown == "flat"),
        "forged piston": float(piston.get("material") == "forged_aluminium"),
        "nut on the rod bolts": float(_bolt(data) == "bolt_and_nut"),
        "oil ring": float("oil" in rings or "oil" in _grooves(data)),
    }
    for place, ring in enumerate(_grooves(data), start=1):
        facts[f"ring of groove {place}"] = float(_RINGS.index(ring))
    for table, rows in (
        ("valve", data.get("head", {}).get("valves", ())),
        ("pocket", piston.get("pockets", ())),
    ):
        for place, row in enumerate(rows, start=1):
            facts[f"{table} {place} is intake"] = float(row.get("valve") == "intake")
    return facts


def _bolt(data: Mapping[str, Any]) -> str:
    return str(data.get("rod", {}).get("bolt", {}).get("kind", "cap_screw"))


def _grooves(data: Mapping[str, Any]) -> list[str]:
    """Which ring sits in each groove; the usual three where the file has no grooves."""
    grooves = data.get("piston", {}).get("grooves")
    if not isinstance(grooves, list) or not grooves:
        return list(_RINGS)
    rings = [groove.get("ring") if isinstance(groove, Mapping) else None for groove in grooves]
    return [ring if ring in _RINGS else _RINGS[min(k, 2)] for k, ring in enumerate(rings)]


def bare(key: str) -> str:
    """A key without its numbers: ``piston.grooves[2].root`` as ``piston.grooves[].root``.

    Bays go without theirs, and what one bore has of its own counts as what all have: ``bore.3.rod.length``.
    """
    plain = re.sub(r"\[\d*\]", "[]", key)
    plain = re.sub(
        r"^bore\.[^.\[]+\.(diameter$)?", lambda found: "block.bore.diameter" if found[1] else "", plain
    )
    return re.sub(r"^(block\.crankcase\.bays)\.[^.\[]+", r"\1", plain)
