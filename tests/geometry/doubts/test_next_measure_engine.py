"""What to measure next on a real engine: its own checks, its own instruments, true values hidden from the rule."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.section import Check, checks
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate, DoubtBox, box_of
from geometry.doubts.corners import AnswerKey, Point, Reading, answers_in_doubt
from geometry.doubts.means import means_of
from geometry.doubts.next_measure import Means, what_next
from geometry.spec.described import load_described

KNOT = "demo_engines/knot.toml"
ABOUT = {
    "block.deck_height": "7.625 in +- 20 thou", "piston.compression_height": "1.600 in +- 5 thou",
    "rod.length": "4.750 in +- 10 thou", "rings.top.gap": "14 thou +- 4 thou", "rings.second.gap": "13 thou +- 4 thou",
    "rod.bearing.wall": "0.0625 in +- 0.0005 in", "rod.big_end.bore": "1.3772 in +- 0.0005 in",
    "piston.skirt.clearance": "0.0035 in +- 1 thou",
}  # fmt: skip
SECTIONS = ("bores", "fits", "rings")


@cache
def _asked() -> tuple[Check, ...]:
    return tuple(check for check in checks() if check.key in SECTIONS)


def _read(box: DoubtBox, point: Point) -> Mapping[AnswerKey, Reading]:
    """Figures of the checks that need no bodies."""
    assembly = assemble(box.spec_at(point), box.built_at(point), ())
    return {
        (check.key, figure.name, figure.bore): Reading(
            figure.value, figure.least, figure.most, figure.dimension
        )
        for check in _asked()
        if check.figures is not None
        for figure in check.figures(assembly, None)
    }


class Shop:
    """The engine in doubt, what its values truly are, and what has been measured so far."""

    def __init__(self, seed: int) -> None:
        self.box = box_of(load_described(KNOT, ABOUT))
        random = np.random.default_rng(seed)
        self.truth = {c.key: float(random.uniform(c.lowest, c.highest)) for c in self.box.coordinates}
        # ten times as close as a shop measures: what lies nearer to a limit than that can be measured stays open
        self.means: dict[str, Means] = {
            key: replace(one, leaves=one.leaves / 10.0) for key, one in means_of(self.box).items()
        }

    def sides(self, measured: Iterable[str]) -> tuple[Coordinate, ...]:
        known = set(measured)
        return tuple(self._known(c) if c.key in known else c for c in self.box.coordinates)

    def _known(self, side: Coordinate) -> Coordinate:
        true, left = self.truth[side.key], self.means[side.key].leaves
        return replace(side, nominal=true, lowest=true - left, highest=true + left)

    def answers(self, measured: Iterable[str]) -> tuple[Doubtful, ...]:
        """As they are when some values are measured: those of an engine file that holds the readings."""
        sides = self.sides(measured)
        read_in = {c.key: c.nominal for c in sides}
        box = DoubtBox(self.box.described, sides, self.box.built)
        return answers_in_doubt(box, lambda point: _read(box, {**read_in, **point}))

    def settled(self, measured: Iterable[str]) -> frozenset[str]:
        return frozenset(one.name for one in self.answers(measured) if one.settled in ("within", "outside"))


def played(shop: Shop) -> list[str]:
    """Always the first of the list, until nothing is worth measuring."""
    done: list[str] = []
    while measures := what_next(shop.answers(done), shop.sides(done), shop.means, 1e9).measures:
        done.append(measures[0].key)
    return done


def settled_by_fewer(shop: Shop, done: Sequence[str]) -> list[tuple[str, ...]]:
    """Sets of one measurement fewer that would have settled all as well, for one who knows the true values.

    What settles with fewer readings settles with more, so that smaller sets need not be tried.
    """
    open_ = [one for one in shop.answers(()) if one.settled == "open"]
    keys = sorted({leaning.key for one in open_ for leaning in one.leanings})
    wanted = shop.settled(done)
    return [chosen for chosen in combinations(keys, len(done) - 1) if shop.settled(chosen) >= wanted]


@pytest.mark.parametrize("seed,steps", [(2, 7)])
def test_a_real_engine_settles_in_the_fewest_steps(seed, steps):
    """Every verdict stands at the end, and no fewer measurements would have done (true values drawn by the seed)."""
    shop = Shop(seed)
    done = played(shop)
    assert [one.name for one in shop.answers(done) if one.settled == "open"] == []
    assert "piston.skirt.clearance" not in done  # its verdict stands from the beginning
    assert len(done) == steps
    assert settled_by_fewer(shop, done) == []
