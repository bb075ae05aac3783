"""Turning a whole scheme on the piston to the place where it keeps every rule with most to spare.

Turning by t moves every gap alike: distances between gaps stay, and each place to keep clear of gives a
margin ``|t - c| - h`` on the circle, with c the turn that would bring gap and place together and h what must
be kept. Each is a triangle wave of slope one up and one down, so the smallest of them is greatest either at
the peak of one wave (opposite its c) or where a rising one crosses a falling one. Those places have a closed
form; all are tried. The result is exact, not the best of a grid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from geometry.rings.angles import separation_deg, signed_deg, wrapped_deg
from geometry.rings.clock import ClockRules, PistonPlaces, fixed_places, pair_margins

_SAME_DEG = 1e-9
"""Margins closer than this count as equal, so that of equal places the nearest turn is chosen."""


@dataclass(frozen=True, slots=True)
class BestTurn:
    """The best place for a scheme on one piston.

    Attributes
    ----------
    turn_deg : how far to turn the whole scheme, clockwise seen from above, -180 to 180
    angles_deg : ring angles that come of it
    least_turn_deg : smallest turn that keeps every rule that turning can change, 0 where the scheme does as it
        stands; None where no turn does
    margin_deg : smallest margin of the rules that turning can change; None where there are none
    keeps_all : whether every rule is kept
    """

    turn_deg: float
    angles_deg: Mapping[str, float]
    least_turn_deg: float | None
    margin_deg: float | None
    keeps_all: bool


def best_turn(angles_deg: Mapping[str, float], rules: ClockRules, places: PistonPlaces) -> BestTurn:
    """Find the turn of a whole scheme that keeps every rule with the greatest margin.

    Parameters
    ----------
    angles_deg : ring angle per ring, before turning
    rules : what must be kept
    places : the piston

    Returns
    -------
    The best turn; of several equally good ones the smallest.
    """
    fixed = fixed_places(angles_deg, rules, places)
    waves = [
        (wrapped_deg(place.centre_deg - angles_deg[place.role]), place.half_deg + place.limit_deg)
        for place in fixed
    ]
    turn = _highest(tuple(waves))
    turned = {role: wrapped_deg(angle + turn) for role, angle in angles_deg.items()}
    margins = [place.margin(turned[place.role]) for place in fixed]
    return BestTurn(
        turn_deg=turn,
        angles_deg=turned,
        least_turn_deg=_least_turn(waves),
        margin_deg=min((margin.margin_deg for margin in margins), default=None),
        keeps_all=all(margin.kept for margin in (*margins, *pair_margins(angles_deg, rules))),
    )


@lru_cache(maxsize=256)
def _highest(waves: tuple[tuple[float, float], ...]) -> float:
    """Find the turn at which the lowest of the waves stands highest."""
    turns = [0.0, *(centre + 180 for centre, _ in waves)]
    for (a, a_half), (b, b_half) in combinations(waves, 2):
        for difference in (a_half - b_half, b_half - a_half):
            middle = (a + b + difference) / 2
            turns += [middle, middle + 180]
    heights = [_lowest(waves, turn) for turn in turns]
    top = max(heights)
    level = [
        signed_deg(turn) for turn, height in zip(turns, heights, strict=True) if height >= top - _SAME_DEG
    ]
    return min(level, key=lambda turn: (round(abs(turn), 9), -turn))


def _lowest(waves: Sequence[tuple[float, float]], turn_deg: float) -> float:
    return min((separation_deg(turn_deg, centre) - half for centre, half in waves), default=0.0)


def _allowed(waves: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """List the stretches of the circle where no wave is below zero: between edges, all or nothing is free."""
    edges = sorted({wrapped_deg(edge) for centre, half in waves for edge in (centre - half, centre + half)})
    if not edges:
        return ((0.0, 360.0),)
    stretches = zip(edges, [*edges[1:], edges[0] + 360], strict=True)
    return tuple((a, b) for a, b in stretches if _lowest(waves, (a + b) / 2) > 0)


def _least_turn(waves: Sequence[tuple[float, float]]) -> float | None:
    """Find the smallest turn that leaves no wave below zero: none, or to the nearest end of a free stretch."""
    if _lowest(waves, 0.0) >= 0:
        return 0.0
    ends = [signed_deg(end) for stretch in _allowed(waves) for end in stretch]
    return min(ends, key=lambda turn: (round(abs(turn), 9), -turn), default=None)
