"""Whether the sizes of an engine are usual beside each other, and which one most likely is not.

Impossible is what the rules of ``clashes`` refuse. This is about what could be and hardly is: a slip of the decimal
point or of the unit, a value of another engine. Every proportion of the table holds a value against its neighbours,
in logarithm; the value whose change alone would make all of them usual is the one at fault.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import isfinite, log, pi
from typing import Any, Final

from geometry.spec.base import quantity_of
from geometry.spec.engine import Engine
from geometry.spec.known import look_up
from geometry.spec.locate import read_written
from geometry.spec.proportions.fill import given_of
from geometry.spec.proportions.given import Usual, bare
from geometry.spec.proportions.row import DimensionKind, ValuesByKey
from geometry.spec.proportions.table import usual
from geometry.spec.suspect import SLIPS, Suspect

_WIDEST: Final[Mapping[DimensionKind, float]] = {
    "journal": 2.0, "machined": 2.4, "stock": 2.6, "forged": 2.4, "cast": 2.8, "depth": 4.0, "volume": 4.0,
    "angle": 2.2, "mass": 4.0, "torque": 3.5, "material": 4.0,
}  # fmt: skip
"""How many times its usual value a dimension may be, or how small a part of it, before it is remarked on: half as much
again as the widest of the demo engines, or more (judgement, no source)."""
_LEFT_OUT: Final = frozenset({
    "cam.up", "piston.pockets[].forward", "piston.pockets[].inward", "head.valves[].forward", "head.valves[].inward",
    "rod.chamfer.other", "block.bore.length", "crank.counterweight.radius", "piston.skirt.bottom",
})  # fmt: skip
"""Positions that hang on the layout more than on any size; and what the table works out from the swing of the rods,
which takes its time and is here held to stroke and bore instead."""
_OWN: Final[Mapping[str, tuple[Callable[[ValuesByKey], float], float]]] = {
    "rod.length": (lambda v: 1.72 * v["crank.stroke"], 1.8),
    "block.bore.length": (lambda v: 1.7 * v["crank.stroke"], 2.0),
    "crank.counterweight.radius": (
        lambda v: v["crank.stroke"] / 2 + 0.311 * v["block.bore.diameter"], 2.0),
    "piston.compression_height": (
        lambda v: (0.62 if v["diesel"] else 0.4) * v["block.bore.diameter"], 2.0),
    "piston.skirt.bottom": (lambda v: 0.25 * v["block.bore.diameter"], 3.0),
}  # fmt: skip
"""Proportions beside those of the table, which follows the deck height where it is known (demo engines; no source)."""
_DECK: Final = 0.04
"""How far from the deck the crown may stop, as a share of the stroke, for a change to be believed."""
_BACK: Final = {0: (1.1, 1.5), 1: (1.1, 1.5), 2: (1.3, 1.8)}
"""Depth of a groove over the wall of its ring, for top, second and oil ring: usual, and how far from that it may be
(demo engines 1.01 to 1.10, rails 1.20 to 1.47; judgement, no source)."""
USUAL_COMPRESSION: Final = {"petrol": (7.0, 13.0), "diesel": (14.0, 24.0)}
"""Compression ratios that are usual for what the engine burns (common practice, no source)."""
_MOST: Final = 4.0
"""No one proportion counts for more than so many widths: a wild value spoils many, and each says the same."""
_AS_GOOD: Final = 0.3
_LEAST_FAULT: Final = 0.03
"""What is out by less is no fault, however much it moves: a crown by a hair above the deck undoes any volume."""
_ITSELF: Final = " by itself"
_POCKETS: Final = 0.012
_DISH: Final = 0.04
_WIDEST_CROWN: Final = 4.0
"""Volume of the pockets of a flat crown, of a dish or dome, as a share of what the piston sweeps (demo engines: up to
0.011 and 0.052); how many times that it may be."""
_CROWN: Final = "crown at the deck"
_MOST_NAMED: Final = 3
_RINGS: Final = ("rings.top.wall", "rings.second.wall", "rings.oil.rail_wall")


@dataclass(frozen=True, slots=True)
class _Proportion:
    """One thing that is held to be usual: its key, how far off it may be in logarithm, and by how much it is."""

    key: str
    widest: float
    off: Callable[[Usual], float | None]


class _Watched(Usual):
    """Values that remember which of the given ones were asked for."""

    def __init__(self, given: Mapping[str, float]) -> None:
        super().__init__(given, usual)
        self.asked: set[str] = set()

    def __getitem__(self, key: str) -> float:
        self.asked.add(key)
        return super().__getitem__(key)

    def get(self, key: str, default: Any = None) -> Any:
        """As of a dict: what is given, or else the default."""
        self.asked.add(key)
        return super().get(key, default)


def suspect(data: Mapping[str, Any]) -> Suspect | None:
    """The value of an engine file that is most likely wrong; None where everything is usual beside its neighbours.

    Parameters
    ----------
    data : as a TOML reader or a model gives them; what cannot be read is left out
    """
    found = given_of(data)
    given = {key: found[key] for key in found.given}
    held = tuple(_held(given))
    values = Usual(given, usual)
    off = {one.key: _off(one, values) for one in held}
    # where the crown stops is for the check of the decks to say; here it tells only which change is to be believed
    unusual = [key for key, number in off.items() if abs(number) > 1.0 and key != _CROWN]
    if not unusual:
        return None
    reads = {one.key: _reads(one, given) for one in held}
    return _most_likely(given, held, off, reads, unusual)


def _held(given: Mapping[str, float]) -> Iterator[_Proportion]:
    """All that is held to be usual."""
    for key in given:
        row = usual(key)
        if row is None or row.rule is None or row.kind not in _WIDEST or bare(key) in _LEFT_OUT:
            continue
        if _dimension(key):
            yield _Proportion(key, log(_WIDEST[row.kind]), _by_rule(key, row.rule))
    for place in range(1, 4):
        ring = given.get(f"ring of groove {place}", -1.0)
        if f"piston.grooves[{place}].root" in given and ring >= 0.0:
            middle, widest = _BACK[int(ring)]
            yield _Proportion(
                f"depth of groove {place}", log(widest), _by_depth(place, _RINGS[int(ring)], middle)
            )
    for key, (rule, widest) in _OWN.items():
        if key in given:
            yield _Proportion(f"{key}{_ITSELF}", log(widest), _by_rule(key, rule))
    if "piston.crown.volume" in given:
        yield _Proportion(f"piston.crown.volume{_ITSELF}", log(_WIDEST_CROWN), _crown_volume)
    yield _Proportion("compression", 1.0, _compression)
    yield _Proportion(_CROWN, _DECK, _crown)


def _by_rule(key: str, rule: Callable[[ValuesByKey], float]) -> Callable[[Usual], float | None]:
    def off(values: Usual) -> float | None:
        return _in_logarithm(values[key], rule(values))

    return off


def _by_depth(place: int, wall: str, middle: float) -> Callable[[Usual], float | None]:
    def off(values: Usual) -> float | None:
        land = values["block.bore.diameter"] - values["piston.land_clearance"]
        return _in_logarithm((land - values[f"piston.grooves[{place}].root"]) / 2, middle * values[wall])

    return off


def _compression(values: Usual) -> float | None:
    """Volume left at the top against that of the duty's usual compression; one where the usual compressions end."""
    if not {"head.chamber", "gasket.thickness", "block.deck_height", "rod.length"} <= values.given:
        return None
    area = pi / 4 * values["block.bore.diameter"] ** 2 / 1000.0
    swept = area * values["crank.stroke"]
    below = values["block.deck_height"] - values["crank.stroke"] / 2 - values["rod.length"]
    left = area * (below - values["piston.compression_height"]) + values["head.chamber"]
    left += pi / 4 * values["gasket.bore"] ** 2 * values["gasket.thickness"] / 1000.0
    left += values.get("piston.crown.volume", 0.0) * (-1.0 if values["domed crown"] else 1.0)
    low, high = USUAL_COMPRESSION["diesel" if values["diesel"] else "petrol"]
    middle = swept / (values["compression ratio"] - 1.0)
    off = _in_logarithm(left, middle)
    return None if off is None else off / abs(log(swept / ((low if off > 0.0 else high) - 1.0) / middle))


def _crown_volume(values: Usual) -> float | None:
    """Volume of pockets, dish or dome where it is more than usual; any that is less is usual too."""
    swept = pi / 4 * values["block.bore.diameter"] ** 2 * values["crank.stroke"] / 1000.0
    middle = swept * (_POCKETS if values["flat crown"] else _DISH)
    return _in_logarithm(max(values["piston.crown.volume"], middle), middle)


def _crown(values: Usual) -> float | None:
    """How far below the deck the crown stops, as a share of the stroke."""
    if not {"block.deck_height", "rod.length", "piston.compression_height"} <= values.given:
        return None
    reach = values["crank.stroke"] / 2 + values["rod.length"] + values["piston.compression_height"]
    return (values["block.deck_height"] - reach) / values["crank.stroke"]


def _stroke_by_deck(values: Usual) -> float | None:
    """The stroke that brings the crown to the deck, where the table of proportions knows only that of the bore."""
    if not {"block.deck_height", "rod.length", "piston.compression_height"} <= values.given:
        return None
    return 2 * (values["block.deck_height"] - values["rod.length"] - values["piston.compression_height"])


def _in_logarithm(value: float, middle: float) -> float | None:
    """How far a value lies from the usual; None where either is no size."""
    return log(value / middle) if value > 0.0 and middle > 0.0 else None


def _off(one: _Proportion, values: Usual) -> float:
    """How many widths off a proportion is; zero where it cannot be told."""
    number = _asked(one.off, values)
    return 0.0 if number is None else number / one.widest


def _asked(rule: Callable[[Usual], float | None], values: Usual) -> float | None:
    """What a rule gives; None where it goes beyond what can be: such values are what this is about."""
    try:
        number = rule(values)
    except (KeyError, ArithmeticError, ValueError):
        return None
    return number if isinstance(number, float) and isfinite(number) else None


def _reads(one: _Proportion, given: Mapping[str, float]) -> set[str]:
    """The given sizes that a proportion hangs on."""
    watched = _Watched(given)
    _asked(one.off, watched)
    return {key for key in watched.asked if key in given and _dimension(key)}


@cache
def _dimension(key: str) -> str:
    """The dimension of a size that is above zero; empty for a fact of the layout, a position, a choice."""
    path = read_written(key)
    field = None if path is None else look_up(Engine, path)[0]
    quantity = None if field is None else quantity_of(field.annotation, field.metadata)
    if quantity is None or (quantity.least < 0.0 and quantity.dimension != "volume"):
        return ""
    return quantity.dimension


@dataclass(frozen=True, slots=True)
class _Trial:
    """One value changed: what is left that is unusual, and how far all is from the usual."""

    key: str
    value: float
    slip: float
    hard: float
    soft: float

    @property
    def badness(self) -> float:
        """What is unusual counts first."""
        return self.hard + 0.05 * self.soft


def _most_likely(
    given: Mapping[str, float],
    held: tuple[_Proportion, ...],
    off: Mapping[str, float],
    reads: Mapping[str, set[str]],
    unusual: list[str],
) -> Suspect | None:
    keys = sorted({key for one in unusual for key in reads[one] if given[key] > 0.0})
    trials = [trial for key in keys for trial in _trials(key, given, held, off, reads)]
    if not trials:
        return None
    best = min(trials, key=lambda trial: trial.badness)
    slips = [t for t in trials if t.key == best.key and t.slip and t.badness <= best.badness + _AS_GOOD]
    best = min(slips, key=lambda trial: trial.badness, default=best)
    return _told(best, given, unusual, off, reads)


def _trials(
    key: str,
    given: Mapping[str, float],
    held: tuple[_Proportion, ...],
    off: Mapping[str, float],
    reads: Mapping[str, set[str]],
) -> Iterator[_Trial]:
    """One value as its own neighbours have it, and less each slip of the pen."""
    changed = [one for one in held if key in reads[one.key]]
    rest = [number for name, number in off.items() if key not in reads[name]]
    tried = [(given[key] * slip, 1.0 / slip) for one in SLIPS for slip in (one, 1.0 / one)]
    row = usual(key)
    own = _asked(row.rule, Usual(given, usual)) if row is not None and row.rule is not None else None
    by_deck = _asked(_stroke_by_deck, Usual(given, usual)) if key == "crank.stroke" else None
    tried += [(value, 0.0) for value in (own, by_deck) if value is not None]
    for value, slip in tried:
        if value > 0.0 and abs(value / given[key] - 1.0) > _LEAST_FAULT:
            values = Usual({**given, key: value}, usual)
            numbers = [*rest, *(_off(one, values) for one in changed)]
            hard = sum(min(max(abs(number) - 1.0, 0.0), _MOST) for number in numbers)
            hard += 0.0 if own is not None else _AS_GOOD
            yield _Trial(key, value, slip, hard, sum(min(number * number, _MOST) for number in numbers))


def _told(
    best: _Trial,
    given: Mapping[str, float],
    unusual: list[str],
    off: Mapping[str, float],
    reads: Mapping[str, set[str]],
) -> Suspect:
    """The suspect with the neighbours that speak against it: its own, and those that it makes unusual."""
    worst = sorted(unusual, key=lambda one: (_ITSELF not in one, -abs(off[one])))
    against = [one.removesuffix(_ITSELF) for one in worst if best.key in reads[one]]
    own = sorted(reads.get(best.key, set()))
    others = [key for one in unusual if best.key in reads[one] for key in sorted(reads[one])]
    named = dict.fromkeys([*own[:1], *against, *own, *others])
    neighbours = [key for key in named if key in given and key != best.key]
    return Suspect(
        best.key,
        _dimension(best.key),
        given[best.key],
        best.value,
        tuple(neighbours[:_MOST_NAMED]),
        best.slip,
        best.hard <= _AS_GOOD,
    )
