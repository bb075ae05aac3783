"""Intervals of all clearances against full certification at thousands of points of the box; run by hand.

``python tests/bench/doubt_box.py knot --values 40 --points 2000``. A third of the points are corners. Told: how many
certified distances lie outside their interval (none may), and for what share of the pairs the interval is not wider
than 1.5 times what the points have spread (a spread below the tolerance of the search counts as that).
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from geometry.collision.certify import TOLERANCE_MM, Memory, certify_all
from geometry.doubts.box import DoubtBox, box_of
from geometry.doubts.clearances import clearances_in_doubt
from geometry.doubts.kept import Workshop
from geometry.doubts.movers import Movers, spots_of
from geometry.spec.described import Described, load_described

DEMOS = Path(__file__).parents[2] / "demo_engines"


def say(text: str) -> None:
    """A line of the answer."""
    sys.stdout.write(text + "\n")


def doubted(name: str, values: int, seed: int, share: float = 0.003) -> DoubtBox:
    """A demo engine of which some lengths are in doubt, by a share of them and 0.05 mm at least."""
    described = load_described(DEMOS / f"{name}.toml")
    lengths = [k for k, value in enumerate(described.values) if value.dimension == "length" and value.nominal]
    chosen = set(random.Random(seed).sample(lengths, min(values, len(lengths))))
    found = []
    for k, value in enumerate(described.values):
        by = max(0.05, share * abs(value.nominal)) * min(1.0, abs(value.nominal)) if k in chosen else 0.0
        found.append(replace(value, lowest=value.nominal - by, highest=value.nominal + by, origin="about"))
    return box_of(Described(described.spec, tuple(found)))


def points(box: DoubtBox, count: int, seed: int) -> Iterator[dict[str, float]]:
    """Points of the box, every third one a corner."""
    rng = np.random.default_rng(seed)
    low = np.array([side.lowest for side in box.coordinates])
    high = np.array([side.highest for side in box.coordinates])
    for k in range(count):
        share = rng.uniform(0.0, 1.0, low.size)
        at = low + (np.round(share) if k % 3 == 0 else share) * (high - low)
        yield {side.key: float(value) for side, value in zip(box.coordinates, at, strict=True)}


def main() -> None:
    """Sample and tell."""
    parser = argparse.ArgumentParser()
    parser.add_argument("engine")
    parser.add_argument("--values", type=int, default=40)
    parser.add_argument("--points", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    box = doubted(asked.engine, asked.values, asked.seed)
    start = time.perf_counter()
    answers = clearances_in_doubt(box)
    took = time.perf_counter() - start
    say(f"{asked.engine}: {len(answers)} kinds of pair, {len(box.coordinates)} values, {took:.1f} s")
    low, high = np.full(len(answers), np.inf), np.full(len(answers), -np.inf)
    outside = []
    for point in points(box, asked.points, asked.seed):
        movers = Movers(Workshop(replace(box, described=Described(box.spec_at(point), ()), coordinates=())))
        pairs = [movers.pair_at({}, spots_of(answer.near[0].pair)) for answer in answers]
        assert all(pairs)
        found = certify_all(
            [pair for pair in pairs if pair],
            [answer.near[0].pair.period_deg for answer in answers],
            TOLERANCE_MM,
            memory=Memory(),
        )
        for k, (answer, approach) in enumerate(zip(answers, found, strict=True)):
            low[k], high[k] = min(low[k], approach.min_mm), max(high[k], approach.min_mm)
            over = (
                max(answer.lowest_mm - approach.min_mm, approach.floor_mm - answer.highest_mm)
                - answer.wider_mm
            )
            if over > 1e-9:
                outside.append((over, answer.near[0].pair.a.name, answer.near[0].pair.b.name, answer.told))
    width = np.array([answer.highest_mm - answer.lowest_mm for answer in answers])
    ratio = width / np.maximum(high - low, TOLERANCE_MM)
    say(
        f"{asked.points * len(answers)} certified distances, {len(outside)} outside; worst: {sorted(outside)[-3:]}"
    )
    tight = 100 * float((ratio <= 1.5).mean())
    say(f"not wider than 1.5 times the spread: {tight:.1f} % of pairs, most {ratio.max():.2f}")
    for k in np.argsort(-ratio)[:6].tolist():
        pair, answer = answers[k].near[0].pair, answers[k]
        say(
            f"  {ratio[k]:.2f} {pair.a.name} : {pair.b.name} [{answer.lowest_mm:.4f}, {answer.highest_mm:.4f}] "
            f"spread [{low[k]:.4f}, {high[k]:.4f}] leans on {len(answer.changes)} {answer.told}"
        )


if __name__ == "__main__":
    main()
