"""Least distances over values in doubt: worked by hand, and against full certification at points of the box."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product

import numpy as np
import pytest

from geometry.collision.certify import TOLERANCE_MM, certify, certify_all
from geometry.collision.mover import Mover
from geometry.collision.over_box import Proved, Question, prove
from geometry.collision.spread import Spread, Wavering
from geometry.doubts.at_place import same_mover
from geometry.kinematics import laws
from geometry.kinematics.poses import translation
from geometry.solids import Box, Cylinder, Hull, Lobe

Scene = Callable[[Sequence[float]], tuple[Mover, Mover]]
ALONG_X = np.array([[0.0, 0.0, 1.0, 0.0], [0.0, 1.0, 0.0, 0.0], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


def _pin(throw: float, radius: float, up: float = 0.0) -> Mover:
    """A pin that goes round at ``throw`` from an axis at the height ``up``."""
    piece = Cylinder(radius, 20.0, translation([0.0, throw, 0.0]) @ ALONG_X)
    return Mover("pin", laws.spin(at_mm=(0.0, 0.0, up)), (piece,))


def _walls(*middles: float) -> Mover:
    """Walls 10 thick square to z, with these heights of their middles."""
    return Mover(
        "walls", laws.fixed(), tuple(Box((40.0, 200.0, 10.0), translation([0.0, 0.0, z])) for z in middles)
    )


def _spread(scene: Scene, doubts: Sequence[tuple[float, float]]) -> Spread:
    """Doubts are (below, above) of values that are zero at nominal; the farther end is what the spread is told."""
    count = len(doubts)
    nominal = scene([0.0] * count)
    ends: list[dict[int, Mover]] = [{}, {}]
    scale = []
    for k, (below, above) in enumerate(doubts):
        far = above if above >= below else -below
        scale.append([-below / far, above / far])
        there = scene([far if j == k else 0.0 for j in range(count)])
        for side in range(2):
            if not same_mover(nominal[side], there[side]):
                ends[side][k] = there[side]
    return Spread([Wavering(nominal[s], ends[s]) for s in range(2)], np.array(scale))


def _proved(
    scene: Scene, doubts: Sequence[tuple[float, float]], corner: Sequence[float]
) -> tuple[float, Proved]:
    """The least distance at one corner, and what is proved from there."""
    spread, there = _spread(scene, doubts), scene(corner)
    upper = certify(*there).min_mm
    (found,) = prove(spread, [Question(0, 1, 360.0, [there], upper)], TOLERANCE_MM)
    return upper, found


def test_a_pin_below_a_wall_loses_the_sum_of_all_reaches() -> None:
    """50 - 30 - 10 = 10 at nominal; throw and radius may be 0.2 and 0.1 more, the wall 0.3 lower: 9.4."""

    def scene(v: Sequence[float]) -> tuple[Mover, Mover]:
        return _pin(30.0 + v[0], 10.0 + v[1]), _walls(55.0 + v[2])

    upper, found = _proved(scene, [(0.2, 0.2), (0.05, 0.1), (0.3, 0.1)], [0.2, 0.1, -0.3])
    assert upper == pytest.approx(9.4, abs=1e-3)
    assert 9.4 - TOLERANCE_MM - 1e-6 <= found.lower_mm <= 9.4
    assert found.corner == {}


def test_what_moves_both_sides_alike_changes_nothing() -> None:
    """A doubt of 2 mm about where both stand, along the crank and across it: still 10, not 10 - 2 - 2."""

    def scene(v: Sequence[float]) -> tuple[Mover, Mover]:
        pin = _pin(30.0, 10.0, up=v[0])
        return pin, _walls(55.0 + v[0])

    upper, found = _proved(scene, [(2.0, 2.0)], [2.0])
    assert upper == pytest.approx(10.0, abs=1e-3)
    assert found.lower_mm >= 10.0 - TOLERANCE_MM - 1e-6


def test_where_the_nearest_place_jumps_the_other_corner_is_named_and_closes() -> None:
    """Walls 10 above and 10.2 below, both 0.1 lower or 0.8 higher: 9.9 at the first, 9.4 at the other wall.

    At nominal values the upper wall is nearest, and lowering both seems worst.
    """

    def scene(v: Sequence[float]) -> tuple[Mover, Mover]:
        return _pin(30.0, 10.0), _walls(55.0 + v[0], -55.2 + v[0])

    doubts = [(0.1, 0.8)]
    upper, found = _proved(scene, doubts, [-0.1])
    assert upper == pytest.approx(9.9, abs=1e-3)
    assert found.lower_mm <= 9.4
    assert found.corner == {0: 1}
    assert found.crank_deg == pytest.approx(270.0, abs=1.0)
    spread, corners = _spread(scene, doubts), [scene([0.8]), scene([-0.1])]
    (closed,) = prove(spread, [Question(0, 1, 360.0, corners, certify(*corners[0]).min_mm)], TOLERANCE_MM)
    assert 9.4 - TOLERANCE_MM - 1e-6 <= closed.lower_mm <= 9.4


def test_the_end_that_is_nearer_counts_by_its_share() -> None:
    """The wall may be 0.3 higher, but only 0.1 lower: 9.9, though the change was worked out at the higher end."""

    def scene(v: Sequence[float]) -> tuple[Mover, Mover]:
        return _pin(30.0, 10.0), _walls(55.0 + v[0])

    upper, found = _proved(scene, [(0.1, 0.3)], [-0.1])
    assert upper == pytest.approx(9.9, abs=1e-3)
    assert found.lower_mm == pytest.approx(9.9, abs=TOLERANCE_MM + 1e-6)


@pytest.mark.parametrize("seed", range(2))
def test_no_point_of_the_box_is_below_what_is_proved(seed: int) -> None:
    """Random solids on crank and rod, six values: full certification at corners and inside is the truth."""
    rng = np.random.default_rng(seed)
    points = rng.uniform(-6.0, 6.0, (7, 3)) + [0.0, 0.0, 20.0]
    base = rng.uniform(-2.0, 2.0, 3)

    def scene(v: Sequence[float]) -> tuple[Mover, Mover]:
        lobe = Lobe(9.0 + v[0], 6.0, 22.0 + v[1], 12.0, translation([base[0], 0.0, 0.0]) @ ALONG_X)
        rod = laws.rod(0.0, 0.0, 10.0, 30.0 + v[2], 110.0 + v[3])
        stretched = points * (1.0 + v[4] / 20.0) + [v[5], 0.0, 25.0]
        wall = Box((60.0, 60.0, 8.0), translation([base[1] + v[5], 70.0, 20.0 + v[1]]))
        return Mover("lobe", rod, (lobe,)), Mover("fixed", laws.fixed(), (Hull(stretched), wall))

    doubts = [(0.2, 0.2), (0.1, 0.3), (0.1, 0.1), (0.2, 0.1), (0.3, 0.3), (0.5, 0.5)]
    spread = _spread(scene, doubts)
    for point in ([0.2, 0.3, 0.1, 0.1, 0.3, 0.5], [-0.1, -0.1, -0.1, -0.2, -0.3, -0.5]):
        ways = {
            k: v / (above if v > 0 else below)
            for k, (v, (below, above)) in enumerate(zip(point, doubts, strict=True))
        }
        for side, mover in enumerate(scene(point)):
            assert spread.hold_against(side, mover, ways)
    corners = list(product(*[(-b, a) for b, a in doubts]))[::7]
    inside = [[rng.uniform(-b, a) for b, a in doubts] for _ in range(5)]
    scenes = [scene(point) for point in (*corners, *inside)]
    least = [approach.min_mm for approach in certify_all(scenes)]
    upper = min(least[: len(corners)])
    worst = scenes[least.index(upper)]
    (found,) = prove(spread, [Question(0, 1, 360.0, [worst], upper)], TOLERANCE_MM)
    assert found.lower_mm <= min(least) + 1e-9
    # and not much below the worst corner of all
    assert found.lower_mm >= upper - 0.3


def test_what_changes_its_shape_cannot_be_followed() -> None:
    """A hull that gains a corner is named, not guessed."""
    five, six = (Mover("m", laws.fixed(), (Hull(np.eye(6)[:k, :3] * 9.0),)) for k in (5, 6))
    spread = Spread([Wavering(five, {0: six})], np.array([[-1.0, 1.0]]))
    assert spread.lost == [0]
