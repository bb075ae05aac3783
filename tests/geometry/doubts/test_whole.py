"""Clearances under doubt against full certification at points of the box, and cases worked by hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import verdict_of
from geometry.clearance.full_turn import full_turn
from geometry.doubts.box import DoubtBox, box_of
from geometry.doubts.clearances import BoundedPair, clearances_in_doubt
from geometry.doubts.movers import spots_of
from geometry.doubts.whole import by_key, doubtful_clearances, margins_of
from geometry.spec.described import Described, load_described

DEMOS = Path(__file__).parents[3] / "demo_engines"


def _box(name: str, doubts: Mapping[str, tuple[float, float]]) -> DoubtBox:
    """A demo engine with some values so far below and above what its file says, mm."""
    described = load_described(DEMOS / f"{name}.toml")
    values = tuple(
        replace(value, lowest=value.nominal - minus, highest=value.nominal + plus, origin="about")
        for value in described.values
        for minus, plus in [doubts.get(value.key, (0.0, 0.0))]
    )
    assert {value.key for value in values} >= set(doubts)
    return box_of(Described(described.spec, values))


DOUBTS = {
    "crank.stroke": (0.1, 0.1), "rod.length": (0.1, 0.05), "block.deck_height": (0.3, 0.2),
    "gasket.thickness": (0.0, 0.1), "piston.compression_height": (0.1, 0.1), "block.crankcase.wall": (0.5, 1.0),
    "rod.bolt.head_height": (0.2, 0.2),
    "crank.counterweight.radius": (0.5, 0.5), "crank.cheek.thickness": (0.1, 0.1), "block.pan_rail.height": (0.3, 0.3),
    "cam.lift": (0.1, 0.1), "cam.up": (0.2, 0.2), "head.valves[1].diameter": (0.1, 0.1), "crank.main.width": (0.1, 0.1),
}  # fmt: skip


@pytest.fixture(scope="module")
def knot() -> DoubtBox:
    return _box("knot", {key: doubt for key, doubt in DOUBTS.items() if key in _keys("knot")})


def _keys(name: str) -> set[str]:
    return {value.key for value in load_described(DEMOS / f"{name}.toml").values}


def _points(box: DoubtBox, count: int) -> Iterator[dict[str, float]]:
    """Points of the box, every second one a corner."""
    rng = np.random.default_rng(7)
    for k in range(count):
        share = rng.uniform(0.0, 1.0, len(box.coordinates))
        share = np.round(share) if k % 2 else share
        yield {
            side.key: float(side.lowest + s * (side.highest - side.lowest))
            for side, s in zip(box.coordinates, share, strict=True)
        }


def test_no_certified_distance_within_the_box_lies_outside_its_interval(knot: DoubtBox) -> None:
    """Truth: every pair of the engine certified anew at random points and corners, by ``full_turn``."""
    answers = {spots_of(n.pair): a for a in clearances_in_doubt(knot) for n in a.near}
    seen = 0
    for point in _points(knot, 8):
        for near in full_turn(assemble(knot.spec_at(point))).near:
            answer = answers.get(spots_of(near.pair))
            if answer is not None:
                seen += 1
                assert near.approach.min_mm >= answer.lowest_mm - answer.wider_mm - 1e-9
                assert near.approach.floor_mm <= answer.highest_mm + answer.wider_mm + 1e-9
    assert seen > 100


def test_deck_height_stack_moves_the_squish_by_its_sum() -> None:
    """By hand: what the crown clears is deck + gasket - stroke/2 - rod - height, so lowest and highest are sums.

    Lowest: 0.3 (deck) + 0 + 0.05 (half the stroke) + 0.05 (rod longer) + 0.1 = 0.5 below nominal; highest:
    0.2 + 0.1 + 0.05 + 0.1 + 0.1 = 0.55 above.
    """
    doubts = {
        key: DOUBTS[key]
        for key in (
            "crank.stroke", "rod.length", "block.deck_height", "gasket.thickness", "piston.compression_height"
        )
    }  # fmt: skip
    box = _box("knot", doubts)
    found = next(
        a for a in doubtful_clearances(box) if a.name.startswith("piston crown") and "head" in a.name
    )
    assert found.nominal - found.lowest == pytest.approx(0.5, abs=0.011)
    assert found.highest - found.nominal == pytest.approx(0.55, abs=0.011)
    slopes = {leaning.key: leaning.slope for leaning in found.leanings}
    assert slopes == pytest.approx(
        {
            "crank.stroke": -0.5, "rod.length": -1.0, "block.deck_height": 1.0, "gasket.thickness": 1.0,
            "piston.compression_height": -1.0,
        }, abs=1e-3,
    )  # fmt: skip
    assert found.assumed == 5


def test_rows_are_those_of_the_table(knot: DoubtBox) -> None:
    """Every row of the table of clearances is answered under its own name, once."""
    from geometry.checks.clearances import CHECK

    figures = CHECK.run(knot.assembly_at({}), "mm").figures
    found = by_key(doubtful_clearances(knot))
    assert list(found) == [("clearances", figure.name, figure.bore) for figure in figures]
    for answer, figure in zip(found.values(), figures, strict=True):
        assert answer.nominal == pytest.approx(figure.value)
        assert answer.lowest <= answer.nominal <= answer.highest


def _bounded(least: float, lowest: float, highest: float, wider: float, half: float = 0.0) -> BoundedPair:
    """A pair whose least distance is so far off at nominal values, certified to a half-width."""
    approach = SimpleNamespace(min_mm=least, within_mm=half, floor_mm=least - half)
    near: Any = (SimpleNamespace(approach=approach),)
    return BoundedPair(near, lowest, highest, wider, {}, "")


@pytest.mark.parametrize(
    ("pairs", "limit", "margins"),
    [
        ([_bounded(1.5, 1.2, 1.8, 0.0)], (1.0, 1.0), (0.2, 0.8)),
        # 1.2 less the 0.3 that is not proved is 0.1 below the limit, and 1.8 + 0.3 as far above as may be
        ([_bounded(1.5, 1.2, 1.8, 0.3)], (1.0, 1.0), (-0.1, 1.1)),
        # the limit itself between 0.9 and 1.3
        ([_bounded(1.5, 1.2, 1.8, 0.0)], (0.9, 1.3), (-0.1, 0.9)),
        # what is not proved of a place far away does not matter to the nearest one
        ([_bounded(1.5, 1.2, 1.8, 0.0), _bounded(9.0, 8.0, 9.5, 3.0)], (1.0, 1.0), (0.2, 0.8)),
        # nothing in doubt: 1.004 certified to 0.01 may be 0.994
        ([_bounded(1.004, 1.004, 1.004, 0.0, half=0.01)], (1.0, 1.0), (-0.006, 0.004)),
    ],
)  # fmt: skip
def test_what_is_not_proved_counts_against_the_limit(
    pairs: list[BoundedPair], limit: tuple[float, float], margins: tuple[float, float]
) -> None:
    """Sums by hand."""
    assert margins_of(pairs, limit) == pytest.approx(margins)


@pytest.mark.parametrize("least", [0.98, 1.0, 1.004, 1.01, 1.02])
def test_without_doubt_within_is_what_a_plain_check_calls_clear(least: float) -> None:
    """Half-width 0.01 and limit 1: the word of the table of clearances."""
    low, _ = margins_of([_bounded(least, least, least, 0.0, half=0.01)], (1.0, 1.0))
    assert (low >= 0.0) == (verdict_of(least, 0.01, 1.0) == "clear")
