"""When each bore fires: the turn of each top dead centre that the firing order, or evenness, picks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.errors import GeometryError


@dataclass(frozen=True, slots=True)
class Firing:
    """When each bore fires in one working cycle.

    Attributes
    ----------
    order : bores by the builder's numbers, in firing order
    at_deg : engine crank degrees at which each fires, in the same order
    cycle_deg : 720 for four strokes, 360 for two
    choices : how many orders fire as evenly as this one, where it was derived; 0 where it was given
    """

    order: tuple[int, ...]
    at_deg: tuple[float, ...]
    cycle_deg: float
    choices: int = 0

    @property
    def derived(self) -> bool:
        """Whether nobody wrote the order down."""
        return self.choices > 0

    @property
    def intervals_deg(self) -> tuple[float, ...]:
        """From each firing to the next, round the cycle."""
        ends = (*self.at_deg[1:], self.at_deg[0] + self.cycle_deg)
        return tuple(b - a for a, b in zip(self.at_deg, ends, strict=True))


def build_firing(tops: dict[int, float], order: list[int] | None, strokes: int) -> Firing:
    """Fire each bore at one of its top dead centres, in the given order or the most even one.

    Parameters
    ----------
    tops : true top dead centre of each bore, deg in [0, 360), by the builder's number
    order : firing order, or None to derive it
    strokes : 2 or 4 per working cycle

    Raises
    ------
    GeometryError
        The throws cannot fire in this order.

    Examples
    --------
    >>> build_firing({1: 0.0, 2: 180.0, 3: 180.0, 4: 0.0}, [1, 3, 4, 2], strokes=4).at_deg
    (0.0, 180.0, 360.0, 540.0)
    """
    cycle = 180.0 * strokes
    turns = int(cycle // 360)
    at, choices = _most_even(tops, turns)
    found = sorted(at, key=lambda bore: (at[bore], bore))
    if order is not None:
        must_fire_together = len({round(angle, 3) for angle in at.values()}) < len(at)
        times = _follow(order, tops, cycle, must_fire_together)
        if times is not None:
            return Firing(tuple(order), times, cycle)
        raise GeometryError(
            "firing_order",
            "engine.firing_order",
            f"the throws cannot fire in the order {'-'.join(map(str, order))}",
            f"an order that this crank allows, such as {'-'.join(map(str, found))}",
        )
    return Firing(tuple(found), tuple(at[bore] for bore in found), cycle, choices)


def _follow(
    order: list[int], tops: dict[int, float], cycle: float, together: bool
) -> tuple[float, ...] | None:
    """Times at which the bores can fire in this order within one cycle, or None.

    Two bores may fire ``together`` only on a crank that cannot part them.
    """
    for slack in (1e-3, -1e-3) if together else (1e-3,):
        now = tops[order[0]]
        times = [now]
        for bore in order[1:]:
            wait = (tops[bore] - now) % 360.0
            now += wait if wait > slack else wait + 360.0
            times.append(now)
        if times[-1] - times[0] < cycle - 1e-3:
            return tuple(times)
    return None


def _most_even(tops: dict[int, float], turns: int) -> tuple[dict[int, float], int]:
    """Choose for each bore the turn in which it fires so that the intervals come out as even as can be.

    Returns
    -------
    When each fires, and how many orders are as even.
    """
    names = sorted(tops)
    base = np.array([tops[n] for n in names])
    count = len(names)
    choices = (np.arange(turns ** (count - 1))[:, None] // turns ** np.arange(count - 1)[::-1]) % turns
    choices = np.hstack([np.zeros((len(choices), 1), dtype=int), choices])
    times = np.sort(base + 360.0 * choices, axis=1)
    gaps = np.diff(np.hstack([times, times[:, :1] + 360.0 * turns]), axis=1)
    spread = np.round(np.var(gaps, axis=1), 6)
    best = int(np.argmin(spread))
    chosen = {name: float(t) for name, t in zip(names, base + 360.0 * choices[best], strict=True)}
    return chosen, int(np.count_nonzero(spread == spread[best]))


def evenly_fired(firing: Firing, tolerance_deg: float = 0.5) -> bool:
    """Whether all firing intervals agree within the tolerance (a pin offset shifts them slightly)."""
    gaps = firing.intervals_deg
    return max(gaps) - min(gaps) <= tolerance_deg
